//! Products, materials, equipment, records and events.

use super::{ALLERGENS, CITES, Taken};
use crate::compare::kind::Kind;
use crate::compare::said::{Thing, Words, list, plain, sized};
use crate::plan::names::Kind as Space;
use crate::plan::{Equipment, Event, Material, Product, Property, PropertyFrom, RecordKind};

impl<'p> Taken<'p, '_> {
    pub(super) fn product(&mut self, product: &'p Product) {
        let Product {
            name,
            title,
            kind,
            description,
            intended_use,
            consumers,
            packaging,
            shelf_life,
            storage,
            distribution,
            label,
            properties,
            allergens,
            may_contain,
            loc,
        } = product;
        let kinds = (Kind::ProductAdded, Kind::ProductGone);
        let mut thing = Thing::declared(self.naming, kinds, Space::Product, "product", (name, title), *loc);
        thing.say(plain("sort", Kind::ProductChanged), kind.as_ref().map(Words::text_of));
        thing.say_text(plain("description", Kind::ProductChanged), description);
        thing.say_text(plain("intended use", Kind::UseChanged), intended_use);
        thing.say_text(plain("consumers", Kind::ConsumersChanged), consumers);
        thing.say_text(plain("packaging", Kind::PackagingChanged), packaging);
        if let Some((term, basis)) = shelf_life {
            let field = sized("shelf life", Kind::ShelfLifeShorter, Kind::ShelfLifeLonger, Kind::ShelfLifeChanged);
            thing.say(field, Some(Words::term(term)));
            thing.say_text(plain("basis of the shelf life", Kind::ShelfLifeChanged), basis);
        }
        thing.say_text(plain("storage", Kind::StorageChanged), storage);
        thing.say_text(plain("distribution", Kind::DistributionChanged), distribution);
        thing.say_text(plain("label", Kind::LabelChanged), label);
        let property = |Property { name, from, loc: _ }: &Property| {
            let words = Words::name(self.naming, Space::Parameter, name);
            match from {
                PropertyFrom::Control(control, parameter) => words
                    .then(" from ")
                    .and(Words::name(self.naming, Space::Control, control))
                    .then(".")
                    .and(Words::name(self.naming, Space::Parameter, parameter)),
                PropertyFrom::Stated(sign, number) => {
                    words.then(&format!(" {sign} ")).and(Words::number(number, false))
                }
            }
        };
        let field = list("property", Kind::ProductChanged, Kind::ProductChanged);
        thing.list(field, properties.iter().map(property).collect());
        thing.list(ALLERGENS, Self::allergens(allergens));
        let may = may_contain.iter().map(|(names, why)| {
            let mut names: Vec<&str> = names.iter().map(|name| name.text.as_str()).collect();
            names.sort_unstable();
            Words::text(format!("{}: {why}", names.join(", ")))
        });
        thing.list(list("may contain", Kind::MayContainChanged, Kind::MayContainChanged), may.collect());
        self.things.push(thing);
    }

    pub(super) fn material(&mut self, material: &'p Material) {
        let Material { name, title, kind, supplier, storage, specification, allergens, analysis, cites, loc } =
            material;
        let kinds = (Kind::MaterialAdded, Kind::MaterialGone);
        let mut thing = Thing::declared(self.naming, kinds, Space::Material, "material", (name, title), *loc);
        thing.say(plain("sort", Kind::MaterialChanged), kind.map(|kind| Words::text(kind.word())));
        thing.say_text(plain("supplier", Kind::SupplierChanged), supplier);
        thing.say_text(plain("storage", Kind::StorageChanged), storage);
        thing.say_text(plain("specification", Kind::MaterialChanged), specification);
        thing.list(ALLERGENS, Self::allergens(allergens));
        thing.list(CITES, self.cites(cites));
        self.answered(&mut thing, analysis);
        let (within, of) = (thing.id.clone(), thing.label.clone());
        self.things.push(thing);
        self.rows(analysis, &within, &of);
    }

    pub(super) fn equipment(&mut self, equipment: &'p Equipment) {
        let Equipment { name, title, cleaned_by, zone, allergens, description, loc } = equipment;
        let kinds = (Kind::EquipmentAdded, Kind::EquipmentGone);
        let mut thing = Thing::declared(self.naming, kinds, Space::Equipment, "equipment", (name, title), *loc);
        let cleaned = list("cleaned by", Kind::EquipmentChanged, Kind::EquipmentChanged);
        thing.list(cleaned, Words::names(self.naming, Space::Programme, cleaned_by));
        thing.say(plain("zone", Kind::EquipmentChanged), zone.as_ref().map(Words::text_of));
        thing.list(ALLERGENS, Self::allergens(allergens));
        thing.say_text(plain("description", Kind::EquipmentChanged), description);
        self.things.push(thing);
    }

    pub(super) fn record(&mut self, record: &'p RecordKind) {
        let RecordKind { name, title, kept, loc } = record;
        let kinds = (Kind::RecordAdded, Kind::RecordGone);
        let mut thing = Thing::declared(self.naming, kinds, Space::Record, "record", (name, title), *loc);
        if let Some((term, place)) = kept {
            let field = sized("kept for", Kind::RetentionShorter, Kind::RetentionLonger, Kind::RetentionChanged);
            thing.say(field, Some(Words::term(term)));
            thing.say_text(plain("where it is kept", Kind::RetentionChanged), place);
        }
        self.things.push(thing);
    }

    pub(super) fn event(&mut self, event: &'p Event) {
        let Event { name, record, title, loc } = event;
        let kinds = (Kind::EventAdded, Kind::EventGone);
        let mut thing = Thing::declared(self.naming, kinds, Space::Event, "event", (name, title), *loc);
        let field = plain("record", Kind::EventChanged);
        thing.say(field, Some(Words::name(self.naming, Space::Record, record)));
        self.things.push(thing);
    }
}
