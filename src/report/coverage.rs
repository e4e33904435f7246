//! The table of clauses, for the terminal and for machines.

use crate::check::coverage::{Line, Standing, Thing, UNANSWERED_TOPIC};
use crate::report::{json, terminal};
use crate::source::{Place, Sources};
use serde_json::{Value, json};

/// The word for how a plan stands to a clause.
#[must_use]
pub fn word(standing: &Standing) -> &'static str {
    match standing {
        Standing::Met(_) => "answered",
        Standing::Missing(_) => "missing",
        Standing::Person(_) => "a person must judge",
        Standing::SignOff(word, _) => word,
        Standing::Unsaid(..) => "not said whether it applies",
        Standing::DoesNotApply(_) => "does not apply",
    }
}

/// Clause, standing and what it rests on, in lines of text; at the end how many there are of each.
#[must_use]
pub fn text(sources: &Sources, lines: &[Line]) -> String {
    let mut out = String::new();
    let mut counts: Vec<(&str, usize)> = Vec::new();
    for line in lines {
        let word = word(&line.standing);
        match counts.iter_mut().find(|(known, _)| *known == word) {
            Some((_, count)) => *count += 1,
            None => counts.push((word, 1)),
        }
        out.push_str(&format!(
            "{}  [{word}]\n    {}{}\n",
            line.clause.citation,
            line.clause.gist,
            line.clause.caveat()
        ));
        let rests: Vec<String> = match &line.standing {
            Standing::Met(things) | Standing::Person(things) => {
                things.iter().map(|thing| shown(sources, thing)).collect()
            }
            Standing::Missing(codes) => codes.iter().map(|code| format!("finding {code}; see `bourn check`")).collect(),
            Standing::SignOff(_, by) if by.is_empty() => Vec::new(),
            Standing::SignOff(_, by) => vec![terminal::clean(by)],
            Standing::Unsaid(topic, question) => vec![format!("{topic}: {question}")],
            Standing::DoesNotApply(why) => vec![terminal::clean(why)],
        };
        for rest in rests.iter().take(3) {
            out.push_str(&format!("    - {rest}\n"));
        }
        if rests.len() > 3 {
            out.push_str(&format!("    - and {} more\n", rests.len() - 3));
        }
        out.push('\n');
    }
    let counted: Vec<String> = counts.iter().map(|(word, count)| format!("{count} {word}")).collect();
    out.push_str(&format!("{} clauses: {}\n", lines.len(), counted.join(", ")));
    out.push_str("The check reads the text of the plan and not the plant; the wording is ours, and the text of the rule decides.\n");
    out
}

fn shown(sources: &Sources, thing: &Thing) -> String {
    terminal::clean(&format!("{} ({})", thing.words, terminal::place(sources, &Place::Text(thing.loc))))
}

/// One object a clause.
#[must_use]
pub fn value(sources: &Sources, lines: &[Line]) -> Value {
    let things = |things: &[Thing]| -> Value {
        let one =
            |thing: &Thing| json!({ "what": thing.words, "place": json::place(sources, &Place::Text(thing.loc)) });
        things.iter().map(one).collect()
    };
    lines
        .iter()
        .map(|line| {
            let clause = line.clause;
            let (by, codes, reason) = match &line.standing {
                Standing::Met(found) | Standing::Person(found) => (things(found), json!([]), Value::Null),
                Standing::Missing(codes) => (json!([]), json!(codes), Value::Null),
                Standing::SignOff(_, by) if by.is_empty() => (json!([]), json!([]), Value::Null),
                Standing::SignOff(_, by) => (json!([]), json!([]), json!(by)),
                Standing::Unsaid(topic, question) => {
                    (json!([]), json!([UNANSWERED_TOPIC.code]), json!(format!("{topic}: {question}")))
                }
                Standing::DoesNotApply(why) => (json!([]), json!([]), json!(why)),
            };
            json!({
                "id": clause.id,
                "citation": clause.citation,
                "regimes": clause.regimes,
                "part": clause.part,
                "force": clause.force.word(),
                "text-read": clause.text_read.word(),
                "gist": clause.gist,
                "standing": word(&line.standing),
                "by": by,
                "findings": codes,
                "reason": reason,
            })
        })
        .collect()
}
