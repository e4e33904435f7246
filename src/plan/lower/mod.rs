//! Tree → plan. Each block of the tree becomes one thing of the model.
//!
//! Never stops: a statement that makes no sense becomes a finding and its field stays empty.

mod analysis;
mod conditions;
mod controls;
mod evidence;
mod people;
mod sampling;
mod series;
mod shape;
mod things;
mod values;

use super::{Layout, Meets, Name, Plan};
use crate::finding::Finding;
use crate::source::{Loc, Source, SourceId, Span};
use crate::syntax::{Node, Rule};

crate::rules! {
    /// A statement that may stand once in its block stands there twice.
    ///
    /// One fact has one home: of two texts, nobody would know which one is meant.
    SAID_TWICE = "N101" "said-twice" Error;
    /// A word that is not one of the closed set that this statement takes.
    UNKNOWN_VALUE = "N102" "unknown-value" Error;
    /// A number that makes no sense where it stands, such as a count that is not whole.
    BAD_NUMBER = "N103" "bad-number" Error;
    /// A date that the calendar does not have.
    BAD_DATE = "N104" "bad-date" Error;
    /// A time zone that the IANA time zone database does not have.
    UNKNOWN_ZONE = "N105" "unknown-zone" Error;
    /// Prose stands where a critical limit needs a condition.
    ///
    /// A limit must separate acceptable from unacceptable by something measured or observed; what is written in words
    /// cannot be held against a record.
    PROSE_LIMIT = "L101" "prose-limit" Error ["codex.limit", "fsis.417.2.c3", "fish.123.6.c3", "juice.120.8.b", "pc.117.135.c1", "eu.852.5.2c"];
    /// A bare `for` does not say whether the time is without a break or summed.
    ///
    /// Both meanings are published, and they judge the same record differently.
    BARE_FOR = "L102" "bare-for" Error ["codex.limit", "fsis.417.2.c3", "fish.123.6.c3", "juice.120.8.b", "pc.117.135.c1", "eu.852.5.2c"];
    /// A compound of units that is no length of time, or whose parts do not fall in size.
    BAD_COMPOUND = "N106" "bad-compound" Error;
    /// A plan block stands twice.
    SECOND_PLAN = "N107" "second-plan" Error;
    /// A text in quotes that holds no word.
    ///
    /// What stands between quotes answers a question. `""`, `"-"` or `"?"` answers none; a value that is not known yet is
    /// written `___`, and is counted as open.
    EMPTY_TEXT = "N108" "empty-text" Warning;
    /// A form of limit that reads well and means nothing as it stands.
    SENSELESS_LIMIT = "L103" "senseless-limit" Error ["codex.limit", "fsis.417.2.c3", "fish.123.6.c3", "juice.120.8.b", "pc.117.135.c1", "eu.852.5.2c"];
}

pub(super) struct Lower<'a> {
    id: SourceId,
    source: &'a Source,
    findings: &'a mut Vec<Finding>,
    /// Parameters made from two others inside a limit.
    paired: Vec<super::Parameter>,
}

/// Adds the blocks of one tree to a plan.
pub fn lower(id: SourceId, source: &Source, tree: &Node, plan: &mut Plan, findings: &mut Vec<Finding>) {
    let mut lower = Lower { id, source, findings, paired: Vec::new() };
    for node in &tree.parts {
        lower.block(node, plan);
        lower.meets(node, plan);
        node.walk(&mut |block| lower.layout(block, plan));
    }
    for parameter in std::mem::take(&mut lower.paired) {
        if plan.parameter(&parameter.name.text).is_none() {
            plan.parameters.push(parameter);
        }
    }
    tree.walk(&mut |node| {
        if node.rule == Rule::blank_value {
            plan.blanks.push(Loc { source: id, span: node.span });
        }
        // The reasons of a judgement on hazards are looked at with their clause.
        if !matches!(node.rule, Rule::s_no_hazard | Rule::s_significant | Rule::s_not_significant) {
            for text in node.all(Rule::text).filter(|text| text.part(Rule::blank_value).is_none()) {
                let said = source.slice(text.span);
                if !said.chars().any(char::is_alphanumeric) {
                    let loc = Loc { source: id, span: text.span };
                    findings.push(
                        Finding::at(&EMPTY_TEXT, loc, format!("the text `{said}` holds no word"))
                            .help("say it in words; write `___` for what is not known yet"),
                    );
                }
            }
        }
    });
}

impl Lower<'_> {
    fn block(&mut self, node: &Node, plan: &mut Plan) {
        match node.rule {
            Rule::plan_block => {
                if let Some(head) = self.plan_block(node) {
                    if let Some(first) = &plan.head {
                        let finding = Finding::at(&SECOND_PLAN, head.loc, "the text holds a second `plan` block")
                            .also(first.loc, "the first stands here")
                            .help("one text is one plan: keep one of them");
                        self.findings.push(finding);
                    } else {
                        plan.head = Some(head);
                    }
                }
            }
            Rule::team_block => {
                let team = self.team(node);
                plan.team.members.extend(team.members);
                plan.team.outside.extend(team.outside);
                plan.team.loc = plan.team.loc.or(team.loc);
            }
            Rule::role_block => plan.roles.extend(self.role(node)),
            Rule::product_block => plan.products.extend(self.product(node)),
            Rule::material_block => plan.materials.extend(self.material(node)),
            Rule::equipment_block => plan.equipment.extend(self.equipment(node)),
            Rule::instrument_block => plan.instruments.extend(self.instrument(node)),
            Rule::parameter_block => plan.parameters.extend(self.parameter(node)),
            Rule::hazard_block => plan.hazards.extend(self.hazard(node)),
            Rule::step_block => plan.steps.extend(self.step(node)),
            Rule::programme_block => plan.programmes.extend(self.programme(node)),
            Rule::control_block | Rule::ccp_block => plan.controls.extend(self.control(node)),
            Rule::table_block => plan.tables.extend(self.table(node)),
            Rule::inactivation_block => plan.inactivations.extend(self.inactivation(node)),
            Rule::growth_block => plan.growth_models.extend(self.growth_model(node)),
            Rule::source_block => plan.sources.extend(self.citable(node)),
            Rule::study_block => plan.studies.extend(self.citable(node)),
            Rule::record_block => plan.records.extend(self.record(node)),
            Rule::event_block => plan.events.extend(self.event(node)),
            Rule::exception_block => plan.exceptions.extend(self.exception(node)),
            Rule::include_block => {
                if let Some(text) = node.part(Rule::text) {
                    plan.includes.push(self.said(text));
                }
            }
            Rule::bad_block => {
                // The second word is the name the rest of the plan will use.
                let head = node.part(Rule::bad_head).map_or("", |head| self.source.slice(head.span));
                plan.broken.extend(head.split_whitespace().next().map(str::to_owned));
            }
            _ => {}
        }
    }

    fn loc(&self, node: &Node) -> Loc {
        Loc { source: self.id, span: node.span }
    }

    /// The first line of a block: from its word up to its brace.
    fn head_loc(&self, node: &Node) -> Loc {
        let end = node.part(Rule::open).map_or(node.span.end, |open| open.span.start);
        let text = self.source.slice(Span::new(node.span.start, end)).trim_end();
        Loc { source: self.id, span: Span::new(node.span.start, node.span.start + text.len()) }
    }

    /// Notes where the statements of a block stand.
    fn layout(&self, node: &Node, plan: &mut Plan) {
        if node.part(Rule::open).is_none() {
            return;
        }
        let word = |part: &Node| {
            self.source.slice(part.span).split(|c: char| c.is_whitespace() || c == '{').next().unwrap_or("").to_owned()
        };
        let statements = node
            .parts
            .iter()
            .filter(|part| part.span.start > node.part(Rule::open).map_or(0, |open| open.span.start))
            .filter(|part| !matches!(part.rule, Rule::open | Rule::close | Rule::unclosed | Rule::bad_statement))
            .map(|part| (word(part), self.loc(part)))
            .collect();
        let unread = node.all(Rule::bad_statement).map(word).collect();
        plan.layout.push(Layout { head: self.head_loc(node), word: word(node), statements, unread });
    }

    /// Notes the clauses that a block says it answers.
    fn meets(&mut self, node: &Node, plan: &mut Plan) {
        let Some(name) = node.part(Rule::name).map(|name| self.name(name)) else { return };
        let block = self.source.slice(node.span).split_whitespace().next().unwrap_or("").to_owned();
        for text in node.all(Rule::s_meets).flat_map(|part| part.all(Rule::text)) {
            plan.meets.push(Meets {
                citation: self.said(text),
                block: block.clone(),
                name: name.clone(),
                head: self.head_loc(node),
            });
        }
    }

    /// A parameter made from two others: `moisture / protein`. Its name holds blanks, so no declared one can be like it.
    fn paired(&mut self, left: Name, sign: char, right: Name) -> Name {
        let span = Span::new(left.loc.span.start, right.loc.span.end);
        let name = Name { text: format!("{left} {sign} {right}"), loc: Loc { source: self.id, span } };
        self.paired.push(super::beside::paired(name.clone(), left, sign, right));
        name
    }

    /// Puts a value into a slot that may be filled once.
    fn once<T>(&mut self, slot: &mut Option<T>, value: Option<T>, node: &Node) {
        if slot.is_some() {
            let loc = self.loc(node);
            let word = self.source.slice(node.span).split_whitespace().next().unwrap_or("").to_owned();
            self.findings.push(
                Finding::at(&SAID_TWICE, loc, format!("`{word}` is said twice in this block"))
                    .help("keep one of the two; longer text goes on in new quotes on the next line"),
            );
        } else {
            *slot = value;
        }
    }

    fn heading(&self, node: &Node) -> Option<(Name, Option<String>)> {
        let name = self.name(node.part(Rule::name)?);
        Some((name, node.part(Rule::text).map(|text| self.text(text))))
    }
}
