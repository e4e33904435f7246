//! From the mapping as written to the mapping as checked.

use super::columns::codes;
use super::locate::{Entry, Locator};
use super::{CalibrationsTable, LotsTable, Mapping, ReadingsTable, SamplesTable, Table, UnitFrom, raw};
use crate::finding::{Finding, Rule, nearest};
use crate::log::encoding::Encoding;
use crate::log::entered::Entered;
use crate::log::lots::SHIPPED;
use crate::log::number::Marks;
use crate::log::rules;

use crate::time::Zone;

pub(super) struct Builder<'l, 't> {
    pub(super) locator: &'l Locator<'t>,
    pub(super) entry: Option<Entry>,
    pub(super) zone: Option<Zone>,
    /// Whether the mapping names a zone for all files, known or not.
    pub(super) zone_named: bool,
    pub findings: Vec<Finding>,
}

impl<'l, 't> Builder<'l, 't> {
    pub fn new(locator: &'l Locator<'t>) -> Self {
        Self { locator, entry: None, zone: None, zone_named: false, findings: Vec::new() }
    }

    pub(super) fn fault(&mut self, rule: &'static Rule, words: &[&str], message: String, help: &str) {
        let loc = self.locator.find(self.entry, words);
        let mut finding = Finding::at(rule, loc, message);
        finding.help = (!help.is_empty()).then(|| help.to_owned());
        self.findings.push(finding);
    }

    /// The value of a key that must be there.
    pub(super) fn need(&mut self, value: Option<String>, key: &str, what: &str) -> String {
        match value {
            Some(value) if !value.trim().is_empty() => value,
            Some(_) => {
                self.fault(&rules::KEY_MISSING, &[key], format!("`{key}` is empty"), &format!("write {what}"));
                String::new()
            }
            None => {
                self.fault(
                    &rules::KEY_MISSING,
                    &[],
                    format!("`{key}` is missing in this entry"),
                    &format!("write `{key}:` with {what}"),
                );
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
        for (number, group) in raw.registers.into_iter().enumerate() {
            self.entry = Some(("registers", number));
            mapping.registers.extend(self.register(group));
        }
        let empty = mapping.lots.is_empty()
            && mapping.readings.is_empty()
            && mapping.samples.is_empty()
            && mapping.calibrations.is_empty()
            && mapping.registers.is_empty();
        if empty {
            self.entry = None;
            self.fault(
                &rules::KEY_MISSING,
                &[],
                "the mapping names no files".to_owned(),
                "add `readings:` with one entry for each kind of export",
            );
        }
        mapping
    }

    fn lots(&mut self, mut group: raw::Lots) -> LotsTable {
        let common = group.common();
        let broken = common.broken.clone();
        let table = self.table(common, false);
        if !table.clock.columns.is_empty() {
            let help = "name the column of each event under `events`";
            self.fault(
                &rules::MAPPING_CONTRADICTS,
                &["time", "column"],
                "the time of a lots register belongs to its events".to_owned(),
                help,
            );
        }
        self.no_broken(&broken);
        if table.clock.row_order {
            let help = "an event stands in a cell of its own, which no row order can settle";
            self.fault(
                &rules::MAPPING_CONTRADICTS,
                &["repeated-hour"],
                "`repeated-hour: row-order` means nothing in a lots register".to_owned(),
                help,
            );
        }
        LotsTable {
            lot: self.need(group.lot, "lot", "the heading of the column with the lot code"),
            load: group.load,
            product: group.product,
            quantity: group.quantity.and_then(|amount| {
                let unit = self.unit(&amount.unit, &["quantity", "unit", &amount.unit])?;
                Some((amount.column, unit))
            }),
            events: shipping(group.events.0, group.shipped),
            facts: group.facts.0,
            line: group.line,
            table,
        }
    }

    fn readings(&mut self, mut group: raw::Readings) -> ReadingsTable {
        let common = group.common();
        let (missing, broken) = (common.missing.clone(), common.broken.clone());
        let table = self.table(common, true);
        let entered = self.entered(group.entered, &table);
        let columns = self.columns(group.columns, table.marks, &missing, &broken, true);
        self.once(group.lot.is_some(), group.lot_in_name.is_some(), "lot", "lot-in-name");
        if let Some(pattern) = group.lot_in_name.as_ref().filter(|pattern| pattern.matches('*').count() != 1) {
            let message = format!("`{pattern}` does not say where in the name of the file the lot code stands");
            let help = "write the name with one star in its place, such as `kiln-*.csv`";
            self.fault(&rules::VALUE_UNKNOWN, &["lot-in-name"], message, help);
        }
        if let Some(column) =
            columns.iter().find(|column| group.instrument_column.is_some() && column.instrument.is_some())
        {
            let message = format!("column `{}` names an instrument, and `instrument-column` another", column.heading);
            self.fault(&rules::MAPPING_CONTRADICTS, &["instrument-column"], message, "keep one of them");
        }
        let long = group.long.map(|long| (long.name, long.value));
        let (lot_in_name, instrument_column) = (group.lot_in_name, group.instrument_column);
        ReadingsTable {
            lot: group.lot,
            lot_in_name,
            instrument_column,
            long,
            place: group.place,
            by: group.by,
            entered,
            spot: group.spot,
            columns,
            table,
        }
    }

    fn samples(&mut self, mut group: raw::Samples) -> SamplesTable {
        let common = group.common();
        let (missing, broken) = (common.missing.clone(), common.broken.clone());
        let table = self.table(common, true);
        let entered = self.entered(group.entered, &table);
        let columns = self.columns(group.columns, table.marks, &missing, &broken, false);
        SamplesTable {
            lot: self.need(group.lot, "lot", "the heading of the column with the lot code"),
            sample: self.need(group.sample, "sample", "the heading of the column that tells the samples apart"),
            by: group.by,
            entered,
            columns,
            table,
        }
    }

    /// The column with the time of writing, in the format of the entry's time where it names none.
    fn entered(&mut self, entered: Option<raw::Entered>, table: &Table) -> Option<Entered> {
        let entered = entered?;
        let format = match &entered.format {
            Some(text) => self.format(text),
            None => {
                let own = table.clock.format.clone().filter(|_| table.clock.columns.len() == 1);
                if own.is_none() {
                    let message = "`entered` needs a `format` of its own here".to_owned();
                    let help = "write how date and time stand in its cells, as in `%Y-%m-%d %H:%M`";
                    self.fault(&rules::KEY_MISSING, &["entered"], message, help);
                }
                own
            }
        };
        format.map(|format| Entered { column: entered.column, format })
    }

    fn calibrations(&mut self, mut group: raw::Calibrations) -> CalibrationsTable {
        let common = group.common();
        self.no_broken(&common.broken);
        let table = self.table(common, true);
        let mut figure = |figure: Option<raw::Figure>, key: &str| {
            let (column, decimal) = figure.map_or((None, None), |figure| (Some(figure.column), figure.decimal));
            let marks = self.marks(decimal, table.marks, key);
            (self.need(column, key, "`{ column: HEADING }`"), marks)
        };
        let reading = figure(group.reading, "reading");
        let reference = figure(group.reference, "reference");
        let unit = match group.unit {
            Some(raw::UnitFrom::Named(unit)) => {
                self.unit(&unit, &["unit", &unit]).map_or(UnitFrom::Column(unit), UnitFrom::Fixed)
            }
            Some(raw::UnitFrom::Column(column)) => UnitFrom::Column(column),
            None => UnitFrom::Column(self.need(None, "unit", "the unit, or `{ column: HEADING }`")),
        };
        let instrument = self.need(group.instrument, "instrument", "the heading of the column with the instrument");
        CalibrationsTable { instrument, reading, reference, unit, by: group.by, table }
    }

    /// Two keys of which one may stand.
    fn once(&mut self, one: bool, other: bool, name: &str, key: &str) {
        if one && other {
            let message = format!("`{name}` and `{key}` exclude each other");
            self.fault(&rules::MAPPING_CONTRADICTS, &[key], message, "keep one of them");
        }
    }

    pub(super) fn no_broken(&mut self, broken: &[String]) {
        if let Some(code) = broken.first() {
            let help = "a register of lots or calibrations has no trace to break";
            self.fault(
                &rules::MAPPING_CONTRADICTS,
                &["broken", code],
                "`broken` means nothing in this entry".to_owned(),
                help,
            );
        }
    }

    /// The marks of one column, where it has a decimal mark of its own.
    pub(super) fn marks(&mut self, decimal: Option<String>, table: Marks, heading: &str) -> Marks {
        let marks = Marks { decimal: self.decimal(decimal).unwrap_or(table.decimal), ..table };
        if marks.thousands == Some(char::from(marks.decimal)) {
            let message = format!("the decimal mark of `{heading}` is the thousands mark of the file");
            self.fault(&rules::MAPPING_CONTRADICTS, &[heading, "decimal"], message, "one mark cannot be both");
        }
        marks
    }

    pub(super) fn table(&mut self, common: raw::Common, timed: bool) -> Table {
        if common.files.is_empty() {
            self.fault(
                &rules::KEY_MISSING,
                &["files"],
                "`files` is missing in this entry".to_owned(),
                "write `files: [records/*.csv]`",
            );
        }
        for pattern in &common.files {
            if let Err(error) = glob::Pattern::new(pattern) {
                self.fault(
                    &rules::VALUE_UNKNOWN,
                    &[pattern],
                    format!("`{pattern}` is no pattern of file names: {}", error.msg),
                    "",
                );
            }
        }
        self.once(common.delimiter.is_some(), common.widths.is_some(), "delimiter", "widths");
        if common.widths.as_ref().is_some_and(|widths| widths.is_empty() || widths.contains(&0)) {
            let help = "write `widths: [19, 8, 8]`, in characters";
            self.fault(&rules::VALUE_UNKNOWN, &["widths"], "a width is missing or nought".to_owned(), help);
        }
        let blanks = common.delimiter.as_deref() == Some("blanks");
        let widths = if blanks { Some(Vec::new()) } else { common.widths };
        // Columns by place are cut into lines with a sign that no text holds.
        let delimiter = if widths.is_some() { 0x1f } else { self.delimiter(common.delimiter.as_deref()) };
        let quote = self.sign("quote", common.quote.as_deref()).unwrap_or(b'"');
        let escape = self.sign("escape", common.escape.as_deref());
        if [Some(quote), escape].contains(&Some(delimiter)) || escape == Some(quote) {
            let help = "one sign cannot be two; without `escape` a quotation mark is written twice";
            self.fault(
                &rules::MAPPING_CONTRADICTS,
                &["quote"],
                "delimiter, quotation mark and escape are not three signs".to_owned(),
                help,
            );
        }
        let decimal = self.decimal(common.decimal).unwrap_or(b'.');
        let thousands = common.thousands.and_then(|mark| match mark.as_str() {
            "," | "." | "'" | " " if mark.as_bytes() != [decimal] => mark.chars().next(),
            _ => {
                let help = "write \",\", \".\", \"'\" or \" \", other than the decimal mark";
                self.fault(&rules::VALUE_UNKNOWN, &["thousands"], format!("`{mark}` is no thousands mark here"), help);
                None
            }
        });
        let encoding = match common.encoding.as_deref() {
            None => Encoding::Utf8,
            Some(text) => Encoding::named(text).unwrap_or_else(|| {
                let near = nearest(text, Encoding::NAMES.iter().map(|(name, _)| *name));
                let near = near.map_or(String::new(), |near| format!("did you mean `{near}`? "));
                let help = format!("{near}the encodings are utf-8, utf-16, utf-16le, utf-16be and windows-1252");
                self.fault(&rules::VALUE_UNKNOWN, &["encoding"], format!("`{text}` is no known encoding"), &help);
                Encoding::Utf8
            }),
        };
        let marks = Marks { decimal, thousands };
        Table {
            missing: codes(&common.missing, &[], marks),
            record: self.need(common.record, "record", "the name of the record in the plan"),
            delimiter,
            marks,
            encoding,
            preamble: common.preamble.unwrap_or(0),
            sheet: common.sheet,
            spaced: common.delimiter.as_ref().is_some_and(|sign| sign.len() > 1 && sign.ends_with(' ')),
            widths,
            quote,
            escape,
            heading_rows: common.heading_rows.unwrap_or(1),
            footer: common.footer,
            end_mark: common.end_mark,
            clock: self.clock(common.time, timed),
            at: self.locator.find(self.entry, &["files"]),
            files: common.files,
        }
    }
}

/// The events of a register of lots, with the shipping among them under a name that no plan can give.
fn shipping(mut events: Vec<(String, String)>, shipped: Option<String>) -> Vec<(String, String)> {
    events.extend(shipped.map(|heading| (SHIPPED.to_owned(), heading)));
    events
}
