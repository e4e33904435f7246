//! Reading what stands on the command line: a number and its unit, as in a plan.

use super::{OUT_OF_RANGE, UNREADABLE_QUANTITY, WRONG_UNIT};
use crate::finding::{Finding, nearest};
use crate::quantity::{Dimension, Quantity, Rational, UNITS, Unit, UnitDef};
use crate::science::OutOfRange;
use crate::science::curing::Share;
use crate::source::Place;

/// A quantity that has the wanted dimension, with the option it came from.
#[derive(Debug, Clone)]
pub(super) struct Given {
    quantity: Quantity,
    /// As it is shown: an ordinary space before the unit.
    pub(super) text: String,
}

/// A place on the command line: the option.
pub(super) fn place(option: &str) -> Place {
    Place::Named(format!("--{option}"))
}

/// Reads `text`, given for `option`, as a quantity of this dimension.
///
/// # Errors
/// A finding if it is no number with a unit, or the unit measures something else.
pub(super) fn quantity(option: &str, text: &str, wanted: Dimension) -> Result<Given, Finding> {
    let trimmed = text.trim();
    let number_ends = trimmed
        .char_indices()
        .find(|(at, c)| !(c.is_ascii_digit() || matches!(c, '.' | ',') || (*at == 0 && matches!(c, '-' | '\u{2212}'))))
        .map_or(trimmed.len(), |(at, _)| at);
    let (number, rest) = trimmed.split_at_checked(number_ends).unwrap_or((trimmed, ""));
    let example = example(wanted);
    let unreadable = |message: String| Finding::new(&UNREADABLE_QUANTITY, place(option), message);
    if number.contains(',') {
        return Err(unreadable(format!("`{text}` has a comma in its number"))
            .help(format!("write a decimal point and no separator of thousands, as in `{example}`")));
    }
    let Some(value) = Rational::parse(number) else {
        return Err(
            unreadable(format!("`{text}` is no number with a unit")).help(format!("write it as in `{example}`"))
        );
    };
    let unit = rest.trim_matches(|c: char| c.is_whitespace() || c == '\u{a0}' || c == '\u{202f}');
    let unit = find(option, text, unit, wanted)?;
    let quantity = Quantity::new(value, unit);
    let text = quantity.to_string().replace('\u{a0}', " ");
    Ok(Given { quantity, text })
}

fn find(option: &str, text: &str, unit: &str, wanted: Dimension) -> Result<Unit, Finding> {
    let of_wanted: Vec<&str> = UNITS.iter().filter(|unit| unit.dimension == wanted).map(|unit| unit.symbol).collect();
    let known = of_wanted.join(", ");
    if unit.is_empty() {
        if let (true, Some(unit)) = (wanted.bare(), of_wanted.first().and_then(|symbol| UnitDef::find(symbol))) {
            return Ok(unit);
        }
        let mut finding = Finding::new(&UNREADABLE_QUANTITY, place(option), format!("`{text}` has no unit"))
            .help(format!("{} is written in {known}, as in `{}`", wanted.word(), example(wanted)));
        if wanted == Dimension::Share {
            finding = finding.help(format!(
                "write per cent, as in `{}`: a bare number could be a fraction or per cent",
                example(wanted)
            ));
        }
        return Err(finding);
    }
    let Some(found) = UnitDef::find(unit) else {
        let near = nearest(
            unit,
            UNITS
                .iter()
                .filter(|unit| unit.dimension == wanted)
                .flat_map(|unit| std::iter::once(unit.symbol).chain(unit.also.iter().copied())),
        );
        let help = near.map_or_else(
            || format!("{} is written in {known}", wanted.word()),
            |near| format!("did you mean `{near}`?"),
        );
        return Err(Finding::new(&UNREADABLE_QUANTITY, place(option), format!("`{unit}` is no unit")).help(help));
    };
    if found.dimension != wanted {
        let message = format!("`{text}` is {} where {} must stand", found.dimension.word(), wanted.word());
        return Err(
            Finding::new(&WRONG_UNIT, place(option), message).help(format!("{} is written in {known}", wanted.word()))
        );
    }
    Ok(found)
}

/// One well-written quantity of the dimension.
fn example(wanted: Dimension) -> &'static str {
    match wanted {
        Dimension::Temperature => "65 °C",
        Dimension::Time => "18 s",
        Dimension::Length => "900 m",
        Dimension::Mass => "32 g",
        Dimension::Share => "10 %",
        Dimension::Concentration => "120 mg/kg",
        Dimension::Decades => "6.5 log10",
        Dimension::Pressure => "95 kPa",
        _ => "1.5",
    }
}

/// `LOW to HIGH` as two quantities of this dimension.
///
/// # Errors
/// A finding if there is no `to`, or as [`quantity`] for either side.
pub(super) fn range(option: &str, text: &str, wanted: Dimension) -> Result<(Given, Given), Finding> {
    let Some((low, high)) = text.split_once(" to ") else {
        let message = format!("`{text}` is no range");
        return Err(Finding::new(&UNREADABLE_QUANTITY, place(option), message)
            .help("write both ends with their units, as in `55 °C to 75 °C`"));
    };
    Ok((quantity(option, low, wanted)?, quantity(option, high, wanted)?))
}

/// A share, which must be written in per cent.
///
/// # Errors
/// As [`quantity`], and below 0 or above 100 %.
pub(super) fn share(option: &str, text: &str) -> Result<(Share, String), Finding> {
    let given = quantity(option, text, Dimension::Share)?;
    let percent = given.quantity.value.to_f64();
    let share = Share::from_percent(percent).map_err(|_| {
        Finding::new(&OUT_OF_RANGE, place(option), format!("`{}` is no share of a whole", given.text))
            .help("a share lies between 0 % and 100 %")
    })?;
    Ok((share, given.text))
}

impl Given {
    /// In the base unit, exactly.
    pub(super) fn exact(&self) -> Option<Rational> {
        self.quantity.base()
    }

    /// A difference in the base unit, exactly.
    pub(super) fn exact_difference(&self) -> Option<Rational> {
        self.quantity.base_difference()
    }

    /// In the base unit: °C, s, m, kg, Pa, log10.
    pub(super) fn base(&self) -> f64 {
        self.quantity.base().map_or(f64::NAN, Rational::to_f64)
    }

    /// A difference in the base unit.
    pub(super) fn difference(&self) -> f64 {
        self.quantity.base_difference().map_or(f64::NAN, Rational::to_f64)
    }

    /// As shown, with °C behind it if it was written in another unit of temperature.
    pub(super) fn with_celsius(&self) -> String {
        if self.quantity.unit.symbol == "°C" {
            self.text.clone()
        } else {
            format!("{} = {} °C", self.text, super::sheet::sig(self.base(), 5))
        }
    }

    /// The unit it was written in.
    pub(super) fn unit(&self) -> Unit {
        self.quantity.unit
    }
}

/// A refusal of a formula as a finding.
pub(super) fn refused(sum: &str, why: &OutOfRange) -> Finding {
    Finding::new(&OUT_OF_RANGE, Place::Named(format!("calc {sum}")), why.to_string())
        .help("nothing is computed beyond the range in which a formula is stated")
}
