//! How far off a reading may be, where a limit counts the accuracy of its instrument.
//!
//! A condition is not compared with widened readings: its thresholds are moved instead, exactly. Only what a formula is
//! worked out from is widened itself, away from the reading by a double where the sum has no decimal.

use super::engine::{End, Extent, Kind, Outcome, Row};
use super::limits::{Context, NOT_TRUSTED};
use crate::plan::{Control, Instrument};
use crate::quantity::{Rational, Unit};

/// How far off a reading may be, in its own unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Off {
    /// No further than this; nothing where the limit does not count it.
    By(Rational),
    /// It counts, and the plan does not say how much it is.
    Unknown,
}

impl Off {
    /// Nothing.
    pub const NOTHING: Off = Off::By(Rational::ZERO);

    /// How far, if it is known.
    pub fn by(self) -> Option<Rational> {
        match self {
            Off::By(by) => Some(by),
            Off::Unknown => None,
        }
    }

    /// How far a reading of a parameter may be off: by what the instrument named for it declares, or by the greatest of
    /// those that the plan names for the parameter.
    pub fn of(context: &Context<'_>, control: &Control, (parameter, named): (&str, Option<&str>), unit: Unit) -> Off {
        if !context.accuracy {
            return Off::NOTHING;
        }
        let each = possible(context, control, parameter, named).into_iter();
        let each: Option<Vec<Rational>> = each.map(|one| one.and_then(|instrument| instrument.off_by(unit))).collect();
        each.and_then(|each| each.into_iter().max()).map_or(Off::Unknown, Off::By)
    }

    /// What the evidence says of it, where the limit counts it.
    pub fn remark(
        self,
        context: &Context<'_>,
        control: &Control,
        of: (&str, Option<&str>),
        unit: Unit,
    ) -> Option<String> {
        if !context.accuracy {
            return None;
        }
        Some(match self {
            Off::By(by) => {
                let off = by.decimal().unwrap_or_else(|| crate::quantity::plain(by.to_f64(), 6));
                let symbol = if unit.dimension.bare() { String::new() } else { format!("\u{a0}{}", unit.symbol) };
                let names: Vec<&str> = possible(context, control, of.0, of.1)
                    .into_iter()
                    .flatten()
                    .map(|instrument| instrument.name.text.as_str())
                    .collect();
                format!("accuracy counted: each reading may be {off}{symbol} higher or lower ({})", names.join(", "))
            }
            Off::Unknown => format!(
                "`{}` {NOT_TRUSTED}: the limit counts the accuracy, and the plan does not say how far off a reading may be",
                of.1.unwrap_or(of.0)
            ),
        })
    }
}

/// The instruments that may have given a reading; `None` for one that the plan does not have.
fn possible<'p>(
    context: &Context<'p>,
    control: &Control,
    parameter: &str,
    named: Option<&str>,
) -> Vec<Option<&'p Instrument>> {
    let monitor = control.monitor_of(parameter);
    let using = monitor.into_iter().flat_map(|monitor| &monitor.using).map(|name| name.text.as_str());
    let names: Vec<&str> = named.map_or_else(|| using.collect(), |named| vec![named]);
    names.into_iter().map(|name| context.plan.instrument(name)).collect()
}

/// Rows as wide as the accuracy makes them.
pub(super) fn widened(rows: &[Row], off: Off) -> Vec<Row> {
    let Some(by) = off.by() else { return rows.iter().map(|row| Row::broken(row.at)).collect() };
    let widen = |row: &Row| match (row.is_broken(), by.is_zero()) {
        (true, _) | (_, true) => *row,
        _ => Row::spread(row.at, lower(row.lo, by), higher(row.hi, by)),
    };
    rows.iter().map(widen).collect()
}

/// A reading less what it may be off, never higher than that.
pub(super) fn lower(value: f64, by: Rational) -> f64 {
    let exact = Rational::from_double(value).and_then(|value| value.minus(by));
    exact.map_or_else(|| (value - by.to_f64()).next_down().next_down(), not_above)
}

/// A reading and what it may be off, never lower than that.
pub(super) fn higher(value: f64, by: Rational) -> f64 {
    let exact = Rational::from_double(value).and_then(|value| value.plus(by));
    exact.map_or_else(|| (value + by.to_f64()).next_up().next_up(), not_below)
}

/// The double that stands for a number: its decimal, or else the next one that is no higher.
fn not_above(exact: Rational) -> f64 {
    let near = exact.to_f64();
    if Rational::from_double(near).is_none_or(|decimal| decimal > exact) { near.next_down() } else { near }
}

/// The double that stands for a number: its decimal, or else the next one that is no lower.
fn not_below(exact: Rational) -> f64 {
    let near = exact.to_f64();
    if Rational::from_double(near).is_none_or(|decimal| decimal < exact) { near.next_up() } else { near }
}

impl Outcome {
    /// Values as the accuracy leaves them: each end of an interval of values moved outwards by so much.
    pub(super) fn counting(mut self, by: Rational) -> Outcome {
        if by.is_zero() {
            return self;
        }
        let widen = |extent: &mut Extent| {
            if extent.kind == Kind::Value {
                extent.least = outwards(extent.least, |value| lower(value, by));
                extent.most = outwards(extent.most, |value| higher(value, by));
            }
        };
        widen(&mut self.extent);
        self.lower.iter_mut().for_each(widen);
        self
    }
}

fn outwards(end: End, by: impl Fn(f64) -> f64) -> End {
    match end {
        End::Closed(value) => End::Closed(by(value)),
        End::Open(value) => End::Open(by(value)),
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_decimal_stays_a_decimal_and_anything_else_moves_outwards() {
        let tenth = Rational::parse("0.1").unwrap();
        assert_eq!((lower(0.3, tenth), higher(0.2, tenth)), (0.2, 0.3));
        let third = Rational::new(1, 3).unwrap();
        let exact = |value: f64| Rational::from_double(value).unwrap();
        assert!(exact(lower(1.0, third)) <= Rational::new(2, 3).unwrap());
        assert!(exact(higher(1.0, third)) >= Rational::new(4, 3).unwrap());
    }
}
