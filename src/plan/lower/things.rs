//! Products, materials, equipment, instruments, parameters, events and records.

use super::Lower;
use crate::plan::{
    Calibration, Equipment, Event, Exception, Expression, Formula, Instrument, Material, MaterialKind, Parameter,
    Product, Property, PropertyFrom, RecordKind, Said,
};
use crate::quantity::UnitDef;
use crate::syntax::{Node, Rule};

impl Lower<'_> {
    pub(super) fn product(&mut self, node: &Node) -> Option<Product> {
        let (name, title) = self.heading(node)?;
        let mut product = Product {
            name,
            title,
            kind: None,
            description: None,
            intended_use: None,
            consumers: None,
            packaging: None,
            shelf_life: None,
            storage: None,
            distribution: None,
            label: None,
            category: None,
            storage_class: None,
            listeria_alternative: None,
            properties: Vec::new(),
            allergens: None,
            may_contain: Vec::new(),
            loc: self.head_loc(node),
        };
        for part in &node.parts {
            match part.rule {
                Rule::s_kind => self.once(&mut product.kind, self.a_name(part), part),
                Rule::s_description => self.once(&mut product.description, self.a_text(part), part),
                Rule::s_use => self.once(&mut product.intended_use, self.a_text(part), part),
                Rule::s_consumers => self.once(&mut product.consumers, self.a_text(part), part),
                Rule::s_packaging => self.once(&mut product.packaging, self.a_text(part), part),
                Rule::s_shelf_life => {
                    let term = self.term(part);
                    self.once(&mut product.shelf_life, Some((term, self.a_text(part))), part);
                }
                Rule::s_storage => self.once(&mut product.storage, self.a_text(part), part),
                Rule::s_distribution => self.once(&mut product.distribution, self.a_text(part), part),
                Rule::s_label => self.once(&mut product.label, self.a_text(part), part),
                Rule::s_category => self.once(&mut product.category, self.a_name(part), part),
                Rule::s_storage_class => self.once(&mut product.storage_class, self.a_name(part), part),
                Rule::s_listeria_alternative => {
                    let said = part.part(Rule::alternative).map(|chosen| Said {
                        value: (self.slice(chosen).to_owned(), self.a_text(part).unwrap_or_default()),
                        loc: self.loc(part),
                    });
                    self.once(&mut product.listeria_alternative, said, part);
                }
                Rule::s_property => product.properties.extend(self.property(part)),
                Rule::s_allergens => self.once(&mut product.allergens, self.allergens(part), part),
                Rule::s_may_contain => {
                    product.may_contain.push((self.names(part), self.a_text(part).unwrap_or_default()))
                }
                _ => {}
            }
        }
        Some(product)
    }

    fn property(&mut self, node: &Node) -> Option<Property> {
        let from = if let Some(path) = node.part(Rule::path) {
            let mut names = self.own_names(path).into_iter();
            PropertyFrom::Control(names.next()?, names.next()?)
        } else {
            let sign = self.slice(node.part(Rule::comparison)?).to_owned();
            PropertyFrom::Stated(sign, self.a_quantity(node)?)
        };
        Some(Property { name: self.a_name(node)?, from, loc: self.loc(node) })
    }

    pub(super) fn material(&mut self, node: &Node) -> Option<Material> {
        let (name, title) = self.heading(node)?;
        let mut material = Material {
            name,
            title,
            kind: None,
            supplier: None,
            storage: None,
            specification: None,
            allergens: None,
            analysis: self.analysis(node),
            cites: Vec::new(),
            loc: self.head_loc(node),
        };
        for part in &node.parts {
            match part.rule {
                Rule::s_kind => {
                    let kind =
                        self.a_name(part).and_then(|name| self.one_of(&name, MaterialKind::WORDS, MaterialKind::read));
                    self.once(&mut material.kind, kind, part);
                }
                Rule::s_supplier => self.once(&mut material.supplier, self.a_text(part), part),
                Rule::s_storage => self.once(&mut material.storage, self.a_text(part), part),
                Rule::s_specification => self.once(&mut material.specification, self.a_text(part), part),
                Rule::s_allergens => self.once(&mut material.allergens, self.allergens(part), part),
                Rule::s_cites => material.cites.extend(self.citations(part)),
                _ => {}
            }
        }
        Some(material)
    }

    pub(super) fn equipment(&mut self, node: &Node) -> Option<Equipment> {
        let (name, title) = self.heading(node)?;
        let mut equipment = Equipment {
            name,
            title,
            cleaned_by: Vec::new(),
            zone: None,
            allergens: None,
            description: None,
            loc: self.head_loc(node),
        };
        for part in &node.parts {
            match part.rule {
                Rule::s_cleaned => equipment.cleaned_by.extend(self.names(part)),
                Rule::s_zone => self.once(&mut equipment.zone, self.a_name(part), part),
                Rule::s_allergens => self.once(&mut equipment.allergens, self.allergens(part), part),
                Rule::s_description => self.once(&mut equipment.description, self.a_text(part), part),
                _ => {}
            }
        }
        Some(equipment)
    }

    pub(super) fn instrument(&mut self, node: &Node) -> Option<Instrument> {
        let (name, title) = self.heading(node)?;
        let mut instrument = Instrument {
            name,
            title,
            measures: Vec::new(),
            serial: None,
            range: None,
            resolution: None,
            accuracy: None,
            calibration: None,
            stuck_after: None,
            response: None,
            loc: self.head_loc(node),
        };
        for part in &node.parts {
            match part.rule {
                Rule::s_measures => instrument.measures.extend(self.names(part)),
                Rule::s_serial => self.once(&mut instrument.serial, self.a_text(part), part),
                Rule::s_range => {
                    let pair = self.pair(part);
                    self.once(&mut instrument.range, pair, part);
                }
                Rule::s_resolution => {
                    let value = self.a_quantity(part);
                    self.once(&mut instrument.resolution, value, part);
                }
                Rule::s_accuracy => {
                    let value = self.a_quantity(part);
                    self.once(&mut instrument.accuracy, value, part);
                }
                Rule::s_stuck => {
                    let value = self.a_quantity(part);
                    self.once(&mut instrument.stuck_after, value, part);
                }
                Rule::s_responds => {
                    let value = self.a_quantity(part);
                    self.once(&mut instrument.response, value, part);
                }
                Rule::s_calibrate => {
                    let calibration = self.calibration(part);
                    self.once(&mut instrument.calibration, calibration, part);
                }
                _ => {}
            }
        }
        Some(instrument)
    }

    fn calibration(&mut self, node: &Node) -> Option<Calibration> {
        let mut names = self.own_names(node).into_iter();
        Some(Calibration {
            every: self.term(node.part(Rule::every)?),
            within: self.a_quantity(node)?,
            by: names.next()?,
            record: names.next()?,
            method: self.a_text(node),
            loc: self.loc(node),
        })
    }

    pub(super) fn parameter(&mut self, node: &Node) -> Option<Parameter> {
        let (name, title) = self.heading(node)?;
        let mut parameter = Parameter {
            name,
            title,
            unit: None,
            answers: Vec::new(),
            formula: None,
            pairing: None,
            probes: Vec::new(),
            recorded: None,
            loc: self.head_loc(node),
        };
        for part in &node.parts {
            match part.rule {
                Rule::s_unit => {
                    let unit = part
                        .part(Rule::unit)
                        .and_then(|unit| Some(Said { value: UnitDef::find(self.slice(unit))?, loc: self.loc(unit) }));
                    self.once(&mut parameter.unit, unit, part);
                }
                Rule::s_answers => parameter.answers.extend(self.names(part)),
                Rule::s_formula => {
                    let formula = self.formula(part);
                    self.once(&mut parameter.formula, formula, part);
                }
                Rule::s_pairing => {
                    let value = self.a_quantity(part);
                    self.once(&mut parameter.pairing, value, part);
                }
                Rule::s_probes => parameter.probes.extend(self.names(part)),
                Rule::s_recorded_each => {
                    let each = part.part(Rule::each_word).map(|word| self.slice(word).to_owned());
                    self.once(&mut parameter.recorded, each.zip(self.a_name(part)), part);
                }
                _ => {}
            }
        }
        Some(parameter)
    }

    fn formula(&mut self, node: &Node) -> Option<Formula> {
        let inner = node.first()?;
        if inner.rule == Rule::arithmetic {
            return Some(Formula::Arithmetic(self.expression(inner)?));
        }
        let mut names = self.own_names(inner).into_iter();
        Some(Formula::Humidity { dry: names.next()?, wet: names.next()?, pressure: self.a_quantity(inner) })
    }

    /// Divisions and products first, then sums, each from left to right; what stands in brackets is one part.
    fn expression(&self, node: &Node) -> Option<Expression> {
        let mut terms: Vec<(char, Expression)> = Vec::new();
        let mut sign = '+';
        for part in &node.parts {
            if part.rule == Rule::formula_sign {
                sign = self.slice(part).chars().next()?;
                continue;
            }
            let value = match part.part(Rule::arithmetic) {
                Some(inner) => self.expression(inner)?,
                None => Expression::Value(self.a_name(part)?),
            };
            match terms.pop() {
                Some((before, left)) if matches!(sign, '/' | '*') => {
                    terms.push((before, Expression::pair(left, sign, value)));
                }
                last => {
                    terms.extend(last);
                    terms.push((sign, value));
                }
            }
        }
        terms
            .into_iter()
            .map(|(sign, value)| (value, sign))
            .reduce(|(left, first), (right, sign)| (Expression::pair(left, sign, right), first))
            .map(|(whole, _)| whole)
    }

    pub(super) fn record(&mut self, node: &Node) -> Option<RecordKind> {
        let (name, title) = self.heading(node)?;
        let mut record = RecordKind { name, title, kept: None, carries: None, loc: self.head_loc(node) };
        for part in &node.parts {
            match part.rule {
                Rule::s_kept => {
                    let term = self.term(part);
                    self.once(&mut record.kept, Some((term, self.a_text(part))), part);
                }
                Rule::s_carries => {
                    let said = Some(Said { value: self.names(part), loc: self.loc(part) });
                    self.once(&mut record.carries, said, part);
                }
                _ => {}
            }
        }
        Some(record)
    }

    pub(super) fn event(&self, node: &Node) -> Option<Event> {
        let mut names = self.own_names(node).into_iter();
        Some(Event { name: names.next()?, record: names.next()?, title: self.a_text(node), loc: self.loc(node) })
    }

    pub(super) fn exception(&mut self, node: &Node) -> Option<Exception> {
        let mut names = self.own_names(node).into_iter();
        let rule = names.next()?;
        let (second, third) = (names.next()?, names.next());
        let (at, by) = match third {
            Some(by) => (Some(second), by),
            None => (None, second),
        };
        Some(Exception {
            rule,
            at,
            because: self.a_text(node).unwrap_or_default(),
            by,
            until: self.date(node),
            loc: self.loc(node),
        })
    }
}
