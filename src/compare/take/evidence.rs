//! Tables, models, sources and studies.

use super::{CITES, Taken};
use crate::compare::kind::Kind;
use crate::compare::said::{Thing, Words, condition, list, plain};
use crate::plan::names::Kind as Space;
use crate::plan::{Citable, Condition, GrowthModel, Inactivation, Name, Table, TableRow};
use crate::source::Loc;

impl<'p> Taken<'p, '_> {
    pub(super) fn table(&mut self, table: &'p Table) {
        let Table { name, title, rows, cites, loc } = table;
        let kinds = (Kind::TableAdded, Kind::TableGone);
        let mut thing = Thing::declared(self.naming, kinds, Space::Table, "table", (name, title), *loc);
        let row = |TableRow { name, range, over, guard, otherwise, loc: _ }: &TableRow| {
            // A row asks the same of whatever parameter meets it.
            let value = Name { text: String::new(), loc: Loc::default() };
            let level = Condition::Level { parameter: value, range: range.clone(), over: over.clone() };
            let mut words = condition(self.naming, &level);
            words.shown = words.shown.trim().to_owned();
            if let Some(name) = name {
                words = Words::text_of(name).then(": ").and(words);
            }
            if let Some(guard) = guard {
                words = words.and(self.guard(guard));
            }
            if *otherwise { words.then(" otherwise") } else { words }
        };
        let field = list("row", Kind::TableChanged, Kind::TableChanged);
        thing.list(field, rows.iter().map(row).collect());
        thing.list(CITES, self.cites(cites));
        self.things.push(thing);
    }

    pub(super) fn inactivation(&mut self, model: &'p Inactivation) {
        let Inactivation { name, title, d, z, range, cites, loc } = model;
        let kinds = (Kind::ModelAdded, Kind::ModelGone);
        let mut thing = Thing::declared(self.naming, kinds, Space::Inactivation, "inactivation", (name, title), *loc);
        let changed = |word| plain(word, Kind::ModelChanged);
        let d = d.as_ref().map(|(d, at)| Words::number(d, false).then(" at ").and(Words::number(at, false)));
        thing.say(changed("D"), d);
        thing.say(changed("z"), z.as_ref().map(|z| Words::number(z, true)));
        thing.say(changed("range"), range.as_ref().map(Words::range));
        thing.list(CITES, self.cites(cites));
        self.things.push(thing);
    }

    pub(super) fn growth_model(&mut self, model: &'p GrowthModel) {
        let GrowthModel { name, title, minimum, optimum, maximum, rate, cites, loc } = model;
        let kinds = (Kind::ModelAdded, Kind::ModelGone);
        let mut thing = Thing::declared(self.naming, kinds, Space::GrowthModel, "growth model", (name, title), *loc);
        for (word, number) in [("minimum", minimum), ("optimum", optimum), ("maximum", maximum), ("rate", rate)] {
            let words = number.as_ref().map(|number| Words::number(number, false));
            thing.say(plain(word, Kind::ModelChanged), words);
        }
        thing.list(CITES, self.cites(cites));
        self.things.push(thing);
    }

    pub(super) fn citable(&mut self, word: &str, citable: &'p Citable) {
        let Citable { name, title, publisher, edition, place, replaces, date, finding, cites, loc } = citable;
        let kinds = (Kind::EvidenceAdded, Kind::EvidenceGone);
        let mut thing = Thing::declared(self.naming, kinds, Space::Citable, word, (name, title), *loc);
        thing.say_text(plain("publisher", Kind::EvidenceChanged), publisher);
        thing.say_text(plain("edition", Kind::EvidenceSuperseded), edition);
        thing.say_text(plain("replaces", Kind::EvidenceSuperseded), replaces);
        thing.say_text(plain("place", Kind::EvidenceChanged), place);
        let date = date.as_ref().map(|date| Words::text(super::people::day(date.value)));
        thing.say(plain("date", Kind::EvidenceChanged), date);
        thing.say_text(plain("finding", Kind::EvidenceChanged), finding);
        thing.list(CITES, self.cites(cites));
        self.things.push(thing);
    }
}
