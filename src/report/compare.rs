//! The changes between two texts of a plan: for the terminal, for a review comment, for machines.

use super::json;
use super::terminal::{self, clean};
use crate::compare::{Bearing, Change, Comparison, Demand};
use crate::source::{Loc, Place, Sources};
use serde_json::{Value, json};

/// One of the two texts.
#[derive(Debug, Clone)]
pub struct Side {
    /// As it was named.
    pub name: String,
    /// Its sources.
    pub sources: Sources,
    /// How many faults there are in it that hide something.
    pub faults: usize,
}

/// What is said where a part of a text could not be read.
pub const UNREAD: &str = "a part of the plan could not be read, so what is told may not be all that changed";

/// What is said where a demand has no clause.
pub const PRACTICE: &str = "common practice, no source";

const CAUTION: &str = "The texts are compared, not the plant. What a change demands is for trained people to judge; local law and the\n\
competent authority prevail.";

fn place(side: &Side, loc: Option<Loc>) -> Option<String> {
    // A thing with no text of its own stands nowhere.
    let loc = loc.filter(|loc| loc.span.end > 0)?;
    Some(terminal::place(&side.sources, &Place::Text(loc)))
}

fn count(changes: usize) -> String {
    match changes {
        0 => "no change in meaning".to_owned(),
        1 => "1 change".to_owned(),
        many => format!("{many} changes"),
    }
}

fn demands(change: &Change) -> String {
    change.demands().iter().map(|demand| demand.words()).collect::<Vec<_>>().join("; ")
}

/// Lines of text: the changes, weaker ones first, and then what they demand, each demand with its clauses once.
#[must_use]
pub fn text(old: &Side, new: &Side, comparison: &Comparison) -> String {
    let (before, after) = (clean(&old.name), clean(&new.name));
    let mut out = format!("{before} to {after}: {}\n", count(comparison.changes.len()));
    for bearing in Bearing::ALL {
        let mut headed = false;
        for change in comparison.changes.iter().filter(|change| change.kind.bearing() == bearing) {
            if !headed {
                out.push_str(&format!("\n{}\n", bearing.heading()));
                headed = true;
            }
            out.push_str(&format!("\n  {}\n", clean(&change.title())));
            for (word, said, at) in
                [("was", &change.from, place(old, change.old)), ("is", &change.to, place(new, change.new))]
            {
                if let Some(said) = said {
                    let at = at.map_or_else(String::new, |at| format!("  ({at})"));
                    out.push_str(&format!("    {word:4} {}{at}\n", clean(said)));
                }
            }
            if let Some(note) = &change.note {
                out.push_str(&format!("    note {}\n", clean(note)));
            }
            if !change.demands().is_empty() {
                out.push_str(&format!("    then {}\n", demands(change)));
            }
        }
    }
    if !comparison.demanded.is_empty() {
        out.push_str("\nWhat the changes demand\n");
    }
    for demanded in &comparison.demanded {
        out.push_str(&format!("\n  {} ({})\n", demanded.demand.words(), count(demanded.changes.len())));
        for clause in &demanded.clauses {
            out.push_str(&format!("    - {}\n", clause.note()));
        }
        if demanded.clauses.is_empty() {
            out.push_str(&format!("    - {PRACTICE}\n"));
        }
    }
    if !comparison.changes.is_empty() {
        out.push_str(&format!("\n{CAUTION}\n"));
    }
    out
}

/// Text that markdown takes as it stands: nothing in it opens a tag, a link, a cell or an emphasis.
fn escaped(text: &str) -> String {
    let mut out = String::new();
    let mut code = false;
    for c in clean(text).chars() {
        match c {
            // Names stand between backticks already; inside, nothing but a bar needs care.
            '`' => {
                code = !code;
                out.push(c);
            }
            '\n' | '\t' => out.push(' '),
            '|' => out.push_str("\\|"),
            _ if code => out.push(c),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '&' => out.push_str("&amp;"),
            '\\' | '*' | '_' | '[' | ']' | '#' | '~' | '@' => {
                out.push('\\');
                out.push(c);
            }
            _ => out.push(c),
        }
    }
    if code {
        out.push('`');
    }
    out
}

/// Markdown for a review comment: a table of changes and a list of demands.
#[must_use]
pub fn markdown(old: &Side, new: &Side, comparison: &Comparison) -> String {
    let (before, after) = (escaped(&old.name), escaped(&new.name));
    let mut out = format!("### Changes to the plan: {}\n\n{before} to {after}\n", count(comparison.changes.len()));
    if old.faults + new.faults > 0 {
        out.push_str(&format!("\n**Note:** {UNREAD}.\n"));
    }
    for bearing in Bearing::ALL {
        let told: Vec<&Change> = comparison.changes.iter().filter(|change| change.kind.bearing() == bearing).collect();
        if told.is_empty() {
            continue;
        }
        out.push_str(&format!(
            "\n#### {}\n\n| change | was | is | then |\n| --- | --- | --- | --- |\n",
            bearing.heading()
        ));
        for change in told {
            let said = |said: &Option<String>| said.as_ref().map_or_else(String::new, |said| escaped(said));
            let note = change.note.as_ref().map_or_else(String::new, |note| format!(" ({})", escaped(note)));
            let (from, to) = (said(&change.from), said(&change.to));
            out.push_str(&format!("| {}{note} | {from} | {to} | {} |\n", escaped(&change.title()), demands(change)));
        }
    }
    if !comparison.demanded.is_empty() {
        out.push_str("\n#### What the changes demand\n\n");
    }
    for demanded in &comparison.demanded {
        out.push_str(&format!("- [ ] {} ({})\n", demanded.demand.words(), count(demanded.changes.len())));
        for clause in &demanded.clauses {
            out.push_str(&format!("  - {}\n", escaped(&clause.note())));
        }
        if demanded.clauses.is_empty() {
            out.push_str(&format!("  - {PRACTICE}\n"));
        }
    }
    if !comparison.changes.is_empty() {
        out.push_str(&format!("\n{}\n", CAUTION.replace('\n', " ")));
    }
    out
}

/// One object, as `docs/schemas/compare.schema.json` describes it.
#[must_use]
pub fn value(old: &Side, new: &Side, comparison: &Comparison) -> Value {
    let at = |side: &Side, loc: Option<Loc>| {
        loc.filter(|loc| loc.span.end > 0).map_or(Value::Null, |loc| json::place(&side.sources, &Place::Text(loc)))
    };
    let asked = |demand: Demand| {
        let clauses: Vec<&str> = comparison.clauses(demand).iter().map(|clause| clause.id).collect();
        json!({ "demand": demand.word(), "clauses": clauses })
    };
    let changes: Vec<Value> = comparison
        .changes
        .iter()
        .map(|change| {
            json!({
                "kind": change.kind.word(),
                "bearing": change.kind.bearing().word(),
                "what": change.what,
                "respect": change.respect,
                "from": change.from,
                "to": change.to,
                "amount": change.amount,
                "note": change.note,
                "old": at(old, change.old),
                "new": at(new, change.new),
                "demands": change.demands().iter().map(|demand| asked(*demand)).collect::<Vec<_>>(),
            })
        })
        .collect();
    let demands: Vec<Value> = comparison
        .demanded
        .iter()
        .map(|demanded| {
            let clauses: Vec<Value> = demanded
                .clauses
                .iter()
                .map(|clause| {
                    json!({
                        "id": clause.id,
                        "citation": clause.citation,
                        "text-read": clause.text_read.word(),
                        "gist": clause.gist,
                    })
                })
                .collect();
            json!({
                "demand": demanded.demand.word(),
                "words": demanded.demand.words(),
                "source": if clauses.is_empty() { PRACTICE } else { "clauses" },
                "clauses": clauses,
                "changes": demanded.changes,
            })
        })
        .collect();
    json!({
        "bourn": env!("CARGO_PKG_VERSION"),
        "old": old.name,
        "new": new.name,
        "complete": old.faults + new.faults == 0,
        "changes": changes,
        "demands": demands,
    })
}
