//! From the mapping as written to the mapping as checked.

use super::locate::{Entry, Locator};
use super::{CalibrationsTable, Clock, Codes, Column, Content, LotsTable, Mapping, ReadingsTable, SamplesTable, Table, UnitFrom, raw};
use crate::finding::{Finding, Rule, nearest};
use crate::log::clock::{Format, FormatFault};
use crate::log::delimited::Encoding;
use crate::log::number::{self, Marks};
use crate::log::rules;
use crate::quantity::{UNITS, Unit, UnitDef};
use crate::time::Zone;

pub(super) struct Builder<'l, 't> {
    locator: &'l Locator<'t>,
    entry: Option<Entry>,
    zone: Option<Zone>,
    /// Whether the mapping names a zone for all files, known or not.
    zone_named: bool,
    pub findings: Vec<Finding>,
}

impl<'l, 't> Builder<'l, 't> {
    pub fn new(locator: &'l Locator<'t>) -> Self {
        Self { locator, entry: None, zone: None, zone_named: false, findings: Vec::new() }
    }

    fn fault(&mut self, rule: &'static Rule, words: &[&str], message: String, help: &str) {
        let loc = self.locator.find(self.entry, words);
        let mut finding = Finding::at(rule, loc, message);
        finding.help = (!help.is_empty()).then(|| help.to_owned());
        self.findings.push(finding);
    }

    /// The value of a key that must be there.
    fn need(&mut self, value: Option<String>, key: &str, what: &str) -> String {
        match value {
            Some(value) if !value.trim().is_empty() => value,
            Some(_) => {
                self.fault(&rules::KEY_MISSING, &[key], format!("`{key}` is empty"), &format!("write {what}"));
                String::new()
            }
            None => {
                self.fault(&rules::KEY_MISSING, &[], format!("`{key}` is missing in this entry"), &format!("write `{key}:` with {what}"));
                String::new()
            }
        }
    }

    pub fn mapping(&mut self, raw: raw::Mapping) -> Mapping {
        self.zone_named = raw.zone.is_some();
        self.zone = raw.zone.and_then(|zone| self.zone_of("zone", &zone));
        let mut mapping = Mapping { zone: self.zone, ..Mapping::default() };
        for (number, group) in raw.lots.into_iter().enumerate() {
            self.entry = Some(("lots", number));
            mapping.lots.push(self.lots(group));
        }
        for (number, group) in raw.readings.into_iter().enumerate() {
            self.entry = Some(("readings", number));
            mapping.readings.push(self.readings(group));
        }
        for (number, group) in raw.samples.into_iter().enumerate() {
            self.entry = Some(("samples", number));
            mapping.samples.push(self.samples(group));
        }
        for (number, group) in raw.calibrations.into_iter().enumerate() {
            self.entry = Some(("calibrations", number));
            mapping.calibrations.push(self.calibrations(group));
        }
        let empty = mapping.lots.is_empty() && mapping.readings.is_empty() && mapping.samples.is_empty() && mapping.calibrations.is_empty();
        if empty {
            self.entry = None;
            self.fault(&rules::KEY_MISSING, &[], "the mapping names no files".to_owned(), "add `readings:` with one entry for each kind of export");
        }
        mapping
    }

    fn lots(&mut self, mut group: raw::Lots) -> LotsTable {
        let common = group.common();
        let table = self.table(common, false);
        if !table.clock.columns.is_empty() {
            let help = "name the column of each event under `events`";
            self.fault(&rules::MAPPING_CONTRADICTS, &["time", "column"], "the time of a lots register belongs to its events".to_owned(), help);
        }
        LotsTable {
            lot: self.need(group.lot, "lot", "the heading of the column with the lot code"),
            product: group.product,
            quantity: group.quantity.and_then(|amount| {
                let unit = self.unit(&amount.unit, &["quantity", "unit", &amount.unit])?;
                Some((amount.column, unit))
            }),
            events: group.events.0,
            facts: group.facts.0,
            table,
        }
    }

    fn readings(&mut self, mut group: raw::Readings) -> ReadingsTable {
        let common = group.common();
        let (missing, broken) = (common.missing.clone(), common.broken.clone());
        let table = self.table(common, true);
        let columns = self.columns(group.columns, table.marks, &missing, &broken, true);
        ReadingsTable { lot: group.lot, place: group.place, by: group.by, spot: group.spot, columns, table }
    }

    fn samples(&mut self, mut group: raw::Samples) -> SamplesTable {
        let common = group.common();
        let (missing, broken) = (common.missing.clone(), common.broken.clone());
        let table = self.table(common, true);
        let columns = self.columns(group.columns, table.marks, &missing, &broken, false);
        SamplesTable {
            lot: self.need(group.lot, "lot", "the heading of the column with the lot code"),
            sample: self.need(group.sample, "sample", "the heading of the column that tells the samples apart"),
            by: group.by,
            columns,
            table,
        }
    }

    fn calibrations(&mut self, mut group: raw::Calibrations) -> CalibrationsTable {
        let common = group.common();
        let table = self.table(common, true);
        let mut figure = |figure: Option<raw::Figure>, key: &str| {
            let (column, decimal) = figure.map_or((None, None), |figure| (Some(figure.column), figure.decimal));
            let marks = Marks { decimal: self.decimal(decimal).unwrap_or(table.marks.decimal), thousands: None };
            (self.need(column, key, "`{ column: HEADING }`"), marks)
        };
        let reading = figure(group.reading, "reading");
        let reference = figure(group.reference, "reference");
        let unit = match group.unit {
            Some(raw::UnitFrom::Named(unit)) => self.unit(&unit, &["unit", &unit]).map_or(UnitFrom::Column(unit), UnitFrom::Fixed),
            Some(raw::UnitFrom::Column(column)) => UnitFrom::Column(column),
            None => UnitFrom::Column(self.need(None, "unit", "the unit, or `{ column: HEADING }`")),
        };
        let instrument = self.need(group.instrument, "instrument", "the heading of the column with the instrument");
        CalibrationsTable { instrument, reading, reference, unit, by: group.by, table }
    }

    fn table(&mut self, common: raw::Common, timed: bool) -> Table {
        if common.files.is_empty() {
            self.fault(&rules::KEY_MISSING, &["files"], "`files` is missing in this entry".to_owned(), "write `files: [records/*.csv]`");
        }
        for pattern in &common.files {
            if let Err(error) = glob::Pattern::new(pattern) {
                self.fault(&rules::VALUE_UNKNOWN, &[pattern], format!("`{pattern}` is no pattern of file names: {}", error.msg), "");
            }
        }
        let delimiter = self.delimiter(common.delimiter.as_deref());
        let decimal = self.decimal(common.decimal).unwrap_or(b'.');
        let thousands = common.thousands.and_then(|mark| match mark.as_str() {
            "," | "." | "'" | " " if mark.as_bytes() != [decimal] => mark.chars().next(),
            _ => {
                let help = "write \",\", \".\", \"'\" or \" \", other than the decimal mark";
                self.fault(&rules::VALUE_UNKNOWN, &["thousands"], format!("`{mark}` is no thousands mark here"), help);
                None
            }
        });
        let encoding = match common.encoding.as_deref().map(str::to_ascii_lowercase).as_deref() {
            None | Some("utf-8" | "utf8") => Encoding::Utf8,
            Some("utf-16" | "utf16") => Encoding::Utf16,
            Some("windows-1252") => Encoding::Windows1252,
            Some(other) => {
                let near = nearest(other, ["utf-8", "utf-16", "windows-1252"]);
                let near = near.map_or(String::new(), |near| format!("did you mean `{near}`? "));
                let help = format!("{near}the encodings are utf-8, utf-16 and windows-1252");
                self.fault(&rules::VALUE_UNKNOWN, &["encoding"], format!("`{other}` is no known encoding"), &help);
                Encoding::Utf8
            }
        };
        Table {
            record: self.need(common.record, "record", "the name of the record in the plan"),
            delimiter,
            marks: Marks { decimal, thousands },
            encoding,
            preamble: common.preamble.unwrap_or(0),
            clock: self.clock(common.time, timed),
            at: self.locator.find(self.entry, &["files"]),
            files: common.files,
        }
    }

    fn clock(&mut self, time: Option<raw::Time>, timed: bool) -> Clock {
        let Some(time) = time else {
            let help = "write `time: { column: HEADING, format: \"%Y-%m-%d %H:%M\" }`";
            self.fault(&rules::KEY_MISSING, &[], "`time` is missing in this entry".to_owned(), help);
            return Clock { columns: Vec::new(), format: None, zone: Zone::UTC, row_order: false };
        };
        let mut columns = time.columns.0;
        match time.column {
            Some(_) if !columns.is_empty() => {
                self.fault(&rules::MAPPING_CONTRADICTS, &["time", "column"], "`column` and `columns` exclude each other".to_owned(), "keep one of them");
            }
            Some(column) => columns.push(column),
            None if columns.is_empty() && timed => {
                self.fault(&rules::KEY_MISSING, &["time"], "the time has no column".to_owned(), "write `column: HEADING` or `columns: [DATE, TIME]`");
            }
            None => {}
        }
        let format = time.format.as_deref().and_then(|text| self.format(text));
        let own = match (&time.zone, &time.offset) {
            (Some(_), Some(_)) => {
                self.fault(&rules::MAPPING_CONTRADICTS, &["time", "offset"], "`zone` and `offset` exclude each other".to_owned(), "keep one of them");
                None
            }
            (Some(zone), None) => self.zone_of("zone", zone),
            (None, Some(offset)) => self.zone_of("offset", offset),
            (None, None) => None,
        };
        let carried = format.as_ref().is_some_and(|format| format.has_offset);
        if carried && own.is_some() {
            let help = "remove `zone` and `offset` here, or take the offset out of the format if the cells have none";
            self.fault(&rules::MAPPING_CONTRADICTS, &["time", "format"], "the cells carry their own offset, and the mapping declares another".to_owned(), help);
        }
        let zone = own.or(self.zone).unwrap_or_else(|| {
            if !carried && !self.zone_named && time.zone.is_none() && time.offset.is_none() && format.is_some() {
                let help = "write `zone: Europe/London` at the top, or `offset: \"+01:00\"` in this `time`";
                self.fault(&rules::KEY_MISSING, &["time"], "nothing says which zone the clock of this file keeps".to_owned(), help);
            }
            Zone::UTC
        });
        let row_order = match time.repeated_hour.as_deref() {
            None | Some("refuse") => false,
            Some("row-order") => true,
            Some(other) => {
                self.fault(&rules::VALUE_UNKNOWN, &["repeated-hour"], format!("`{other}` is no way to settle the repeated hour"), "write `row-order` or `refuse`");
                false
            }
        };
        Clock { columns, format, zone, row_order }
    }

    fn format(&mut self, text: &str) -> Option<Format> {
        let (rule, message, help) = match Format::new(text) {
            Ok(format) => return Some(format),
            Err(FormatFault::Unknown) => (&rules::TIME_FORMAT, "holds a part that is not understood", "the parts are %Y %m %d %H %M %S, %y, %b, %I with %p, %:z"),
            Err(FormatFault::NoDate) => (&rules::TIME_FORMAT, "lacks a part of the date", "it needs year, month and day, such as %d/%m/%Y; a date and a time in two columns go in `columns`"),
            Err(FormatFault::NoMinute) => (&rules::TIME_FORMAT, "has an hour and no minute", "add %M"),
            Err(FormatFault::HalfDay) => (&rules::HALF_DAY, "has a 12-hour clock without AM or PM", "add %p, or write %H if the clock runs to 24"),
            Err(FormatFault::ZoneName) => (&rules::TIME_FORMAT, "names a zone by letters, which many zones share", "declare the zone with `zone` or `offset`"),
        };
        self.fault(rule, &["format", text], format!("time format `{text}` {message}"), help);
        None
    }

    fn zone_of(&mut self, key: &str, text: &str) -> Option<Zone> {
        let zone = Zone::parse(text);
        if zone.is_none() {
            let near = nearest(text, chrono_tz::TZ_VARIANTS.iter().map(|zone| zone.name()));
            let near = near.map_or(String::new(), |near| format!("did you mean `{near}`? "));
            let help = format!("{near}write a zone such as Europe/London or an offset such as \"+01:00\"");
            self.fault(&rules::ZONE_UNKNOWN, &[key, text], format!("`{text}` is no known zone"), &help);
        }
        zone
    }

    fn unit(&mut self, text: &str, words: &[&str]) -> Option<Unit> {
        let found = UnitDef::find(text);
        if found.is_none() {
            let spellings = UNITS.iter().flat_map(|unit| std::iter::once(unit.symbol).chain(unit.also.iter().copied()));
            let swapped = ["C", "c", "°c", "F", "f", "°f"].contains(&text).then(|| if text.to_ascii_lowercase().ends_with('c') { "°C" } else { "°F" });
            let near = swapped.or_else(|| nearest(text, spellings));
            let help = near.map_or_else(|| format!("the units are {}", UNITS.iter().map(|unit| unit.symbol).collect::<Vec<_>>().join(", ")), |near| format!("did you mean `{near}`?"));
            self.fault(&rules::UNIT_UNKNOWN, words, format!("`{text}` is no known unit"), &help);
        }
        found
    }

    fn delimiter(&mut self, text: Option<&str>) -> u8 {
        match text {
            None => b',',
            Some("tab" | "\t" | "\\t") => b'\t',
            Some(text) => match text.as_bytes() {
                &[byte] if !byte.is_ascii_alphanumeric() && !matches!(byte, b'"' | b'\n' | b'\r' | b'.' | b'-') => byte,
                _ => {
                    self.fault(&rules::VALUE_UNKNOWN, &["delimiter"], format!("`{text}` is no delimiter"), "write \",\", \";\", \"|\" or tab");
                    b','
                }
            },
        }
    }

    fn decimal(&mut self, text: Option<String>) -> Option<u8> {
        match text?.as_str() {
            "." => Some(b'.'),
            "," => Some(b','),
            other => {
                self.fault(&rules::VALUE_UNKNOWN, &["decimal"], format!("`{other}` is no decimal mark"), "write \".\" or \",\"");
                None
            }
        }
    }

    fn columns(&mut self, pairs: raw::Pairs<raw::Column>, marks: Marks, missing: &[String], broken: &[String], probes: bool) -> Vec<Column> {
        if pairs.0.is_empty() {
            self.fault(&rules::KEY_MISSING, &["columns"], "no column is mapped in this entry".to_owned(), "write `columns:` with a line for each heading that matters");
        }
        let mut columns: Vec<Column> = Vec::new();
        for (heading, column) in pairs.0 {
            let column = self.column(heading, column, marks, missing, broken);
            let same = columns.iter().find(|other| other.parameter == column.parameter && (!probes || other.probe == column.probe));
            if let Some(other) = same.map(|other| other.heading.clone()) {
                let message = format!("columns `{other}` and `{}` are both `{}`, and nothing tells them apart", column.heading, column.parameter);
                self.fault(&rules::MAPPING_TWICE, &["columns", &column.heading], message, "give each its own `probe`");
            }
            columns.push(column);
        }
        columns
    }

    fn column(&mut self, heading: String, raw: raw::Column, marks: Marks, missing: &[String], broken: &[String]) -> Column {
        let at = self.locator.find(self.entry, &["columns", &heading]);
        let fault = |this: &mut Self, rule, words: &[&str], message: String, help: &str| {
            this.fault(rule, &[&["columns", heading.as_str()], words].concat(), message, help);
        };
        let marks = Marks { decimal: self.decimal(raw.decimal).unwrap_or(marks.decimal), ..marks };
        let codes = |own: &[String], shared: &[String]| {
            let words: Vec<String> = own.iter().chain(shared).map(|word| word.trim().to_owned()).filter(|word| !word.is_empty()).collect();
            let numbers = words.iter().filter_map(|word| code_number(word, marks)).collect();
            Codes { words, numbers }
        };
        let (missing, broken) = (codes(&raw.missing.0, missing), codes(&raw.broken.0, broken));
        if let Some(code) = broken.words.iter().find(|code| missing.has_word(code.as_bytes())) {
            fault(self, &rules::MAPPING_TWICE, &["broken", code], format!("code `{code}` is both missing and broken"), "a missing reading may be bridged, a broken probe may not: keep one");
        }
        let parameter = raw.parameter.unwrap_or_else(|| {
            fault(self, &rules::KEY_MISSING, &[], format!("column `{heading}` has no `parameter`"), "name the parameter of the plan that it holds");
            String::new()
        });
        let content = if !raw.answers.0.is_empty() {
            for (key, given) in [("unit", raw.unit.is_some()), ("range", raw.range.is_some()), ("not-detected", !raw.not_detected.0.is_empty())] {
                if given {
                    fault(self, &rules::MAPPING_CONTRADICTS, &[key], format!("column `{heading}` has `answers` and `{key}`"), "answers are words: keep one of them");
                }
            }
            let mut answers: Vec<(String, Vec<String>)> = Vec::new();
            for (answer, words) in raw.answers.0 {
                let words: Vec<String> = words.0.iter().map(|word| word.trim().to_lowercase()).collect();
                for word in &words {
                    if let Some((other, _)) = answers.iter().find(|(_, others)| others.contains(word)) {
                        let message = format!("`{word}` means both `{other}` and `{answer}` in column `{heading}`");
                        fault(self, &rules::MAPPING_TWICE, &[&answer, word], message, "give each answer words of its own");
                    }
                }
                answers.push((answer, words));
            }
            Content::Answer(answers)
        } else {
            let unit = match &raw.unit {
                Some(unit) => self.unit(unit, &["columns", &heading, "unit", unit]),
                None => {
                    fault(self, &rules::KEY_MISSING, &[], format!("column `{heading}` has no `unit`"), "write the unit of its numbers, or `answers` if it holds words");
                    None
                }
            };
            if raw.range.is_some_and(|(lo, hi)| !(lo.is_finite() && hi.is_finite() && lo < hi)) {
                fault(self, &rules::VALUE_UNKNOWN, &["range"], format!("the range of column `{heading}` is not from a lower to a higher number"), "write it as `range: [-50, 150]`");
            }
            let not_detected = raw.not_detected.0.iter().map(|word| word.trim().to_lowercase()).collect();
            // Without its unit the mapping is not sound and the column is never read.
            unit.map_or(Content::Answer(Vec::new()), |unit| Content::Number { unit, marks, broken, range: raw.range, not_detected })
        };
        Column { parameter, instrument: raw.instrument, probe: raw.probe, missing, content, at, heading }
    }
}

/// A code that is a number, written with the file's marks or, from YAML, with a point.
fn code_number(word: &str, marks: Marks) -> Option<f64> {
    let point = Marks { decimal: b'.', thousands: None };
    let read = |marks| number::parse(word.as_bytes(), marks).ok().map(|(value, _)| value);
    read(marks).or_else(|| read(point))
}
