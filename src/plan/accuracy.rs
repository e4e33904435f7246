//! How far off the readings behind a limit may be: which instruments they come from, and what each declares.

use super::{Control, Instrument, Limit, Name, Plan};
use crate::quantity::{Rational, Unit};
use crate::source::Loc;

/// What one monitored parameter behind a limit is measured with.
#[derive(Debug, Clone, Copy)]
pub struct Measuring<'p> {
    /// The parameter that is read.
    pub parameter: &'p Name,
    /// Its unit, if the plan declares one.
    pub unit: Option<Unit>,
    /// The instrument; `None` where the plan names none for it.
    pub instrument: Option<&'p Instrument>,
    /// Where the plan says how it is monitored.
    pub loc: Loc,
}

impl Instrument {
    /// How far a reading in this unit may be off, exact; `None` if nothing is declared, or nothing of that kind.
    #[must_use]
    pub fn off_by(&self, unit: Unit) -> Option<Rational> {
        let accuracy = self.accuracy.as_ref()?;
        let off = accuracy.quantity.filter(|_| accuracy.dimension() == Some(unit.dimension))?.base_difference()?;
        unit.difference_from_base(off).filter(|off| !off.is_negative())
    }
}

impl Limit {
    /// The monitored parameters on whose readings the limit rests, each with every instrument that may give them.
    #[must_use]
    pub fn measuring<'p>(&'p self, plan: &'p Plan, control: &'p Control) -> Vec<Measuring<'p>> {
        let mut found: Vec<Measuring<'p>> = Vec::new();
        let monitored = |name: &Name| control.monitor_of(&name.text).is_some();
        for declared in self.parameters().into_iter().filter_map(|name| plan.parameter(&name.text)) {
            for parameter in plan.rests_on(declared, &monitored) {
                let Some(monitor) = control.monitor_of(&parameter.text) else { continue };
                if found.iter().any(|one| one.parameter == parameter) {
                    continue;
                }
                let Some(own) = plan.parameter(&parameter.text).filter(|own| own.answers.is_empty()) else { continue };
                let unit = own.unit.as_ref().map(|unit| unit.value);
                let named = monitor.using.iter().map(|name| plan.instrument(&name.text));
                let mut each: Vec<Option<&Instrument>> = named.collect();
                if each.is_empty() {
                    each.push(None);
                }
                let measuring = |instrument| Measuring { parameter, unit, instrument, loc: monitor.loc };
                found.extend(each.into_iter().map(measuring));
            }
        }
        found
    }

    /// Whether the accuracy is counted, and how much it is for each instrument; `None` for a limit without readings.
    #[must_use]
    pub fn accuracy_words(&self, plan: &Plan, control: &Control) -> Option<String> {
        let measuring = self.measuring(plan, control);
        if self.shape.accuracy.is_none() {
            return (!measuring.is_empty()).then(|| "not counted".to_owned());
        }
        let mut each: Vec<String> = Vec::new();
        for one in &measuring {
            let known = one.instrument.zip(one.unit).filter(|(instrument, unit)| instrument.off_by(unit).is_some());
            let words = match (known, one.instrument) {
                (Some((instrument, _)), _) => {
                    let off = instrument.accuracy.as_ref().map_or_else(String::new, super::limit::Measured::shown);
                    format!("± {off} ({})", instrument.name)
                }
                (None, Some(instrument)) => format!("not known ({})", instrument.name),
                (None, None) => format!("not known ({})", one.parameter),
            };
            if !each.contains(&words) {
                each.push(words);
            }
        }
        Some(if each.is_empty() {
            "counted, and no reading whose accuracy could be".to_owned()
        } else {
            format!("counted, each reading first widened: {}", each.join(", "))
        })
    }
}
