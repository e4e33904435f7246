//! CCPs and other controls: sort, place, monitoring, corrective action, validation.

use super::{CITES, SERIES_LIMIT, Taken};
use crate::compare::kind::Kind;
use crate::compare::said::{Field, Thing, Words, list, plain};
use crate::plan::names::Kind as Space;
use crate::plan::{Control, ControlKind, Deviation, HoldBack, Monitor, Series, Validated};
use chrono::Datelike;

const CORRECTIVE: Field = Field {
    added: Kind::CorrectiveAdded,
    gone: Kind::CorrectiveGone,
    ..plain("corrective action", Kind::CorrectiveChanged)
};

const VALIDATED: Field = Field {
    added: Kind::ValidationAdded,
    gone: Kind::ValidationGone,
    less: Kind::ValidationEarlier,
    more: Kind::ValidationNewer,
    ..plain("validation", Kind::ValidationChanged)
};

const OFTEN: Field = Field {
    less: Kind::MonitoringOftener,
    more: Kind::MonitoringRarer,
    ..plain("how often", Kind::MonitoringRhythmChanged)
};

impl<'p> Taken<'p, '_> {
    pub(super) fn control(&mut self, control: &'p Control) {
        let Control {
            name,
            title,
            number,
            kind,
            at,
            limits,
            series,
            monitors,
            deviation,
            verify,
            validated,
            because,
            cites,
            loc,
        } = control;
        let (word, kinds) = if control.is_ccp() {
            ("ccp", (Kind::CcpAdded, Kind::CcpGone))
        } else {
            ("control", (Kind::ControlAdded, Kind::ControlGone))
        };
        let mut thing = Thing::declared(self.naming, kinds, Space::Control, word, (name, title), *loc);
        thing.control = Some(name);
        thing.say_text(plain("number", Kind::TitleChanged), number);
        if let Some(kind) = kind {
            let field =
                Field { less: Kind::NoLongerCcp, more: Kind::NowCcp, ..plain("sort", Kind::ControlSortChanged) };
            let size = i64::from(*kind == ControlKind::Ccp);
            thing.say(field, Some(Words::text(kind.word()).sized(size)));
        }
        // In one saying, so that a control that moves is told once.
        let mut steps = Words::names(self.naming, Space::Step, at);
        steps.sort_by(|one, two| one.key.cmp(&two.key));
        let steps = steps.into_iter().reduce(|all, one| all.then(", ").and(one));
        thing.say(plain("step", Kind::ControlMoved), steps);
        thing.say_text(plain("reason", Kind::ReasonChanged), because);
        thing.list(CITES, self.cites(cites));
        if let Some(deviation) = deviation {
            self.deviation(&mut thing, deviation);
        }
        let validations = validated.iter().map(|Validated { date, support, loc: _ }| {
            let parts = support.iter().map(|(kind, name)| {
                Words::text(kind.word()).then(" ").and(Words::name(self.naming, Space::Citable, name))
            });
            let mut parts: Vec<Words> = parts.collect();
            parts.sort_by(|one, two| one.key.cmp(&two.key));
            let day = Words::text(super::people::day(*date));
            parts.into_iter().fold(day, |all, one| all.then(", ").and(one))
        });
        let newest = validated.iter().filter_map(|one| one.date).max();
        let mut validations: Vec<Words> = validations.collect();
        validations.sort_by(|one, two| one.key.cmp(&two.key));
        let validations = validations.into_iter().reduce(|all, one| all.then("; ").and(one));
        let validations = validations.map(|words| match newest {
            Some(date) => words.sized(i64::from(date.num_days_from_ce())),
            None => words,
        });
        thing.say(VALIDATED, validations);
        let (within, of) = (thing.id.clone(), thing.label.clone());
        self.things.push(thing);
        for limit in limits {
            self.limit(limit, name, &within, &of);
        }
        for one in series {
            self.series(one, &within, &of);
        }
        for monitor in monitors {
            self.monitor(monitor, &within, &of);
        }
        self.verifications(verify, &within, &of, Some(name));
    }

    fn deviation(&self, thing: &mut Thing<'p>, deviation: &Deviation) {
        let Deviation { hold, hold_back, cause, restore, prevent, disposition, record, loc } = deviation;
        let part = |word| Field { word, ..CORRECTIVE };
        let mut say = |word, words: Option<Words>| thing.say_at(part(word), words, *loc);
        say("how product is held", hold.as_ref().map(Words::text));
        let back = hold_back.map(|back| match back {
            HoldBack::LastGoodCheck => "the last good check",
            HoldBack::LastCheckWithEveryLimitMet => "the last check with every limit met",
        });
        say("how far back product is held", back.map(Words::text));
        say("how the cause is removed", cause.as_ref().map(Words::text));
        say("how control is restored", restore.as_ref().map(Words::text));
        say("how it is kept from happening again", prevent.as_ref().map(Words::text));
        let disposition = disposition.as_ref().map(|(ways, by)| {
            let mut ways: Vec<&str> = ways.iter().map(|way| way.text.as_str()).collect();
            ways.sort_unstable();
            Words::text(ways.join(", ")).then(" by ").and(Words::name(self.naming, Space::Role, by))
        });
        say("what may become of the product", disposition);
        say("record", record.as_ref().map(|record| Words::name(self.naming, Space::Record, record)));
    }

    fn series(&mut self, series: &'p Series, within: &str, of: &str) {
        let Series { name, limit, most, of: many, what, from, because, cites, loc, counts_loc } = series;
        let label = format!("series `{name}` of {of}");
        let mut thing =
            Thing::new((Kind::SeriesAdded, Kind::SeriesGone), format!("{within}/series:{name}"), label, *loc);
        thing.within = Some(within.to_owned());
        thing.gist = series.symbols();
        let count = |count: u32| Words::text(count.to_string()).sized(i64::from(count));
        let most_field = Field {
            less: Kind::SeriesTightened,
            more: Kind::SeriesLoosened,
            ..plain("how many may miss the limit", Kind::SeriesChanged)
        };
        thing.say_at(most_field, Some(count(*most)), *counts_loc);
        let of_field = Field {
            less: Kind::SeriesLoosened,
            more: Kind::SeriesTightened,
            ..plain("of how many in a row", Kind::SeriesChanged)
        };
        thing.say_at(of_field, Some(count(*many)), *counts_loc);
        thing.say(plain(SERIES_LIMIT, Kind::SeriesChanged), Some(Words::text(&limit.text)));
        thing.say_at(plain("of what", Kind::SeriesChanged), Some(Words::text(what.word())), *counts_loc);
        thing.say(plain("from", Kind::SeriesChanged), from.map(|day| Words::text(super::people::day(day))));
        thing.say_text(plain("reason", Kind::ReasonChanged), because);
        thing.list(CITES, self.cites(cites));
        self.things.push(thing);
    }

    fn monitor(&mut self, monitor: &'p Monitor, within: &str, of: &str) {
        let Monitor { parameters, often, by, using, record, how, loc } = monitor;
        for parameter in parameters {
            let id = format!("{within}/monitor:{}", self.naming.of(Space::Parameter, parameter));
            let label = format!("monitoring of `{parameter}` in {of}");
            let mut thing = Thing::new((Kind::MonitoringAdded, Kind::MonitoringGone), id, label, *loc);
            thing.within = Some(within.to_owned());
            thing.gist = format!("{often}, by {by}, on {record}");
            thing.say(OFTEN, Some(Words::cadence(self.naming, often)));
            thing.say(plain("by whom", Kind::MonitoringBy), Some(Words::name(self.naming, Space::Role, by)));
            let with = list("instrument", Kind::MonitoringWithAdded, Kind::MonitoringWithGone);
            thing.list(with, Words::names(self.naming, Space::Instrument, using));
            let record = Words::name(self.naming, Space::Record, record);
            thing.say(plain("record", Kind::MonitoringHow), Some(record));
            thing.say_text(plain("how", Kind::MonitoringHow), how);
            self.things.push(thing);
        }
    }
}
