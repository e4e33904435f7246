//! The cover: what this text is, in which state, and who must sign it.

use crate::check::signing::{Signing, State};
use crate::document::Order;
use crate::document::labels::{Labels, counted, day};
use crate::document::page::{Block, Cell, Fact, Page, Row, Section, Table};
use crate::finding::Severity;
use crate::plan::Plan;

/// The page with its cover.
pub(crate) fn page(order: &Order<'_>, labels: &Labels<'_>, sections: Vec<Section>) -> Page {
    let plan = order.plan;
    let head = plan.head.as_ref();
    let title = head.map_or("Plan without a name", |head| Plan::title(&head.name, &head.title)).to_owned();
    let owner = head.and_then(|head| head.establishment.clone()).unwrap_or_default();
    let revision = head.and_then(|head| head.revision.as_ref());
    let short = revision.map_or_else(
        || "no revision".to_owned(),
        |revision| format!("Revision {} of {}", revision.number, day(revision.date)),
    );
    let draft = drafts(order);
    let mut cover = vec![Block::Facts { facts: facts(order, labels, draft.is_empty()) }];
    if !draft.is_empty() {
        cover.push(Block::note("draft", "Draft: not for use", draft.iter().map(Cell::text).collect()));
    }
    cover.push(match signed(order) {
        Some(State::Signed) => Block::note("caution", "Sign-off", vec![Cell::text(SIGNED)]),
        _ => Block::note("caution", "Needs sign-off", vec![Cell::text(SIGN_OFF)]),
    });
    cover.push(signing());
    Page {
        lang: "en",
        kind: "HACCP plan".to_owned(),
        title: super::super::clean::clean(&title),
        owner: super::super::clean::clean(&owner),
        head: (if owner.is_empty() { "HACCP plan".to_owned() } else { owner.clone() }, title),
        foot: format!("{short}, {}{}", if draft.is_empty() { "" } else { "DRAFT, " }, mark(order)),
        watermark: if draft.is_empty() { String::new() } else { "DRAFT".to_owned() },
        paper: order.paper,
        sheets: false,
        compact: false,
        cover,
        sections,
    }
}

/// What the sign-off note says.
const SIGN_OFF: &str = "Before it is used, this plan needs sign-off by people trained in HACCP at the plant, and \
acceptance by the regulator wherever the law of the place asks for it. This document supports their judgement and replaces none of it.";

/// What it says where the plan is signed.
const SIGNED: &str = "Somebody has signed this text as approved, as the sign-off file beside the plan says; who, and for what, stands \
under Revision and reassessment. Whether these are the people whom the law of the place asks for, and whether the regulator has to \
accept it, people must see. This document supports their judgement and replaces none of it.";

fn signed<'a>(order: &Order<'a>) -> Option<&'a State> {
    order.signing.map(|signing| &signing.state)
}

/// The sign-off state for the foot of each page.
fn mark(order: &Order<'_>) -> &'static str {
    match order.signing {
        None => "sign-off not looked at",
        Some(signing) if signing.state == State::Unsigned => "unsigned",
        Some(signing) => signing.word(),
    }
}

/// Why the plan is a draft; empty if it is none.
fn drafts(order: &Order<'_>) -> Vec<String> {
    let mut reasons = Vec::new();
    let errors = order.findings.iter().filter(|finding| finding.rule.severity == Severity::Error).count();
    if errors > 0 {
        let warnings = order.findings.iter().filter(|finding| finding.rule.severity == Severity::Warning).count();
        let also = if warnings > 0 { format!(" and {}", counted(warnings, "warning")) } else { String::new() };
        reasons.push(format!(
            "The check of {} found {}{also}; the plan is shown as far as it could be read.",
            order.on,
            counted(errors, "error")
        ));
    }
    match order.plan.blanks.len() {
        0 => {}
        1 => reasons.push("1 value is still to be set by the plant.".to_owned()),
        count => reasons.push(format!("{count} values are still to be set by the plant.")),
    }
    if order.plan.head.as_ref().is_none_or(|head| head.in_force.is_none()) {
        reasons.push("No day is set from which the plan is in force.".to_owned());
    }
    reasons
}

fn facts(order: &Order<'_>, labels: &Labels<'_>, clean: bool) -> Vec<Fact> {
    let head = labels.plan().head.as_ref();
    let mut facts = Vec::new();
    let mut add = |name: &str, text: Option<String>| facts.push(Fact::new(name, Cell::said(text.as_deref())));
    add("Plant", head.and_then(|head| head.establishment.clone()));
    add("Address", head.and_then(|head| head.address.clone()));
    let revision = head.and_then(|head| head.revision.as_ref());
    add("Revision", revision.map(|revision| revision.number.clone()));
    add("Date of revision", revision.map(|revision| day(revision.date)));
    if let Some(earlier) = head.and_then(|head| head.earlier().first().copied()) {
        add("Supersedes", Some(format!("revision {} of {}", earlier.number, day(earlier.date))));
    }
    add(
        "In force from",
        head.and_then(|head| head.in_force.as_ref()).map(|date| {
            let ahead =
                if date.value > order.on { format!(" (not yet in force on {})", order.on) } else { String::new() };
            format!("{}{ahead}", date.value)
        }),
    );
    let regimes: Vec<&str> =
        head.map(|head| head.regimes.iter().map(|name| regime(&name.text)).collect()).unwrap_or_default();
    add("Rules it answers to", (!regimes.is_empty()).then(|| regimes.join("; ")));
    add(
        "State of the text",
        Some(if clean {
            format!("no value blank; no error found by the check of {}", order.on)
        } else {
            "draft".to_owned()
        }),
    );
    add("Sign-off state", Some(order.signing.map_or_else(|| mark(order).to_owned(), Signing::words)));
    facts
}

/// A regime in words.
pub(super) fn regime(name: &str) -> &str {
    match name {
        "codex" => "Codex general principles of food hygiene (CXC 1-1969)",
        "us-meat-poultry" => "United States, meat and poultry (9 CFR 417)",
        "us-seafood" => "United States, fish and fishery products (21 CFR 123)",
        "us-juice" => "United States, juice (21 CFR 120)",
        "us-preventive-controls" => "United States, preventive controls (21 CFR 117)",
        "eu" => "European Union (Regulation (EC) No 852/2004)",
        other => other,
    }
}

/// Lines to sign by hand.
fn signing() -> Block {
    let line = |role: &str| Row::new(vec![Cell::text(role), Cell::empty(), Cell::empty(), Cell::empty()]);
    let rows =
        ["Leader of the HACCP team", "Responsible official of the plant", "Regulator, where required", ""].map(line);
    Block::Table(
        Table::new(
            "Approval, to be signed by hand",
            &[("Role", 30), ("Name", 27), ("Signature", 27), ("Date", 16)],
            vec![crate::document::page::Group { id: String::new(), rows: rows.into() }],
        )
        .look("signing"),
    )
}
