//! Single values of the mapping: times, zones, units and marks.

use super::build::Builder;
use super::{Clock, raw};
use crate::finding::nearest;
use crate::log::clock::{Format, FormatFault};
use crate::log::rules;
use crate::quantity::{UNITS, Unit, UnitDef};
use crate::time::Zone;

impl Builder<'_, '_> {
    pub(super) fn clock(&mut self, time: Option<raw::Time>, timed: bool) -> Clock {
        let Some(time) = time else {
            let help = "write `time: { column: HEADING, format: \"%Y-%m-%d %H:%M\" }`";
            self.fault(&rules::KEY_MISSING, &[], "`time` is missing in this entry".to_owned(), help);
            return Clock { columns: Vec::new(), format: None, zone: Zone::UTC, row_order: false };
        };
        let mut columns = time.columns.0;
        match time.column {
            Some(_) if !columns.is_empty() => {
                self.fault(
                    &rules::MAPPING_CONTRADICTS,
                    &["time", "column"],
                    "`column` and `columns` exclude each other".to_owned(),
                    "keep one of them",
                );
            }
            Some(column) => columns.push(column),
            None if columns.is_empty() && timed => {
                self.fault(
                    &rules::KEY_MISSING,
                    &["time"],
                    "the time has no column".to_owned(),
                    "write `column: HEADING` or `columns: [DATE, TIME]`",
                );
            }
            None => {}
        }
        let format = time.format.as_deref().and_then(|text| self.format(text));
        let own = match (&time.zone, &time.offset) {
            (Some(_), Some(_)) => {
                self.fault(
                    &rules::MAPPING_CONTRADICTS,
                    &["time", "offset"],
                    "`zone` and `offset` exclude each other".to_owned(),
                    "keep one of them",
                );
                None
            }
            (Some(zone), None) => self.zone_of("zone", zone),
            (None, Some(offset)) => self.zone_of("offset", offset),
            (None, None) => None,
        };
        let carried = format.as_ref().is_some_and(|format| format.has_offset);
        if carried && own.is_some() {
            let help = "remove `zone` and `offset` here, or take the offset out of the format if the cells have none";
            self.fault(
                &rules::MAPPING_CONTRADICTS,
                &["time", "format"],
                "the cells carry their own offset, and the mapping declares another".to_owned(),
                help,
            );
        }
        let zone = own.or(self.zone).unwrap_or_else(|| {
            if !carried && !self.zone_named && time.zone.is_none() && time.offset.is_none() && format.is_some() {
                let help = "write `zone: Europe/London` at the top, or `offset: \"+01:00\"` in this `time`";
                self.fault(
                    &rules::KEY_MISSING,
                    &["time"],
                    "nothing says which zone the clock of this file keeps".to_owned(),
                    help,
                );
            }
            Zone::UTC
        });
        let row_order = match time.repeated_hour.as_deref() {
            None | Some("refuse") => false,
            Some("row-order") => true,
            Some(other) => {
                self.fault(
                    &rules::VALUE_UNKNOWN,
                    &["repeated-hour"],
                    format!("`{other}` is no way to settle the repeated hour"),
                    "write `row-order` or `refuse`",
                );
                false
            }
        };
        Clock { columns, format, zone, row_order }
    }

    pub(super) fn format(&mut self, text: &str) -> Option<Format> {
        let (rule, message, help) = match Format::new(text) {
            Ok(format) => return Some(format),
            Err(FormatFault::Unknown) => (
                &rules::TIME_FORMAT,
                "holds a part that is not understood",
                "the parts are %Y %m %d %H %M %S, %y, %b, %I with %p, %:z",
            ),
            Err(FormatFault::NoDate) => (
                &rules::TIME_FORMAT,
                "lacks a part of the date",
                "it needs year, month and day, such as %d/%m/%Y; a date and a time in two columns go in `columns`",
            ),
            Err(FormatFault::NoMinute) => (&rules::TIME_FORMAT, "has an hour and no minute", "add %M"),
            Err(FormatFault::HalfDay) => (
                &rules::HALF_DAY,
                "has a 12-hour clock without AM or PM",
                "add %p, or write %H if the clock runs to 24",
            ),
            Err(FormatFault::ZoneName) => (
                &rules::TIME_FORMAT,
                "names a zone by letters, which many zones share",
                "declare the zone with `zone` or `offset`",
            ),
        };
        self.fault(rule, &["format", text], format!("time format `{text}` {message}"), help);
        None
    }

    pub(super) fn zone_of(&mut self, key: &str, text: &str) -> Option<Zone> {
        let zone = Zone::parse(text);
        if zone.is_none() {
            let near = nearest(text, chrono_tz::TZ_VARIANTS.iter().map(|zone| zone.name()));
            let near = near.map_or(String::new(), |near| format!("did you mean `{near}`? "));
            let help = format!("{near}write a zone such as Europe/London or an offset such as \"+01:00\"");
            self.fault(&rules::ZONE_UNKNOWN, &[key, text], format!("`{text}` is no known zone"), &help);
        }
        zone
    }

    pub(super) fn unit(&mut self, text: &str, words: &[&str]) -> Option<Unit> {
        let found = UnitDef::find(text);
        if found.is_none() {
            let spellings = UNITS.iter().flat_map(|unit| std::iter::once(unit.symbol).chain(unit.also.iter().copied()));
            let swapped = ["C", "c", "°c", "F", "f", "°f"]
                .contains(&text)
                .then(|| if text.to_ascii_lowercase().ends_with('c') { "°C" } else { "°F" });
            let near = swapped.or_else(|| nearest(text, spellings));
            let help = near.map_or_else(
                || format!("the units are {}", UNITS.iter().map(|unit| unit.symbol).collect::<Vec<_>>().join(", ")),
                |near| format!("did you mean `{near}`?"),
            );
            self.fault(&rules::UNIT_UNKNOWN, words, format!("`{text}` is no known unit"), &help);
        }
        found
    }

    pub(super) fn delimiter(&mut self, text: Option<&str>) -> u8 {
        match text {
            None => b',',
            Some("tab" | "\t" | "\\t") => b'\t',
            Some("space") => b' ',
            // A blank after the sign belongs to it.
            Some(text) => match text.strip_suffix(' ').filter(|sign| !sign.is_empty()).unwrap_or(text).as_bytes() {
                &[byte] if !byte.is_ascii_alphanumeric() && !matches!(byte, b'"' | b'\n' | b'\r' | b'.' | b'-') => byte,
                _ => {
                    self.fault(
                        &rules::VALUE_UNKNOWN,
                        &["delimiter"],
                        format!("`{text}` is no delimiter"),
                        "write \",\", \";\", \"|\", tab, space or blanks",
                    );
                    b','
                }
            },
        }
    }

    /// A sign of one byte, for quotation mark and escape.
    pub(super) fn sign(&mut self, key: &str, text: Option<&str>) -> Option<u8> {
        match text?.as_bytes() {
            &[byte] if byte.is_ascii_punctuation() => Some(byte),
            _ => {
                let message = format!("`{}` is no sign for `{key}`", text.unwrap_or_default());
                self.fault(&rules::VALUE_UNKNOWN, &[key], message, "write one sign, in quotation marks");
                None
            }
        }
    }

    pub(super) fn decimal(&mut self, text: Option<String>) -> Option<u8> {
        match text?.as_str() {
            "." => Some(b'.'),
            "," => Some(b','),
            other => {
                self.fault(
                    &rules::VALUE_UNKNOWN,
                    &["decimal"],
                    format!("`{other}` is no decimal mark"),
                    "write \".\" or \",\"",
                );
                None
            }
        }
    }
}
