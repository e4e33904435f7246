//! The first text of a plan: from a worked example, or from a skeleton that asks what a regime asks.
//!
//! What nobody has said yet is left blank. Nothing of the example's plant, dates or proof is carried over: a plan that
//! begins here is a draft until a person has filled it in.

pub mod tutorial;

use crate::check;
use crate::clause::{By, clause};
use crate::finding::Finding;
use crate::plan::{self, BLANK};
use crate::source::{Source, Sources, Span};
use crate::syntax::{Node, Rule, print};
use chrono::NaiveDate;
use std::collections::BTreeMap;

/// The worked examples, by name.
pub const EXAMPLES: &[(&str, &str)] = &[
    ("smoked-goose-breast", include_str!("../../plans/smoked-goose-breast.haccp")),
    ("smoked-turkey-strips", include_str!("../../plans/smoked-turkey-strips.haccp")),
    ("cured-cooked-ham", include_str!("../../plans/cured-cooked-ham.haccp")),
    ("peanut-butter", include_str!("../../plans/peanut-butter.haccp")),
    ("hot-smoked-fish", include_str!("../../plans/hot-smoked-fish.haccp")),
    ("pasteurised-juice", include_str!("../../plans/pasteurised-juice.haccp")),
    ("cook-chill-meals", include_str!("../../plans/cook-chill-meals.haccp")),
    ("acidified-vegetables", include_str!("../../plans/acidified-vegetables.haccp")),
];

/// The skeleton: `#@` after a line names the regimes that ask for it.
const START: &str = include_str!("start.haccp");

/// What each regime calls the qualification it asks for.
const QUALIFIED: &[(&str, &str)] = &[
    ("eu", "haccp"),
    ("us-meat-poultry", "haccp"),
    ("us-seafood", "seafood-haccp"),
    ("us-juice", "juice-haccp"),
    ("us-preventive-controls", "pcqi"),
];

/// What is asked before a plan is begun: the word of the statement, and the question.
pub const QUESTIONS: &[(&str, &str)] = &[
    ("product", "What is the product called?"),
    ("establishment", "What is the plant called?"),
    ("address", "Where does the plant stand?"),
    ("time-zone", "In which time zone are times meant, such as Europe/London?"),
    ("scope", "Which products does the plan cover, from which step to which?"),
    ("description", "What is the product, and what keeps it safe: composition, structure, treatment?"),
    ("use", "How is it meant to be used?"),
    ("consumers", "Who eats it, vulnerable people named?"),
    ("packaging", "How is it packed?"),
    ("storage", "How is it stored?"),
    ("distribution", "How does it travel?"),
    ("label", "What must the label say for safety?"),
];

/// What a plan is begun from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum From {
    /// A worked example, by name.
    Example(String),
    /// The skeleton, for a regime.
    Regime(String),
}

/// A plan that was begun.
#[derive(Debug, Clone)]
pub struct Begun {
    /// Its text.
    pub text: String,
    /// How many values are blank.
    pub blanks: usize,
    /// What is still to be said before it is a plan.
    pub findings: Vec<Finding>,
    /// The texts of the findings.
    pub sources: Sources,
}

/// Begins a plan with this name and these answers, by the words of [`QUESTIONS`]; the day is the one of the check.
///
/// # Errors
/// Words for a person, where there is no such example or regime, or an answer cannot be written into a plan.
pub fn begin(from: &From, name: &str, answers: &BTreeMap<String, String>, on: NaiveDate) -> Result<Begun, String> {
    if let Some((word, answer)) = answers.iter().find(|(_, answer)| answer.chars().any(char::is_control)) {
        return Err(format!("the answer to `{word}` is more than one line of text: {}", answer.escape_debug()));
    }
    if let Some(zone) = answers.get("time-zone")
        && zone.parse::<chrono_tz::Tz>().is_err()
    {
        return Err(format!("`{zone}` is no time zone; one is written like Europe/London"));
    }
    let (head, body) = match from {
        From::Example(wanted) => {
            let known = EXAMPLES.iter().find(|(name, _)| name == wanted);
            let (example, text) = known.ok_or_else(|| format!("no example is called `{wanted}`"))?;
            (
                format!(
                    "# Begun from the worked example {example}, whose plant, people and records are invented.\n\
                     # Every figure is the example's, and shown for no other plant: replace it, and validate it here.\n"
                ),
                after_comment(text).to_owned(),
            )
        }
        From::Regime(regime) => {
            let head = "# A plan to be filled in: ___ is a value that the plant has yet to set. Names may be changed.\n\
                        # Hazards, steps and controls are a beginning: add what the analysis finds.\n";
            (head.to_owned(), skeleton(regime)?)
        }
    };
    let filled = fill(&body, name, answers);
    let mut text = format!("{head}\n{filled}");
    if let From::Regime(_) = from {
        text.push_str(&unanswered(&text, on));
    }
    let text = match print::format(crate::source::SourceId(0), &Source::new("plan", text.as_str())) {
        Ok(formatted) => formatted.text,
        Err(finding) => return Err(format!("the text cannot be formatted: {}", finding.message)),
    };
    let (sources, findings) = checked(&text, on);
    let reading = read(&text);
    Ok(Begun { blanks: reading.blanks.len(), text, findings, sources })
}

fn read(text: &str) -> plan::Plan {
    let mut sources = Sources::new();
    let id = sources.add(Source::new("plan", text));
    plan::read(&sources, &[id]).plan
}

fn checked(text: &str, on: NaiveDate) -> (Sources, Vec<Finding>) {
    let mut sources = Sources::new();
    let id = sources.add(Source::new("the new plan", text));
    let reading = plan::read(&sources, &[id]);
    let mut findings = reading.findings;
    findings.extend(check::check(&reading.plan, on));
    crate::finding::tidy(&mut findings);
    (sources, findings)
}

/// An example without the remarks at its top, which speak of the example.
fn after_comment(text: &str) -> &str {
    let mut rest = text;
    while let Some((line, after)) = rest.split_once('\n')
        && (line.starts_with('#') || line.trim().is_empty())
    {
        rest = after;
    }
    rest
}

/// The skeleton for one regime.
fn skeleton(regime: &str) -> Result<String, String> {
    if !crate::clause::REGIMES.contains(&regime) {
        return Err(format!("no regime is called `{regime}`; they are: {}", crate::clause::REGIMES.join(", ")));
    }
    let qualified = QUALIFIED.iter().find(|(of, _)| *of == regime).map_or("haccp", |(_, word)| word);
    let mut out = String::new();
    for line in START.lines() {
        let line = match line.split_once("  #@ ") {
            Some((_, regimes)) if !regimes.split(',').any(|of| of == regime) => continue,
            Some((line, _)) => line,
            None => line,
        };
        out.push_str(&line.replace("REGIME", regime).replace("QUALIFIED", qualified));
        out.push('\n');
    }
    Ok(out)
}

/// A block for each clause that must be answered by one, with what it must hold left blank.
fn unanswered(text: &str, on: NaiveDate) -> String {
    let mut out = String::new();
    let (_, findings) = checked(text, on);
    let open = findings.iter().filter(|finding| matches!(finding.rule.code, "K101" | "K102"));
    let mut place = 0;
    for clause in open.flat_map(|finding| &finding.clauses).filter_map(|id| clause(id)) {
        let By::Answer { blocks, holds } = &clause.by else { continue };
        if !blocks.contains(&"programme") || out.contains(&format!("\"{}\"", clause.citation)) {
            continue;
        }
        place += 1;
        out.push_str(&format!("\n# {}\nprogramme answer-{place} ___ {{\n  covers ___\n", clause.gist));
        for word in ["procedure", "routine", "verify"] {
            if holds.contains(&word) || word == "procedure" {
                out.push_str(match word {
                    "procedure" => "  procedure ___\n",
                    "routine" => "  routine ___ every ___ days by production-lead on review-record\n",
                    _ => "  verify record-review every ___ days by coordinator on review-record\n",
                });
            }
        }
        out.push_str(&format!("  meets \"{}\"\n}}\n", clause.citation));
    }
    out
}

/// Writes the answers into a text, and blanks over what belongs to another plant or another time.
fn fill(text: &str, name: &str, answers: &BTreeMap<String, String>) -> String {
    let tree = crate::syntax::parse(crate::source::SourceId(0), &Source::new("plan", text)).tree;
    let mut edits: Vec<(Span, String)> = Vec::new();
    let said = |word: &str| answers.get(word).map(|answer| quoted(answer));
    let mut products = 0;
    for block in &tree.parts {
        if block.rule == Rule::plan_block {
            if let Some(node) = block.part(Rule::name) {
                edits.push((node.span, name.to_owned()));
            }
            if let (Some(node), Some(title)) = (block.part(Rule::text), said("product")) {
                edits.push((trimmed(text, node), title));
            }
        }
        if block.rule == Rule::product_block {
            products += 1;
            if let (Some(node), Some(title), 1) = (block.part(Rule::text), said("product"), products) {
                edits.push((trimmed(text, node), title));
            }
        }
        // What somebody of the example's plant has accepted is accepted by nobody here.
        if block.rule == Rule::exception_block {
            edits.push((line(text, block), String::new()));
        }
        for node in &block.parts {
            edits.extend(statement(text, block.rule, node, answers));
        }
    }
    edits.sort_by_key(|(span, _)| std::cmp::Reverse(span.start));
    let mut out = text.to_owned();
    for (span, new) in edits {
        out.replace_range(span.start..span.end, &new);
    }
    out
}

fn statement(text: &str, outer: Rule, node: &Node, answers: &BTreeMap<String, String>) -> Option<(Span, String)> {
    let said = |word: &str| answers.get(word).map(|answer| quoted(answer));
    let put = |part: Option<&Node>, new: Option<String>| Some((trimmed(text, part?), new?));
    let blank = || Some(BLANK.to_owned());
    let in_plan = outer == Rule::plan_block;
    let in_product = outer == Rule::product_block;
    match node.rule {
        Rule::s_establishment => put(node.part(Rule::text), said("establishment").or_else(blank)),
        Rule::s_address => put(node.part(Rule::text), said("address").or_else(blank)),
        Rule::s_registered => put(node.part(Rule::text), blank()),
        Rule::s_scope => put(node.part(Rule::text), said("scope")),
        Rule::s_time_zone => match answers.get("time-zone") {
            Some(zone) => put(node.part(Rule::zone), Some(zone.clone())),
            None => Some((line(text, node), String::new())),
        },
        Rule::s_revision => Some((trimmed(text, node), format!("revision 1 on {BLANK} \"First text\""))),
        Rule::s_in_force | Rule::s_reassessed if in_plan => Some((line(text, node), String::new())),
        Rule::s_flow_confirmed | Rule::s_trained | Rule::s_qualified | Rule::s_validated | Rule::s_date => {
            put(node.part(Rule::date), blank())
        }
        Rule::s_file => put(node.part(Rule::text), blank()),
        Rule::s_finding => put(node.part(Rule::text), blank()),
        Rule::s_description if in_product => put(node.part(Rule::text), said("description")),
        Rule::s_use => put(node.part(Rule::text), said("use")),
        Rule::s_consumers => put(node.part(Rule::text), said("consumers")),
        Rule::s_packaging => put(node.part(Rule::text), said("packaging")),
        Rule::s_storage if in_product => put(node.part(Rule::text), said("storage")),
        Rule::s_distribution => put(node.part(Rule::text), said("distribution")),
        Rule::s_label => put(node.part(Rule::text), said("label")),
        _ => None,
    }
}

/// A node without the blanks at its end.
fn trimmed(text: &str, node: &Node) -> Span {
    let words = text.get(node.span.start..node.span.end).unwrap_or("");
    let before = words.len() - words.trim_start().len();
    Span::new(node.span.start + before, node.span.start + words.trim_end().len())
}

/// The lines that a statement stands on, with their end.
fn line(text: &str, node: &Node) -> Span {
    let start = text.get(..node.span.start).and_then(|before| before.rfind('\n')).map_or(0, |nl| nl + 1);
    let end = trimmed(text, node).end;
    let end = text.get(end..).and_then(|after| after.find('\n')).map_or(text.len(), |nl| end + nl + 1);
    Span::new(start, end)
}

/// Text as a plan writes it.
fn quoted(text: &str) -> String {
    let marks = ['“', '”', '„'];
    format!("\"{}\"", text.trim().replace('"', "\"\"").replace(marks, "'"))
}
