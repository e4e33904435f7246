//! Limits of all four sorts. How two conditions stand to each other is told by [`super::super::limits`].

use super::{CITES, Taken};
use crate::compare::kind::Kind;
use crate::compare::said::{Field, Naming, Thing, Words, condition, list, plain};
use crate::plan::names::Kind as Space;
use crate::plan::shape::{Judged, Per, Probes, Required, Shape, StandsFor};
use crate::plan::{Guard, Limit, LimitKind, Name, Wanted};
use std::cell::RefCell;

/// The respect in which the condition itself is told; compared apart from the others.
pub(in crate::compare) const CONDITION: Field = plain("limit", Kind::LimitChanged);

impl<'p> Taken<'p, '_> {
    pub(super) fn guard(&self, guard: &Guard) -> Words {
        let Guard { facts, only, loc: _ } = guard;
        let mut keys: Vec<String> = facts
            .iter()
            .map(|test| {
                let fact = self.naming.of(Space::Parameter, &test.fact);
                match &test.wanted {
                    Wanted::Answer(answer) => format!("{fact} is {answer}"),
                    Wanted::Within(range) => format!("{fact} {:?}", range.exact()),
                }
            })
            .collect();
        keys.sort();
        let only = if *only { "only " } else { "" };
        Words { shown: guard.symbols(), key: format!(" {only}when {}", keys.join(" and ")), size: None }
    }

    pub(super) fn limit(&mut self, limit: &'p Limit, control: &'p Name, within: &str, of: &str) {
        let Limit {
            kind,
            name,
            condition: asked,
            during,
            since,
            guard,
            credit_gap,
            pairing,
            shape,
            pending,
            because,
            cites,
            loc,
            condition_loc: _,
        } = limit;
        let kinds = match kind {
            LimitKind::Critical => (Kind::LimitAdded, Kind::LimitGone),
            LimitKind::Operating => (Kind::OperatingAdded, Kind::OperatingGone),
            LimitKind::Guide => (Kind::GuideChanged, Kind::GuideChanged),
            LimitKind::Identity => (Kind::IdentityChanged, Kind::IdentityChanged),
        };
        let label = format!("{} `{name}` of {of}", kind.word());
        let mut thing = Thing::new(kinds, format!("{within}/limit:{name}"), label, *loc);
        thing.within = Some(within.to_owned());
        thing.known_by_more = asked.is_some();
        thing.gist = limit.symbols();
        thing.limit = Some(limit);
        thing.control = Some(control);
        let critical = *kind == LimitKind::Critical;
        let sort =
            Field { less: Kind::NoLongerCritical, more: Kind::NowCritical, ..plain("sort", Kind::LimitSortChanged) };
        thing.say(sort, Some(Words::text(kind.word()).sized(i64::from(critical))));
        thing.say(CONDITION, asked.as_ref().map(|asked| condition(self.naming, asked)));
        // What is not critical has one kind of change for all that surrounds its condition.
        let around = |kind_if_critical| match kind {
            LimitKind::Critical => kind_if_critical,
            LimitKind::Operating => Kind::OperatingChanged,
            LimitKind::Guide => Kind::GuideChanged,
            LimitKind::Identity => Kind::IdentityChanged,
        };
        let scope = |word| plain(word, around(Kind::LimitScopeChanged));
        let naming = self.naming;
        thing.say(scope("during"), during.as_ref().map(|stage| Words::name(naming, Space::Stage, stage)));
        thing.say(scope("counted from"), since.as_ref().map(|event| Words::name(naming, Space::Event, event)));
        thing.say(scope("for which lots"), guard.as_ref().map(|guard| self.guard(guard).trimmed()));
        let judging = |word| plain(word, around(Kind::LimitJudgingChanged));
        let time = |time: &Option<_>| time.as_ref().map(|time| Words::number(time, false));
        thing.say(judging("credit gap"), time(credit_gap));
        thing.say(judging("pairing"), time(pairing));
        self.shape(&mut thing, shape, &judging, &around);
        if let Some((by, until)) = pending {
            let by = Words::name(naming, Space::Role, by);
            let words = by.then(" before ").and(Words::text(super::people::day(*until)));
            thing.say(plain("who sets the value", Kind::PendingChanged), Some(words));
        }
        thing.say_text(plain("reason", around(Kind::ReasonChanged)), because);
        thing.list(CITES, self.cites(cites));
        self.things.push(thing);
    }

    fn shape(
        &self,
        thing: &mut Thing<'p>,
        shape: &Shape,
        judging: &dyn Fn(&'static str) -> Field,
        around: &dyn Fn(Kind) -> Kind,
    ) {
        // What is allowed beside a bound is already part of the condition.
        let Shape { required, stands_for, allow: _, judged, probes, accuracy } = shape;
        let naming = self.naming;
        let legal = required.iter().map(|Required { condition: asked, during, since, cites, loc: _ }| {
            let mut words = condition(naming, asked);
            for (word, said) in [(" during ", (during, Space::Stage)), (" from ", (since, Space::Event))] {
                if let (Some(name), space) = said {
                    words = words.then(word).and(Words::name(naming, space, name));
                }
            }
            self.cites(cites).into_iter().fold(words, |words, cite| words.then(" cites ").and(cite))
        });
        let field = list("legal value", around(Kind::LegalValueChanged), around(Kind::LegalValueChanged));
        thing.list(field, legal.collect());
        if let Some(StandsFor { condition: asked, study, loc }) = stands_for {
            let words = condition(naming, asked);
            let words = study
                .iter()
                .fold(words, |words, study| words.then(" shown by ").and(Words::name(naming, Space::Citable, study)));
            thing.say_at(plain("stands for", around(Kind::StandInChanged)), Some(words), *loc);
        }
        if let Some(Judged { per, loc }) = judged.as_ref().filter(|judged| judged.per != Per::Lot) {
            let words = match per {
                Per::Stage(stage) => Words::name(naming, Space::Stage, stage),
                Per::Lot | Per::Load | Per::Day | Per::Shift => Words::text(per.word()),
            };
            thing.say_at(judging("judged per"), Some(words), *loc);
        }
        if let Some(loc) = accuracy {
            thing.say_at(judging("accuracy of the instrument"), Some(Words::text("counted")), *loc);
        }
        if let Some(Probes { enough: Some((enough, of)), loc }) = probes {
            thing.say_at(judging("probes that are enough"), Some(Words::text(format!("{enough} of {of}"))), *loc);
        }
    }
}

/// The names that a condition speaks of, each in its sort.
pub(in crate::compare) fn names(asked: &crate::plan::Condition) -> Vec<(Space, String)> {
    let found = RefCell::new(Vec::new());
    let note = |space: Space, name: &str| {
        found.borrow_mut().push((space, name.to_owned()));
        name.to_owned()
    };
    let mut own = asked.clone();
    own.visit(&mut Naming(&note));
    found.into_inner()
}
