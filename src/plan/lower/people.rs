//! The plan block, the team and the roles.

use super::Lower;
use crate::plan::{Considered, Dated, Head, Member, Qualified, Revision, Role, Said, Team, Term};
use crate::syntax::{Node, Rule};

impl Lower<'_> {
    pub(super) fn plan_block(&mut self, node: &Node) -> Option<Head> {
        let (name, title) = self.heading(node)?;
        let mut head = Head {
            name,
            title,
            establishment: None,
            registered: None,
            address: None,
            scope: None,
            regimes: Vec::new(),
            concerns: Vec::new(),
            not_concerned: Vec::new(),
            tree: None,
            zone: None,
            shifts: None,
            working_days: None,
            holidays: Vec::new(),
            revision: None,
            supersedes: Vec::new(),
            in_force: None,
            flow_confirmed: None,
            reassess: None,
            reassessed: None,
            considered: Vec::new(),
            loc: self.head_loc(node),
        };
        for part in &node.parts {
            match part.rule {
                Rule::s_establishment => self.once(&mut head.establishment, self.a_text(part), part),
                Rule::s_registered => self.once(&mut head.registered, self.a_text(part), part),
                Rule::s_address => self.once(&mut head.address, self.a_text(part), part),
                Rule::s_scope => self.once(&mut head.scope, self.a_text(part), part),
                Rule::s_regimes => head.regimes.extend(self.names(part)),
                Rule::s_concerns => head.concerns.extend(self.names(part)),
                Rule::s_not_concerned => {
                    let why = self.a_text(part).unwrap_or_default();
                    head.not_concerned.extend(self.names(part).into_iter().map(|name| (name, why.clone())));
                }
                Rule::s_tree => self.once(&mut head.tree, self.a_name(part), part),
                Rule::s_time_zone => {
                    let zone = self.zone(part);
                    self.once(&mut head.zone, zone, part);
                }
                Rule::s_shifts => {
                    let shifts = self.shifts(part);
                    self.once(&mut head.shifts, shifts, part);
                }
                Rule::s_working_days => {
                    let loc = self.loc(part);
                    let days = Some(Said { value: self.weekdays(part), loc });
                    self.once(&mut head.working_days, days, part);
                }
                Rule::s_holidays => head.holidays.extend(self.dates(part)),
                Rule::s_revision => {
                    let revision = Some(self.revision(part));
                    self.once(&mut head.revision, revision, part);
                }
                Rule::s_supersedes => {
                    let revision = self.revision(part);
                    head.supersedes.push(revision);
                }
                Rule::s_in_force => {
                    let loc = self.loc(part);
                    let day = self.date(part).map(|value| Said { value, loc });
                    self.once(&mut head.in_force, day, part);
                }
                Rule::s_flow_confirmed => {
                    let dated = self.dated(part);
                    self.once(&mut head.flow_confirmed, dated, part);
                }
                Rule::s_reassessed => {
                    let dated = self.dated(part);
                    self.once(&mut head.reassessed, dated, part);
                }
                Rule::s_considered => {
                    let hazards = part.part(Rule::led_to).map(|led| self.names(led)).unwrap_or_default();
                    head.considered.push(Considered {
                        sources: self.names(part),
                        hazards,
                        why: self.a_text(part).unwrap_or_default(),
                        loc: self.loc(part),
                    });
                }
                Rule::s_reassess => {
                    let loc = self.loc(part);
                    let every = match self.term(part) {
                        Term::Calendar(value) => Some(Said { value, loc }),
                        Term::Clock(_) | Term::Blank => None,
                    };
                    self.once(&mut head.reassess, every, part);
                }
                _ => {}
            }
        }
        Some(head)
    }

    fn revision(&mut self, node: &Node) -> Revision {
        Revision {
            number: node.part(Rule::number).map(|number| self.slice(number).to_owned()).unwrap_or_default(),
            date: self.date(node),
            reason: self.a_text(node),
            loc: self.loc(node),
        }
    }

    fn dated(&mut self, node: &Node) -> Option<Dated> {
        let changed = node.part(Rule::came_to).map(|word| self.slice(word) == "changed");
        Some(Dated {
            date: self.date(node),
            by: self.a_name(node)?,
            changed,
            note: self.a_text(node),
            loc: self.loc(node),
        })
    }

    pub(super) fn team(&mut self, node: &Node) -> Team {
        let mut team = Team { loc: Some(self.head_loc(node)), ..Team::default() };
        for part in &node.parts {
            match part.rule {
                Rule::s_leader | Rule::s_member => {
                    if let (Some(role), Some(discipline)) = (self.a_name(part), self.a_text(part)) {
                        team.members.push(Member { role, discipline, leads: part.rule == Rule::s_leader });
                    }
                }
                Rule::s_outside => {
                    let mut texts = part.all(Rule::text).map(|text| self.text(text));
                    if let (Some(who), Some(what)) = (texts.next(), texts.next()) {
                        team.outside.push((who, what));
                    }
                }
                _ => {}
            }
        }
        team
    }

    pub(super) fn role(&mut self, node: &Node) -> Option<Role> {
        let (name, title) = self.heading(node)?;
        let mut role =
            Role { name, title, trained: Vec::new(), qualified: Vec::new(), duties: None, loc: self.head_loc(node) };
        for part in &node.parts {
            match part.rule {
                Rule::s_trained => {
                    let course = self.a_text(part).unwrap_or_default();
                    let date = self.date(part);
                    role.trained.push((course, date));
                }
                Rule::s_qualified => {
                    if let Some(name) = self.a_name(part) {
                        let how = self.a_text(part).unwrap_or_default();
                        role.qualified.push(Qualified { name, how, date: self.date(part), loc: self.loc(part) });
                    }
                }
                Rule::s_duties => self.once(&mut role.duties, self.a_text(part), part),
                _ => {}
            }
        }
        Some(role)
    }
}
