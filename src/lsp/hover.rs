//! What the word under the cursor means.

use super::context::spot;
use super::snapshot::{File, Known, Snapshot};
use crate::clause::clause;
use crate::plan::lower::PROSE_LIMIT;
use crate::plan::names::Kind;
use crate::plan::uses::Thing;
use crate::plan::{LimitKind, Plan};
use crate::quantity::UnitDef;
use crate::source::{Loc, Span};
use crate::syntax::words::{Use, words};
use lsp_types::{Contents, Hover, MarkupContent, MarkupKind};

/// The Codex clause that a statement or block answers.
pub(super) const RESTS: &[(&str, &str)] = &[
    ("team", "codex.team"),
    ("leader", "codex.team"),
    ("scope", "codex.scope"),
    ("product", "codex.product"),
    ("use", "codex.use"),
    ("consumers", "codex.use"),
    ("step", "codex.flow"),
    ("flow-confirmed", "codex.flow.confirm"),
    ("hazard", "codex.hazards.list"),
    ("significant", "codex.hazards.eval"),
    ("not-significant", "codex.hazards.eval"),
    ("likelihood", "codex.hazards.eval"),
    ("severity", "codex.hazards.eval"),
    ("acceptable-level", "codex.acceptable"),
    ("control", "codex.measures"),
    ("ccp", "codex.ccp"),
    ("decision", "codex.ccp"),
    ("limit", "codex.limit"),
    ("monitor", "codex.monitor"),
    ("deviation", "codex.corrective.plan"),
    ("cause", "codex.corrective.cause"),
    ("hold", "codex.corrective.hold"),
    ("disposition", "codex.corrective.hold"),
    ("validated", "codex.validate"),
    ("verify", "codex.verify"),
    ("reassess", "codex.review"),
    ("record", "codex.records"),
    ("kept", "codex.retain"),
    ("trained", "codex.train"),
    ("allergens", "codex.allergen"),
];

/// What stands under a byte.
pub(super) fn hover(snapshot: &Snapshot, file: &File, at: usize, known: &Known) -> Option<Hover> {
    let text = snapshot.text(file);
    let made = |value: String, span: Span| {
        let contents = Contents::MarkupContent(MarkupContent { kind: MarkupKind::Markdown, value });
        Some(Hover { contents, range: Some(snapshot.range(file, span)) })
    };
    if let Some(found) = snapshot.uses.at(Loc { source: file.id, span: Span::new(at, at) }) {
        let words = thing(&snapshot.plan, &found.thing)?;
        return made(words + &asks_for(&snapshot.plan, &found.thing), found.loc.span);
    }
    let span = word(text, at)?;
    let token = text.get(span.start..span.end)?;
    let here = spot(text, span.start);
    if here.comment || here.quoted.is_some() {
        return None;
    }
    if let Some((span, words)) = super::inlay::other_scale(text, &file.tree, at) {
        return made(format!("`{}` {words}", text.get(span.start..span.end)?), span);
    }
    if here.before.trim().is_empty()
        && matches!(token, "limit" | "operating-limit" | "guide" | "identity")
        && let Some(words) = limit_at(snapshot, Loc { source: file.id, span })
    {
        return made(format!("{}\n\n{words}", meaning(&snapshot.plan, token, here.block.as_deref())?), span);
    }
    if let Some(words) = meaning(&snapshot.plan, token, here.block.as_deref().filter(|_| here.before.trim().is_empty()))
    {
        return made(words, span);
    }
    if let Some(unit) = UnitDef::find(token) {
        return made(format!("**{}**: {}", unit.symbol, unit.dimension.word()), span);
    }
    made(known.about(token)?.to_owned(), span)
}

/// The word around a byte.
pub(super) fn word(text: &str, at: usize) -> Option<Span> {
    let part = |c: char| c.is_alphanumeric() || "-_.°%µ".contains(c);
    let before = text.get(..at)?.chars().rev().take_while(|c| part(*c)).map(char::len_utf8).sum::<usize>();
    let after = text.get(at..)?.chars().take_while(|c| part(*c)).map(char::len_utf8).sum::<usize>();
    (before + after > 0).then(|| Span::new(at - before, at + after))
}

/// The clauses by which the regimes of a plan ask for critical limits; that of Codex where it names none.
fn limit_clauses(plan: &Plan) -> String {
    let regimes = plan.regimes();
    let asked = PROSE_LIMIT.clauses.iter().filter_map(|id| clause(id));
    let asked =
        asked.filter(|clause| if regimes.is_empty() { clause.id == "codex.limit" } else { clause.of_any(&regimes) });
    asked.map(|clause| format!("\n\n{}", clause.note())).collect()
}

/// The same behind what is said of a critical limit; nothing behind other things.
fn asks_for(plan: &Plan, thing: &Thing) -> String {
    let Thing::Limit(control, name) = thing else { return String::new() };
    let limit = plan.control(control).and_then(|control| control.limits.iter().find(|limit| limit.name == **name));
    match limit {
        Some(limit) if limit.kind == LimitKind::Critical => limit_clauses(plan),
        _ => String::new(),
    }
}

/// A word of the vocabulary: meaning, where it stands, the clauses. The use in this block comes before others.
fn meaning(plan: &Plan, token: &str, block: Option<&str>) -> Option<String> {
    let all = || words().iter().filter(|entry| entry.word == token);
    let in_block = all().find(|entry| block.is_some_and(|block| entry.blocks.iter().any(|name| name == block)));
    let entry = match block {
        Some(_) => in_block.or_else(|| all().find(|entry| entry.used == Use::Inside)).or_else(|| all().next()),
        None => all().find(|entry| entry.used == Use::Block).or_else(|| all().next()),
    }?;
    let place = match entry.used {
        Use::Block => "begins a block".to_owned(),
        Use::Statement => format!("statement of {}", entry.blocks.join(", ")),
        Use::Inside => "inside a statement".to_owned(),
    };
    let mut out = format!("**{token}** ({place}): {}", entry.meaning);
    if token == "limit" && entry.used == Use::Statement {
        return Some(out + &limit_clauses(plan));
    }
    let rests = RESTS.iter().filter(|_| entry.used != Use::Inside).find(|(word, _)| *word == token);
    if let Some(clause) = rests.and_then(|(_, id)| clause(id)) {
        out.push_str(&format!("\n\n{}", clause.note()));
    }
    Some(out)
}

fn limit_at(snapshot: &Snapshot, word: Loc) -> Option<String> {
    let limits =
        snapshot.plan.controls.iter().flat_map(|control| control.limits.iter().map(move |limit| (control, limit)));
    let name = |limit: &crate::plan::Limit| limit.name.loc;
    let (control, limit) = limits
        .filter(|(_, limit)| name(limit).source == word.source && name(limit).span.start >= word.span.end)
        .min_by_key(|(_, limit)| name(limit).span.start)?;
    thing(&snapshot.plan, &Thing::Limit(control.name.text.clone(), limit.name.text.clone()))
}

/// What a plan says of one of its things, in a few lines.
pub(super) fn thing(plan: &Plan, thing: &Thing) -> Option<String> {
    let head = |title: &Option<String>| match title {
        Some(title) => format!("**{}** ({}): {title}", thing.name(), thing.word()),
        None => format!("**{}** ({})", thing.name(), thing.word()),
    };
    let (kind, name) = match thing {
        Thing::Limit(control, name) => {
            let control = plan.control(control)?;
            let limit = control.limits.iter().find(|limit| limit.name == **name)?;
            return Some(format!("**{name}** ({} of {}): {}", limit.kind.word(), control.name, limit.sentence(plan)));
        }
        Thing::Answer(parameter, answer) => return Some(format!("**{answer}** (answer of {parameter})")),
        Thing::Declared(kind, name) => (*kind, name.as_str()),
    };
    let lines = |title: &Option<String>, more: Vec<Option<String>>| {
        let more: Vec<String> = more.into_iter().flatten().collect();
        Some(if more.is_empty() { head(title) } else { format!("{}\n\n{}", head(title), more.join("  \n")) })
    };
    match kind {
        Kind::Role => plan.role(name).and_then(|role| lines(&role.title, vec![role.duties.clone()])),
        Kind::Product => {
            plan.products.iter().find(|one| one.name == *name).and_then(|product| {
                lines(&product.title, vec![product.description.clone(), product.intended_use.clone()])
            })
        }
        Kind::Material => plan.material(name).and_then(|material| {
            let kind = material.kind.map(|kind| kind.word().to_owned());
            lines(&material.title, vec![kind, material.supplier.clone()])
        }),
        Kind::Equipment => plan.equipment_named(name).and_then(|one| lines(&one.title, vec![one.description.clone()])),
        Kind::Instrument => plan.instrument(name).and_then(|instrument| {
            let measures: Vec<&str> = instrument.measures.iter().map(|name| name.text.as_str()).collect();
            lines(&instrument.title, vec![(!measures.is_empty()).then(|| format!("measures {}", measures.join(", ")))])
        }),
        Kind::Parameter => plan.parameter(name).and_then(|parameter| {
            let unit = parameter.unit.as_ref().map(|unit| format!("in {}", unit.value.symbol));
            let answers: Vec<&str> = parameter.answers.iter().map(|name| name.text.as_str()).collect();
            lines(
                &parameter.title,
                vec![unit, (!answers.is_empty()).then(|| format!("answers {}", answers.join(", ")))],
            )
        }),
        Kind::Hazard => plan.hazard(name).and_then(|hazard| {
            let class = hazard.class.map(|class| class.word().to_owned());
            let level = hazard.acceptable_level.as_ref().map(|level| format!("acceptable level: {level}"));
            lines(&hazard.title, vec![class, level])
        }),
        Kind::Step => plan.step(name).and_then(|step| lines(&step.title, vec![step.does.clone()])),
        Kind::Stage => plan.stage(name).and_then(|(step, stage)| {
            let to = stage.ends_at().or(stage.ends_when()).map_or("", |name| name.text.as_str());
            lines(&None, vec![Some(format!("of step {}, from {} to {to}", step.name, stage.from))])
        }),
        Kind::Programme => plan.programme(name).and_then(|one| lines(&one.title, vec![one.covers.clone()])),
        Kind::Control => plan.control(name).and_then(|control| {
            let mut more = vec![control.number.clone()];
            more.extend(control.limits.iter().map(|limit| Some(format!("{}: {}", limit.name, limit.sentence(plan)))));
            lines(&control.title, more)
        }),
        Kind::Table => plan.table(name).and_then(|table| lines(&table.title, Vec::new())),
        Kind::Inactivation => plan.inactivation(name).and_then(|one| lines(&one.title, Vec::new())),
        Kind::GrowthModel => plan.growth_model(name).and_then(|one| lines(&one.title, Vec::new())),
        Kind::Citable => plan.citable(name).and_then(|citable| {
            lines(&citable.title, vec![citable.publisher.clone(), citable.edition.clone(), citable.finding.clone()])
        }),
        Kind::Record => plan.record(name).and_then(|record| lines(&record.title, Vec::new())),
        Kind::Event => {
            plan.event(name).and_then(|event| lines(&event.title, vec![Some(format!("on record {}", event.record))]))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_clause_and_word_of_the_list_exists() {
        for (word, id) in RESTS {
            assert!(clause(id).is_some(), "{id}");
            assert!(words().iter().any(|entry| entry.word == *word && entry.used != Use::Inside), "{word}");
        }
    }
}
