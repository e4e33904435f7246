//! The numbers of each form of limit, held against what they measure.

use super::Name;
use super::condition::Condition;
use super::dimensions::{Checker, WRONG_DIMENSION};
use super::limit::Measured;
use crate::finding::Finding;
use crate::quantity::{Dimension, Unit};
use crate::source::Loc;

/// The unit of a parameter and what is wanted of a number beside it.
pub(super) type Wanted = (Option<(Dimension, Option<Loc>)>, Option<Unit>);

impl Checker<'_> {
    pub(super) fn condition(&mut self, condition: &mut Condition) {
        match condition {
            Condition::Level { parameter, range, over } => {
                let (wanted, unit) = self.of(parameter);
                self.range(range, wanted, unit);
                self.over(over);
            }
            Condition::Passage { parameter, from, to, within } => {
                self.like(parameter, [from, to]);
                self.time(within);
                self.positive(within);
            }
            Condition::Never { parameter, range } => {
                let (wanted, unit) = self.of(parameter);
                self.range(range, wanted, unit);
            }
            Condition::Reaches { parameter, at, within } => {
                self.like(parameter, [at]);
                if let Some((time, _)) = within {
                    self.time(time);
                }
            }
            Condition::Falls { parameter, by, every, .. } => {
                self.like(parameter, [&mut *by]);
                self.positive(by);
                self.time(every);
                self.positive(every);
            }
            Condition::Lasts { time, .. } | Condition::Events { time, .. } => self.time(time),
            Condition::Reduction { parameter, range, .. } => {
                self.is_temperature(parameter, "a reduction");
                self.range(range, Some((Dimension::Decades, None)), None);
            }
            Condition::Growth { parameter, range, .. } => {
                self.is_temperature(parameter, "growth");
                self.range(range, Some((Dimension::Decades, None)), None);
            }
            Condition::Equivalent { parameter, at, z, range } => {
                self.is_temperature(parameter, "an equivalent time");
                self.temperature(at);
                self.temperature(z);
                self.positive(z);
                self.range(range, Some((Dimension::Time, None)), None);
            }
            Condition::DegreeHours { parameter, base, until, range } => {
                self.is_temperature(parameter, "a sum of degrees over time");
                self.temperature(base);
                if let Some((name, end)) = until {
                    let (wanted, unit) = self.of(name);
                    self.range(end, wanted, unit);
                }
                self.range(range, Some((Dimension::TemperatureTime, None)), None);
            }
            Condition::Attributes { parameter, m, big_m, .. } => {
                self.like(parameter, std::iter::once(m).chain(big_m));
            }
            Condition::Absent { parameter, mass, .. } => {
                if let Some((unit, loc)) = self.known.get(&parameter.text).copied()
                    && !matches!(unit.dimension, Dimension::CountPerMass | Dimension::CountPerVolume)
                {
                    let message = format!("`{parameter}` is {}, and what is absent is counted", unit.dimension.word());
                    let finding = Finding::at(&WRONG_DIMENSION, parameter.loc, message).also(loc, "declared here");
                    self.findings
                        .push(finding.help("declare it with `answers detected, not-detected`, or with `unit cfu/g`"));
                }
                self.is(mass, Some((Dimension::Mass, None)), None);
                self.positive(mass);
            }
            Condition::Bands { parameter, bands, .. } => {
                self.like(parameter, bands.iter_mut().map(|band| &mut band.edge));
            }
            Condition::Any(options) | Condition::Chosen { options, .. } => {
                options.iter_mut().for_each(|(_, one)| self.condition(one));
            }
            Condition::All(parts) => parts.iter_mut().for_each(|one| self.condition(one)),
            Condition::Answers(_)
            | Condition::Sampled { .. }
            | Condition::Order { .. }
            | Condition::Counted { .. }
            | Condition::AnyRow { .. }
            | Condition::ChosenRow { .. } => {}
        }
    }

    pub(super) fn of(&self, parameter: &Name) -> Wanted {
        let unit = self.known.get(&parameter.text).copied();
        (unit.map(|(unit, loc)| (unit.dimension, Some(loc))), unit.map(|(unit, _)| unit))
    }

    /// Numbers in the kind of unit that the parameter has.
    fn like<'m>(&mut self, parameter: &Name, values: impl IntoIterator<Item = &'m mut Measured>) {
        let (wanted, unit) = self.of(parameter);
        for value in values {
            self.is(value, wanted, unit);
        }
    }

    fn is_temperature(&mut self, parameter: &Name, what: &str) {
        if let Some((unit, loc)) = self.known.get(&parameter.text).copied()
            && unit.dimension != Dimension::Temperature
        {
            let message =
                format!("`{parameter}` is {}, and {what} is computed from a temperature", unit.dimension.word());
            let finding = Finding::at(&WRONG_DIMENSION, parameter.loc, message).also(loc, "declared here");
            self.findings.push(finding.help("name the parameter that holds the temperature"));
        }
    }
}
