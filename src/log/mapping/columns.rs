//! The columns of one entry, and codes.

use super::build::Builder;
use super::{Codes, Column, Content, Mass, raw};
use crate::log::number::{self, Marks};
use crate::log::rules;
use crate::quantity::{Dimension, Quantity, Rational, UnitDef};

impl Builder<'_, '_> {
    pub(super) fn columns(
        &mut self,
        pairs: raw::Pairs<raw::Column>,
        marks: Marks,
        missing: &[String],
        broken: &[String],
        probes: bool,
    ) -> Vec<Column> {
        if pairs.0.is_empty() {
            self.fault(
                &rules::KEY_MISSING,
                &["columns"],
                "no column is mapped in this entry".to_owned(),
                "write `columns:` with a line for each heading that matters",
            );
        }
        let mut columns: Vec<Column> = Vec::new();
        for (heading, column) in pairs.0 {
            let column = self.column(heading, column, marks, missing, broken);
            let same = columns
                .iter()
                .find(|other| other.parameter == column.parameter && (!probes || other.probe == column.probe));
            if let Some(other) = same.map(|other| other.heading.clone()) {
                let message = format!(
                    "columns `{other}` and `{}` are both `{}`, and nothing tells them apart",
                    column.heading, column.parameter
                );
                self.fault(&rules::MAPPING_TWICE, &["columns", &column.heading], message, "give each its own `probe`");
            }
            if !probes && column.probe.is_some() {
                let message = format!("column `{}` of laboratory results has a `probe`", column.heading);
                self.fault(
                    &rules::MAPPING_CONTRADICTS,
                    &["columns", &column.heading],
                    message,
                    "a result is of one sample; what several probes read goes under `readings`",
                );
            }
            if !column.serials.is_empty() && (!probes || column.instrument.is_some()) {
                let message =
                    format!("column `{}` has `serials` beside an `instrument`, or outside `readings`", column.heading);
                self.fault(
                    &rules::MAPPING_CONTRADICTS,
                    &["columns", &column.heading, "serials"],
                    message,
                    "the serial number in the heading says which instrument it is: keep one",
                );
            }
            if probes && column.mass.is_some() {
                let message = format!("column `{}` of readings has a `mass`", column.heading);
                self.fault(
                    &rules::MAPPING_CONTRADICTS,
                    &["columns", &column.heading, "mass"],
                    message,
                    "laboratory results go under `samples`",
                );
            }
            if let (true, Content::Number { not_detected, .. }) = (probes, &column.content)
                && !not_detected.is_empty()
            {
                let message = format!("column `{}` of readings has `not-detected`", column.heading);
                self.fault(
                    &rules::MAPPING_CONTRADICTS,
                    &["columns", &column.heading, "not-detected"],
                    message,
                    "laboratory results go under `samples`",
                );
            }
            columns.push(column);
        }
        columns
    }

    fn column(
        &mut self,
        heading: String,
        raw: raw::Column,
        marks: Marks,
        missing: &[String],
        broken: &[String],
    ) -> Column {
        let at = self.locator.find(self.entry, &["columns", &heading]);
        let fault = |this: &mut Self, rule, words: &[&str], message: String, help: &str| {
            this.fault(rule, &[&["columns", heading.as_str()], words].concat(), message, help);
        };
        let marks = self.marks(raw.decimal, marks, &heading);
        let (missing, broken) = (codes(&raw.missing.0, missing, marks), codes(&raw.broken.0, broken, marks));
        if let Some(code) = broken.words.iter().find(|code| missing.has_word(code.as_bytes())) {
            fault(
                self,
                &rules::MAPPING_TWICE,
                &["broken", code],
                format!("code `{code}` is both missing and broken"),
                "a missing reading may be bridged, a broken probe may not: keep one",
            );
        }
        let parameter = raw.parameter.unwrap_or_else(|| {
            fault(
                self,
                &rules::KEY_MISSING,
                &[],
                format!("column `{heading}` has no `parameter`"),
                "name the parameter of the plan that it holds",
            );
            String::new()
        });
        let mass = raw.mass.and_then(|mass| self.mass(mass, &heading));
        let content = if !raw.answers.0.is_empty() {
            for (key, given) in [
                ("unit", raw.unit.is_some()),
                ("range", raw.range.is_some()),
                ("not-detected", !raw.not_detected.0.is_empty()),
            ] {
                if given {
                    fault(
                        self,
                        &rules::MAPPING_CONTRADICTS,
                        &[key],
                        format!("column `{heading}` has `answers` and `{key}`"),
                        "answers are words: keep one of them",
                    );
                }
            }
            let mut answers: Vec<(String, Vec<String>)> = Vec::new();
            for (answer, words) in raw.answers.0 {
                let words: Vec<String> = words.0.iter().map(|word| word.trim().to_lowercase()).collect();
                for word in &words {
                    if let Some((other, _)) = answers.iter().find(|(_, others)| others.contains(word)) {
                        let message = format!("`{word}` means both `{other}` and `{answer}` in column `{heading}`");
                        fault(
                            self,
                            &rules::MAPPING_TWICE,
                            &[&answer, word],
                            message,
                            "give each answer words of its own",
                        );
                    }
                }
                answers.push((answer, words));
            }
            Content::Answer(answers)
        } else {
            let unit = match &raw.unit {
                Some(unit) => self.unit(unit, &["columns", &heading, "unit", unit]),
                None => {
                    fault(
                        self,
                        &rules::KEY_MISSING,
                        &[],
                        format!("column `{heading}` has no `unit`"),
                        "write the unit of its numbers, or `answers` if it holds words",
                    );
                    None
                }
            };
            if raw.range.is_some_and(|(lo, hi)| !(lo.is_finite() && hi.is_finite() && lo < hi)) {
                fault(
                    self,
                    &rules::VALUE_UNKNOWN,
                    &["range"],
                    format!("the range of column `{heading}` is not from a lower to a higher number"),
                    "write it as `range: [-50, 150]`",
                );
            }
            let not_detected = raw.not_detected.0.iter().map(|word| word.trim().to_lowercase()).collect();
            // Without its unit the mapping is not sound and the column is never read.
            unit.map_or(Content::Answer(Vec::new()), |unit| Content::Number {
                unit,
                marks,
                broken,
                range: raw.range,
                not_detected,
            })
        };
        let serials = raw.serials.0;
        Column { parameter, serials, instrument: raw.instrument, probe: raw.probe, missing, mass, content, at, heading }
    }

    /// `25 g`, or a column with its unit: a mass, and more than nothing.
    fn mass(&mut self, mass: raw::Mass, heading: &str) -> Option<Mass> {
        let help = "write `mass: 25 g`, or `mass: { column: HEADING, unit: g }`";
        let found = match &mass {
            raw::Mass::Named(text) => text.trim().split_once(' ').and_then(|(number, unit)| {
                let value = Rational::parse(number).filter(|value| !value.is_negative() && !value.is_zero())?;
                Some(Mass::Fixed(Quantity::new(value, UnitDef::find(unit.trim())?)))
            }),
            raw::Mass::Column(amount) => {
                UnitDef::find(&amount.unit).map(|unit| Mass::Column(amount.column.clone(), unit))
            }
        };
        let weighs = found.filter(|found| {
            let (Mass::Fixed(Quantity { unit, .. }) | Mass::Column(_, unit)) = found;
            unit.dimension == Dimension::Mass
        });
        if weighs.is_none() {
            let message = format!("the tested `mass` of column `{heading}` is no mass");
            self.fault(&rules::VALUE_UNKNOWN, &["columns", heading, "mass"], message, help);
        }
        weighs
    }
}

pub(super) fn codes(own: &[String], shared: &[String], marks: Marks) -> Codes {
    let words: Vec<String> =
        own.iter().chain(shared).map(|word| word.trim().to_owned()).filter(|word| !word.is_empty()).collect();
    let numbers = words.iter().filter_map(|word| code_number(word, marks)).collect();
    Codes { words, numbers }
}

/// A code that is a number, written with the file's marks or, from YAML, with a point.
fn code_number(word: &str, marks: Marks) -> Option<f64> {
    let point = Marks { decimal: b'.', thousands: None };
    let read = |marks| number::parse(word.as_bytes(), marks).ok().map(|(value, _)| value);
    read(marks).or_else(|| read(point))
}
