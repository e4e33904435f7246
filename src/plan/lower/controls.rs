//! CCPs and other controls: limits, monitoring, deviation, verification, validation.

use super::Lower;
use crate::plan::limit::Limit;
use crate::plan::shape::Shape;
use crate::plan::{
    Control, ControlKind, Deviation, HoldBack, LimitKind, Monitor, SupportKind, Validated, Verify, VerifyWhen,
};
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
            series: Vec::new(),
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
                Rule::s_series => control.series.extend(self.series(part)),
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
            self.prose(prose, &format!("`{name}`"));
        }
        let subject = node.part(Rule::condition);
        let condition = subject.and_then(|condition| self.condition(condition));
        let condition_loc = self.loc(subject.unwrap_or(node));
        let (during, since) = subject.map_or((None, None), |subject| self.confined(subject));
        let pending = node.part(Rule::pending).and_then(|pending| {
            let by = self.a_name(pending)?;
            Some((by, self.date(pending)))
        });
        let mut limit = Limit {
            kind,
            name,
            condition,
            during,
            since,
            guard: node.part(Rule::guard).map(|guard| self.guard(guard)),
            credit_gap: None,
            pairing: None,
            shape: Shape::default(),
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
                    Rule::s_pairing => {
                        let pairing = self.a_quantity(part);
                        self.once(&mut limit.pairing, pairing, part);
                    }
                    Rule::s_because => self.once(&mut limit.because, self.a_text(part), part),
                    Rule::s_cites => limit.cites.extend(self.citations(part)),
                    _ => self.shape(&mut limit, part),
                }
            }
        }
        Some(limit)
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
            adjust: None,
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
                Rule::s_adjust => self.once(&mut deviation.adjust, self.a_name(part), part),
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
