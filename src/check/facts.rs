//! What hangs on facts about the lot: guards cover every answer, and a table has a row for every lot.

use super::{Desk, cover};
use crate::finding::Finding;
use crate::plan::limit::{Measured, Range};
use crate::plan::{Condition, Control, Guard, Limit, Name, Over, Table, TableRow};
use std::cmp::Ordering;

crate::rules! {
    /// Limits of one family, each for some lots, that leave an answer or a stretch of values without a limit.
    ///
    /// A family is the limits of one control and one kind on the same parameters that ask for the same sort of thing. A
    /// lot of the answer that is left out would have no limit at all, and nobody would see it.
    UNCOVERED = "L301" "uncovered-lots" Error ["codex.limit"];
    /// A table whose rows hang on facts about the lot, without a row for a lot whose fact is not known.
    NO_DEFAULT_ROW = "L302" "no-row-for-an-unknown-fact" Error ["codex.limit"];
    /// The row for an unknown fact asks for less than a row that it stands in for.
    ///
    /// A fact that nobody recorded would then be the easier way.
    WEAK_DEFAULT_ROW = "L303" "weak-default-row" Error ["codex.limit"];
    /// In a table a hotter row asks for a longer time than a cooler one, or a colder row for longer than a warmer one.
    ///
    /// Of rows that are as good as each other, the more severe one needs less time; one of the two figures is wrong.
    REVERSED_ROWS = "L304" "reversed-rows" Error ["codex.limit"];
    /// A row of a table that does not say over what it must hold.
    ///
    /// It would bind every moment, which a row of a time-temperature table never means.
    ROW_WITHOUT_TIME = "L305" "row-without-time" Error ["codex.limit"];
    /// A choice made beforehand whose answers are not the options, or rows, that it chooses from.
    ///
    /// A recorded choice that names nothing decides nothing, and an option that no answer names is never judged.
    CHOICE_DOES_NOT_FIT = "L306" "choice-does-not-fit" Error ["codex.limit"];
    /// A limit or a row hangs on a fact that no record holds for each lot.
    ///
    /// Whether it counts is then never known, and such a limit is never met. A check on a line is no fact about a lot.
    FACT_NOT_RECORDED = "L307" "fact-not-recorded" Error ["codex.limit", "codex.records"];
}

pub(super) fn check(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    for control in &plan.controls {
        families(desk, control);
        for condition in control.limits.iter().filter_map(|limit| limit.condition.as_ref()) {
            choice(desk, condition);
        }
        for limit in &control.limits {
            limit.facts().into_iter().for_each(|fact| recorded(desk, fact, &format!("`{}`", limit.name)));
        }
    }
    for table in &plan.tables {
        for row in table.rows.iter().filter(|row| matches!(row.over, Over::Always)) {
            desk.say(
                Finding::at(&ROW_WITHOUT_TIME, row.loc, "this row does not say over what it must hold")
                    .help("add `held for TIME`, or `throughout STAGE` where every moment is meant"),
            );
        }
        for fact in table.rows.iter().filter_map(|row| row.guard.as_ref()).flat_map(Guard::names) {
            recorded(desk, fact, &format!("a row of `{}`", table.name));
        }
        default_row(desk, table);
        in_order(desk, table);
    }
}

/// What a limit is for: two limits of one purpose on one parameter belong together.
#[derive(PartialEq, Eq)]
enum Purpose {
    /// At least so much, so hot, so long.
    Least,
    /// At most so much, so warm, so long.
    Most,
    /// A band, or a value that is met on both sides.
    Band,
    /// A way from one value to another, or a fall.
    Way,
    /// Answers of checks.
    Answers,
    /// Anything else.
    Other,
}

fn purpose(condition: &Condition) -> Purpose {
    match condition {
        Condition::Level { over: Over::TotalAtMost(_) | Over::StretchAtMost(_), .. }
        | Condition::Growth { .. }
        | Condition::DegreeHours { .. }
        | Condition::Attributes { .. } => Purpose::Most,
        Condition::Level { range, .. } => side(range),
        Condition::Never { .. } => Purpose::Band,
        Condition::Reaches { .. }
        | Condition::Reduction { .. }
        | Condition::Equivalent { .. }
        | Condition::AnyRow { .. }
        | Condition::ChosenRow { .. } => Purpose::Least,
        Condition::Passage { .. } | Condition::Falls { .. } => Purpose::Way,
        Condition::Answers(_) => Purpose::Answers,
        _ => Purpose::Other,
    }
}

fn side(range: &Range) -> Purpose {
    match (&range.lower, &range.upper) {
        (Some(_), None) => Purpose::Least,
        (None, Some(_)) => Purpose::Most,
        _ => Purpose::Band,
    }
}

/// Whether two limits are of one family.
fn related(one: &Limit, other: &Limit) -> bool {
    let purposes = |limit: &Limit| limit.condition.as_ref().map(purpose);
    one.kind == other.kind && purposes(one) == purposes(other) && about(one) == about(other)
}

/// What a limit or a row hangs on is recorded for each lot.
fn recorded(desk: &mut Desk<'_>, fact: &Name, what: &str) {
    let Some(declared) = desk.plan.parameter(&fact.text).filter(|declared| declared.recorded.is_none()) else { return };
    desk.say(
        Finding::at(
            &FACT_NOT_RECORDED,
            fact.loc,
            format!("{what} hangs on `{fact}`, which no record holds for each lot"),
        )
        .also(declared.loc, "declared here")
        .help(format!("add `recorded each lot on RECORD` to the parameter `{fact}`")),
    );
}

/// The answers of a choice are the names of what it chooses from, each once.
fn choice(desk: &mut Desk<'_>, condition: &Condition) {
    let (fact, names): (&Name, Vec<&Name>) = match condition {
        Condition::Chosen { fact, options } => {
            options.iter().for_each(|(_, one)| choice(desk, one));
            (fact, options.iter().map(|(name, _)| name).collect())
        }
        Condition::ChosenRow { fact, table, .. } => {
            let Some(table) = desk.plan.table(&table.text) else { return };
            for row in table.rows.iter().filter(|row| row.name.is_none() || row.guard.is_some() || row.otherwise) {
                desk.say(
                    Finding::at(&CHOICE_DOES_NOT_FIT, row.loc, format!("`{fact}` cannot choose this row by a name"))
                        .also(fact.loc, "chosen here")
                        .help("name the row, and take `when …` and `otherwise` out: `row NAME >= … held for …`"),
                );
            }
            (fact, table.rows.iter().filter_map(|row| row.name.as_ref()).collect())
        }
        Condition::Any(options) => return options.iter().for_each(|(_, one)| choice(desk, one)),
        Condition::All(parts) => return parts.iter().for_each(|one| choice(desk, one)),
        _ => return,
    };
    let Some(declared) = desk.plan.parameter(&fact.text) else { return };
    let said = |list: &[&Name]| list.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", ");
    let idle: Vec<&Name> = names.iter().copied().filter(|name| !declared.answers.contains(name)).collect();
    let open: Vec<&Name> = declared.answers.iter().filter(|answer| !names.contains(answer)).collect();
    let twice = names.iter().enumerate().find(|(at, name)| names.iter().take(*at).any(|before| before == *name));
    let message = if let Some((_, name)) = twice {
        format!("`{name}` stands twice, and a choice names one")
    } else if !idle.is_empty() {
        format!("{} is no answer of `{fact}`", said(&idle))
    } else if !open.is_empty() {
        format!("`{fact}` may be {}, and nothing here has that name", said(&open))
    } else {
        return;
    };
    desk.say(
        Finding::at(&CHOICE_DOES_NOT_FIT, fact.loc, message)
            .also(declared.loc, "its answers stand here")
            .help("let the answers of the fact be the names that it chooses from"),
    );
}

/// What a limit is about: its parameters, or the stages and events that it names.
fn about(limit: &Limit) -> Vec<&str> {
    let mut names = limit.parameters();
    if names.is_empty() {
        names.extend(limit.stages());
        names.extend(limit.events());
    }
    let mut names: Vec<&str> = names.into_iter().map(|name| name.text.as_str()).collect();
    names.sort_unstable();
    names
}

fn families(desk: &mut Desk<'_>, control: &Control) {
    let mut seen: Vec<&Limit> = Vec::new();
    for limit in control.limits.iter().filter(|limit| limit.guard.as_ref().is_some_and(|guard| !guard.only)) {
        if seen.iter().any(|other| related(other, limit)) {
            continue;
        }
        seen.push(limit);
        let family: Vec<&Limit> = control.limits.iter().filter(|other| related(other, limit)).collect();
        let guards: Vec<&Guard> = family.iter().filter_map(|one| one.guard.as_ref()).collect();
        if guards.len() < family.len() {
            // One of them is for every lot.
            continue;
        }
        let Some(left) = cover::uncovered(desk.plan, &guards).filter(|left| !left.is_empty()) else { continue };
        let Some(guard) = &limit.guard else { continue };
        let mut finding = Finding::at(
            &UNCOVERED,
            guard.loc,
            format!("`{}` has no limit of this kind where {}", control.name, cover::listed(&left)),
        );
        for other in family.iter().skip(1).filter_map(|one| one.guard.as_ref()) {
            finding = finding.also(other.loc, "belongs to it");
        }
        desk.say(finding.help(
            "add a limit for those lots, or one without `when` for every lot; write `only when` where they need none",
        ));
    }
}

fn default_row(desk: &mut Desk<'_>, table: &Table) {
    let guards: Vec<&Guard> = table.rows.iter().filter_map(|row| row.guard.as_ref()).collect();
    let Some(first) = guards.first() else { return };
    let default: Vec<&TableRow> = table.rows.iter().filter(|row| row.guard.is_none()).collect();
    if default.is_empty() {
        let left = cover::uncovered(desk.plan, &guards).filter(|left| !left.is_empty());
        let also = left.map_or_else(String::new, |left| format!(", nor where {}", cover::listed(&left)));
        let mut facts: Vec<&str> = guards.iter().flat_map(|guard| guard.names()).map(|name| &*name.text).collect();
        facts.sort_unstable();
        facts.dedup();
        let finding = Finding::at(
            &NO_DEFAULT_ROW,
            table.loc,
            format!("`{}` has no row for a lot whose {} is not recorded{also}", table.name, facts.join(" or ")),
        );
        desk.say(
            finding
                .also(first.loc, "this row hangs on it")
                .help("add the strictest row again with `otherwise` after it: `row >= … held for … otherwise`"),
        );
        return;
    }
    for default in default.iter().filter(|row| row.otherwise) {
        for row in table.rows.iter().filter(|row| row.guard.is_some()) {
            let Some(parts) = severity(default, row) else { continue };
            if parts.contains(&Ordering::Less) && !parts.contains(&Ordering::Greater) {
                desk.say(
                    Finding::at(&WEAK_DEFAULT_ROW, default.loc, "this row asks for less than a row it stands in for")
                        .also(row.loc, "this one asks for more")
                        .help("a lot whose fact is not recorded is held to the strictest row"),
                );
                return;
            }
        }
    }
}

/// How two rows of one form compare, in value and in time: `Greater` where the first asks for more.
fn severity(one: &TableRow, other: &TableRow) -> Option<[Ordering; 2]> {
    let (value, upwards) = bound(&one.range)?;
    let (base, same) = bound(&other.range)?;
    let time = |over: &Over| match over {
        Over::Held(time) | Over::StretchAtLeast(time) => time.nanoseconds(),
        _ => None,
    };
    let (own_time, base_time) = (time(&one.over)?, time(&other.over)?);
    if upwards != same || value.dimension() != base.dimension() {
        return None;
    }
    let (a, b) = (value.quantity?.base()?, base.quantity?.base()?);
    Some([if upwards { a.cmp(&b) } else { b.cmp(&a) }, own_time.cmp(&base_time)])
}

/// The one bound of a half line, and whether it asks for at least that much.
fn bound(range: &Range) -> Option<(&Measured, bool)> {
    match (&range.lower, &range.upper) {
        (Some(edge), None) => Some((&edge.at, true)),
        (None, Some(edge)) => Some((&edge.at, false)),
        _ => None,
    }
}

/// Rows that count for the same lots: the more severe in value never needs more time.
fn in_order(desk: &mut Desk<'_>, table: &Table) {
    let lots = |row: &TableRow| (row.guard.as_ref().map(Guard::symbols), row.otherwise);
    for (index, row) in table.rows.iter().enumerate() {
        for before in table.rows.iter().take(index).filter(|before| lots(before) == lots(row)) {
            let Some([value, time]) = severity(row, before) else { continue };
            let twice = value == Ordering::Equal && time != Ordering::Equal;
            let against = value != Ordering::Equal && value == time;
            if twice || against {
                let message = if twice {
                    "two rows ask for different times at the same value".to_owned()
                } else {
                    let hard = if value == Ordering::Greater { row } else { before };
                    let soft = if value == Ordering::Greater { before } else { row };
                    format!(
                        "{} needs more time here than {}, which is the milder",
                        hard.range.words(),
                        soft.range.words()
                    )
                };
                desk.say(
                    Finding::at(&REVERSED_ROWS, row.loc, message)
                        .also(before.loc, "beside this row")
                        .help("compare both rows with their source, figure by figure"),
                );
                break;
            }
        }
    }
}
