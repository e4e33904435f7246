//! The entries of registers of what people did.

use super::build::Builder;
use super::{RegistersTable, raw};
use crate::finding::nearest;
use crate::log::registers::{Holds, Kind};
use crate::log::rules;

impl Builder<'_, '_> {
    /// One register; none where nobody can say what it holds.
    pub(super) fn register(&mut self, mut group: raw::Registers) -> Option<RegistersTable> {
        let common = group.common();
        self.no_broken(&common.broken);
        let table = self.table(common, false);
        if !table.clock.columns.is_empty() {
            self.fault(
                &rules::MAPPING_CONTRADICTS,
                &["time", "column"],
                "the times of a register belong to its fields".to_owned(),
                "name the column of each time under `fields`, and keep `format` here",
            );
        }
        let words: Vec<&str> = Kind::ALL.iter().map(|kind| kind.word()).collect();
        let holds = self.need(group.holds, "holds", &format!("what the register holds: {}", words.join(", ")));
        let Some(kind) = Kind::find(&holds) else {
            if !holds.is_empty() {
                let near = nearest(&holds, words.iter().copied());
                let near = near.map_or(String::new(), |near| format!("did you mean `{near}`? "));
                let help = format!("{near}a register holds {}", words.join(", "));
                self.fault(&rules::VALUE_UNKNOWN, &["holds", &holds], format!("no register holds `{holds}`"), &help);
            }
            return None;
        };
        let mut fields = Vec::new();
        for (name, heading) in group.fields.0 {
            let Some(field) = kind.field(&name) else {
                let known: Vec<&str> = kind.fields().iter().map(|field| field.name).collect();
                let near = nearest(&name, known.iter().copied());
                let near = near.map_or(String::new(), |near| format!("did you mean `{near}`? "));
                let help = format!("{near}its fields are {}", known.join(", "));
                let message = format!("a register of {} has no field `{name}`", kind.title());
                self.fault(&rules::KEY_UNKNOWN, &["fields", &name], message, &help);
                continue;
            };
            fields.push((field, heading));
        }
        for field in kind.fields().iter().filter(|field| field.needed) {
            if !fields.iter().any(|(known, _)| known.name == field.name) {
                let message = format!("`{}` is missing among the fields of this register", field.name);
                let help = format!("name the column with {}", field.says);
                self.fault(&rules::KEY_MISSING, &["fields"], message, &help);
            }
        }
        let unit = group.unit.and_then(|unit| self.unit(&unit, &["unit", &unit]));
        let amount = fields.iter().find(|(field, _)| field.holds == Holds::Amount);
        if let (Some((field, _)), None) = (amount, unit) {
            let message = format!("`unit` is missing beside the amount `{}`", field.name);
            self.fault(&rules::KEY_MISSING, &["fields", field.name], message, "write `unit: kg`");
        }
        Some(RegistersTable { table, kind, fields, unit })
    }
}
