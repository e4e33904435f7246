//! Exact fractions for numbers as people write them.

use std::cmp::Ordering;
use std::fmt;

/// An exact fraction. The denominator is positive and the fraction is in lowest terms.
///
/// Holds every decimal of up to 30 digits and the results of unit changes on them. Operations that
/// would leave the range of 128-bit integers return `None` instead of rounding.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Rational {
    num: i128,
    den: i128,
}

fn gcd(mut a: u128, mut b: u128) -> u128 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}

impl Rational {
    /// Nothing.
    pub const ZERO: Rational = Rational { num: 0, den: 1 };
    /// One.
    pub const ONE: Rational = Rational { num: 1, den: 1 };

    /// A whole number.
    #[must_use]
    pub const fn whole(value: i64) -> Self {
        Self { num: value as i128, den: 1 }
    }

    /// `num / den`; `None` if the denominator is zero.
    #[must_use]
    pub fn new(num: i128, den: i128) -> Option<Self> {
        if den == 0 {
            return None;
        }
        let shared = i128::try_from(gcd(num.unsigned_abs(), den.unsigned_abs())).ok()?;
        let (num, den) = (num.checked_div(shared)?, den.checked_div(shared)?);
        Some(if den < 0 { Self { num: num.checked_neg()?, den: den.checked_neg()? } } else { Self { num, den } })
    }

    /// Reads a decimal: an optional sign (hyphen or minus), digits, an optional decimal point with
    /// digits, an optional exponent. Nothing else, no spaces, no decimal comma.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        let (negative, digits) = match text.strip_prefix(['-', '\u{2212}']) {
            Some(rest) => (true, rest),
            None => (false, text),
        };
        let (mantissa, exponent) = match digits.split_once(['e', 'E']) {
            Some((mantissa, exponent)) => (mantissa, exponent.parse::<i32>().ok()?),
            None => (digits, 0),
        };
        let (whole, fraction) = mantissa.split_once('.').unwrap_or((mantissa, ""));
        let all_digits = |part: &str| part.bytes().all(|b| b.is_ascii_digit());
        if whole.is_empty() || !all_digits(whole) || !all_digits(fraction) || mantissa.ends_with('.') {
            return None;
        }
        let fraction = fraction.trim_end_matches('0');
        let mut num: i128 = 0;
        for digit in whole.bytes().chain(fraction.bytes()) {
            num = num.checked_mul(10)?.checked_add(i128::from(digit - b'0'))?;
        }
        let scale = i32::try_from(fraction.len()).ok()?.checked_sub(exponent)?;
        let power = 10_i128.checked_pow(scale.unsigned_abs())?;
        let num = if negative { -num } else { num };
        if scale >= 0 { Self::new(num, power) } else { Self::new(num.checked_mul(power)?, 1) }
    }

    /// The decimal that a double was read from: the shortest one that reads back as the same double.
    #[must_use]
    pub fn from_double(value: f64) -> Option<Self> {
        value.is_finite().then(|| Self::parse(&format!("{value:e}")))?
    }

    /// Sum, or `None` out of range.
    #[must_use]
    pub fn plus(self, other: Self) -> Option<Self> {
        let left = self.num.checked_mul(other.den)?;
        let right = other.num.checked_mul(self.den)?;
        Self::new(left.checked_add(right)?, self.den.checked_mul(other.den)?)
    }

    /// Difference, or `None` out of range.
    #[must_use]
    pub fn minus(self, other: Self) -> Option<Self> {
        self.plus(Self { num: other.num.checked_neg()?, den: other.den })
    }

    /// Product, or `None` out of range.
    #[must_use]
    pub fn times(self, other: Self) -> Option<Self> {
        let a = Self::new(self.num, other.den)?;
        let b = Self::new(other.num, self.den)?;
        Self::new(a.num.checked_mul(b.num)?, a.den.checked_mul(b.den)?)
    }

    /// Quotient, or `None` for a zero divisor or out of range.
    #[must_use]
    pub fn over(self, other: Self) -> Option<Self> {
        self.times(Self::new(other.den, other.num)?)
    }

    /// Whether this is below zero.
    #[must_use]
    pub fn is_negative(self) -> bool {
        self.num < 0
    }

    /// Whether this is zero.
    #[must_use]
    pub fn is_zero(self) -> bool {
        self.num == 0
    }

    /// The nearest double (correct to one unit in the last place; exact for short decimals).
    #[must_use]
    pub fn to_f64(self) -> f64 {
        self.decimal().and_then(|text| text.parse().ok()).unwrap_or(self.num as f64 / self.den as f64)
    }

    /// The value as a terminating decimal, if it has one of at most 30 places.
    #[must_use]
    pub fn decimal(self) -> Option<String> {
        let mut places = 0_usize;
        let mut num = self.num;
        while num % self.den != 0 {
            if places == 30 {
                return None;
            }
            num = num.checked_mul(10)?;
            places += 1;
        }
        let digits = format!("{:0>width$}", (num / self.den).unsigned_abs(), width = places + 1);
        let (whole, fraction) = digits.split_at(digits.len() - places);
        let sign = if self.num < 0 { "-" } else { "" };
        Some(if places == 0 { format!("{sign}{whole}") } else { format!("{sign}{whole}.{fraction}") })
    }

    /// The whole number nearest to zero-rounded `self`, if `self` is whole.
    #[must_use]
    pub fn as_whole(self) -> Option<i64> {
        (self.den == 1).then(|| i64::try_from(self.num).ok())?
    }

    /// Rounded to the nearest whole number, halves away from zero.
    #[must_use]
    pub fn rounded(self) -> Option<i64> {
        let twice = self.num.checked_mul(2)?;
        let shifted = if self.num < 0 { twice.checked_sub(self.den)? } else { twice.checked_add(self.den)? };
        i64::try_from(shifted / self.den.checked_mul(2)?).ok()
    }
}

impl Ord for Rational {
    fn cmp(&self, other: &Self) -> Ordering {
        match (self.num.checked_mul(other.den), other.num.checked_mul(self.den)) {
            (Some(left), Some(right)) => left.cmp(&right),
            // Whole parts first, then what is left over the denominator: Euclid, never overflows.
            _ => compare_by_parts(*self, *other),
        }
    }
}

fn compare_by_parts(a: Rational, b: Rational) -> Ordering {
    let (qa, ra) = (a.num.div_euclid(a.den), a.num.rem_euclid(a.den));
    let (qb, rb) = (b.num.div_euclid(b.den), b.num.rem_euclid(b.den));
    match qa.cmp(&qb) {
        Ordering::Equal => match (ra, rb) {
            (0, 0) => Ordering::Equal,
            (0, _) => Ordering::Less,
            (_, 0) => Ordering::Greater,
            // ra/a.den against rb/b.den is b.den/rb against a.den/ra.
            _ => compare_by_parts(Rational { num: b.den, den: rb }, Rational { num: a.den, den: ra }),
        },
        different => different,
    }
}

impl PartialOrd for Rational {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl fmt::Display for Rational {
    /// The exact decimal where there is one, else rounded to six significant places.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.decimal() {
            Some(text) if text.len() <= 14 => f.write_str(&text),
            _ => {
                let value = self.num as f64 / self.den as f64;
                let places = (6 - value.abs().max(1.0).log10().ceil() as i64).clamp(0, 6) as usize;
                let text = format!("{value:.places$}");
                f.write_str(if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text })
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_and_prints_decimals() {
        for (text, shown) in [("71.10", "71.1"), ("-0.5", "-0.5"), ("\u{2212}18", "-18"), ("1.2e3", "1200")] {
            assert_eq!(Rational::parse(text).unwrap().to_string(), shown);
        }
        for text in ["", "1.", ".5", "1,5", "1 000", "--1", "1e", "abc", "+1"] {
            assert_eq!(Rational::parse(text), None, "{text}");
        }
    }

    #[test]
    fn compares_without_overflow() {
        let third = Rational::new(i128::MAX / 3, i128::MAX - 1).unwrap();
        let near = Rational::new(i128::MAX / 3 + 1, i128::MAX - 1).unwrap();
        assert!(third < near);
        assert!(Rational::new(-1, 3).unwrap() < Rational::new(1, 1_000_000_007).unwrap());
    }

    #[test]
    fn a_double_gives_back_its_decimal() {
        assert_eq!(Rational::from_double(71.1), Rational::parse("71.1"));
        assert_eq!(Rational::from_double(f64::NAN), None);
    }

    #[test]
    fn rounds_half_away_from_zero() {
        assert_eq!(Rational::parse("2.5").unwrap().rounded(), Some(3));
        assert_eq!(Rational::parse("-2.5").unwrap().rounded(), Some(-3));
        assert_eq!(Rational::parse("2.4").unwrap().rounded(), Some(2));
    }
}
