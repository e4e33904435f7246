//! Numbers in cells: read strictly by the declared marks, or not at all.

/// How a file writes numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Marks {
    /// The decimal mark, `.` or `,`.
    pub decimal: u8,
    /// The mark between groups of three digits, if there is one.
    pub thousands: Option<char>,
}

/// Why a cell is no number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum NotNumber {
    /// It has the look of a number, with marks other than the declared ones.
    Mark,
    /// It is something else.
    Text,
}

/// Powers of ten that a double holds exactly, up to the longest mantissa taken on the quick way.
const TENS: [f64; 16] = [1.0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15];

/// A number as its digits and how many of them stand after the mark; never minus nought.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Decimal {
    /// The digits without the mark, with the sign.
    pub digits: i64,
    /// How many stand after the mark.
    pub places: u8,
}

impl Decimal {
    /// The nearest double. Digits and power of ten are exact doubles, so one division rounds correctly.
    #[inline]
    pub fn value(self) -> f64 {
        self.digits as f64 / self.power()
    }

    /// The decimal of few places that a double stands for, if it comes back from it to the bit.
    pub fn of(value: f64) -> Option<Decimal> {
        (0..=4).find_map(|places| {
            let digits = (value * Decimal { digits: 0, places }.power()).round();
            let found = Decimal { digits: digits as i64, places };
            (digits.abs() < 1e15 && found.value().to_bits() == value.to_bits()).then_some(found)
        })
    }

    /// Ten to the power of its places.
    pub fn power(self) -> f64 {
        TENS.get(usize::from(self.places)).copied().unwrap_or(f64::NAN)
    }
}

/// Reads a number as the interval of doubles that surely holds it.
///
/// Up to 15 significant digits both ends are the double nearest to the decimal. With more digits two
/// decimals may share a double, so the interval reaches one double further on either side.
pub(crate) fn parse(cell: &[u8], marks: Marks) -> Result<(f64, f64), NotNumber> {
    match quick(cell, marks.decimal) {
        Some(value) => Ok((value, value)),
        None => slow(cell, marks),
    }
}

/// Reads a number as the decimal it is, in digits with a point.
pub(crate) fn exact(cell: &[u8], marks: Marks) -> Result<String, NotNumber> {
    slow(cell, marks)?;
    std::str::from_utf8(cell).ok().and_then(|text| plain_decimal(text, marks)).ok_or(NotNumber::Text)
}

/// The common case: sign, digits, mark, digits, at most 15 digits in all. The mantissa and the power of ten
/// are then exact doubles, so one division rounds correctly.
fn quick(cell: &[u8], decimal: u8) -> Option<f64> {
    if let Some(found) = plain(cell, decimal) {
        return Some(found.value());
    }
    let nought = cell.strip_prefix(b"-").and_then(|rest| plain(rest, decimal)).filter(|found| found.digits == 0);
    nought.map(|_| -0.0)
}

/// The common case as digits and places; `None` for minus nought too.
#[inline]
pub(crate) fn plain(cell: &[u8], decimal: u8) -> Option<Decimal> {
    let (negative, digits) = match cell.split_first() {
        Some((b'-', rest)) => (true, rest),
        _ => (false, cell),
    };
    if digits.len() > 16 {
        return None;
    }
    let mut mantissa = 0_i64;
    let mut count = 0_usize;
    let mut mark = None;
    for &byte in digits {
        let digit = byte.wrapping_sub(b'0');
        if digit < 10 {
            mantissa = mantissa * 10 + i64::from(digit);
            count += 1;
        } else if byte == decimal && mark.is_none() {
            mark = Some(count);
        } else {
            return None;
        }
    }
    let places = mark.map_or(0, |before| count - before);
    if count == 0 || count > 15 || (mark.is_some() && places == 0) || (negative && mantissa == 0) {
        return None;
    }
    Some(Decimal { digits: if negative { -mantissa } else { mantissa }, places: u8::try_from(places).ok()? })
}

fn slow(cell: &[u8], marks: Marks) -> Result<(f64, f64), NotNumber> {
    let text = std::str::from_utf8(cell).map_err(|_| NotNumber::Text)?;
    plain_decimal(text, marks).and_then(|plain| enclose(&plain)).ok_or_else(|| {
        let numeric = |c: char| {
            c.is_ascii_digit() || matches!(c, '.' | ',' | '\'' | '-' | '+' | '\u{2212}' | ' ' | '\u{a0}' | '\u{202f}')
        };
        let marked = text.contains(['.', ',', '\'', ' ', '\u{a0}', '\u{202f}']);
        if marked && text.chars().all(numeric) && text.contains(|c: char| c.is_ascii_digit()) {
            NotNumber::Mark
        } else {
            NotNumber::Text
        }
    })
}

/// The same number as digits, point and exponent, if it is written by the declared marks.
fn plain_decimal(text: &str, marks: Marks) -> Option<String> {
    let (sign, rest) = match text.strip_prefix(['-', '\u{2212}']) {
        Some(rest) => ("-", rest),
        None => ("", text.strip_prefix('+').unwrap_or(text)),
    };
    let (mantissa, exponent) = match rest.split_once(['e', 'E']) {
        Some((mantissa, exponent)) => (mantissa, Some(exponent)),
        None => (rest, None),
    };
    let digits = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
    let (whole, fraction) = match mantissa.split_once(char::from(marks.decimal)) {
        Some((whole, fraction)) => (whole, Some(fraction)),
        None => (mantissa, None),
    };
    if fraction.is_some_and(|part| !digits(part)) || (whole.is_empty() && fraction.is_none()) {
        return None;
    }
    let whole = match marks.thousands {
        Some(mark) if whole.contains(|c| same_mark(c, mark)) => {
            let groups: Vec<&str> = whole.split(|c| same_mark(c, mark)).collect();
            let (first, others) = groups.split_first()?;
            if !digits(first) || first.len() > 3 || !others.iter().all(|group| digits(group) && group.len() == 3) {
                return None;
            }
            groups.concat()
        }
        _ => whole.to_owned(),
    };
    if !whole.is_empty() && !digits(&whole) {
        return None;
    }
    let exponent = match exponent {
        None => String::new(),
        Some(exponent) => {
            let bare = exponent.strip_prefix(['+', '-']).unwrap_or(exponent);
            if !digits(bare) || bare.len() > 3 {
                return None;
            }
            format!("e{exponent}")
        }
    };
    Some(format!("{sign}{}{whole}.{}{exponent}", if whole.is_empty() { "0" } else { "" }, fraction.unwrap_or("0")))
}

/// Files mix the plain space with the spaces that do not break.
fn same_mark(c: char, mark: char) -> bool {
    c == mark || (mark == ' ' && matches!(c, '\u{a0}' | '\u{202f}'))
}

fn enclose(plain: &str) -> Option<(f64, f64)> {
    let value: f64 = plain.parse().ok()?;
    let mantissa: String = plain.split('e').next()?.chars().filter(char::is_ascii_digit).collect();
    let digits = mantissa.trim_start_matches('0').trim_end_matches('0').len();
    if !value.is_finite() || (digits > 0 && !value.is_normal()) {
        return None;
    }
    Some(if digits > 15 { (value.next_down(), value.next_up()) } else { (value, value) })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use proptest::prelude::*;

    const POINT: Marks = Marks { decimal: b'.', thousands: None };
    const COMMA: Marks = Marks { decimal: b',', thousands: None };

    fn one(text: &str, marks: Marks) -> Result<f64, NotNumber> {
        parse(text.as_bytes(), marks).map(|(lo, hi)| {
            assert_eq!(lo, hi, "{text}");
            lo
        })
    }

    #[test]
    fn reads_by_the_declared_mark_only() {
        assert_eq!(one("74,5", COMMA), Ok(74.5));
        assert_eq!(one("74.5", POINT), Ok(74.5));
        assert_eq!(one("74,5", POINT), Err(NotNumber::Mark));
        assert_eq!(one("74.5", COMMA), Err(NotNumber::Mark));
        assert_eq!(one("1,234.5", POINT), Err(NotNumber::Mark));
        assert_eq!(one("-0.5", POINT), Ok(-0.5));
        assert_eq!(one("\u{2212}18", POINT), Ok(-18.0));
        assert_eq!(one("+.5", POINT), Ok(0.5));
        assert_eq!(one("1.2E+03", POINT), Ok(1200.0));
        for text in ["", "-", "5.", "NaN", "inf", "1e999", "1e-999", "12 a", "OL", "0x10", "1_000", "--1", "4 °C", "e5"]
        {
            assert!(one(text, POINT).is_err(), "{text}");
        }
    }

    #[test]
    fn thousands_only_where_declared_and_only_in_threes() {
        let grouped = Marks { decimal: b',', thousands: Some('.') };
        assert_eq!(one("1.234,5", grouped), Ok(1234.5));
        assert_eq!(one("1234,5", grouped), Ok(1234.5));
        assert_eq!(one("1.23,5", grouped), Err(NotNumber::Mark));
        let spaced = Marks { decimal: b',', thousands: Some(' ') };
        assert_eq!(one("12\u{202f}345,6", spaced), Ok(12345.6));
        assert_eq!(one("1 2", spaced), Err(NotNumber::Mark));
    }

    #[test]
    fn more_than_fifteen_digits_widen_the_reading() {
        let (lo, hi) = parse(b"71.1111111111111111", POINT).unwrap();
        assert!(lo < hi && lo < 71.111_111_111_111_11 && hi > 71.111_111_111_111_11);
        assert_eq!(one("71.100000000000000000", POINT), Ok(71.1));
    }

    proptest! {
        /// The quick way agrees with the standard library, which rounds correctly.
        #[test]
        fn the_quick_way_is_exact(whole in 0_u64..10_000_000, fraction in "[0-9]{1,8}", negative: bool) {
            let text = format!("{}{whole}.{fraction}", if negative { "-" } else { "" });
            prop_assert_eq!(one(&text, POINT), Ok(text.parse::<f64>().unwrap()));
        }

        /// No bytes make it panic.
        #[test]
        fn any_bytes(bytes in proptest::collection::vec(any::<u8>(), 0..24)) {
            let _ = parse(&bytes, COMMA);
        }
    }
}
