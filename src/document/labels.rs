//! What things are called in a document: numbers, titles, anchors.

use super::clean::anchor;
use super::page::{Cell, Piece};
use crate::plan::{Citation, Control, Name, Plan};
use chrono::NaiveDate;
use std::collections::BTreeMap;

/// Names of a plan's things as the document prints them.
#[derive(Debug)]
pub struct Labels<'a> {
    plan: &'a Plan,
    steps: BTreeMap<&'a str, String>,
    controls: BTreeMap<&'a str, String>,
}

impl<'a> Labels<'a> {
    /// Numbers the steps and CCPs of a plan: as pinned, else by their order.
    #[must_use]
    pub fn new(plan: &'a Plan) -> Self {
        let mut steps = BTreeMap::new();
        for (at, step) in plan.steps.iter().enumerate() {
            let number = step.number.clone().unwrap_or_else(|| (at + 1).to_string());
            steps.entry(step.name.text.as_str()).or_insert(number);
        }
        let mut controls = BTreeMap::new();
        for (at, control) in plan.ccps().enumerate() {
            let number = control.number.clone().unwrap_or_else(|| format!("CCP {}", at + 1));
            controls.entry(control.name.text.as_str()).or_insert(number);
        }
        for control in plan.controls.iter().filter(|control| !control.is_ccp()) {
            if let Some(number) = &control.number {
                controls.entry(control.name.text.as_str()).or_insert_with(|| number.clone());
            }
        }
        Self { plan, steps, controls }
    }

    /// The plan.
    #[must_use]
    pub fn plan(&self) -> &'a Plan {
        self.plan
    }

    /// The number of a step; empty if the plan has no such step.
    #[must_use]
    pub fn step_number(&self, name: &str) -> &str {
        self.steps.get(name).map_or("", String::as_str)
    }

    /// `3 Humid cook`, leading to its row of the hazard analysis.
    #[must_use]
    pub fn step(&self, name: &Name) -> Piece {
        match self.plan.step(&name.text) {
            Some(step) => {
                Piece::plain(format!("{} {}", self.step_number(&name.text), Plan::title(&step.name, &step.title)))
                    .to(anchor("step", &name.text))
            }
            None => Piece::plain(&name.text),
        }
    }

    /// `CCP 1`, or the title of a control without number.
    #[must_use]
    pub fn mark(&self, control: &Control) -> String {
        self.controls
            .get(control.name.text.as_str())
            .cloned()
            .unwrap_or_else(|| Plan::title(&control.name, &control.title).to_owned())
    }

    /// `CCP 1 Lethality`.
    #[must_use]
    pub fn control_title(&self, control: &Control) -> String {
        let title = Plan::title(&control.name, &control.title);
        match self.controls.get(control.name.text.as_str()) {
            Some(number) => format!("{number} {title}"),
            None => title.to_owned(),
        }
    }

    /// `CCP 1 Lethality`, leading to its page.
    #[must_use]
    pub fn control(&self, name: &Name) -> Piece {
        match self.plan.control(&name.text) {
            Some(control) => Piece::plain(self.control_title(control)).to(anchor("control", &name.text)),
            None => self.programme(name),
        }
    }

    /// The title of a hazard, leading to its row.
    #[must_use]
    pub fn hazard(&self, name: &Name) -> Piece {
        match self.plan.hazard(&name.text) {
            Some(hazard) => Piece::plain(Plan::title(&hazard.name, &hazard.title)).to(anchor("hazard", &name.text)),
            None => Piece::plain(&name.text),
        }
    }

    /// The title of a programme, leading to it.
    #[must_use]
    pub fn programme(&self, name: &Name) -> Piece {
        match self.plan.programme(&name.text) {
            Some(programme) => {
                Piece::plain(Plan::title(&programme.name, &programme.title)).to(anchor("programme", &name.text))
            }
            None => Piece::plain(&name.text),
        }
    }

    /// The title of a role.
    #[must_use]
    pub fn role(&self, name: &Name) -> String {
        self.plan
            .role(&name.text)
            .map_or_else(|| name.text.clone(), |role| Plan::title(&role.name, &role.title).to_owned())
    }

    /// The title of a record.
    #[must_use]
    pub fn record(&self, name: &Name) -> String {
        self.plan
            .record(&name.text)
            .map_or_else(|| name.text.clone(), |record| Plan::title(&record.name, &record.title).to_owned())
    }

    /// The title of a parameter.
    #[must_use]
    pub fn parameter(&self, name: &Name) -> String {
        self.plan
            .parameter(&name.text)
            .map_or_else(|| name.text.clone(), |thing| Plan::title(&thing.name, &thing.title).to_owned())
    }

    /// The title of an instrument.
    #[must_use]
    pub fn instrument(&self, name: &Name) -> String {
        self.plan
            .instrument(&name.text)
            .map_or_else(|| name.text.clone(), |thing| Plan::title(&thing.name, &thing.title).to_owned())
    }

    /// The title of whatever a step uses: material or equipment.
    #[must_use]
    pub fn used(&self, name: &Name) -> String {
        let material = self.plan.material(&name.text).map(|thing| Plan::title(&thing.name, &thing.title));
        let equipment = self.plan.equipment_named(&name.text).map(|thing| Plan::title(&thing.name, &thing.title));
        material.or(equipment).unwrap_or(&name.text).to_owned()
    }

    /// The title of a source or study, leading to it.
    #[must_use]
    pub fn citable(&self, name: &Name) -> Piece {
        match self.plan.citable(&name.text) {
            Some(thing) => Piece::plain(Plan::title(&thing.name, &thing.title)).to(anchor("evidence", &name.text)),
            None => Piece::plain(&name.text),
        }
    }

    /// One line a citation: title and place in it.
    #[must_use]
    pub fn cites(&self, cites: &[Citation]) -> Cell {
        Cell::lines(cites.iter().map(|cite| {
            let mut line = vec![self.citable(&cite.name)];
            if let Some(at) = &cite.at {
                line.push(Piece::plain(format!(", {at}")));
            }
            line
        }))
    }
}

/// A day, or a line to write it on.
#[must_use]
pub fn day(date: Option<NaiveDate>) -> String {
    date.map_or_else(|| "____-__-__".to_owned(), |date| date.to_string())
}

/// A word of a closed set with hyphens as spaces.
#[must_use]
pub fn spaced(word: &str) -> String {
    word.replace('-', " ")
}

/// With a capital first letter.
#[must_use]
pub fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}

/// `1 error`, `3 errors`.
#[must_use]
pub fn counted(count: usize, word: &str) -> String {
    format!("{count} {word}{}", if count == 1 { "" } else { "s" })
}
