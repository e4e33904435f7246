//! Was something looked at as often as the plan promises by what was made: every 1000 gal, every 50 pieces, every 10 lots?
//!
//! Any successive lots that together make the amount k times over must hold at least k looks. Where a look fell within
//! its lot no record says, so that lots are counted whole. What was made since the last look before the first lot on
//! record is not known, nor is a lot without a quantity: what hangs on them is not shown.

use super::watch::{Watch, WatchKind};
use super::windows;
use crate::log::{Lot, Records};
use crate::plan::{Monitor, Plan, Rhythm};
use crate::quantity::{Dimension, Rational};
use crate::time::Instant;
use crate::verdict::Verdict;
use std::collections::BTreeSet;

/// What is still owed: made, and not yet answered by a look.
#[derive(Debug, Clone, Copy)]
struct Owed {
    least: Rational,
    most: Rational,
    /// Whether `most` itself is left out.
    open: bool,
}

impl Owed {
    /// Nothing is known of what went before, except that no whole amount was owed.
    fn unknown(least: Rational, amount: Rational) -> Owed {
        Owed { least, most: amount, open: true }
    }

    /// A lot that made so much and was looked at so often.
    fn after(self, made: Rational, looks: Rational, amount: Rational) -> Option<Owed> {
        let change = made.minus(looks.times(amount)?)?;
        let floor = |value: Rational| if value.is_negative() { Rational::ZERO } else { value };
        let most = self.most.plus(change)?;
        let open = self.open && !most.is_negative();
        Some(Owed { least: floor(self.least.plus(change)?), most: floor(most), open })
    }

    fn surely(self, amount: Rational) -> bool {
        self.least >= amount
    }

    /// What is left once every look that was surely owed has been noted as missed.
    fn answered(self, amount: Rational) -> Option<Owed> {
        let times = self.least.over(amount)?.rounded()?;
        let whole = Rational::whole(times);
        let down = if whole.times(amount)? > self.least { Rational::whole(times - 1) } else { whole };
        self.after(Rational::ZERO, down, amount)
    }

    fn perhaps(self, amount: Rational) -> bool {
        if self.open { self.most > amount } else { self.most >= amount }
    }
}

/// Holds the lots against a promise by what was made; nothing for another promise.
pub(super) fn hold(plan: &Plan, records: &Records, period: &[&Lot], monitor: &Monitor, watch: &mut Watch) {
    let (amount, dimension) = match &monitor.often.rhythm {
        Rhythm::Made(amount) => {
            let Some(base) = amount.quantity.and_then(|quantity| quantity.base()) else { return };
            (base, amount.dimension())
        }
        Rhythm::EveryLots(count) => (Rational::whole(i64::from(*count)), None),
        _ => return,
    };
    let own = |lot: &Lot| period.iter().any(|one| one.code == lot.code);
    let mut lots: Vec<(Instant, &Lot)> = Vec::new();
    for lot in &records.lots {
        match windows::begun(plan, lot) {
            Some(at) => lots.push((at, lot)),
            None if own(lot) => {
                watch.open.push((lot.code.clone(), "no time on record says when it was made".to_owned()))
            }
            None => {}
        }
    }
    lots.sort_by(|a, b| (a.0, &a.1.code).cmp(&(b.0, &b.1.code)));
    let mut owed = Owed::unknown(Rational::ZERO, amount);
    let mut judged = 0_usize;
    watch.kept = Some(Verdict::NotShown);
    for (at, lot) in lots {
        let looks = Rational::whole(i64::try_from(looks(records, monitor, lot)).unwrap_or(i64::MAX));
        let made = match dimension {
            None => Some(Rational::ONE),
            Some(dimension) => made(lot, dimension),
        };
        judged += usize::from(own(lot));
        let Some(next) = made.and_then(|made| owed.after(made, looks, amount)) else {
            let least = owed.after(Rational::ZERO, looks, amount).map_or(Rational::ZERO, |owed| owed.least);
            owed = Owed::unknown(least, amount);
            if own(lot) {
                watch.open.push((lot.code.clone(), unknown(lot, dimension)));
            }
            continue;
        };
        owed = next;
        let missed = owed.surely(amount);
        if missed {
            if own(lot) {
                watch.faults.push((WatchKind::Missed, lot.code.clone(), at.0));
            }
            let Some(less) = owed.answered(amount) else { return };
            owed = less;
        }
        if owed.perhaps(amount) {
            if own(lot) && !missed {
                let why = "what was made since the last look before it is not known in full";
                watch.open.push((lot.code.clone(), why.to_owned()));
            }
            owed = Owed::unknown(owed.least, amount);
        }
    }
    watch.kept = Some(if !watch.faults.is_empty() {
        Verdict::NotMet
    } else if !watch.open.is_empty() || judged == 0 {
        Verdict::NotShown
    } else {
        Verdict::Met
    });
}

/// How much a lot made, in the base unit, if the register says it in a unit of this kind.
fn made(lot: &Lot, dimension: Dimension) -> Option<Rational> {
    let quantity = lot.quantity.filter(|quantity| quantity.dimension() == dimension)?;
    quantity.base().filter(|made| !made.is_negative())
}

fn unknown(lot: &Lot, dimension: Option<Dimension>) -> String {
    match (lot.quantity, dimension) {
        (Some(quantity), Some(wanted)) if quantity.dimension() != wanted => {
            format!("its quantity is recorded as {}, not as {}", quantity.dimension().word(), wanted.word())
        }
        (Some(quantity), _) => format!("its quantity of {quantity} cannot be counted"),
        (None, _) => "its quantity is not recorded".to_owned(),
    }
}

/// How often a lot was looked at: of several parameters, the one with the fewest looks. A retest is no further look.
fn looks(records: &Records, monitor: &Monitor, lot: &Lot) -> usize {
    let of = |parameter: &str| {
        let mine = |code: Option<&str>, name: &str| code == Some(lot.code.as_str()) && name == parameter;
        let samples: BTreeSet<&str> = records
            .samples
            .iter()
            .filter(|sample| mine(Some(&sample.lot), &sample.parameter))
            .map(|sample| sample.sample.as_str())
            .collect();
        let mut times: BTreeSet<i64> = records
            .checks
            .iter()
            .filter(|check| mine(check.lot.as_deref(), &check.parameter))
            .map(|check| check.at.0)
            .collect();
        for channel in records.channels.iter().filter(|channel| mine(channel.lot.as_deref(), &channel.parameter)) {
            times.extend(channel.rows.iter().map(|entry| entry.at));
        }
        samples.len() + times.len()
    };
    monitor.parameters.iter().map(|name| of(&name.text)).min().unwrap_or(0)
}
