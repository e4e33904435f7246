//! Which step comes before which: steps follow as written, `after` branches and joins.

use crate::plan::{Name, Plan};

/// The steps as a graph, by their index in the plan.
pub(super) struct Order<'a> {
    plan: &'a Plan,
    /// The steps that each step directly follows.
    pub before: Vec<Vec<usize>>,
    /// The steps that directly follow each step.
    pub after: Vec<Vec<usize>>,
    /// For each step, the steps that product may pass after it, itself included.
    reach: Vec<Vec<bool>>,
}

impl<'a> Order<'a> {
    pub(super) fn of(plan: &'a Plan) -> Self {
        let count = plan.steps.len();
        let index = |name: &Name| plan.steps.iter().position(|step| step.name == *name);
        let mut before: Vec<Vec<usize>> = Vec::with_capacity(count);
        for (at, step) in plan.steps.iter().enumerate() {
            let previous =
                at.checked_sub(1).filter(|previous| plan.steps.get(*previous).is_some_and(|step| !step.dispatches));
            before.push(if !step.after.is_empty() {
                step.after.iter().filter_map(index).collect()
            } else if step.starts {
                Vec::new()
            } else {
                previous.into_iter().collect()
            });
        }
        let mut after = vec![Vec::new(); count];
        for (at, list) in before.iter().enumerate() {
            for earlier in list {
                if let Some(slot) = after.get_mut(*earlier) {
                    slot.push(at);
                }
            }
        }
        let reach = (0..count).map(|from| reachable(&after, from)).collect();
        Self { plan, before, after, reach }
    }

    /// The index of a step.
    pub(super) fn index(&self, name: &str) -> Option<usize> {
        self.plan.steps.iter().position(|step| step.name == *name)
    }

    /// Whether product may pass `later` at or after `earlier`.
    pub(super) fn at_or_after(&self, earlier: usize, later: usize) -> bool {
        self.reach.get(earlier).and_then(|row| row.get(later)).copied().unwrap_or(false)
    }

    /// The steps that take in a material.
    pub(super) fn users(&self, name: &Name) -> Vec<usize> {
        let uses = |step: &crate::plan::Step| step.uses.contains(name);
        self.plan.steps.iter().enumerate().filter(|(_, step)| uses(step)).map(|(at, _)| at).collect()
    }
}

fn reachable(after: &[Vec<usize>], from: usize) -> Vec<bool> {
    let mut seen = vec![false; after.len()];
    let mut open = vec![from];
    while let Some(at) = open.pop() {
        match seen.get_mut(at) {
            Some(known) if !*known => *known = true,
            _ => continue,
        }
        open.extend(after.get(at).into_iter().flatten());
    }
    seen
}
