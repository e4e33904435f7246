//! A way through every name and number of a condition, and the form in which two conditions can be held side by side.
//!
//! Two conditions that ask the same may stand at other places, in other units and in other words: `at most 60 min` is
//! `at most 1 h`. [`Condition::exact`] takes that out, so that what is left is equal where they ask the same.

use super::Name;
use super::condition::Condition;
use super::limit::{Amount, FactTest, Measured, Over, Range, RangeForm, Wanted};
use super::names::Kind;
use crate::quantity::{Quantity, UNITS, Unit};
use crate::source::Loc;

/// What is done with each part on the way.
pub trait Visitor {
    /// A name of something of this kind.
    fn name(&mut self, kind: Kind, name: &mut Name);
    /// A number that is a point on its scale.
    fn point(&mut self, number: &mut Measured);
    /// A number that is a difference: a tolerance, a z, a fall.
    fn difference(&mut self, number: &mut Measured);
    /// A range as a whole, after its parts.
    fn range(&mut self, range: &mut Range);
}

impl Condition {
    /// Shows every part of the condition to the visitor.
    pub fn visit(&mut self, visitor: &mut dyn Visitor) {
        match self {
            Condition::Level { parameter, range, over } => {
                visitor.name(Kind::Parameter, parameter);
                range.visit(visitor);
                over.visit(visitor);
            }
            Condition::Passage { parameter, from, to, within } => {
                visitor.name(Kind::Parameter, parameter);
                [from, to, within].into_iter().for_each(|number| visitor.point(number));
            }
            Condition::Reduction { model, parameter, range } => {
                visitor.name(Kind::Inactivation, model);
                visitor.name(Kind::Parameter, parameter);
                range.visit(visitor);
            }
            Condition::Growth { model, parameter, range } => {
                visitor.name(Kind::GrowthModel, model);
                visitor.name(Kind::Parameter, parameter);
                range.visit(visitor);
            }
            Condition::Answers(answers) => {
                for (parameter, answer) in answers {
                    visitor.name(Kind::Parameter, parameter);
                    answer.loc = Loc::default();
                }
            }
            Condition::Never { parameter, range } => {
                visitor.name(Kind::Parameter, parameter);
                range.visit(visitor);
            }
            Condition::Reaches { parameter, at, within } => {
                visitor.name(Kind::Parameter, parameter);
                visitor.point(at);
                if let Some((time, event)) = within {
                    visitor.point(time);
                    visitor.name(Kind::Event, event);
                }
            }
            Condition::Falls { parameter, rises: _, by, every } => {
                visitor.name(Kind::Parameter, parameter);
                visitor.difference(by);
                visitor.point(every);
            }
            Condition::Lasts { stage, least: _, time } => {
                visitor.name(Kind::Stage, stage);
                visitor.point(time);
            }
            Condition::Order { first, then } => {
                visitor.name(Kind::Stage, first);
                visitor.name(Kind::Stage, then);
            }
            Condition::Counted { event, least: _, times: _ } => visitor.name(Kind::Event, event),
            Condition::Events { from, to, least: _, time } => {
                visitor.name(Kind::Event, from);
                visitor.name(Kind::Event, to);
                visitor.point(time);
            }
            Condition::Equivalent { parameter, at, z, range } => {
                visitor.name(Kind::Parameter, parameter);
                visitor.point(at);
                visitor.difference(z);
                range.visit(visitor);
            }
            Condition::DegreeHours { parameter, base, until, range } => {
                visitor.name(Kind::Parameter, parameter);
                visitor.point(base);
                if let Some((name, end)) = until {
                    visitor.name(Kind::Parameter, name);
                    end.visit(visitor);
                }
                range.visit(visitor);
            }
            Condition::AnyRow { parameter, table } => {
                visitor.name(Kind::Parameter, parameter);
                visitor.name(Kind::Table, table);
            }
            Condition::ChosenRow { parameter, table, fact } => {
                visitor.name(Kind::Parameter, parameter);
                visitor.name(Kind::Table, table);
                visitor.name(Kind::Parameter, fact);
            }
            Condition::Attributes { parameter, plan: _, m, big_m } => {
                visitor.name(Kind::Parameter, parameter);
                visitor.point(m);
                big_m.iter_mut().for_each(|figure| visitor.point(figure));
            }
            Condition::Absent { parameter, mass, plan: _ } => {
                visitor.name(Kind::Parameter, parameter);
                visitor.point(mass);
            }
            Condition::Sampled { parameter, answer, plan: _ } => {
                visitor.name(Kind::Parameter, parameter);
                answer.loc = Loc::default();
            }
            Condition::Bands { parameter, bands, at_least: _ } => {
                visitor.name(Kind::Parameter, parameter);
                for band in bands {
                    band.name.loc = Loc::default();
                    visitor.point(&mut band.edge);
                }
            }
            Condition::Any(options) => options.iter_mut().for_each(|option| visit_option(option, visitor)),
            Condition::Chosen { fact, options } => {
                visitor.name(Kind::Parameter, fact);
                options.iter_mut().for_each(|option| visit_option(option, visitor));
            }
            Condition::All(parts) => parts.iter_mut().for_each(|one| one.visit(visitor)),
        }
    }

    /// The condition without places, every number in the base unit of its dimension, every range as its two ends.
    /// Two are equal if they ask the same of the same things.
    #[must_use]
    pub fn exact(&self) -> Condition {
        let mut own = self.clone();
        own.visit(&mut Exactly);
        own
    }
}

fn visit_option((name, condition): &mut (Name, Condition), visitor: &mut dyn Visitor) {
    name.loc = Loc::default();
    condition.visit(visitor);
}

impl Range {
    /// Shows every part of the range to the visitor.
    pub fn visit(&mut self, visitor: &mut dyn Visitor) {
        for edge in [&mut self.lower, &mut self.upper].into_iter().flatten() {
            visitor.point(&mut edge.at);
        }
        match &mut self.form {
            RangeForm::Tolerance(target, by) => {
                visitor.point(target);
                visitor.difference(by);
            }
            RangeForm::ShareOfValue(target, by) => {
                visitor.point(target);
                visitor.point(by);
            }
            RangeForm::Beside { other, offset, minus: _, sign: _ } => {
                // A limit or a parameter; a limit has its name within its control alone.
                visitor.name(Kind::Parameter, other);
                offset.iter_mut().for_each(|offset| visitor.difference(offset));
            }
            RangeForm::Compared | RangeForm::Between | RangeForm::Above | RangeForm::Below => {}
        }
        visitor.range(self);
    }

    /// As [`Condition::exact`].
    #[must_use]
    pub fn exact(&self) -> Range {
        let mut own = self.clone();
        own.visit(&mut Exactly);
        own
    }
}

impl Over {
    /// Shows every part to the visitor.
    pub fn visit(&mut self, visitor: &mut dyn Visitor) {
        match self {
            Over::Always | Over::Samples(_) => {}
            Over::Throughout(stage) => visitor.name(Kind::Stage, stage),
            Over::Held(time) | Over::StretchAtMost(time) | Over::StretchAtLeast(time) => visitor.point(time),
            Over::TotalAtLeast(amount) | Over::TotalAtMost(amount) => match amount {
                Amount::Time(time) => visitor.point(time),
                Amount::Share { share, stage, or_longer } => {
                    visitor.point(share);
                    visitor.name(Kind::Stage, stage);
                    or_longer.iter_mut().for_each(|time| visitor.point(time));
                }
            },
        }
    }
}

impl FactTest {
    /// Shows every part to the visitor.
    pub fn visit(&mut self, visitor: &mut dyn Visitor) {
        visitor.name(Kind::Parameter, &mut self.fact);
        match &mut self.wanted {
            Wanted::Answer(answer) => answer.loc = Loc::default(),
            Wanted::Within(range) => range.visit(visitor),
        }
    }
}

/// The base unit of a dimension, where the closed list has one of its own.
fn base_unit(unit: Unit) -> Option<Unit> {
    let one = crate::quantity::Rational::ONE;
    UNITS.iter().find(|other| {
        other.dimension == unit.dimension
            && other.point_to_base(one) == Some(one)
            && other.difference_to_base(one) == Some(one)
    })
}

impl Measured {
    /// Without its place, and in the base unit of its dimension.
    #[must_use]
    pub fn exact(&self, difference: bool) -> Measured {
        let mut own = self.clone();
        own.loc = Loc::default();
        own.compound = false;
        let Some(quantity) = own.quantity else { return own };
        let value = if difference { quantity.base_difference() } else { quantity.base() };
        // Without a base unit of its own (mg/kg, %), the first unit of the dimension stands for it.
        let unit =
            base_unit(quantity.unit).or_else(|| UNITS.iter().find(|unit| unit.dimension == quantity.dimension()));
        if let (Some(value), Some(unit)) = (value, unit) {
            own.quantity = Some(Quantity::new(value, unit));
            own.number = Some(value);
            own.unit = Some(unit);
        }
        own
    }
}

struct Exactly;

impl Visitor for Exactly {
    fn name(&mut self, _: Kind, name: &mut Name) {
        name.loc = Loc::default();
    }

    fn point(&mut self, number: &mut Measured) {
        *number = number.exact(false);
    }

    fn difference(&mut self, number: &mut Measured) {
        *number = number.exact(true);
    }

    fn range(&mut self, range: &mut Range) {
        range.loc = Loc::default();
        if !matches!(range.form, RangeForm::Beside { .. }) && (range.lower.is_some() || range.upper.is_some()) {
            range.form = RangeForm::Compared;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{Plan, read};
    use crate::source::{Source, Sources};

    fn condition(text: &str) -> Condition {
        let mut sources = Sources::new();
        let whole = format!(
            "parameter core \"Core\" {{ unit °C }}\nccp cook \"Cook\" at x {{\n  limit hold {text}\n}}\nstep x \"X\" {{ }}\n"
        );
        let id = sources.add(Source::new("a", whole));
        let plan: Plan = read(&sources, &[id]).plan;
        plan.controls[0].limits[0].condition.clone().expect(text)
    }

    #[test]
    fn the_same_in_other_words_is_equal_and_another_figure_is_not() {
        let same = [
            ("core >= 72 °C held for 2 min", "core >= 72.0 °C   held for 120 s"),
            ("core <= 40 °F", "core <= 40.00 °F"),
            ("core <= 4 °C", "core <= 39.2 °F"),
            ("core = 50 °C ± 5 °C", "core between 45 °C and 55 °C"),
            ("core = 50 °C ± 5 °C", "core = 50 °C ± 9 °F"),
            ("core above 10 °C in total at most 1 h 30 min", "core above 10 °C in total at most 90 min"),
            ("core falls at least 5 °C in every 1 h", "core falls at least 9 °F in every 60 min"),
        ];
        for (one, two) in same {
            assert_eq!(condition(one).exact(), condition(two).exact(), "{one} / {two}");
        }
        let other = [
            ("core <= 40 °F", "core <= 4.4 °C"),
            ("core <= 4 °C", "core < 4 °C"),
            ("core >= 72 °C held for 2 min", "core >= 72 °C in total at least 2 min"),
            ("core falls at least 5 °C in every 1 h", "core falls at least 41 °F in every 1 h"),
            ("core above 10 °C in total at most 1 h", "core above 10 °C in total less than 1 h"),
        ];
        for (one, two) in other {
            assert_ne!(condition(one).exact(), condition(two).exact(), "{one} / {two}");
        }
    }
}
