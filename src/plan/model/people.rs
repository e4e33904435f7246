//! The plan block, the team and the roles.

use crate::plan::{Name, Said};
use crate::source::Loc;
use crate::time::{Calendar, Zone};
use chrono::NaiveDate;

/// The plan block.
#[derive(Debug, Clone)]
pub struct Head {
    /// Name of the plan.
    pub name: Name,
    /// Title on the cover.
    pub title: Option<String>,
    /// Name of the plant.
    pub establishment: Option<String>,
    /// The number under which the authority knows it.
    pub registered: Option<String>,
    /// Where it stands.
    pub address: Option<String>,
    /// What the plan covers.
    pub scope: Option<String>,
    /// Rules it answers to.
    pub regimes: Vec<Name>,
    /// Topics on which clauses hang that are so here.
    pub concerns: Vec<Name>,
    /// Topics that are not so here, each with the reason.
    pub not_concerned: Vec<(Name, String)>,
    /// Decision tree.
    pub tree: Option<Name>,
    /// Zone of days, shifts and typed times.
    pub zone: Option<Said<Zone>>,
    /// When each shift begins, in that zone.
    pub shifts: Option<Vec<chrono::NaiveTime>>,
    /// The days of the week that are worked, where it is said.
    pub working_days: Option<Said<Vec<chrono::Weekday>>>,
    /// Days that are not worked although their day of the week is.
    pub holidays: Vec<NaiveDate>,
    /// Number, date, reason of this text.
    pub revision: Option<Revision>,
    /// Earlier texts that this one replaces, as written.
    pub supersedes: Vec<Revision>,
    /// Day from which it is in force.
    pub in_force: Option<Said<NaiveDate>>,
    /// Flow confirmed on site.
    pub flow_confirmed: Option<Dated>,
    /// How often it is reassessed.
    pub reassess: Option<Said<Calendar>>,
    /// Last reassessment.
    pub reassessed: Option<Dated>,
    /// Sources of hazards that the analysis looked at.
    pub considered: Vec<Considered>,
    /// First line of the block.
    pub loc: Loc,
}

impl Head {
    /// The earlier texts, the latest first; those without a date last.
    #[must_use]
    pub fn earlier(&self) -> Vec<&Revision> {
        let mut earlier: Vec<&Revision> = self.supersedes.iter().collect();
        earlier.sort_by_key(|revision| std::cmp::Reverse(revision.date));
        earlier
    }

    /// Whether the plan answers to this regime.
    #[must_use]
    pub fn answers_to(&self, regime: &str) -> bool {
        self.regimes.iter().any(|name| name.text == regime)
    }

    /// Whether the plant says that this topic is so for it.
    #[must_use]
    pub fn concerned(&self, topic: &str) -> Option<&Name> {
        self.concerns.iter().find(|name| name.text == topic)
    }
}

/// Sources of hazards, and what became of them.
#[derive(Debug, Clone)]
pub struct Considered {
    /// The sources.
    pub sources: Vec<Name>,
    /// Hazards they led to; empty for none.
    pub hazards: Vec<Name>,
    /// Why these and no other.
    pub why: String,
    /// The statement.
    pub loc: Loc,
}

/// Number, date and reason of a text.
#[derive(Debug, Clone)]
pub struct Revision {
    /// The number as written.
    pub number: String,
    /// The date; `None` while blank.
    pub date: Option<NaiveDate>,
    /// The reason.
    pub reason: Option<String>,
    /// The statement.
    pub loc: Loc,
}

/// Something done on a day by a role.
#[derive(Debug, Clone)]
pub struct Dated {
    /// The day; `None` while blank.
    pub date: Option<NaiveDate>,
    /// Who.
    pub by: Name,
    /// Of a reassessment: whether it changed the plan.
    pub changed: Option<bool>,
    /// A remark.
    pub note: Option<String>,
    /// The statement.
    pub loc: Loc,
}

/// The people who wrote the plan.
#[derive(Debug, Clone, Default)]
pub struct Team {
    /// Role and discipline of each; the leader first where one is named.
    pub members: Vec<Member>,
    /// Expertise from outside: who, for what.
    pub outside: Vec<(String, String)>,
    /// First line of the block, if there is one.
    pub loc: Option<Loc>,
}

/// A member of the team.
#[derive(Debug, Clone)]
pub struct Member {
    /// The role.
    pub role: Name,
    /// The discipline.
    pub discipline: String,
    /// Whether this is the leader.
    pub leads: bool,
}

/// A job.
#[derive(Debug, Clone)]
pub struct Role {
    /// Name.
    pub name: Name,
    /// Title.
    pub title: Option<String>,
    /// Courses and their dates.
    pub trained: Vec<(String, Option<NaiveDate>)>,
    /// What it is qualified as in the sense of a regime.
    pub qualified: Vec<Qualified>,
    /// Duties.
    pub duties: Option<String>,
    /// First line.
    pub loc: Loc,
}

/// A qualification in the sense of a regime.
#[derive(Debug, Clone)]
pub struct Qualified {
    /// As what.
    pub name: Name,
    /// By which course or experience.
    pub how: String,
    /// Since when; `None` while blank.
    pub date: Option<NaiveDate>,
    /// The statement.
    pub loc: Loc,
}
