//! What each lot says for each series, and which lots before the period are asked.

use super::{SeriesMember, all};
use crate::log::{Lot, Records};
use crate::plan::{Control, Limit, Plan, SeriesOf};
use crate::time::Instant;
use crate::verdict::Verdict;
use crate::verify::limits::{Context, NOT_TRUSTED, judge_chosen};
use crate::verify::{LimitVerdict, LotVerdicts, Period, attributes, facts, samples, windows};
use std::collections::BTreeMap;

/// The members of every series, in the order of the plan.
#[derive(Debug)]
pub(in crate::verify) struct Tellings {
    pub(super) members: Vec<Vec<SeriesMember>>,
    period: Period,
}

impl Tellings {
    pub fn new(plan: &Plan, period: Period) -> Self {
        Tellings { members: all(plan).map(|_| Vec::new()).collect(), period }
    }

    /// What one lot says for every series. Its verdicts are given where it belongs to the period.
    pub fn tell(&mut self, context: &Context<'_>, lot: &Lot, verdicts: Option<&[LimitVerdict]>) {
        let period = self.period;
        for ((control, series), members) in all(context.plan).zip(&mut self.members) {
            let Some(limit) = control.limits.iter().find(|limit| limit.name == series.limit) else { continue };
            let counts = limit.guard.as_ref().map(|guard| facts::guarded(context.plan, guard, lot));
            if counts == Some(Some(false)) {
                continue;
            }
            let own = verdicts.is_some();
            let perhaps = counts == Some(None);
            match series.what {
                SeriesOf::Lots => {
                    members.extend(whole(context, (control, limit), lot, verdicts).map(|(verdict, why)| {
                        let at = windows::begun(context.plan, lot);
                        SeriesMember { lot: lot.code.clone(), sample: None, at, verdict, why, perhaps, own }
                    }))
                }
                SeriesOf::Samples => {
                    members.extend(singles(context, (control, limit), lot).into_iter().map(|one| {
                        let at = Some(Instant(one.at));
                        let own = period.holds(context.zone.local(Instant(one.at)).date());
                        let sample = Some(one.sample);
                        let (verdict, why) = (one.verdict, one.why);
                        SeriesMember { lot: lot.code.clone(), sample, at, verdict, why, perhaps, own }
                    }));
                }
            }
        }
    }
}

/// The verdict of the whole lot, as it stands or judged for this purpose.
fn whole(
    context: &Context<'_>,
    (control, limit): (&Control, &Limit),
    lot: &Lot,
    verdicts: Option<&[LimitVerdict]>,
) -> Option<(Verdict, String)> {
    if let Some(verdicts) = verdicts {
        return verdicts.iter().find(|one| one.is_of(control, limit)).map(|one| (one.verdict, one.why.clone()));
    }
    let chosen = |one: &Control, other: &Limit| one.name == control.name && other.name == limit.name;
    let judged = judge_chosen(context, lot, &chosen, &mut |_, _| {});
    judged.into_iter().next().map(|one| (one.verdict, one.why))
}

/// One sample of a lot.
struct Single {
    sample: String,
    at: i64,
    verdict: Verdict,
    why: String,
}

/// Every sample of a lot, retests under the sample that they repeat: one result that misses the limit is enough.
fn singles(context: &Context<'_>, (control, limit): (&Control, &Limit), lot: &Lot) -> Vec<Single> {
    let Some(condition) = limit.condition.as_ref().filter(|_| !limit.is_blank()) else { return Vec::new() };
    let name = condition.own_parameters().first().copied();
    let Some(parameter) = name.and_then(|name| context.plan.parameter(&name.text)) else { return Vec::new() };
    let mut found: BTreeMap<String, Single> = BTreeMap::new();
    for result in samples::gather(context, control, parameter, lot, &[]) {
        let Some(verdict) = attributes::single(condition, &result) else { continue };
        let trust = if result.trusted { String::new() } else { format!(", its instrument {NOT_TRUSTED}") };
        let why = format!("{}{trust} ({})", samples::shown(&result), result.place);
        let verdict = if result.trusted { verdict } else { Verdict::NotShown };
        match found.get_mut(&result.sample) {
            None => {
                let single = Single { sample: result.sample.clone(), at: result.at, verdict, why };
                found.insert(result.sample, single);
            }
            Some(single) => {
                single.at = single.at.min(result.at);
                single.verdict = single.verdict.and(verdict);
                single.why.push_str(&format!(", again {why}"));
            }
        }
    }
    found.into_values().collect()
}

/// The lots beside those of the period that some series asks for: of lots as many before it as a run can reach back to,
/// of samples every lot that has some, for a sample may be taken long after its lot was made.
pub(in crate::verify) fn beside(plan: &Plan, records: &Records, own: &[LotVerdicts]) -> Vec<LotVerdicts> {
    let mut others: Vec<(Instant, usize, &Lot)> = records
        .lots
        .iter()
        .enumerate()
        .filter(|(index, _)| own.iter().all(|lot| lot.lot != *index))
        .filter_map(|(index, lot)| Some((windows::begun(plan, lot)?, index, lot)))
        .collect();
    others.sort_by_key(|(at, index, _)| (std::cmp::Reverse(*at), *index));
    let first = own.iter().filter_map(|lot| lot.begun).min();
    let mut wanted: Vec<(Instant, usize, &Lot)> = Vec::new();
    for (control, series) in all(plan) {
        let Some(limit) = control.limits.iter().find(|limit| limit.name == series.limit) else { continue };
        let mut missing = series.of.saturating_sub(1);
        let mut last = None;
        for one in &others {
            let counts = limit.guard.as_ref().map_or(Some(true), |guard| facts::guarded(plan, guard, one.2));
            let asked = match series.what {
                SeriesOf::Samples => holds(plan, records, limit, one.2),
                SeriesOf::Lots => first.is_some_and(|first| one.0 < first) && (missing > 0 || last == Some(one.0)),
            };
            if counts == Some(false) || !asked {
                continue;
            }
            if !wanted.iter().any(|known| known.1 == one.1) {
                wanted.push(*one);
            }
            missing = missing.saturating_sub(u32::from(counts == Some(true)));
            last = Some(one.0);
        }
    }
    wanted.sort_by_key(|(at, index, _)| (*at, *index));
    wanted
        .into_iter()
        .map(|(at, index, lot)| LotVerdicts {
            lot: index,
            code: lot.code.clone(),
            begun: Some(at),
            revision: 0,
            limits: Vec::new(),
        })
        .collect()
}

/// Whether a lot has a sample of the parameter of a limit, or of one that it is computed from.
fn holds(plan: &Plan, records: &Records, limit: &Limit, lot: &Lot) -> bool {
    let parameters = limit.parameters().into_iter().filter_map(|name| plan.parameter(&name.text));
    let names: Vec<&str> = parameters
        .flat_map(|parameter| plan.rests_on(parameter, &|_| false).into_iter().chain([&parameter.name]))
        .map(|name| name.text.as_str())
        .collect();
    let own = |code: Option<&str>, name: &str| code == Some(lot.code.as_str()) && names.contains(&name);
    records.samples.iter().any(|sample| own(Some(&sample.lot), &sample.parameter))
        || records.channels.iter().any(|channel| channel.spot && own(channel.lot.as_deref(), &channel.parameter))
}
