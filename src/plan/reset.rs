//! Limits that come to be met at an instant, and limits whose sum or clock starts anew when such a one is met.

use super::condition::Condition;
use super::limit::{Amount, Limit, Measured, Over};
use super::{Control, Name, Plan, Stage};

impl Condition {
    /// Whether a record can say at which instants it has come to be met: a value held for a time or reached, or one of
    /// several such ways.
    #[must_use]
    pub fn is_met_at_an_instant(&self, plan: &Plan) -> bool {
        match self {
            Condition::Level { over: Over::Held(_) | Over::StretchAtLeast(_), .. }
            | Condition::Reaches { within: None, .. } => true,
            Condition::AnyRow { table, .. } | Condition::ChosenRow { table, .. } => plan
                .table(&table.text)
                .is_some_and(|table| table.rows.iter().all(|row| matches!(row.over, Over::Held(_)))),
            Condition::Any(options) | Condition::Chosen { options, .. } => {
                options.iter().all(|(_, option)| option.is_met_at_an_instant(plan))
            }
            _ => false,
        }
    }

    /// Whether it asks for a sum or a clock at most, which can start anew.
    fn can_start_anew(&self) -> bool {
        match self {
            Condition::Level { over: Over::TotalAtMost(Amount::Time(_)), .. }
            | Condition::Passage { .. }
            | Condition::Growth { .. }
            | Condition::DegreeHours { until: None, .. } => true,
            Condition::All(parts) => parts.iter().all(Condition::can_start_anew),
            _ => false,
        }
    }
}

impl Limit {
    /// Whether everything in it is a sum or a clock at most, which can start anew.
    #[must_use]
    pub fn can_start_anew(&self) -> bool {
        self.condition.as_ref().is_some_and(Condition::can_start_anew)
    }

    /// The time for which a way of being met must be held, nanoseconds: nought for one that is only reached.
    #[must_use]
    pub fn held(condition: &Condition) -> Option<i64> {
        match condition {
            Condition::Level { over: Over::Held(time) | Over::StretchAtLeast(time), .. } => Measured::at_least(time),
            Condition::Reaches { within: None, .. } => Some(0),
            _ => None,
        }
    }

    /// Why the limit that starts this one anew cannot do so; nothing where it can, or where none is named.
    #[must_use]
    pub fn unfit_reset(&self, plan: &Plan, control: &Control) -> Option<String> {
        let reset = self.shape.reset.as_ref()?;
        let name = &reset.limit;
        if *name == self.name {
            return Some(format!("`{name}` cannot start itself anew"));
        }
        let Some(other) = control.limit(&name.text) else {
            return Some(format!("`{}` has no limit called `{name}`", control.name));
        };
        let fits = other.condition.as_ref().is_some_and(|one| one.is_met_at_an_instant(plan));
        if !fits {
            return Some(format!("no record says at which instant `{name}` has come to be met"));
        }
        let same = |names: Vec<&Name>| names.first().map(|name| name.text.clone());
        if other.parameters().len() != 1 || same(other.parameters()) != same(self.parameters()) {
            return Some(format!("`{name}` is not about the same parameter"));
        }
        let several = other.shape.probes.as_ref().and_then(|probes| probes.enough).is_some_and(|(n, of)| n < of);
        several.then(|| format!("`{name}` is met by some of the probes, and each place is reset by its own"))
    }
}

impl Stage {
    /// Why the limit that is to end the stage cannot do so; nothing where it can, or where an event ends it.
    #[must_use]
    pub fn unfit_end(&self, plan: &Plan) -> Option<String> {
        let name = self.ends_when()?;
        let named: Vec<&Limit> = plan.controls.iter().filter_map(|control| control.limit(&name.text)).collect();
        let limit = match named.as_slice() {
            [] => return Some(format!("no limit is called `{name}`")),
            [one] => *one,
            _ => return Some(format!("several limits are called `{name}`")),
        };
        if limit.stages().into_iter().chain(limit.shape.run_of()).any(|stage| *stage == self.name) {
            return Some(format!("`{name}` is judged over `{}` itself, which ends only when it is met", self.name));
        }
        let fits = limit.condition.as_ref().is_some_and(|one| one.is_met_at_an_instant(plan));
        (!fits || limit.parameters().len() != 1)
            .then(|| format!("no record says at which instant `{name}` has come to be met"))
    }
}

impl Control {
    /// The limit of this name.
    #[must_use]
    pub fn limit(&self, name: &str) -> Option<&Limit> {
        self.limits.iter().find(|limit| limit.name.text == name)
    }
}
