//! The sheet that a small sum prints: what went in, the formula, what comes out, where it is from, and what to mind.

use serde_json::{Map, Value, json};

/// A number with its unit, ready to be read.
#[derive(Debug, Clone)]
struct Entry {
    name: String,
    key: &'static str,
    text: String,
    value: Value,
    unit: &'static str,
}

/// One sum, worked.
#[derive(Debug)]
pub(super) struct Sheet {
    sum: &'static str,
    title: &'static str,
    inputs: Vec<Entry>,
    formula: Vec<String>,
    results: Vec<Entry>,
    columns: Vec<&'static str>,
    rows: Vec<(Vec<String>, Value)>,
    sources: Vec<String>,
    cautions: Vec<&'static str>,
}

impl Sheet {
    /// An empty sheet for the sum of this name.
    pub(super) fn new(sum: &'static str, title: &'static str) -> Self {
        Self {
            sum,
            title,
            inputs: Vec::new(),
            formula: Vec::new(),
            results: Vec::new(),
            columns: Vec::new(),
            rows: Vec::new(),
            sources: Vec::new(),
            cautions: Vec::new(),
        }
    }

    /// With an input: its words, its key, as it is shown, its number and the unit of that number.
    pub(super) fn input(
        mut self,
        name: &str,
        key: &'static str,
        text: impl Into<String>,
        value: f64,
        unit: &'static str,
    ) -> Self {
        self.inputs.push(Entry { name: name.to_owned(), key, text: text.into(), value: json!(value), unit });
        self
    }

    /// With an input in words.
    pub(super) fn word(mut self, name: &str, key: &'static str, text: impl Into<String>) -> Self {
        let text = text.into();
        self.inputs.push(Entry { name: name.to_owned(), key, value: json!(text), text, unit: "" });
        self
    }

    /// With a line of the working.
    pub(super) fn formula(mut self, line: impl Into<String>) -> Self {
        self.formula.push(line.into());
        self
    }

    /// With a result.
    pub(super) fn result(
        mut self,
        name: &str,
        key: &'static str,
        text: impl Into<String>,
        value: f64,
        unit: &'static str,
    ) -> Self {
        self.results.push(Entry { name: name.to_owned(), key, text: text.into(), value: json!(value), unit });
        self
    }

    /// With the heads of a table.
    pub(super) fn columns(mut self, columns: &[&'static str]) -> Self {
        self.columns = columns.to_vec();
        self
    }

    /// With a row of the table, as shown and for machines.
    pub(super) fn row(&mut self, cells: Vec<String>, value: Value) {
        self.rows.push((cells, value));
    }

    /// With where the formula is from.
    pub(super) fn source(mut self, text: impl Into<String>) -> Self {
        self.sources.push(text.into());
        self
    }

    /// With what to mind.
    pub(super) fn caution(mut self, text: &'static str) -> Self {
        self.cautions.push(text);
        self
    }

    /// As text for a person.
    pub(super) fn text(&self) -> String {
        let mut out = format!("{}\n\n", self.title);
        let wide = self.inputs.iter().chain(&self.results).map(|e| e.name.chars().count()).max().unwrap_or(0);
        let entry = |entry: &Entry| {
            let room = wide.saturating_sub(entry.name.chars().count()) + 2;
            format!("  {}{}{}\n", entry.name, " ".repeat(room), entry.text)
        };
        out.extend(self.inputs.iter().map(entry));
        out.push('\n');
        out.extend(self.formula.iter().map(|line| format!("  {line}\n")));
        out.push('\n');
        out.extend(self.results.iter().map(entry));
        if !self.rows.is_empty() {
            out.push_str(&self.table());
        }
        out.push('\n');
        for (head, lines) in [
            ("Source   ", self.sources.iter().map(String::as_str).collect::<Vec<_>>()),
            ("Caution  ", self.cautions.clone()),
        ] {
            for line in lines {
                out.push_str(head);
                out.push_str(&wrapped(line));
            }
        }
        out
    }

    fn table(&self) -> String {
        let heads: Vec<String> = self.columns.iter().map(|head| (*head).to_owned()).collect();
        let lines: Vec<&Vec<String>> =
            std::iter::once(&heads).chain(self.rows.iter().map(|(cells, _)| cells)).collect();
        let width = |column: usize| {
            lines.iter().filter_map(|cells| cells.get(column)).map(|cell| cell.chars().count()).max().unwrap_or(0)
        };
        let mut out = String::new();
        for cells in &lines {
            out.push(' ');
            for (column, cell) in cells.iter().enumerate() {
                out.push_str(&" ".repeat(width(column).saturating_sub(cell.chars().count()) + 1));
                out.push_str(cell);
                out.push(' ');
            }
            out.truncate(out.trim_end().len());
            out.push('\n');
        }
        out
    }

    /// As JSON for a machine. Numbers are unrounded, in the unit named beside them.
    pub(super) fn json(&self) -> String {
        let entries = |entries: &[Entry]| {
            let one = |entry: &Entry| {
                let value = if entry.unit.is_empty() && entry.value.is_string() {
                    entry.value.clone()
                } else {
                    json!({ "value": entry.value, "unit": entry.unit, "shown": entry.text })
                };
                (entry.key.to_owned(), value)
            };
            entries.iter().map(one).collect::<Map<_, _>>()
        };
        let mut out = json!({
            "bourn": env!("CARGO_PKG_VERSION"),
            "sum": self.sum,
            "inputs": entries(&self.inputs),
            "formula": self.formula,
            "results": entries(&self.results),
            "sources": self.sources,
            "cautions": self.cautions,
        });
        if let (false, Some(object)) = (self.rows.is_empty(), out.as_object_mut()) {
            object.insert("rows".to_owned(), self.rows.iter().map(|(_, value)| value.clone()).collect());
        }
        format!("{}\n", serde_json::to_string_pretty(&out).unwrap_or_default())
    }
}

/// A line broken at blanks to 100 columns, hung behind its nine-column head.
fn wrapped(line: &str) -> String {
    let mut out = String::new();
    let mut at = 9;
    for word in line.split(' ') {
        let wide = word.chars().count();
        if at > 9 && at + 1 + wide > 100 {
            out.push_str("\n         ");
            at = 9;
        } else if at > 9 {
            out.push(' ');
            at += 1;
        }
        out.push_str(word);
        at += wide;
    }
    out.push('\n');
    out
}

/// A number to so many significant digits, without an exponent and without trailing noughts after the point.
pub(super) fn sig(value: f64, digits: i32) -> String {
    if value == 0.0 || !value.is_finite() {
        return crate::quantity::plain(value, 0);
    }
    let places = (digits - 1 - value.abs().log10().floor() as i32).clamp(0, 12);
    crate::quantity::plain(value, usize::try_from(places).unwrap_or(0))
}

/// A needed time, rounded up: tenths of a second below a minute, whole seconds above, in hours and minutes too. A
/// thousand-millionth part is taken for rounding error.
pub(super) fn needed(seconds: f64) -> String {
    let up = |unit: f64| (seconds / unit * (1.0 - 1e-9)).ceil() * unit;
    if seconds < 60.0 {
        return format!("{} s", crate::quantity::plain(up(0.1), 1));
    }
    if seconds >= 1e9 {
        return format!("{} d", sig((seconds / 86400.0).ceil(), 17));
    }
    let whole = up(1.0);
    let (h, rest) = ((whole / 3600.0).floor(), whole % 3600.0);
    let (min, s) = ((rest / 60.0).floor(), rest % 60.0);
    let parts: Vec<String> = [(h, "h"), (min, "min"), (s, "s")]
        .iter()
        .filter(|(n, _)| *n > 0.0)
        .map(|(n, unit)| format!("{n} {unit}"))
        .collect();
    parts.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_as_a_person_reads_them() {
        assert_eq!(sig(123.456, 4), "123.5");
        assert_eq!(sig(0.000_123_456, 3), "0.000123");
        assert_eq!(sig(0.0, 4), "0");
        assert_eq!(sig(1e20, 3), "100000000000000000000");
    }

    #[test]
    fn needed_times_are_rounded_up() {
        assert_eq!(needed(8.21), "8.3 s");
        assert_eq!(needed(59.99), "60 s");
        assert_eq!(needed(117.000_000_000_01), "1 min 57 s");
        assert_eq!(needed(3600.2), "1 h 1 s");
        assert_eq!(needed(0.0), "0 s");
        assert_eq!(needed(1e300).split(' ').next_back(), Some("d"));
    }
}
