//! An exact threshold among doubles.

use super::rational::Rational;
use std::cmp::Ordering;

/// A threshold that recorded doubles can be compared with, exactly and fast.
///
/// A reading is the decimal in the file, held as the double nearest to it. Doubles keep the order of
/// decimals of up to 15 significant digits, so two of them compare as the decimals do unless both
/// round to one double; for that one double the answer is worked out beforehand with exact fractions.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cut {
    near: f64,
    at_near: Ordering,
    exact: Rational,
}

impl Cut {
    /// A threshold at an exact value, in the unit of the readings.
    #[must_use]
    pub fn new(exact: Rational) -> Self {
        let near = exact.to_f64();
        let at_near = Rational::from_double(near).map_or(Ordering::Equal, |decimal| decimal.cmp(&exact));
        Self { near, at_near, exact }
    }

    /// A threshold that no number equals, just above an exact value: the value itself is below it.
    #[must_use]
    pub fn just_above(exact: Rational) -> Self {
        Self::leaning(exact, Ordering::Less)
    }

    /// A threshold that no number equals, just below an exact value: the value itself is above it.
    #[must_use]
    pub fn just_below(exact: Rational) -> Self {
        Self::leaning(exact, Ordering::Greater)
    }

    fn leaning(exact: Rational, at_value: Ordering) -> Self {
        let plain = Self::new(exact);
        Self { at_near: plain.at_near.then(at_value), ..plain }
    }

    /// How the reading stands to the threshold: `Less` means below it.
    #[must_use]
    pub fn side(&self, reading: f64) -> Ordering {
        if reading < self.near {
            Ordering::Less
        } else if reading > self.near {
            Ordering::Greater
        } else {
            self.at_near
        }
    }

    /// The threshold as an exact number.
    #[must_use]
    pub fn exact(&self) -> Rational {
        self.exact
    }

    /// The double nearest to the threshold, for drawing and printing.
    #[must_use]
    pub fn near(&self) -> f64 {
        self.near
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_reading_equal_to_a_decimal_threshold_is_equal() {
        let cut = Cut::new(Rational::parse("71.1").unwrap());
        assert_eq!(cut.side(71.1), Ordering::Equal);
        assert_eq!(cut.side(71.09), Ordering::Less);
    }

    #[test]
    fn a_threshold_beside_a_value_is_never_equal_to_it() {
        let value = Rational::parse("6.5").unwrap();
        assert_eq!(Cut::just_above(value).side(6.5), Ordering::Less);
        assert_eq!(Cut::just_above(value).side(6.5_f64.next_up()), Ordering::Greater);
        assert_eq!(Cut::just_below(value).side(6.5), Ordering::Greater);
        assert_eq!(Cut::just_below(value).side(6.5_f64.next_down()), Ordering::Less);
    }

    #[test]
    fn a_threshold_with_no_end_is_never_equal() {
        // 160 °F is 71.111… °C: a logger that prints 71.1111111111111 is below it.
        let cut = Cut::new(Rational::new(640, 9).unwrap());
        assert_eq!(cut.side(71.111_111_111_111_1), Ordering::Less);
        assert_eq!(cut.side(71.111_111_111_111_2), Ordering::Greater);
        assert_eq!(cut.side(71.1), Ordering::Less);
    }
}
