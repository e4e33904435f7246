//! Steps with their stages and hazard rows, agents, and prerequisite programmes.

use super::{CITES, Taken};
use crate::check::hazards::LIKELIHOODS;
use crate::compare::kind::Kind;
use crate::compare::said::{Field, Thing, Words, list, plain, sized};
use crate::plan::names::Kind as Space;
use crate::plan::{Analysis, Gives, Hazard, HazardRow, Name, Programme, Routine, Severity, Significance, Stage, Step};

impl<'p> Taken<'p, '_> {
    pub(super) fn hazard(&mut self, hazard: &'p Hazard) {
        let Hazard { name, title, class, severity, acceptable_level, cites, loc } = hazard;
        let kinds = (Kind::HazardAdded, Kind::HazardGone);
        let mut thing = Thing::declared(self.naming, kinds, Space::Hazard, "hazard", (name, title), *loc);
        thing.say(plain("class", Kind::HazardChanged), class.map(|class| Words::text(class.word())));
        if let Some((severity, why)) = severity {
            let weight = match severity {
                Severity::Severe => 2,
                Severity::Moderate => 1,
                Severity::Minor => 0,
            };
            let field = Field {
                less: Kind::SeverityLowered,
                more: Kind::SeverityRaised,
                ..plain("severity", Kind::HazardChanged)
            };
            thing.say(field, Some(Words::text(severity.word()).sized(weight)));
            thing.say_text(plain("reason for the severity", Kind::HazardChanged), why);
        }
        thing.say_text(plain("acceptable level", Kind::HazardChanged), acceptable_level);
        thing.list(CITES, self.cites(cites));
        self.things.push(thing);
    }

    /// Classes that are answered *no*, and why there is nothing else.
    pub(super) fn answered(&self, thing: &mut Thing<'p>, analysis: &Analysis) {
        let Analysis { rows: _, none, no_other } = analysis;
        let said = none.iter().map(|(class, why, _)| Words::text(format!("no {} hazard: {why}", class.word())));
        let field = list("class without a hazard", Kind::HazardReasonChanged, Kind::HazardReasonChanged);
        thing.list(field, said.collect());
        if let Some((why, loc)) = no_other {
            thing.say_at(plain("no other hazard", Kind::HazardReasonChanged), Some(Words::text(why)), *loc);
        }
    }

    /// The rows of a hazard analysis, one thing for each hazard and what happens with it.
    pub(super) fn rows(&mut self, analysis: &'p Analysis, within: &str, of: &str) {
        for HazardRow { hazards, verb, likelihood, significance, decision, controls, loc } in &analysis.rows {
            for hazard in hazards {
                let id = format!("{within}/{} {}", self.naming.of(Space::Hazard, hazard), verb.word());
                let label = format!("hazard `{hazard}` ({}) at {of}", verb.word());
                let mut thing = Thing::new((Kind::HazardRowAdded, Kind::HazardRowGone), id, label, *loc);
                thing.within = Some(within.to_owned());
                if let Some((level, remark)) = likelihood {
                    let field =
                        sized("likelihood", Kind::LikelihoodLowered, Kind::LikelihoodRaised, Kind::HazardReasonChanged);
                    let words = Words::text_of(level);
                    // From the most likely to the least.
                    let weight = LIKELIHOODS.iter().position(|word| *word == level.text);
                    let weight = weight.and_then(|at| i64::try_from(at).ok());
                    thing.say(field, Some(weight.map_or(words.clone(), |weight| words.sized(-weight))));
                    thing.say_text(plain("remark on the likelihood", Kind::HazardReasonChanged), remark);
                }
                if let Some(said) = significance {
                    self.significance(&mut thing, said);
                }
                let answers = decision
                    .iter()
                    .map(|(question, answer)| Words::text_of(question).then(" ").and(Words::text(answer.word())));
                let answers = answers.reduce(|all, one| all.then(", ").and(one));
                thing.say(plain("decision", Kind::DecisionChanged), answers);
                let named: Vec<Words> = controls
                    .iter()
                    .map(|(name, _)| {
                        let space = self.space(name, &[Space::Control, Space::Programme]);
                        Words::name(self.naming, space, name)
                    })
                    .collect();
                thing.list(list("control", Kind::HazardControlAdded, Kind::HazardControlGone), named);
                let how = controls.iter().filter_map(|(_, how)| how.as_ref()).map(Words::text);
                let field = list("how it is controlled", Kind::HazardReasonChanged, Kind::HazardReasonChanged);
                thing.list(field, how.collect());
                self.things.push(thing);
            }
        }
    }

    fn significance(&self, thing: &mut Thing<'p>, said: &Significance) {
        let Significance { significant, why, relies_on, loc } = said;
        let (word, size) = if *significant { ("significant", 1) } else { ("not significant", 0) };
        let field = Field {
            less: Kind::NoLongerSignificant,
            more: Kind::NewlySignificant,
            ..plain("significance", Kind::HazardReasonChanged)
        };
        thing.say_at(field, Some(Words::text(word).sized(size)), *loc);
        thing.gist = format!("{word}: {why}");
        thing.say_at(plain("reason", Kind::HazardReasonChanged), Some(Words::text(why)), *loc);
        let relies = list("programme relied on", Kind::HazardReasonChanged, Kind::HazardReasonChanged);
        thing.list(relies, Words::names(self.naming, Space::Programme, relies_on));
    }

    pub(super) fn step(&mut self, step: &'p Step, before: Option<&Step>) {
        let Step {
            name,
            title,
            number,
            does,
            starts,
            dispatches,
            after,
            uses,
            gives,
            only_for,
            zone,
            stages,
            analysis,
            loc,
        } = step;
        let kinds = (Kind::StepAdded, Kind::StepGone);
        let mut thing = Thing::declared(self.naming, kinds, Space::Step, "step", (name, title), *loc);
        thing.say_text(plain("number", Kind::FlowChanged), number);
        thing.say_text(plain("what happens", Kind::StepChanged), does);
        let flow = |word| plain(word, Kind::FlowChanged);
        thing.say(flow("start of the flow"), starts.then(|| Words::text("here")));
        thing.say(flow("dispatch"), dispatches.then(|| Words::text("here")));
        // Steps follow each other as written, but for those that say otherwise.
        let follows: Vec<&Name> = match before {
            _ if !after.is_empty() => after.iter().collect(),
            Some(before) if !starts => vec![&before.name],
            _ => Vec::new(),
        };
        thing.list(
            list("follows", Kind::FlowChanged, Kind::FlowChanged),
            Words::names(self.naming, Space::Step, follows),
        );
        let inputs = uses.iter().map(|name| {
            let space = self.space(name, &[Space::Material, Space::Equipment, Space::Product]);
            Words::name(self.naming, space, name)
        });
        thing.list(list("uses", Kind::StepInputAdded, Kind::StepInputGone), inputs.collect());
        let gives = gives.iter().map(|Gives { name, outcome, to }| {
            let space = self.space(name, &[Space::Material, Space::Product]);
            let words = Words::name(self.naming, space, name).then(&format!(" as {}", outcome.word()));
            to.iter().fold(words, |words, to| words.then(" to ").and(Words::name(self.naming, Space::Step, to)))
        });
        thing.list(list("gives", Kind::FlowChanged, Kind::FlowChanged), gives.collect());
        let only = list("only for", Kind::StepChanged, Kind::StepChanged);
        thing.list(only, Words::names(self.naming, Space::Product, only_for));
        thing.say(plain("zone", Kind::StepChanged), zone.as_ref().map(Words::text_of));
        self.answered(&mut thing, analysis);
        let (within, of) = (thing.id.clone(), thing.label.clone());
        self.things.push(thing);
        for Stage { name, from, to } in stages {
            let kinds = (Kind::StageAdded, Kind::StageGone);
            let mut thing = Thing::declared(self.naming, kinds, Space::Stage, "stage", (name, &None), name.loc);
            thing.within = Some(within.clone());
            // Its two ends are what it is.
            thing.known_by_more = true;
            let words = Words::text("from ").and(Words::name(self.naming, Space::Event, from)).then(" to ");
            let words = words.and(Words::name(self.naming, Space::Event, to));
            thing.gist.clone_from(&words.shown);
            thing.say(plain("ends", Kind::StageChanged), Some(words));
            thing.say(plain("step", Kind::StageChanged), Some(Words::name(self.naming, Space::Step, &step.name)));
            self.things.push(thing);
        }
        self.rows(analysis, &within, &of);
    }

    pub(super) fn programme(&mut self, programme: &'p Programme) {
        let Programme { name, title, covers, procedure, routines, verify, cites, loc } = programme;
        let kinds = (Kind::ProgrammeAdded, Kind::ProgrammeGone);
        let mut thing = Thing::declared(self.naming, kinds, Space::Programme, "programme", (name, title), *loc);
        thing.say_text(plain("what it covers", Kind::ProgrammeChanged), covers);
        thing.say_text(plain("procedure", Kind::ProgrammeChanged), procedure);
        thing.list(CITES, self.cites(cites));
        let (within, of) = (thing.id.clone(), thing.label.clone());
        self.things.push(thing);
        for Routine { what, often, by, record } in routines {
            let key = Words::text(what).key;
            let label = format!("routine \"{what}\" of {of}");
            let id = format!("{within}/routine:{key}");
            let mut thing = Thing::new((Kind::RoutineAdded, Kind::RoutineGone), id, label, often.loc);
            thing.within = Some(within.clone());
            thing.gist = format!("{often}, by {by}, on {record}");
            let field = Field {
                less: Kind::RoutineOftener,
                more: Kind::RoutineRarer,
                ..plain("how often", Kind::RoutineChanged)
            };
            thing.say(field, Some(Words::cadence(self.naming, often)));
            thing.say(plain("by whom", Kind::RoutineChanged), Some(Words::name(self.naming, Space::Role, by)));
            thing.say(plain("record", Kind::RoutineChanged), Some(Words::name(self.naming, Space::Record, record)));
            self.things.push(thing);
        }
        self.verifications(verify, &within, &of, None);
    }
}
