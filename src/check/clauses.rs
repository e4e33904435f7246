//! The clauses of the regimes in force: each is answered, and what is said of them agrees with the data.

use super::Desk;
use super::coverage::{Applies, applies, in_force};
use crate::clause::{By, Clause, Force, clauses, topics};
use crate::finding::{Care, Finding, nearest};
use crate::plan::{Head, Meets, Name};
use crate::source::Loc;
use std::collections::BTreeMap;

crate::rules! {
    /// No block says that it answers a clause which asks for something of its own, such as a programme or a record.
    ///
    /// What a clause asks for and no other rule can see, the plan must point at: `meets` in the block that does it.
    UNANSWERED_CLAUSE = "K101" "unanswered-clause" Error;
    /// No block says that it answers a clause which recommends something.
    UNANSWERED_ADVICE = "K102" "unanswered-advice" Warning;
    /// A block says that it answers a clause, and lacks a statement which the clause asks for.
    THIN_ANSWER = "K103" "thin-answer" Error;
    /// A block says that it answers a clause which is not in the data of this program.
    UNKNOWN_CLAUSE = "K104" "unknown-clause" Error;
    /// A block says that it answers a clause of a regime which the plan does not name.
    FOREIGN_CLAUSE = "K105" "foreign-clause" Warning;
    /// A topic that is not known.
    UNKNOWN_TOPIC = "K106" "unknown-topic" Error;
    /// The plan does not say whether something on which clauses hang is so for this plant.
    ///
    /// A clause that nobody looked at reads like one that does not apply.
    UNANSWERED_TOPIC = "K107" "unanswered-topic" Warning;
    /// A topic is said to be so and not to be so.
    TOPIC_BOTH_WAYS = "K108" "topic-both-ways" Error;
    /// The plan does not give the number under which the authority knows the plant.
    NOT_REGISTERED = "K109" "not-registered" Error ["eu.852.6"];
}

pub(super) fn check(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    let Some(head) = &plan.head else { return };
    self::topics_said(desk, head);
    for meets in &plan.meets {
        known(desk, meets);
    }
    let mut thin = BTreeMap::new();
    for clause in clauses().iter().filter(|clause| in_force(plan, clause)) {
        if let By::Answer { blocks, holds } = &clause.by
            && applies(plan, clause) == Applies::Yes
        {
            answer(desk, head.loc, clause, blocks, holds, &mut thin);
        }
    }
    thin_answers(desk, thin);
    if head.registered.is_none() && head.answers_to("eu") {
        desk.lacks(
            &NOT_REGISTERED,
            head.loc,
            "registered",
            "the plan does not give the number under which the plant is registered or approved",
            "add `registered \"…\"`",
        );
    }
}

/// What blocks lack that say they answer clauses: by block and word, the clauses that ask for it.
type Thin<'a> = BTreeMap<(Loc, &'static str), (&'a Meets, Vec<&'static Clause>)>;

fn answer<'a>(
    desk: &mut Desk<'a>,
    head: Loc,
    clause: &'static Clause,
    blocks: &[&str],
    holds: &[&'static str],
    thin: &mut Thin<'a>,
) {
    let plan = desk.plan;
    let mut found = false;
    for meets in plan.meets.iter().filter(|meets| meets.citation.value == clause.citation) {
        if !blocks.contains(&meets.block.as_str()) {
            continue;
        }
        found = true;
        let words: Vec<&str> = plan
            .layout
            .iter()
            .find(|layout| layout.head == meets.head)
            .map(|layout| layout.statements.iter().map(|(word, _)| word.as_str()).collect())
            .unwrap_or_default();
        for word in holds.iter().filter(|word| !words.contains(word)) {
            let (_, asking) = thin.entry((meets.head, *word)).or_insert_with(|| (meets, Vec::new()));
            if !asking.iter().any(|one| one.id == clause.id) {
                asking.push(clause);
            }
        }
    }
    if found || !plan.broken.is_empty() {
        return;
    }
    let rule = if clause.force == Force::Shall { &UNANSWERED_CLAUSE } else { &UNANSWERED_ADVICE };
    let one_of = blocks.join(", ");
    let with = if holds.is_empty() { String::new() } else { format!(" that has {}", list(holds)) };
    let finding = Finding::at(rule, head, format!("nothing in the plan answers {}", clause.citation))
        .help(format!("write `meets \"{}\"` in the block that does so: a {one_of}{with}", clause.citation));
    desk.say(finding.resting_on(clause.id));
}

/// One finding a block and word, however many clauses ask for it.
fn thin_answers(desk: &mut Desk<'_>, thin: Thin<'_>) {
    for ((block, word), (meets, clauses)) in thin {
        let mut cited: Vec<String> = clauses.iter().map(|clause| format!("`{}`", clause.citation)).collect();
        cited.dedup();
        let last = cited.pop().unwrap_or_default();
        let cited = if cited.is_empty() { last } else { format!("{} and {last}", cited.join(", ")) };
        let from = desk.findings.len();
        desk.lacks(
            &THIN_ANSWER,
            block,
            word,
            format!("`{}` says that it answers {cited}, and has no `{word}`", meets.name),
            format!("add `{word}` to `{}`", meets.name),
        );
        for finding in desk.findings.iter_mut().skip(from) {
            finding.clauses.extend(clauses.iter().map(|clause| clause.id));
        }
    }
}

fn list(words: &[&str]) -> String {
    words.iter().map(|word| format!("`{word}`")).collect::<Vec<_>>().join(" and ")
}

/// A citation that the data do not hold, or that belongs to a regime which is not in force.
fn known(desk: &mut Desk<'_>, meets: &Meets) {
    let cited = &meets.citation;
    let mut same = clauses().iter().filter(|clause| clause.citation == cited.value).peekable();
    if same.peek().is_none() {
        let finding = Finding::at(&UNKNOWN_CLAUSE, cited.loc, format!("no clause is cited as `{}`", cited.value));
        // Part of a citation that the data hold: what was meant begins so.
        let of_plan = || clauses().iter().filter(|clause| in_force(desk.plan, clause)).map(|clause| clause.citation);
        let longer = of_plan().find(|citation| citation.starts_with(cited.value.as_str()));
        let near = longer.or_else(|| nearest(&cited.value, of_plan()));
        desk.say(match near.or_else(|| nearest(&cited.value, clauses().iter().map(|clause| clause.citation))) {
            Some(near) => {
                finding.help(format!("did you mean `{near}`?")).fix(cited.loc, format!("\"{near}\""), Care::NeedsALook)
            }
            None => finding.help("`bourn clauses PLAN` lists the clauses of the regimes that the plan names"),
        });
    } else if !same.any(|clause| in_force(desk.plan, clause)) {
        desk.say(
            Finding::at(
                &FOREIGN_CLAUSE,
                cited.loc,
                format!("`{}` belongs to no regime that the plan names", cited.value),
            )
            .help("add the regime to `regimes`, or take the citation out"),
        );
    }
}

fn topics_said(desk: &mut Desk<'_>, head: &Head) {
    let asked = |regimes: &[&str]| head.regimes.iter().any(|regime| regimes.contains(&regime.text.as_str()));
    let names = topics().iter().map(|topic| topic.name);
    let said: Vec<&Name> = head.concerns.iter().chain(head.not_concerned.iter().map(|(name, _)| name)).collect();
    for name in &said {
        if topics().iter().all(|topic| **name != *topic.name) {
            let finding = Finding::at(&UNKNOWN_TOPIC, name.loc, format!("no topic is called `{name}`"));
            desk.say(match nearest(&name.text, names.clone()) {
                Some(near) => finding.help(format!("did you mean `{near}`?")).fix(name.loc, near, Care::NeedsALook),
                None => finding.help(format!("the topics are: {}", names.clone().collect::<Vec<_>>().join(", "))),
            });
        }
    }
    for name in &head.concerns {
        if let Some((other, _)) = head.not_concerned.iter().find(|(other, _)| other == name) {
            desk.say(
                Finding::at(&TOPIC_BOTH_WAYS, other.loc, format!("`{name}` is said to be so and not to be so"))
                    .also(name.loc, "said to be so here")
                    .help("keep one of the two"),
            );
        }
    }
    let unsaid: Vec<&str> = topics()
        .iter()
        .filter(|topic| asked(&topic.regimes) && said.iter().all(|name| **name != *topic.name))
        .map(|topic| topic.name)
        .collect();
    if let Some(first) = unsaid.first() {
        desk.lacks(
            &UNANSWERED_TOPIC,
            head.loc,
            "concerns",
            format!("the plan does not say whether clauses on these topics apply: {}", unsaid.join(", ")),
            format!(
                "add to `concerns` what is so for this plant, and the rest to `not-concerned {first}, … \"why\"`; \
                 `bourn clauses PLAN` asks the questions"
            ),
        );
    }
}
