//! What the block of a limit says about its shape.

use super::conditions::leaves_out;
use super::{BAD_NUMBER, Lower, PROSE_LIMIT, SENSELESS_LIMIT};
use crate::finding::Finding;
use crate::plan::limit::{Limit, Measured};
use crate::plan::shape::{Allowance, Diverted, Judged, NO_BOUND, Per, Probes, Required, Reset, StandsFor, allowed};
use crate::plan::{Condition, Name};
use crate::quantity::Rational;
use crate::syntax::{Node, Rule};
use chrono::NaiveTime;

impl Lower<'_> {
    /// Prose where a condition must stand.
    pub(super) fn prose(&mut self, prose: &Node, what: &str) {
        let finding = Finding::at(&PROSE_LIMIT, self.loc(prose), format!("{what} is prose where a condition must stand"))
            .help("name a parameter and what it must be, such as `core >= 72 °C held for 2 min`; words of explanation go into `because`");
        self.findings.push(finding);
    }

    /// The stage and the event behind a condition: `during cooking`, `from racks-in`.
    pub(super) fn confined(&self, condition: &Node) -> (Option<Name>, Option<Name>) {
        let inner = condition.first();
        let of = |rule| inner.and_then(|inner| inner.part(rule)).and_then(|part| self.a_name(part));
        (of(Rule::during), of(Rule::since))
    }

    /// One statement of a limit's block about its shape.
    pub(super) fn shape(&mut self, limit: &mut Limit, part: &Node) {
        let loc = self.loc(part);
        match part.rule {
            Rule::s_required => {
                let Some(node) = part.part(Rule::condition) else { return };
                let (during, since) = self.confined(node);
                let cites = part.part(Rule::s_cites).map_or_else(Vec::new, |cites| self.citations(cites));
                if let Some(condition) = self.condition(node) {
                    limit.shape.required.push(Required { condition, during, since, cites, loc });
                }
            }
            Rule::s_stands_for => {
                let Some(condition) = part.part(Rule::condition).and_then(|node| self.condition(node)) else { return };
                let study = self.a_name(part);
                self.once(&mut limit.shape.stands_for, Some(StandsFor { condition, study, loc }), part);
            }
            Rule::s_judged => {
                let Some(name) = self.a_name(part) else { return };
                let per = match name.text.as_str() {
                    "lot" => Per::Lot,
                    "load" => Per::Load,
                    "day" => Per::Day,
                    "shift" => Per::Shift,
                    _ => Per::Stage(name),
                };
                self.once(&mut limit.shape.judged, Some(Judged { per, loc }), part);
            }
            Rule::s_allow => self.allow(limit, part),
            Rule::s_diverted => {
                let mut names = part.part(Rule::is_also).map_or_else(Vec::new, |is| self.own_names(is)).into_iter();
                if let (Some(parameter), Some(answer)) = (names.next(), names.next()) {
                    self.once(&mut limit.shape.diverted, Some(Diverted { parameter, answer, loc }), part);
                }
            }
            Rule::s_reset => {
                let reset = self.a_name(part).map(|limit| Reset { limit, loc });
                self.once(&mut limit.shape.reset, reset, part);
            }
            Rule::s_enough => {
                let probes = self.enough(part);
                self.once(&mut limit.shape.probes, probes, part);
            }
            Rule::s_accuracy_counted => self.once(&mut limit.shape.accuracy, Some(loc), part),
            _ => {}
        }
    }

    /// When the shifts begin: times of one day, each later than the one before.
    pub(super) fn shifts(&mut self, part: &Node) -> Option<Vec<NaiveTime>> {
        let times: Vec<Option<NaiveTime>> =
            part.all(Rule::clock_time).map(|time| NaiveTime::parse_from_str(self.slice(time), "%H:%M").ok()).collect();
        let times: Option<Vec<NaiveTime>> = times.into_iter().collect();
        let rising = times.filter(|times| times.windows(2).all(|pair| pair.first() < pair.last()));
        if rising.is_none() {
            let message = "shifts begin at times of one day, each later than the one before";
            self.findings.push(
                Finding::at(&BAD_NUMBER, self.loc(part), message).help("write `shifts from 06:00, 14:00, 22:00`"),
            );
        }
        rising
    }

    fn allow(&mut self, limit: &mut Limit, part: &Node) {
        let loc = self.loc(part);
        let Some((to, time)) = self.pair(part) else { return };
        let up = part.part(Rule::way).is_some_and(|way| self.slice(way) == "up");
        let time = Measured { strict: leaves_out(part), ..time };
        let allowance = Allowance { up, to, time, loc };
        if self.asks_for_least(part) {
            let finding = Finding::at(&SENSELESS_LIMIT, loc, "an excursion is allowed for at most so long");
            self.findings.push(finding.help("write `at a stretch at most …`, or `less than …`"));
            return;
        }
        if limit.shape.allow.iter().any(|other| other.up == up) {
            let finding = Finding::at(&SENSELESS_LIMIT, loc, "a second excursion is allowed on the same side");
            self.findings.push(finding.help("keep one of the two"));
            return;
        }
        let Some(condition) = &limit.condition else { return };
        match allowed(condition, &allowance) {
            Some(condition) => {
                limit.condition = Some(condition);
                limit.shape.allow.push(allowance);
            }
            None => {
                let finding = Finding::at(&SENSELESS_LIMIT, loc, NO_BOUND).also(limit.condition_loc, "the limit");
                self.findings.push(finding.help(
                    "`allow up to` stands beside `<=`, `<` or a range, `allow down to` beside `>=`, `>` or a range; both without a time",
                ));
            }
        }
    }

    fn enough(&mut self, part: &Node) -> Option<Probes> {
        let loc = self.loc(part);
        let counts: Vec<&Node> = part.all(Rule::number).collect();
        if counts.is_empty() {
            return Some(Probes { enough: None, loc });
        }
        let whole = |node: Option<&&Node>| {
            let number = Rational::parse(self.slice(node?))?.as_whole()?;
            u32::try_from(number).ok()
        };
        match (whole(counts.first()), whole(counts.get(1))) {
            (Some(enough), Some(of)) if 1 <= enough && enough <= of => Some(Probes { enough: Some((enough, of)), loc }),
            _ => {
                let message = "so many of so many probes: two whole numbers, the first no greater than the second";
                self.findings.push(Finding::at(&BAD_NUMBER, loc, message).help("write `probes 2 of 3`"));
                None
            }
        }
    }

    /// Whether a group holds prose in place of a condition, which is then said.
    pub(super) fn prose_in(&mut self, part: &Node, name: Option<&Name>) -> bool {
        let Some(prose) = part.part(Rule::prose) else { return false };
        let what = name.map_or_else(|| "a part of this group".to_owned(), |name| format!("option `{name}`"));
        self.prose(prose, &what);
        true
    }

    /// The conditions of a list; `None` if one of them is prose.
    pub(super) fn parts(&mut self, node: &Node) -> Option<Vec<Condition>> {
        let found: Vec<&Node> = node.all(Rule::s_part).collect();
        let mut prose = false;
        let mut conditions = Vec::new();
        for part in found {
            if self.prose_in(part, None) {
                prose = true;
            } else {
                conditions.extend(part.first().and_then(|condition| self.condition(condition)));
            }
        }
        (!prose).then_some(conditions)
    }
}
