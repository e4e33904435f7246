//! Tables, models, publications and studies.

use super::Lower;
use crate::plan::limit::Over;
use crate::plan::{Citable, GrowthModel, Inactivation, Said, Table, TableRow};
use crate::syntax::{Node, Rule};

impl Lower<'_> {
    pub(super) fn table(&mut self, node: &Node) -> Option<Table> {
        let (name, title) = self.heading(node)?;
        let mut table = Table { name, title, rows: Vec::new(), cites: Vec::new(), loc: self.head_loc(node) };
        for part in &node.parts {
            match part.rule {
                Rule::s_row => table.rows.extend(self.table_row(part)),
                Rule::s_cites => table.cites.extend(self.citations(part)),
                _ => {}
            }
        }
        Some(table)
    }

    fn table_row(&mut self, node: &Node) -> Option<TableRow> {
        Some(TableRow {
            name: self.own_names(node).into_iter().next(),
            range: self.level(node.part(Rule::level)?)?,
            over: match node.part(Rule::tail) {
                Some(tail) => self.over(tail)?,
                None => Over::Always,
            },
            guard: node.part(Rule::guard).map(|guard| self.guard(guard)),
            otherwise: node.part(Rule::otherwise).is_some(),
            loc: self.loc(node),
        })
    }

    pub(super) fn inactivation(&mut self, node: &Node) -> Option<Inactivation> {
        let (name, title) = self.heading(node)?;
        let mut model =
            Inactivation { name, title, d: None, z: None, range: None, cites: Vec::new(), loc: self.head_loc(node) };
        for part in &node.parts {
            match part.rule {
                Rule::s_decimal_time => {
                    let pair = self.pair(part);
                    self.once(&mut model.d, pair, part);
                }
                Rule::s_z => {
                    let value = self.a_quantity(part);
                    self.once(&mut model.z, value, part);
                }
                Rule::s_range => {
                    let pair = self.pair(part);
                    self.once(&mut model.range, pair, part);
                }
                Rule::s_cites => model.cites.extend(self.citations(part)),
                _ => {}
            }
        }
        Some(model)
    }

    pub(super) fn growth_model(&mut self, node: &Node) -> Option<GrowthModel> {
        let (name, title) = self.heading(node)?;
        let mut model = GrowthModel {
            name,
            title,
            minimum: None,
            optimum: None,
            maximum: None,
            rate: None,
            cites: Vec::new(),
            loc: self.head_loc(node),
        };
        for part in &node.parts {
            if part.rule == Rule::s_cites {
                model.cites.extend(self.citations(part));
                continue;
            }
            let value = self.a_quantity(part);
            match part.rule {
                Rule::s_minimum => self.once(&mut model.minimum, value, part),
                Rule::s_optimum => self.once(&mut model.optimum, value, part),
                Rule::s_maximum => self.once(&mut model.maximum, value, part),
                Rule::s_rate => self.once(&mut model.rate, value, part),
                _ => {}
            }
        }
        Some(model)
    }

    pub(super) fn citable(&mut self, node: &Node) -> Option<Citable> {
        let (name, title) = self.heading(node)?;
        let mut citable = Citable {
            name,
            title,
            publisher: None,
            edition: None,
            place: None,
            replaces: None,
            date: None,
            finding: None,
            cites: Vec::new(),
            loc: self.head_loc(node),
        };
        for part in &node.parts {
            match part.rule {
                Rule::s_publisher => self.once(&mut citable.publisher, self.a_text(part), part),
                Rule::s_edition => self.once(&mut citable.edition, self.a_text(part), part),
                Rule::s_where | Rule::s_file => self.once(&mut citable.place, self.a_text(part), part),
                Rule::s_replaces => {
                    let replaced = self.a_text(part).or_else(|| self.a_name(part).map(|name| name.text));
                    self.once(&mut citable.replaces, replaced, part);
                }
                Rule::s_date => {
                    let loc = self.loc(part);
                    let value = self.date(part);
                    self.once(&mut citable.date, Some(Said { value, loc }), part);
                }
                Rule::s_finding => self.once(&mut citable.finding, self.a_text(part), part),
                Rule::s_cites => citable.cites.extend(self.citations(part)),
                _ => {}
            }
        }
        Some(citable)
    }
}
