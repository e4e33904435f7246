//! The plan block, the team, the roles and the accepted exceptions.

use super::Taken;
use crate::compare::kind::Kind;
use crate::compare::said::{Thing, Words, list, plain, sized};
use crate::plan::names::Kind as Space;
use crate::plan::{Considered, Dated, Exception, Head, Meets, Member, Qualified, Revision, Role, Team};
use crate::source::Loc;
use chrono::{Datelike, NaiveDate};

/// A day, or a blank.
pub(super) fn day(date: Option<NaiveDate>) -> String {
    date.map_or_else(|| crate::plan::BLANK.to_owned(), |date| date.to_string())
}

/// The sort of name that a block of this word has.
fn block_space(word: &str) -> Space {
    match word {
        "ccp" | "control" => Space::Control,
        "source" | "study" => Space::Citable,
        "record" => Space::Record,
        "role" => Space::Role,
        "product" => Space::Product,
        "material" => Space::Material,
        "equipment" => Space::Equipment,
        "instrument" => Space::Instrument,
        "hazard" => Space::Hazard,
        "step" => Space::Step,
        "table" => Space::Table,
        "inactivation" => Space::Inactivation,
        _ => Space::Programme,
    }
}

/// Every sort of thing that an exception may be confined to.
const SORTS: [Space; 17] = [
    Space::Role,
    Space::Product,
    Space::Material,
    Space::Equipment,
    Space::Instrument,
    Space::Parameter,
    Space::Hazard,
    Space::Step,
    Space::Stage,
    Space::Programme,
    Space::Control,
    Space::Table,
    Space::Inactivation,
    Space::GrowthModel,
    Space::Citable,
    Space::Record,
    Space::Event,
];

impl<'p> Taken<'p, '_> {
    /// The name that stands for a name of whatever sort.
    fn anywhere(&self, name: &crate::plan::Name) -> String {
        let other = SORTS.iter().map(|space| self.naming.of(*space, name)).find(|found| *found != name.text);
        other.unwrap_or_else(|| name.text.clone())
    }

    pub(super) fn plan_block(&mut self, head: Option<&'p Head>, team: &'p Team, meets: &'p [Meets]) {
        let loc = head.map(|head| head.loc).or(team.loc).unwrap_or_default();
        let mut thing =
            Thing::new((Kind::ScopeChanged, Kind::ScopeChanged), "plan".to_owned(), "the plan".to_owned(), loc);
        if let Some(head) = head {
            self.head(&mut thing, head);
        }
        let Team { members, outside, loc: _ } = team;
        let on_team = list("team", Kind::TeamAdded, Kind::TeamGone);
        let member = |Member { role, discipline, leads }: &Member| {
            let words = Words::name(self.naming, Space::Role, role).then(": ").and(Words::text(discipline));
            if *leads { words.then(", leader") } else { words }
        };
        let mut people: Vec<Words> = members.iter().map(member).collect();
        people.extend(outside.iter().map(|(who, what)| Words::text(format!("{who}: {what}, from outside"))));
        thing.list(on_team, people);
        let answers = meets.iter().map(|Meets { citation, block, name, head: _ }| {
            let words = Words::name(self.naming, block_space(block), name);
            Words::text(&citation.value).then(&format!(" by {block} ")).and(words)
        });
        thing.list(list("clause answered", Kind::AnswerAdded, Kind::AnswerGone), answers.collect());
        self.things.push(thing);
    }

    fn head(&self, thing: &mut Thing<'p>, head: &Head) {
        let Head {
            name,
            title,
            establishment,
            registered,
            address,
            scope,
            regimes,
            concerns,
            not_concerned,
            tree,
            zone,
            shifts,
            working_days,
            holidays,
            considered,
            revision,
            supersedes,
            in_force,
            flow_confirmed,
            reassess,
            reassessed,
            loc,
        } = head;
        thing.say(plain("name of the plan", Kind::TitleChanged), Some(Words::text_of(name)));
        thing.say_text(plain("title", Kind::TitleChanged), title);
        thing.say_text(plain("establishment", Kind::PlantChanged), establishment);
        thing.say_text(plain("registered number", Kind::PlantChanged), registered);
        thing.say_text(plain("address", Kind::PlantChanged), address);
        thing.say_text(plain("scope", Kind::ScopeChanged), scope);
        let words = |names: &[crate::plan::Name]| names.iter().map(Words::text_of).collect::<Vec<_>>();
        thing.list(list("regime", Kind::RegimeAdded, Kind::RegimeGone), words(regimes));
        let concern = list("topic that applies", Kind::ConcernChanged, Kind::ConcernChanged);
        thing.list(concern, words(concerns));
        let not = list("topic that does not apply", Kind::ConcernChanged, Kind::ConcernChanged);
        thing.list(not, not_concerned.iter().map(|(topic, why)| Words::text(format!("{topic}: {why}"))).collect());
        thing.say(plain("decision tree", Kind::TreeChanged), tree.as_ref().map(Words::text_of));
        thing
            .say(plain("time zone", Kind::ClockChanged), zone.as_ref().map(|zone| Words::text(zone.value.to_string())));
        let shifts = shifts.as_ref().map(|shifts| {
            Words::text(shifts.iter().map(|begin| begin.format("%H:%M").to_string()).collect::<Vec<_>>().join(", "))
        });
        thing.say(plain("shifts", Kind::ClockChanged), shifts);
        if let Some(said) = working_days {
            let mut days: Vec<chrono::Weekday> = said.value.clone();
            days.sort_by_key(chrono::Weekday::num_days_from_monday);
            let words = days.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ");
            thing.say_at(plain("working days", Kind::ClockChanged), Some(Words::text(words)), said.loc);
        }
        let off = holidays.iter().map(|day| Words::text(day.to_string())).collect();
        thing.list(list("holiday", Kind::ClockChanged, Kind::ClockChanged), off);
        let looked_at = considered.iter().map(|Considered { sources, hazards, why, loc: _ }| {
            let words = sources.iter().map(|name| name.text.as_str()).collect::<Vec<_>>().join(", ");
            let named = Words::names(self.naming, Space::Hazard, hazards);
            named
                .into_iter()
                .fold(Words::text(words), |words, one| words.then(" as ").and(one))
                .then(": ")
                .and(Words::text(why))
        });
        let sources = list("source of hazards", Kind::HazardReasonChanged, Kind::HazardReasonChanged);
        thing.list(sources, looked_at.collect());
        let numbered = |Revision { number, date, reason, loc: _ }: &Revision| {
            let reason = reason.as_ref().map_or_else(String::new, |reason| format!(": {reason}"));
            Words::text(format!("{number} on {}{reason}", day(*date)))
        };
        if let Some(revision) = revision {
            thing.say_at(plain("revision", Kind::RevisionChanged), Some(numbered(revision)), revision.loc);
        }
        let earlier = list("earlier revision", Kind::RevisionChanged, Kind::RevisionChanged);
        thing.list(earlier, supersedes.iter().map(numbered).collect());
        if let Some(day) = in_force {
            thing.say_at(
                plain("in force from", Kind::InForceChanged),
                Some(Words::text(day.value.to_string())),
                day.loc,
            );
        }
        let often = sized(
            "how often it is reassessed",
            Kind::ReassessmentOftener,
            Kind::ReassessmentRarer,
            Kind::ReassessmentChanged,
        );
        if let Some(every) = reassess {
            let term = crate::plan::Term::Calendar(every.value);
            thing.say_at(often, Some(Words::term(&term)), every.loc);
        }
        for (word, kind, said) in [
            ("flow confirmed", Kind::FlowConfirmedChanged, flow_confirmed),
            ("last reassessed", Kind::ReassessedChanged, reassessed),
        ] {
            if let Some(Dated { date, by, changed, note, loc }) = said {
                let words = Words::text(day(*date)).then(" by ").and(Words::name(self.naming, Space::Role, by));
                let words = match changed {
                    Some(true) => words.then(", plan changed"),
                    Some(false) => words.then(", plan unchanged"),
                    None => words,
                };
                let words = note.iter().fold(words, |words, note| words.then(": ").and(Words::text(note)));
                thing.say_at(plain(word, kind), Some(words), *loc);
            }
        }
        thing.loc = *loc;
    }

    pub(super) fn role(&mut self, role: &'p Role) {
        let Role { name, title, trained, qualified, duties, loc } = role;
        let kinds = (Kind::RoleAdded, Kind::RoleGone);
        let mut thing = Thing::declared(self.naming, kinds, Space::Role, "role", (name, title), *loc);
        thing.say_text(plain("duties", Kind::DutiesChanged), duties);
        let (within, of) = (thing.id.clone(), thing.label.clone());
        self.things.push(thing);
        let courses =
            trained.iter().map(|(course, date)| (format!("training \"{course}\""), course.clone(), date, *loc));
        let qualified = qualified.iter().map(|Qualified { name, how, date, loc }| {
            (format!("qualification `{name}`"), format!("{name} {how}"), date, *loc)
        });
        for (label, key, date, loc) in courses.chain(qualified) {
            let id = format!("{within}/training:{}", Words::text(key).key);
            let kinds = (Kind::TrainingAdded, Kind::TrainingGone);
            let mut thing = Thing::new(kinds, id, format!("{label} of {of}"), loc);
            thing.within = Some(within.clone());
            thing.gist = format!("on {}", day(*date));
            let words = Words::text(day(*date));
            let words = date.map_or(words.clone(), |date| words.sized(i64::from(date.num_days_from_ce())));
            thing.say(sized("day", Kind::TrainingEarlier, Kind::TrainingRenewed, Kind::TrainingChanged), Some(words));
            self.things.push(thing);
        }
    }

    pub(super) fn exception(&mut self, exception: &'p Exception) {
        let Exception { rule, at, because, by, until, loc } = exception;
        let at_words = at.as_ref().map_or_else(String::new, |at| format!(" at `{at}`"));
        let id = format!("exception:{rule} {}", at.as_ref().map_or_else(String::new, |at| self.anywhere(at)));
        let kinds = (Kind::ExceptionAdded, Kind::ExceptionGone);
        let mut thing = Thing::new(kinds, id, format!("exception `{rule}`{at_words}"), Loc::clone(loc));
        thing.gist = format!("until {}: {because}", day(*until));
        let ends = sized("until", Kind::ExceptionShorter, Kind::ExceptionLonger, Kind::ExceptionChanged);
        let words = Words::text(day(*until));
        let words = until.map_or(words.clone(), |date| words.sized(i64::from(date.num_days_from_ce())));
        thing.say(ends, Some(words));
        thing.say(plain("reason", Kind::ExceptionChanged), Some(Words::text(because)));
        thing.say(plain("by whom", Kind::ExceptionChanged), Some(Words::name(self.naming, Space::Role, by)));
        self.things.push(thing);
    }
}
