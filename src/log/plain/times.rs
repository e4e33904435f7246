//! Which columns of a table make up its time, and how they are written.

use super::columns::Column;
use super::kinds::{Family, is_clock, is_date};
use super::split::{Row, Rows};
use crate::log::clock::Format;

/// The time of a table.
#[derive(Debug, Clone)]
pub struct Time {
    /// Its columns, in order.
    pub columns: Vec<usize>,
    /// Every way of writing that all cells allow; more than one where nothing proves the order of day and month.
    pub formats: Vec<String>,
    /// Cells that the first of them cannot read, blank ones left out.
    pub unread: u64,
    /// For each row of the table, nanoseconds on the clock of the file, if its time can be read.
    pub at: Vec<Option<i64>>,
}

/// Finds the time, if the table has one.
pub fn find(rows: &Rows, of: &[&Row], columns: &[Column]) -> Option<Time> {
    let family = |wanted| columns.iter().position(|column| column.family == Some(wanted));
    let chosen = match (family(Family::Stamp), family(Family::Date), family(Family::Clock)) {
        (Some(stamp), _, _) => vec![stamp],
        (None, Some(date), Some(clock)) => vec![date, clock],
        (None, Some(date), None) => vec![date],
        _ => return None,
    };
    let text = |row: &Row| {
        let cells: Vec<&str> = chosen.iter().map(|&at| rows.cell(row, at).trim()).collect();
        cells.join(" ").trim().to_owned()
    };
    let mut best: Option<(u64, Vec<String>)> = None;
    let mut tried: Vec<String> = Vec::new();
    // A few rows tell how it may be written; all rows tell how it is.
    for row in of.iter().take(50) {
        for format in formats(&text(row)) {
            if !tried.contains(&format) {
                tried.push(format);
            }
        }
    }
    for text_of_format in &tried {
        let Ok(format) = Format::new(text_of_format) else { continue };
        let unread = of
            .iter()
            .filter(|row| {
                let cell = text(row);
                !cell.is_empty() && format.read(cell.as_bytes()).is_none()
            })
            .count() as u64;
        match &mut best {
            Some((least, list)) if unread == *least => list.push(text_of_format.clone()),
            Some((least, _)) if unread > *least => {}
            _ => best = Some((unread, vec![text_of_format.clone()])),
        }
    }
    let (unread, mut formats) = best?;
    if unread * 2 > of.len() as u64 {
        return None;
    }
    // Of two that read everything, first the one by which the rows step back less often.
    let read = |format: &str| -> Vec<Option<i64>> {
        let Ok(format) = Format::new(format) else { return Vec::new() };
        of.iter().map(|row| format.read(text(row).as_bytes()).map(|wall| wall.local)).collect()
    };
    let back = |at: &[Option<i64>]| {
        let known: Vec<i64> = at.iter().flatten().copied().collect();
        known.windows(2).filter(|pair| matches!(pair, [a, b] if b < a)).count()
    };
    formats.sort_by_key(|format| back(&read(format)));
    let at = formats.first().map(|format| read(format)).unwrap_or_default();
    Some(Time { columns: chosen, formats, unread, at })
}

/// The ways in which a text could be a time.
fn formats(text: &str) -> Vec<String> {
    let parted = text.char_indices().find(|&(at, c)| {
        matches!(c, ' ' | 'T' | ',')
            && text.get(..at).is_some_and(is_date)
            && text.get(at + 1..).is_some_and(|rest| is_clock(rest.trim()))
    });
    let (date, between, clock) = match parted {
        Some((at, c)) => {
            let rest = text.get(at + 1..).unwrap_or_default();
            let blanks: String = rest.chars().take_while(|c| *c == ' ').collect();
            (text.get(..at).unwrap_or_default(), format!("{c}{blanks}"), rest.trim_start())
        }
        None => (text, String::new(), ""),
    };
    let clock = if clock.is_empty() { Some(String::new()) } else { clock_format(clock) };
    let Some(clock) = clock else { return Vec::new() };
    date_formats(date).into_iter().map(|date| format!("{date}{between}{clock}")).collect()
}

fn date_formats(text: &str) -> Vec<String> {
    let Some(sign) = text.chars().find(|c| !c.is_ascii_alphanumeric()) else { return Vec::new() };
    let parts: Vec<&str> = text.split(sign).collect();
    let &[a, b, c] = parts.as_slice() else { return Vec::new() };
    let year = |part: &str| if part.len() == 4 { "%Y" } else { "%y" };
    let named = |part: &str| part.contains(|c: char| c.is_ascii_alphabetic());
    let join = |parts: [&str; 3]| parts.join(&sign.to_string());
    if named(b) {
        return vec![if a.len() == 4 { join(["%Y", "%b", "%d"]) } else { join(["%d", "%b", year(c)]) }];
    }
    if named(a) {
        let comma = if b.ends_with(',') { "%d," } else { "%d" };
        return vec![join(["%b", comma, year(c)])];
    }
    if a.len() == 4 {
        return vec![join(["%Y", "%m", "%d"])];
    }
    vec![join(["%d", "%m", year(c)]), join(["%m", "%d", year(c)])]
}

fn clock_format(text: &str) -> Option<String> {
    let low = text.to_ascii_lowercase();
    let half = low.ends_with("am") || low.ends_with("pm");
    let bare = if half { text.get(..text.len() - 2)? } else { text };
    let blank = if half && bare.ends_with(' ') { " " } else { "" };
    let bare = bare.trim_end();
    let (bare, offset) = match (bare.strip_suffix(['Z', 'z']), bare.rfind(['+', '-'])) {
        (Some(rest), _) => (rest, "%:z"),
        (None, Some(at)) => (bare.get(..at)?.trim_end(), "%:z"),
        (None, None) => (bare, ""),
    };
    let sign = if bare.contains(':') { ':' } else { '.' };
    let parts: Vec<&str> = bare.split(sign).collect();
    let hour = if half { "%I" } else { "%H" };
    let fraction = if sign == ':' && parts.last().is_some_and(|part| part.contains('.')) { "%.f" } else { "" };
    let clock = match parts.len() {
        2 => format!("{hour}{sign}%M"),
        3 => format!("{hour}{sign}%M{sign}%S{fraction}"),
        _ => return None,
    };
    let tail = if half { format!("{blank}%p") } else { String::new() };
    Some(format!("{clock}{tail}{offset}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn formats_that_a_text_allows() {
        for (text, expected) in [
            ("01/13/17 01:00:00 AM", &["%d/%m/%y %I:%M:%S %p", "%m/%d/%y %I:%M:%S %p"][..]),
            ("2026-09-14T10:00:00Z", &["%Y-%m-%dT%H:%M:%S%:z"]),
            ("14.09.2026 18.00.00", &["%d.%m.%Y %H.%M.%S", "%m.%d.%Y %H.%M.%S"]),
            ("3 Oct 2026 07:05", &["%d %b %Y %H:%M"]),
            ("2026-09-14", &["%Y-%m-%d"]),
        ] {
            assert_eq!(formats(text), expected, "{text}");
        }
    }
}
