#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::panic, missing_docs)]
//! The plan document: what it says, that it cannot be steered by what it shows, and when it is a draft.

mod command;
mod forms;
mod markup;
mod safety;
mod state;
mod style;
mod whole;

use bourn::check::signing::{Signing, State};
use bourn::document::{self, Order, Paper};
use bourn::finding::Finding;
use bourn::plan::{self, Plan};
use bourn::source::{Source, Sources};
use chrono::NaiveDate;

/// The demo's plan, whose plant, people and product are invented.
pub const GOOSE: &str = include_str!("../../plans/smoked-goose-breast.haccp");

/// A day on which the plan is in force.
pub fn day() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 9, 30).unwrap()
}

/// A plan beside which there is no sign-off file.
pub static UNSIGNED: Signing = Signing { state: State::Unsigned, signatures: Vec::new() };

pub struct Read {
    pub sources: Sources,
    pub plan: Plan,
    pub findings: Vec<Finding>,
}

pub fn read(text: &str) -> Read {
    let mut sources = Sources::new();
    let id = sources.add(Source::new("folder/plan.haccp", text.to_owned()));
    let reading = plan::read(&sources, &[id]);
    Read { sources, plan: reading.plan, findings: reading.findings }
}

impl Read {
    pub fn html(&self) -> String {
        self.html_on(Paper::A4, day())
    }

    pub fn html_on(&self, paper: Paper, on: NaiveDate) -> String {
        let order = Order {
            plan: &self.plan,
            sources: &self.sources,
            findings: &self.findings,
            on,
            signing: Some(&UNSIGNED),
            paper,
        };
        document::plan(&order).unwrap()
    }
}
