//! Hazards, the hazard analysis, steps and programmes.

use super::Lower;
use crate::plan::{
    Analysis, Answer, Class, Gives, Hazard, HazardRow, Outcome, Programme, Routine, Severity, Significance, Stage,
    StageEnd, Step, Verb,
};
use crate::syntax::{Node, Rule};

impl Lower<'_> {
    pub(super) fn hazard(&mut self, node: &Node) -> Option<Hazard> {
        let (name, title) = self.heading(node)?;
        let mut hazard = Hazard {
            name,
            title,
            class: None,
            severity: None,
            acceptable_level: None,
            cites: Vec::new(),
            loc: self.head_loc(node),
        };
        for part in &node.parts {
            match part.rule {
                Rule::s_kind => {
                    let class = self.a_name(part).and_then(|name| self.one_of(&name, Class::WORDS, Class::read));
                    self.once(&mut hazard.class, class, part);
                }
                Rule::s_severity => {
                    let severity =
                        self.a_name(part).and_then(|name| self.one_of(&name, Severity::WORDS, Severity::read));
                    let why = self.a_text(part);
                    self.once(&mut hazard.severity, severity.map(|severity| (severity, why)), part);
                }
                Rule::s_acceptable_level => self.once(&mut hazard.acceptable_level, self.a_text(part), part),
                Rule::s_cites => hazard.cites.extend(self.citations(part)),
                _ => {}
            }
        }
        Some(hazard)
    }

    /// The hazard rows and the classes answered *no* of a step or material.
    pub(super) fn analysis(&mut self, node: &Node) -> Analysis {
        let mut analysis = Analysis::default();
        for part in &node.parts {
            match part.rule {
                Rule::s_hazard_row => analysis.rows.extend(self.row(part)),
                Rule::s_no_hazard => {
                    let reason = self.a_text(part).unwrap_or_default();
                    let loc = self.loc(part);
                    match part.part(Rule::hazard_class).and_then(|class| Class::read(self.slice(class))) {
                        Some(class) => analysis.none.push((class, reason, loc)),
                        None => self.once(&mut analysis.no_other, Some((reason, loc)), part),
                    }
                }
                _ => {}
            }
        }
        analysis
    }

    fn row(&mut self, node: &Node) -> Option<HazardRow> {
        let mut row = HazardRow {
            hazards: self.names(node),
            verb: Verb::read(self.slice(node.part(Rule::verb)?))?,
            likelihood: None,
            significance: None,
            decision: Vec::new(),
            controls: Vec::new(),
            loc: self.head_loc(node),
        };
        for part in &node.parts {
            match part.rule {
                Rule::s_likelihood => {
                    let likelihood = self.a_name(part).map(|name| (name, self.a_text(part)));
                    self.once(&mut row.likelihood, likelihood, part);
                }
                Rule::s_significant | Rule::s_not_significant => {
                    let significance = Significance {
                        significant: part.rule == Rule::s_significant,
                        why: self.a_text(part).unwrap_or_default(),
                        relies_on: self.names(part),
                        loc: self.loc(part),
                    };
                    self.once(&mut row.significance, Some(significance), part);
                }
                Rule::s_decision => {
                    for answer in part.all(Rule::decision_answer) {
                        if let (Some(question), Some(said)) = (answer.part(Rule::question), answer.part(Rule::yes_no))
                            && let Some(said) = Answer::read(self.slice(said))
                        {
                            row.decision.push((self.name(question), said));
                        }
                    }
                }
                Rule::s_row_control => {
                    let how = self.a_text(part);
                    row.controls.extend(self.names(part).into_iter().map(|name| (name, how.clone())));
                }
                _ => {}
            }
        }
        Some(row)
    }

    pub(super) fn step(&mut self, node: &Node) -> Option<Step> {
        let (name, title) = self.heading(node)?;
        let mut step = Step {
            name,
            title,
            number: None,
            does: None,
            starts: false,
            dispatches: false,
            after: Vec::new(),
            uses: Vec::new(),
            gives: Vec::new(),
            only_for: Vec::new(),
            zone: None,
            stages: Vec::new(),
            analysis: self.analysis(node),
            loc: self.head_loc(node),
        };
        for part in &node.parts {
            match part.rule {
                Rule::s_number => self.once(&mut step.number, self.a_text(part), part),
                Rule::s_does => self.once(&mut step.does, self.a_text(part), part),
                Rule::s_start => step.starts = true,
                Rule::s_dispatch => step.dispatches = true,
                Rule::s_after => step.after.extend(self.names(part)),
                Rule::s_uses => step.uses.extend(self.names(part)),
                Rule::s_gives => {
                    let mut names = self.own_names(part).into_iter();
                    let outcome = part.part(Rule::outcome).and_then(|word| Outcome::read(self.slice(word)));
                    if let (Some(name), Some(outcome)) = (names.next(), outcome) {
                        step.gives.push(Gives { name, outcome, to: names.next() });
                    }
                }
                Rule::s_only_for => step.only_for.extend(self.names(part)),
                Rule::s_zone => self.once(&mut step.zone, self.a_name(part), part),
                Rule::s_stage => {
                    let mut names = self.own_names(part).into_iter();
                    let met = part.part(Rule::until_met).and_then(|until| self.a_name(until)).map(StageEnd::Met);
                    let (name, from) = (names.next(), names.next());
                    let to = met.or(names.next().map(StageEnd::Event));
                    if let (Some(name), Some(from), Some(to)) = (name, from, to) {
                        step.stages.push(Stage { name, from, to });
                    }
                }
                _ => {}
            }
        }
        Some(step)
    }

    pub(super) fn programme(&mut self, node: &Node) -> Option<Programme> {
        let (name, title) = self.heading(node)?;
        let mut programme = Programme {
            name,
            title,
            covers: None,
            procedure: None,
            routines: Vec::new(),
            verify: Vec::new(),
            cites: Vec::new(),
            loc: self.head_loc(node),
        };
        for part in &node.parts {
            match part.rule {
                Rule::s_covers => self.once(&mut programme.covers, self.a_text(part), part),
                Rule::s_procedure => self.once(&mut programme.procedure, self.a_text(part), part),
                Rule::s_routine => {
                    let mut names = self.own_names(part).into_iter();
                    if let (Some(often), Some(by), Some(record)) = (self.cadence(part), names.next(), names.next()) {
                        programme.routines.push(Routine {
                            what: self.a_text(part).unwrap_or_default(),
                            often,
                            by,
                            record,
                        });
                    }
                }
                Rule::s_verify => programme.verify.extend(self.verify(part)),
                Rule::s_cites => programme.cites.extend(self.citations(part)),
                _ => {}
            }
        }
        Some(programme)
    }
}
