//! CCPs and other controls: limits, monitoring, deviation, verification, validation.

use super::{BARE_FOR, Lower, PROSE_LIMIT, SENSELESS_LIMIT};
use crate::finding::Finding;
use crate::plan::limit::{Amount, Condition, EdgeAt, Guard, Limit, Over, Range, RangeForm};
use crate::plan::{
    Control, ControlKind, Deviation, HoldBack, LimitKind, Monitor, Name, SupportKind, Validated, Verify, VerifyWhen,
};
use crate::quantity::Quantity;
use crate::syntax::{Node, Rule};

impl Lower<'_> {
    pub(super) fn control(&mut self, node: &Node) -> Option<Control> {
        let (name, title) = self.heading(node)?;
        let mut control = Control {
            name,
            title,
            number: None,
            kind: (node.rule == Rule::ccp_block).then_some(ControlKind::Ccp),
            at: self.names(node),
            limits: Vec::new(),
            monitors: Vec::new(),
            deviation: None,
            verify: Vec::new(),
            validated: Vec::new(),
            because: None,
            cites: Vec::new(),
            loc: self.head_loc(node),
        };
        for part in &node.parts {
            match part.rule {
                Rule::s_number => self.once(&mut control.number, self.a_text(part), part),
                Rule::s_kind => {
                    let kind =
                        self.a_name(part).and_then(|name| self.one_of(&name, ControlKind::WORDS, ControlKind::read));
                    self.once(&mut control.kind, kind, part);
                }
                Rule::s_limit => control.limits.extend(self.limit(part)),
                Rule::s_monitor => control.monitors.extend(self.monitor(part)),
                Rule::s_deviation => {
                    let deviation = self.deviation(part);
                    self.once(&mut control.deviation, Some(deviation), part);
                }
                Rule::s_verify => control.verify.extend(self.verify(part)),
                Rule::s_validated => control.validated.push(self.validated(part)),
                Rule::s_because => self.once(&mut control.because, self.a_text(part), part),
                Rule::s_cites => control.cites.extend(self.citations(part)),
                _ => {}
            }
        }
        Some(control)
    }

    fn limit(&mut self, node: &Node) -> Option<Limit> {
        let kind = LimitKind::read(self.slice(node.part(Rule::limit_word)?))?;
        let name = self.a_name(node)?;
        if let Some(prose) = node.part(Rule::prose) {
            let finding = Finding::at(&PROSE_LIMIT, self.loc(prose), format!("`{name}` is prose where a condition must stand"))
                .help("name a parameter and what it must be, such as `core >= 72 °C held for 2 min`; words of explanation go into `because`");
            self.findings.push(finding);
        }
        let subject = node.part(Rule::condition);
        let condition = subject.and_then(|condition| self.condition(condition));
        let condition_loc = self.loc(subject.unwrap_or(node));
        let during = subject
            .and_then(Node::first)
            .and_then(|inner| inner.part(Rule::during))
            .and_then(|during| self.a_name(during));
        let pending = node.part(Rule::pending).and_then(|pending| {
            let by = self.a_name(pending)?;
            Some((by, self.date(pending)))
        });
        let mut limit = Limit {
            kind,
            name,
            condition,
            during,
            guard: node.part(Rule::guard).map(|guard| self.guard(guard)),
            credit_gap: None,
            pending,
            because: None,
            cites: Vec::new(),
            loc: self.loc(node),
            condition_loc,
        };
        if let Some(body) = node.part(Rule::limit_body) {
            for part in &body.parts {
                match part.rule {
                    Rule::s_credit_gap => {
                        let gap = self.a_quantity(part);
                        self.once(&mut limit.credit_gap, gap, part);
                    }
                    Rule::s_because => self.once(&mut limit.because, self.a_text(part), part),
                    Rule::s_cites => limit.cites.extend(self.citations(part)),
                    _ => {}
                }
            }
        }
        Some(limit)
    }

    pub(super) fn guard(&self, node: &Node) -> Guard {
        Guard { facts: node.all(Rule::is_also).filter_map(|fact| self.is(fact)).collect(), loc: self.loc(node) }
    }

    fn is(&self, node: &Node) -> Option<(Name, Name)> {
        let mut names = self.own_names(node).into_iter();
        Some((names.next()?, names.next()?))
    }

    fn condition(&mut self, node: &Node) -> Option<Condition> {
        let inner = node.first()?;
        let mut names = self.own_names(inner).into_iter();
        let subject = names.next()?;
        if inner.rule == Rule::reduction {
            let range = self.compared(inner)?;
            if range.upper.is_some() || range.lower.as_ref().is_some_and(|edge| edge.strict) {
                let finding = Finding::at(&SENSELESS_LIMIT, range.loc, "a reduction is asked for as at least so much")
                    .help("write `>=`");
                self.findings.push(finding);
                return None;
            }
            return Some(Condition::Reduction { model: subject, parameter: names.next()?, range });
        }
        if let Some(answers) = inner.part(Rule::is_answers) {
            let mut all = vec![(subject, self.a_name(answers)?)];
            all.extend(answers.all(Rule::is_also).filter_map(|also| self.is(also)));
            return Some(Condition::Answers(all));
        }
        if let Some(passage) = inner.part(Rule::passage) {
            let mut values = self.quantities(passage).into_iter();
            return Some(Condition::Passage {
                parameter: subject,
                from: values.next()?,
                to: values.next()?,
                within: values.next()?,
            });
        }
        let range = self.level(inner.part(Rule::level)?)?;
        let over = match inner.part(Rule::tail) {
            Some(tail) => self.over(tail)?,
            None => Over::Always,
        };
        if matches!(range.form, RangeForm::Above | RangeForm::Below)
            && matches!(over, Over::Always | Over::Throughout(_) | Over::Samples(_))
        {
            let finding = Finding::at(
                &SENSELESS_LIMIT,
                range.loc,
                "`above` and `below` name where time is spent, not what is allowed",
            )
            .help(
                "write `<=` or `>=` for a limit on the value, or add `in total at most …` or `at a stretch at most …`",
            );
            self.findings.push(finding);
            return None;
        }
        Some(Condition::Level { parameter: subject, range, over })
    }

    pub(super) fn level(&mut self, node: &Node) -> Option<Range> {
        let inner = node.first()?;
        let loc = self.loc(node);
        let edge = |at, strict| Some(EdgeAt { at, strict });
        match inner.rule {
            Rule::compared => self.compared(inner),
            Rule::within_band => {
                let (low, high) = self.pair(inner)?;
                if let (Some(a), Some(b)) = (low.quantity, high.quantity)
                    && a.dimension() == b.dimension()
                    && a.base() > b.base()
                {
                    let finding = Finding::at(
                        &SENSELESS_LIMIT,
                        loc,
                        "nothing lies in this range: its lower end is above its upper end",
                    )
                    .help("put the smaller value first");
                    self.findings.push(finding);
                }
                Some(Range { lower: edge(low, false), upper: edge(high, false), form: RangeForm::Between, loc })
            }
            Rule::tolerance => {
                let (target, tolerance) = self.pair(inner)?;
                let end = |add: bool| {
                    let mut at = target.clone();
                    at.quantity = target.quantity.zip(tolerance.quantity).and_then(|(centre, by)| {
                        let by = centre.unit.difference_from_base(by.base_difference()?)?;
                        let value = if add { centre.value.plus(by)? } else { centre.value.minus(by)? };
                        Some(Quantity::new(value, centre.unit))
                    });
                    if at.quantity.is_some() {
                        at.number = at.quantity.map(|quantity| quantity.value);
                    }
                    EdgeAt { at, strict: false }
                };
                Some(Range {
                    lower: Some(end(false)),
                    upper: Some(end(true)),
                    form: RangeForm::Tolerance(target, tolerance),
                    loc,
                })
            }
            Rule::above => {
                Some(Range { lower: edge(self.a_quantity(inner)?, true), upper: None, form: RangeForm::Above, loc })
            }
            _ => Some(Range { lower: None, upper: edge(self.a_quantity(inner)?, true), form: RangeForm::Below, loc }),
        }
    }

    fn compared(&mut self, node: &Node) -> Option<Range> {
        let sign = self.slice(node.part(Rule::comparison)?).to_owned();
        let at = self.a_quantity(node)?;
        let edge = |strict| Some(EdgeAt { at: at.clone(), strict });
        let (lower, upper) = match sign.as_str() {
            "<=" | "≤" => (None, edge(false)),
            "<" => (None, edge(true)),
            ">=" | "≥" => (edge(false), None),
            ">" => (edge(true), None),
            _ => (edge(false), edge(false)),
        };
        Some(Range { lower, upper, form: RangeForm::Compared, loc: self.loc(node) })
    }

    pub(super) fn over(&mut self, node: &Node) -> Option<Over> {
        let inner = node.first()?;
        let most = inner.part(Rule::extent).is_some_and(|extent| self.slice(extent) == "most");
        Some(match inner.rule {
            Rule::held => Over::Held(self.a_quantity(inner)?),
            Rule::throughout => Over::Throughout(self.a_name(inner)?),
            Rule::in_total => {
                let amount = self.amount(inner.part(Rule::amount)?)?;
                if most && matches!(amount, Amount::Share { .. }) {
                    let finding = Finding::at(
                        &SENSELESS_LIMIT,
                        self.loc(inner),
                        "a share of a stage is asked for as at least so much",
                    )
                    .help("say the most as a length of time, or ask for the rest of the stage as at least so much");
                    self.findings.push(finding);
                    return None;
                }
                if most { Over::TotalAtMost(amount) } else { Over::TotalAtLeast(amount) }
            }
            Rule::at_a_stretch => {
                let time = self.a_quantity(inner)?;
                if most { Over::StretchAtMost(time) } else { Over::StretchAtLeast(time) }
            }
            Rule::every_sample => {
                Over::Samples(if inner.part(Rule::number).is_some() { self.count(inner)? } else { 1 })
            }
            _ => {
                let finding = Finding::at(
                    &BARE_FOR,
                    self.loc(inner),
                    "`for` does not say whether the time is without a break or summed",
                )
                .help("write `held for` (without a break), `in total at least` (summed), or `at a stretch at most`");
                self.findings.push(finding);
                return None;
            }
        })
    }

    fn amount(&mut self, node: &Node) -> Option<Amount> {
        let Some(share) = node.part(Rule::share_of) else {
            return Some(Amount::Time(self.a_quantity(node)?));
        };
        Some(Amount::Share {
            share: self.a_quantity(share)?,
            stage: self.a_name(share)?,
            or_longer: node.part(Rule::whichever).and_then(|other| self.a_quantity(other)),
        })
    }

    fn monitor(&mut self, node: &Node) -> Option<Monitor> {
        let mut lists = node.all(Rule::names);
        let parameters = lists.next().map_or_else(Vec::new, |list| self.own_names(list));
        let using = lists.next().map_or_else(Vec::new, |list| self.own_names(list));
        let mut names = self.own_names(node).into_iter();
        Some(Monitor {
            parameters,
            often: self.cadence(node)?,
            by: names.next()?,
            using,
            record: names.next()?,
            how: self.a_text(node),
            loc: self.loc(node),
        })
    }

    fn deviation(&mut self, node: &Node) -> Deviation {
        let mut deviation = Deviation {
            hold: None,
            hold_back: None,
            cause: None,
            restore: None,
            prevent: None,
            disposition: None,
            record: None,
            loc: self.head_loc(node),
        };
        for part in &node.parts {
            match part.rule {
                Rule::s_hold => self.once(&mut deviation.hold, self.a_text(part), part),
                Rule::s_hold_back => {
                    let scope = if part.part(Rule::last_good_check).is_some() {
                        HoldBack::LastGoodCheck
                    } else {
                        HoldBack::LastCheckWithEveryLimitMet
                    };
                    self.once(&mut deviation.hold_back, Some(scope), part);
                }
                Rule::s_cause => self.once(&mut deviation.cause, self.a_text(part), part),
                Rule::s_restore => self.once(&mut deviation.restore, self.a_text(part), part),
                Rule::s_prevent => self.once(&mut deviation.prevent, self.a_text(part), part),
                Rule::s_disposition => {
                    let who = self.a_name(part);
                    let disposition = who.map(|who| (self.names(part), who));
                    self.once(&mut deviation.disposition, disposition, part);
                }
                Rule::s_recorded => self.once(&mut deviation.record, self.a_name(part), part),
                _ => {}
            }
        }
        deviation
    }

    pub(super) fn verify(&mut self, node: &Node) -> Option<Verify> {
        let mut names = self.own_names(node).into_iter();
        let activity = names.next()?;
        let when = match node.part(Rule::within_term) {
            Some(within) => VerifyWhen::Within(self.term(within)),
            None => VerifyWhen::Often(self.cadence(node)?),
        };
        Some(Verify {
            activity,
            what: self.a_text(node),
            when,
            by: names.next()?,
            record: names.next(),
            loc: self.loc(node),
        })
    }

    fn validated(&mut self, node: &Node) -> Validated {
        let support = node
            .all(Rule::support)
            .filter_map(|support| {
                let kind = SupportKind::read(self.slice(support.part(Rule::support_kind)?))?;
                Some((kind, self.a_name(support)?))
            })
            .collect();
        Validated { date: self.date(node), support, loc: self.loc(node) }
    }
}
