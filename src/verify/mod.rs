//! Plan and records → what was shown, for each lot and each limit.
//!
//! [`bind`] holds the names of the records against the plan, [`instruments`] says which results can be trusted,
//! [`windows`] when each lot was at each step, [`traces`], [`samples`] and [`checks`] judge, and [`watch`] says
//! whether monitoring was kept as the plan promises. The judging itself is done by the [`engine`].
//!
//! Nothing here opens a file or reads the clock, and nothing is ever met because there was nothing to judge.

mod accuracy;
mod amounts;
mod adjusted;
mod affected;
mod attributes;
mod bind;
pub mod by_lot;
pub mod checks;
mod compile;
mod compose;
mod computed;
mod diverted;
pub mod drift;
pub mod engine;
pub mod evidence;
mod facts;
pub mod followed;
mod instruments;
mod judged;
mod limits;
mod parts;
mod rates;
mod resets;
pub mod revisions;
mod samples;
pub mod series;
mod stage_end;
mod thin;
mod traces;
pub mod trend;
mod until;
mod watch;
mod windows;
mod workdays;
pub mod workings;

pub use bind::RULES;
pub use instruments::{CalibrationState, InQuestion, InstrumentState, in_question};
pub use parts::{InParts, keeps_lot, survey_keeps, verify_in_parts};
pub use watch::{Shift, Watch, WatchKind};

use crate::finding::Finding;
use crate::log::{Lot, Manner, Records};
use crate::plan::{Control, Limit, LimitKind, Plan};
use crate::quantity::Unit;
use crate::time::{Instant, MINUTE, Zone};
use crate::verdict::Verdict;
use chrono::NaiveDate;
use std::collections::BTreeSet;

/// How far the clocks of two records may differ, in nanoseconds: two minutes either way.
///
/// A choice, printed in every report. Loggers set from a computer drift by about a minute a month.
pub const CLOCK_ALLOWANCE: i64 = 2 * MINUTE;

/// How many good checks in a row close a window of affected product. A choice, printed.
pub const GOOD_IN_A_ROW: usize = 2;

/// The days whose lots are verified, in the plan's zone. A lot belongs to the day on which its first stage begins.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Period {
    /// First day; no bound if absent.
    pub from: Option<NaiveDate>,
    /// Last day; no bound if absent.
    pub to: Option<NaiveDate>,
}

impl Period {
    fn holds(&self, day: NaiveDate) -> bool {
        self.from.is_none_or(|from| from <= day) && self.to.is_none_or(|to| day <= to)
    }
}

/// What came of holding records against a plan.
#[derive(Debug, Clone)]
pub struct Verification {
    /// The period asked for.
    pub period: Period,
    /// The zone of days and printed times.
    pub zone: Zone,
    /// The texts of the plan that lots were judged by, in the order in which they were in force; empty where nobody said.
    pub revisions: Vec<revisions::Judging>,
    /// Lots of the period, by first event, then code.
    pub lots: Vec<LotVerdicts>,
    /// Rules over successive lots or samples, in the order of the plan.
    pub series: Vec<series::SeriesVerdict>,
    /// Lots of the register that belong to other periods.
    pub other_lots: usize,
    /// The first and the last day on which those were begun, where one text judged them.
    pub other_days: Option<(chrono::NaiveDate, chrono::NaiveDate)>,
    /// Instruments and their calibration.
    pub instruments: Vec<InstrumentState>,
    /// How instruments have moved from calibration to calibration.
    pub drifts: Vec<drift::Drift>,
    /// Monitoring promised and done.
    pub watches: Vec<Watch>,
    /// Product in question between checks.
    pub affected: Vec<checks::Affected>,
    /// How near to its limit each lot came, lot after lot.
    pub trends: Vec<trend::Trend>,
    /// What was done about deviations, and whether product waited for it.
    pub followed: followed::Followed,
    /// What was wrong with the records, or does not fit the plan.
    pub findings: Vec<Finding>,
    /// The last instant of any record.
    pub last: Option<Instant>,
}

/// Every limit of one lot.
#[derive(Debug, Clone)]
pub struct LotVerdicts {
    /// Index in [`Records::lots`].
    pub lot: usize,
    /// Its code.
    pub code: String,
    /// When its first stage began.
    pub begun: Option<Instant>,
    /// The text that judged it: index in [`Verification::revisions`].
    pub revision: usize,
    /// Its limits, in the order of the plan.
    pub limits: Vec<LimitVerdict>,
}

impl LotVerdicts {
    /// The critical limits alone.
    pub fn critical(&self) -> impl Iterator<Item = &LimitVerdict> {
        self.limits.iter().filter(|limit| limit.kind == LimitKind::Critical)
    }
}

/// One limit of one lot.
#[derive(Debug, Clone)]
pub struct LimitVerdict {
    /// The control it belongs to.
    pub control: String,
    /// Its name.
    pub limit: String,
    /// Critical, operating, guide or identity.
    pub kind: LimitKind,
    /// The limit as it was evaluated.
    pub symbols: String,
    /// What stands beside it in the plan, line by line: a legal value, what it stands for, an allowed excursion.
    pub beside: Vec<(&'static str, String)>,
    /// Met, not met or not shown.
    pub verdict: Verdict,
    /// Why, in one sentence.
    pub why: String,
    /// What the readings would say if the instrument could be trusted, where it cannot.
    pub as_read: Option<Verdict>,
    /// The stage has neither begun nor is it due by the last record.
    pub not_yet: bool,
    /// What was judged: one part a probe and form.
    pub parts: Vec<Part>,
    /// How the answers of several parts were put together, where the workings were asked for.
    pub joined: Vec<String>,
}

/// One form over one trace, or one set of samples or checks.
#[derive(Debug, Clone)]
pub struct Part {
    /// Probe, or what it is about.
    pub what: String,
    /// The form in words, where a limit has several.
    pub form: String,
    /// Index in [`Records::channels`], if it is about a recorded channel.
    pub channel: Option<usize>,
    /// The unit of its values.
    pub unit: Option<Unit>,
    /// The answer for this part.
    pub verdict: Verdict,
    /// The window that was judged, nanoseconds UTC: earliest start, latest end.
    pub window: Option<(i64, Option<i64>)>,
    /// The gap up to which readings were joined.
    pub credit_gap: Option<i64>,
    /// The engine's outcome, for traces.
    pub outcome: Option<engine::Outcome>,
    /// For graded bands, the best and the worst band that the record allows the lot.
    pub bands: Option<(String, String)>,
    /// The same with the readings of untrusted instruments.
    pub as_read: Option<Verdict>,
    /// Misses that were adjusted before the lot left the step, in words.
    pub adjusted: Vec<String>,
    /// Evidence in words, line by line.
    pub evidence: Vec<String>,
    /// The rows as read, for drawing; kept only where the limit is not met or not shown.
    pub trace: Vec<engine::Row>,
    /// Whether the trace had more rows than are kept.
    pub thinned: bool,
    /// The workings, where they were asked for.
    pub workings: Option<Box<workings::Workings>>,
}

impl LimitVerdict {
    /// Whether it is the verdict of this limit of this control.
    #[must_use]
    pub fn is_of(&self, control: &Control, limit: &Limit) -> bool {
        control.name == *self.control.as_str() && limit.name == *self.limit.as_str()
    }

    /// Misses that were adjusted before the lot left the step, in words.
    pub fn adjusted(&self) -> impl Iterator<Item = &str> {
        self.parts.iter().flat_map(|part| &part.adjusted).map(String::as_str)
    }
}

impl Part {
    /// A part that shows nothing yet.
    fn silent(what: String, form: String) -> Self {
        Part {
            what,
            form,
            channel: None,
            unit: None,
            verdict: Verdict::NotShown,
            window: None,
            credit_gap: None,
            outcome: None,
            bands: None,
            as_read: None,
            adjusted: Vec::new(),
            evidence: Vec::new(),
            trace: Vec::new(),
            thinned: false,
            workings: None,
        }
    }
}

/// Holds records against a plan.
#[must_use]
pub fn verify(plan: &Plan, records: &Records, period: Period) -> Verification {
    let (mut whole, windows) = frame(plan, records, period);
    let context = limits::Context {
        plan,
        records,
        zone: whole.zone,
        instruments: &whole.instruments,
        cut: None,
        windows: &windows,
        workings: false,
        drawn: true,
        accuracy: false,
    };
    let mut told = series::Tellings::new(plan, period);
    let beside = series::beside(plan, records, &whole.lots);
    for lot in beside.iter().filter_map(|lot| records.lots.get(lot.lot)) {
        told.tell(&context, lot, None);
    }
    let lots: Vec<Option<&Lot>> = whole.lots.iter().map(|lot| records.lots.get(lot.lot)).collect();
    let judged = parts::judge_all(&context, &lots, &mut told, Manner::default());
    whole.conclude(plan, records, judged, told);
    whole
}

/// Everything but the limits of the lots, which are left empty; and the windows of affected product of every limit.
fn frame<'p>(plan: &'p Plan, records: &Records, period: Period) -> (Verification, Vec<checks::Windows<'p>>) {
    let zone = plan.head.as_ref().and_then(|head| head.zone.as_ref()).map_or(Zone::UTC, |zone| zone.value);
    let mut findings = records.findings.clone();
    bind::check(plan, records, &mut findings);
    let instruments = instruments::states(plan, records, zone);
    let last = records.files.iter().filter_map(|file| file.last).max();
    let mut lots = Vec::new();
    let (mut other_lots, mut other_days) = (0, None);
    for (index, lot) in records.lots.iter().enumerate() {
        let begun = windows::begun(plan, lot);
        if let Some(day) = begun.map(|at| zone.local(at).date())
            && !period.holds(day)
        {
            other_lots += 1;
            let (first, last) = other_days.unwrap_or((day, day));
            other_days = Some((day.min(first), day.max(last)));
            continue;
        }
        lots.push(LotVerdicts { lot: index, code: lot.code.clone(), begun, revision: 0, limits: Vec::new() });
    }
    lots.sort_by(|a, b| (a.begun.is_none(), a.begun, &a.code).cmp(&(b.begun.is_none(), b.begun, &b.code)));
    let windows = affected::affected(plan, records, &instruments);
    let critical = windows.iter().filter(|own| own.needed && limits::is_critical(own.limit));
    let affected = critical.flat_map(|own| own.affected.iter().cloned()).collect();
    let watches = watch::watches(plan, records, &lots);
    crate::finding::tidy(&mut findings);
    let series = Vec::new();
    let (followed, trends) = (followed::Followed::default(), Vec::new());
    let whole = Verification {
        period,
        zone,
        revisions: Vec::new(),
        lots,
        series,
        other_lots,
        other_days,
        instruments,
        watches,
        affected,
        drifts: Vec::new(),
        trends,
        followed,
        findings,
        last,
    };
    (whole, windows)
}

impl Verification {
    /// The codes of the lots of the period.
    #[must_use]
    pub fn codes(&self) -> BTreeSet<&str> {
        self.lots.iter().map(|lot| lot.code.as_str()).collect()
    }

    /// The verdict over every critical limit of every lot. With no lot nothing is shown.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        Verdict::all(self.lots.iter().flat_map(LotVerdicts::critical).map(|limit| limit.verdict))
    }

    /// The verdict over every series, which stands beside that over the lots; none where the plan has no series.
    #[must_use]
    pub fn series_verdict(&self) -> Option<Verdict> {
        self.series.iter().map(|series| series.verdict).reduce(Verdict::and)
    }

    /// Takes in the limits of each lot and judges the series over them.
    fn conclude(&mut self, plan: &Plan, records: &Records, judged: Vec<Vec<LimitVerdict>>, told: series::Tellings) {
        for (lot, limits) in self.lots.iter_mut().zip(judged) {
            lot.limits = limits;
        }
        let begun: Vec<Instant> = records.lots.iter().filter_map(|lot| windows::begun(plan, lot)).collect();
        self.series = series::judge(plan, told, self.zone, &begun);
        self.trends = trend::trends(plan, records, self);
        self.drifts = drift::drifts(plan, &self.instruments, self.zone);
        let (followed, findings) = followed::follow(plan, records, self);
        self.followed = followed;
        self.findings.extend(findings);
        crate::finding::tidy(&mut self.findings);
    }

    /// How many critical limits got each verdict: met, not met, not shown.
    #[must_use]
    pub fn counts(&self) -> (usize, usize, usize) {
        let count = |wanted: Verdict| {
            self.lots.iter().flat_map(LotVerdicts::critical).filter(|limit| limit.verdict == wanted).count()
        };
        (count(Verdict::Met), count(Verdict::NotMet), count(Verdict::NotShown))
    }
}
