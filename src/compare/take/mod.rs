//! Takes a plan apart into things and what is said of each.
//!
//! Every struct of the model is taken apart field by field and without `..`, so that a new field breaks the build here
//! until it is decided what kind of change it makes, or that it makes none.

mod control;
mod evidence;
mod flow;
mod food;
pub(super) mod limit;
mod measure;
mod people;

use super::kind::Kind;
use super::said::{Field, NONE, Naming, Thing, Words, list, plain};
use crate::plan::names::Kind as Space;
use crate::plan::{Citation, Layout, Name, Plan, Said, Verify, VerifyWhen};
use crate::source::Loc;
use std::collections::HashMap;

/// A plan being taken apart.
pub(super) struct Taken<'p, 'n> {
    pub(super) plan: &'p Plan,
    pub(super) naming: &'n Naming<'n>,
    pub(super) things: Vec<Thing<'p>>,
}

/// Every thing of the plan, in the order of its parts.
pub(super) fn take<'p>(plan: &'p Plan, naming: &Naming<'_>) -> Vec<Thing<'p>> {
    let mut taken = Taken { plan, naming, things: Vec::new() };
    let Plan {
        head,
        team,
        roles,
        products,
        materials,
        equipment,
        instruments,
        parameters,
        hazards,
        steps,
        programmes,
        controls,
        tables,
        inactivations,
        growth_models,
        sources,
        studies,
        records,
        events,
        meets,
        exceptions,
        // Into which files a plan is parted is a matter of layout.
        includes: _,
        // A blank shows where it stands.
        blanks: _,
        broken: _,
        // Used to find the place of a statement.
        layout,
    } = plan;
    taken.plan_block(head.as_ref(), team, meets);
    roles.iter().for_each(|role| taken.role(role));
    products.iter().for_each(|product| taken.product(product));
    materials.iter().for_each(|material| taken.material(material));
    equipment.iter().for_each(|one| taken.equipment(one));
    hazards.iter().for_each(|hazard| taken.hazard(hazard));
    for (at, step) in steps.iter().enumerate() {
        taken.step(step, at.checked_sub(1).and_then(|before| steps.get(before)));
    }
    controls.iter().for_each(|control| taken.control(control));
    programmes.iter().for_each(|programme| taken.programme(programme));
    instruments.iter().for_each(|instrument| taken.instrument(instrument));
    parameters.iter().for_each(|parameter| taken.parameter(parameter));
    tables.iter().for_each(|table| taken.table(table));
    inactivations.iter().for_each(|model| taken.inactivation(model));
    growth_models.iter().for_each(|model| taken.growth_model(model));
    sources.iter().for_each(|source| taken.citable("source", source));
    studies.iter().for_each(|study| taken.citable("study", study));
    records.iter().for_each(|record| taken.record(record));
    events.iter().for_each(|event| taken.event(event));
    exceptions.iter().for_each(|exception| taken.exception(exception));
    place(&mut taken.things, layout);
    taken.things
}

/// The word that a statement begins with, where it is not the word for what it says.
fn statement(word: &str) -> &str {
    match word {
        "intended use" => "use",
        "shelf life" | "basis of the shelf life" => "shelf-life",
        "may contain" => "may-contain",
        "sort" | "class" => "kind",
        "registered number" => "registered",
        "regime" => "regimes",
        "decision tree" => "tree",
        "time zone" => "time-zone",
        "topic that applies" => "concerns",
        "topic that does not apply" => "not-concerned",
        "acceptable level" => "acceptable-level",
        "reason for the severity" => "severity",
        "what happens" => "does",
        "only for" => "only",
        "citation" => "cites",
        "day" => "trained",
        "procedure" => "procedure",
        "what it covers" => "covers",
        "what it measures" => "measures",
        "serial number" => "serial",
        "stuck after" => "stuck",
        "answer" => "answers",
        "probe" => "probes",
        "reason" => "because",
        "cleaned by" => "cleaned",
        "remark on the likelihood" => "likelihood",
        "how it is controlled" => "control",
        "kept for" | "where it is kept" => "kept",
        other => other,
    }
}

/// Gives each saying the place of its statement, where the block tells one.
fn place(things: &mut [Thing<'_>], layout: &[Layout]) {
    let blocks: HashMap<Loc, &Layout> = layout.iter().map(|block| (block.head, block)).collect();
    for thing in things {
        let Some(block) = blocks.get(&thing.loc) else { continue };
        for aspect in thing.aspects.iter_mut().filter(|aspect| aspect.loc == thing.loc) {
            let word = statement(aspect.field.word);
            if let Some((_, loc)) = block.statements.iter().find(|(first, _)| first == word) {
                aspect.loc = *loc;
            }
        }
    }
}

/// The respect in which a series names its limit.
pub(super) const SERIES_LIMIT: &str = "limit looked at";

const CITES: Field = list("citation", Kind::CitationAdded, Kind::CitationGone);
const ALLERGENS: Field =
    Field { other: Kind::AllergensSaid, ..list("allergens", Kind::AllergenAdded, Kind::AllergenGone) };

impl<'p> Taken<'p, '_> {
    fn cites(&self, cites: &[Citation]) -> Vec<Words> {
        cites
            .iter()
            .map(|Citation { name, at }| {
                let words = Words::name(self.naming, Space::Citable, name);
                at.iter().fold(words, |words, at| words.then(" at ").and(Words::text(at)))
            })
            .collect()
    }

    /// Allergens; where none are said in so many words, a mark for it.
    fn allergens(said: &Option<Said<Vec<Name>>>) -> Vec<Words> {
        let Some(said) = said else { return Vec::new() };
        if said.value.is_empty() { vec![Words::text(NONE)] } else { said.value.iter().map(Words::text_of).collect() }
    }

    /// The first of these sorts in which the plan has the name.
    fn space(&self, name: &Name, spaces: &[Space]) -> Space {
        let plan = self.plan;
        let has = |space: &&Space| match space {
            Space::Product => plan.products.iter().any(|one| one.name == *name),
            Space::Material => plan.material(&name.text).is_some(),
            Space::Equipment => plan.equipment_named(&name.text).is_some(),
            Space::Programme => plan.programme(&name.text).is_some(),
            Space::Control => plan.control(&name.text).is_some(),
            Space::Parameter => plan.parameter(&name.text).is_some(),
            Space::Step => plan.step(&name.text).is_some(),
            _ => false,
        };
        spaces.iter().find(has).or(spaces.first()).copied().unwrap_or(Space::Material)
    }

    /// The verification activities of a control or programme, each a thing of its own.
    fn verifications(&mut self, verify: &'p [Verify], within: &str, of: &str, control: Option<&'p Name>) {
        for Verify { activity, what, when, by, record, loc } in verify {
            let label = format!("verification `{activity}` of {of}");
            let mut thing = Thing::new(
                (Kind::VerificationAdded, Kind::VerificationGone),
                format!("{within}/verify:{activity}"),
                label,
                *loc,
            );
            thing.within = Some(within.to_owned());
            thing.control = control;
            let often = match when {
                VerifyWhen::Often(cadence) => Words::cadence(self.naming, cadence),
                VerifyWhen::Within(term) => {
                    let words = Words::term(term);
                    Words { shown: format!("within {}", words.shown), key: format!("within {}", words.key), ..words }
                }
            };
            thing.gist = format!("{}, by {by}", often.shown);
            let how_often = Field {
                less: Kind::VerificationOftener,
                more: Kind::VerificationRarer,
                ..plain("how often", Kind::VerificationChanged)
            };
            thing.say(how_often, Some(often));
            thing.say_text(plain("what", Kind::VerificationChanged), what);
            thing.say(plain("by whom", Kind::VerificationChanged), Some(Words::name(self.naming, Space::Role, by)));
            let record = record.as_ref().map(|record| Words::name(self.naming, Space::Record, record));
            thing.say(plain("record", Kind::VerificationChanged), record);
            self.things.push(thing);
        }
    }
}

impl Words {
    /// A word of a closed set, which has no name that could be changed.
    fn text_of(name: &Name) -> Words {
        Words::text(&name.text)
    }
}
