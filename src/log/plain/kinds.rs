//! What kind of thing a cell seems to hold, by its look alone.

/// What a cell looks like.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Kind {
    /// Nothing, or blanks.
    Blank,
    /// A word that loggers write where there is no reading.
    Code,
    /// A number.
    Number(Look),
    /// A date.
    Date,
    /// A time of day.
    Clock,
    /// Date and time in one cell.
    Stamp,
    /// Anything else.
    Text,
}

/// How a number is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Look {
    /// The decimal mark; none for a whole number.
    pub mark: Option<char>,
    /// Digits after the mark.
    pub places: usize,
    /// Whether a nought stands before other digits.
    pub nought: bool,
}

/// Kinds that a column can have: what its cells have in common.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Family {
    /// Numbers.
    Number,
    /// Dates.
    Date,
    /// Times of day.
    Clock,
    /// Dates with times.
    Stamp,
}

impl Kind {
    /// The family, for what has one.
    #[must_use]
    pub fn family(self) -> Option<Family> {
        match self {
            Kind::Number(_) => Some(Family::Number),
            Kind::Date => Some(Family::Date),
            Kind::Clock => Some(Family::Clock),
            Kind::Stamp => Some(Family::Stamp),
            Kind::Blank | Kind::Code | Kind::Text => None,
        }
    }
}

impl Family {
    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Family::Number => "numbers",
            Family::Date => "dates",
            Family::Clock => "times of day",
            Family::Stamp => "dates with times",
        }
    }
}

/// Words that loggers and spreadsheets write where there is no reading; common practice, no source.
const CODES: [&str; 28] = [
    "nan",
    "na",
    "n/a",
    "#n/a",
    "null",
    "none",
    "nil",
    "-",
    "--",
    "---",
    "----",
    "*",
    "***",
    "ol",
    "o.l",
    "err",
    "error",
    "fault",
    "open",
    "short",
    "inf",
    "-inf",
    "overrange",
    "underrange",
    "#div/0!",
    "#value!",
    "#ref!",
    "nd",
];

const MONTHS: [&str; 12] = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];

/// The kind of one cell.
#[must_use]
pub fn kind(cell: &str) -> Kind {
    let cell = cell.trim_matches(|c: char| c.is_whitespace() || c == '\u{a0}');
    if cell.is_empty() {
        return Kind::Blank;
    }
    let digit = cell.bytes().any(|byte| byte.is_ascii_digit());
    if cell.len() <= 10 && !digit && CODES.iter().any(|code| code.eq_ignore_ascii_case(cell)) {
        return Kind::Code;
    }
    if cell.len() > 40 || !digit {
        return Kind::Text;
    }
    if let Some(look) = number(cell) {
        return Kind::Number(look);
    }
    if is_date(cell) {
        return Kind::Date;
    }
    if is_clock(cell) {
        return Kind::Clock;
    }
    let parted = cell.char_indices().any(|(at, c)| {
        matches!(c, ' ' | 'T' | ',' | ':')
            && cell.get(..at).is_some_and(|date| is_date(date.trim_end_matches(',')))
            && cell.get(at + 1..).is_some_and(|rest| is_clock(rest.trim()))
    });
    if parted { Kind::Stamp } else { Kind::Text }
}

/// How a number is written, if it is one.
#[must_use]
pub fn number(cell: &str) -> Option<Look> {
    let rest = cell.strip_prefix(['-', '+', '\u{2212}']).unwrap_or(cell);
    let (mantissa, exponent) = match rest.find(['e', 'E']) {
        Some(at) => (rest.get(..at)?, rest.get(at + 1..)),
        None => (rest, None),
    };
    if let Some(exponent) = exponent {
        let bare = exponent.strip_prefix(['+', '-']).unwrap_or(exponent);
        if bare.is_empty() || bare.len() > 3 || !bare.bytes().all(|byte| byte.is_ascii_digit()) {
            return None;
        }
    }
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    let marks: Vec<(usize, char)> = mantissa.char_indices().filter(|(_, c)| !c.is_ascii_digit()).collect();
    let nought =
        mantissa.len() > 1 && mantissa.starts_with('0') && mantissa.as_bytes().get(1).is_some_and(u8::is_ascii_digit);
    match marks.as_slice() {
        [] if digits(mantissa) => Some(Look { mark: None, places: 0, nought }),
        &[(at, mark @ ('.' | ','))] => {
            let (whole, part) = (mantissa.get(..at)?, mantissa.get(at + 1..)?);
            let sound = (whole.is_empty() || digits(whole)) && digits(part);
            sound.then_some(Look { mark: Some(mark), places: part.len(), nought })
        }
        // Groups of three, and then at most one other mark.
        [(_, first), ..] if matches!(first, '.' | ',' | '\'' | ' ' | '\u{a0}' | '\u{202f}') => {
            let mut groups = mantissa.split(*first);
            let head = groups.next()?;
            let others: Vec<&str> = groups.collect();
            let (last, middle) = others.split_last()?;
            let other = if *first == '.' { ',' } else { '.' };
            let other = if last.contains(',') && *first != ',' { ',' } else { other };
            let (tail, part) = last.split_once(other).map_or((*last, None), |(tail, part)| (tail, Some(part)));
            let three = |group: &&str| group.len() == 3 && digits(group);
            let sound =
                digits(head) && head.len() <= 3 && middle.iter().all(three) && three(&tail) && part.is_none_or(digits);
            sound.then(|| Look { mark: part.map(|_| other), places: part.map_or(0, str::len), nought })
        }
        _ => None,
    }
}

/// Whether this reads as a date: three parts with one sign between them, or a month by name.
#[must_use]
pub fn is_date(text: &str) -> bool {
    let Some(sign) = text.chars().find(|c| !c.is_ascii_alphanumeric()) else { return false };
    if !matches!(sign, '-' | '/' | '.' | ' ') {
        return false;
    }
    let parts: Vec<&str> = text.split(sign).collect();
    let &[a, b, c] = parts.as_slice() else { return false };
    let number = |part: &str, most: usize, to: u32| {
        !part.is_empty()
            && part.len() <= most
            && part.bytes().all(|byte| byte.is_ascii_digit())
            && part.parse::<u32>().is_ok_and(|value| (1..=to).contains(&value))
    };
    let year = |part: &str| matches!(part.len(), 2 | 4) && part.bytes().all(|byte| byte.is_ascii_digit());
    let named = |part: &str| {
        let low = part.to_ascii_lowercase();
        low.len() >= 3
            && MONTHS.iter().any(|month| low.starts_with(month))
            && low.bytes().all(|b| b.is_ascii_lowercase())
    };
    let named_date = named(b) && ((number(a, 2, 31) && year(c)) || (a.len() == 4 && year(a) && number(c, 2, 31)));
    let first_named = named(a) && number(b.trim_end_matches(','), 2, 31) && year(c);
    if sign == ' ' {
        return named_date || first_named;
    }
    let month_and_day =
        |x: &str, y: &str| number(x, 2, 31) && number(y, 2, 31) && (number(x, 2, 12) || number(y, 2, 12));
    named_date || (a.len() == 4 && year(a) && month_and_day(b, c)) || (month_and_day(a, b) && year(c))
}

/// Whether this reads as a time of day, with or without AM or PM and a distance from UTC.
#[must_use]
pub fn is_clock(text: &str) -> bool {
    let low = text.trim().to_ascii_lowercase();
    let half = low.strip_suffix("am").or_else(|| low.strip_suffix("pm"));
    let rest = half.map_or(low.as_str(), str::trim_end);
    let rest = rest.strip_suffix('z').unwrap_or(rest);
    // A distance from UTC such as +01:00.
    let rest = match rest.rfind(['+', '-']) {
        Some(at) if at >= 4 => {
            let zone = rest.get(at + 1..).unwrap_or_default();
            if zone.len() < 4 || !zone.bytes().all(|byte| byte.is_ascii_digit() || byte == b':') {
                return false;
            }
            rest.get(..at).unwrap_or_default().trim_end()
        }
        _ => rest,
    };
    let sign = if rest.contains(':') { ':' } else { '.' };
    let parts: Vec<&str> = rest.split(sign).collect();
    let part = |text: &str, to: u32, least: usize| {
        text.len() >= least
            && text.len() <= 2
            && text.bytes().all(|byte| byte.is_ascii_digit())
            && text.parse::<u32>().is_ok_and(|value| value <= to)
    };
    match parts.as_slice() {
        [hour, minute] => sign == ':' && part(hour, 24, 1) && part(minute, 59, 2),
        [hour, minute, second] => {
            let (whole, fraction) =
                second.split_once(['.', ',']).map_or((*second, None), |(whole, rest)| (whole, Some(rest)));
            part(hour, 24, 1)
                && part(minute, 59, 2)
                && part(whole, 60, 2)
                && fraction.is_none_or(|digits| !digits.is_empty() && digits.bytes().all(|byte| byte.is_ascii_digit()))
        }
        _ => false,
    }
}

/// The outline of a text: runs of digits as 9, runs of letters as A, all else as it stands.
#[must_use]
pub fn shape(text: &str) -> String {
    let mut out = String::new();
    for c in text.trim().chars() {
        let sign = if c.is_ascii_digit() {
            '9'
        } else if c.is_alphabetic() {
            'A'
        } else {
            c
        };
        if !(matches!(sign, '9' | 'A') && out.ends_with(sign)) {
            out.push(sign);
        }
        if out.len() > 32 {
            break;
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn kinds_by_their_look() {
        let kinds = |cells: &[&str]| cells.iter().map(|cell| kind(cell).family()).collect::<Vec<_>>();
        assert!(
            kinds(&["1", "-2.50", "74,5", "1.234,5", "1,234.5", "12 345", "1.2E+03", ".5"])
                .iter()
                .all(|family| *family == Some(Family::Number))
        );
        assert!(
            kinds(&["2026-09-14", "14/9/26", "3 Oct 2026", "14.09.2026", "Oct 3, 2026"])
                .iter()
                .all(|family| *family == Some(Family::Date))
        );
        assert!(
            kinds(&["10:00", "18.00.00", "1:02:03 PM", "10:00:00.123", "01:30:00+01:00"])
                .iter()
                .all(|family| *family == Some(Family::Clock))
        );
        assert!(
            kinds(&["2026-09-14 10:00", "2026-09-14T10:00:00Z", "01/13/17 01:00:00 AM", "2026-10-25T01:30:00+01:00"])
                .iter()
                .all(|family| *family == Some(Family::Stamp))
        );
        for text in ["", "OL", "abc", "1-2", "12a", "31.470.5", "5;2", "2026-13-40", "25:00", "W12-4", "1,2,3"] {
            assert_eq!(kind(text).family(), None, "{text}");
        }
    }
}
