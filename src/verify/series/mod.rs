//! Rules over successive lots or samples, judged apart from the limits of a lot.
//!
//! A series looks at the verdicts of one limit in order of time. It changes none of them. A run belongs to the period
//! of its last member, the lot begun or the sample taken in it; what came before the period is taken from all records given, and what they do not hold may have
//! been anything.

mod count;
mod gather;

pub(super) use gather::{Tellings, beside};

use crate::plan::{Plan, Series, SeriesOf};
use crate::time::{Instant, Zone};
use crate::verdict::Verdict;
use count::{Asked, Counted, Member, count};

/// What the records show of one series.
#[derive(Debug, Clone)]
pub struct SeriesVerdict {
    /// The control it belongs to.
    pub control: String,
    /// Its name.
    pub series: String,
    /// The rule as it was evaluated.
    pub symbols: String,
    /// The limit that is looked at, as it was evaluated.
    pub limit: String,
    /// Met, not met or not shown.
    pub verdict: Verdict,
    /// Why, in one sentence.
    pub why: String,
    /// Lots or samples.
    pub what: SeriesOf,
    /// How many may miss it in a run.
    pub asked: u32,
    /// How many are in a run.
    pub of: u32,
    /// No fewer than these missed it in the worst run.
    pub least: usize,
    /// No more than these can have missed it in any run.
    pub most: usize,
    /// How many runs end in the period.
    pub runs: usize,
    /// Every member, in order of time; those without a time last.
    pub members: Vec<SeriesMember>,
    /// The first and last member of the run that decided, by index.
    pub run: Option<(usize, usize)>,
    /// How many of that run lie before the first that is on record.
    pub before: usize,
}

/// One lot or sample of a series.
#[derive(Debug, Clone)]
pub struct SeriesMember {
    /// Its lot.
    pub lot: String,
    /// The sample, where samples are counted.
    pub sample: Option<String>,
    /// When the lot began, or when the sample was taken; `None` where nothing says so.
    pub at: Option<Instant>,
    /// Its own verdict, which the series leaves as it is.
    pub verdict: Verdict,
    /// Why.
    pub why: String,
    /// Whether it may be none of the series, since the fact that would say so is not recorded.
    pub perhaps: bool,
    /// Whether it belongs to the period that is verified.
    pub own: bool,
}

impl SeriesMember {
    /// The lot's code, with the sample where there is one.
    #[must_use]
    pub fn name(&self) -> String {
        self.sample.as_ref().map_or_else(|| self.lot.clone(), |sample| format!("{} {sample}", self.lot))
    }
}

impl SeriesVerdict {
    /// The members of the run that decided.
    #[must_use]
    pub fn run_members(&self) -> &[SeriesMember] {
        self.run.and_then(|(from, to)| self.members.get(from..=to)).unwrap_or(&[])
    }

    /// One line for each member of the run that decided, with its own verdict.
    #[must_use]
    pub fn lines(&self, zone: Zone) -> Vec<String> {
        let mut lines: Vec<String> = self
            .run_members()
            .iter()
            .map(|member| {
                let at = member.at.map_or_else(|| "no time on record".to_owned(), |at| zone.show_local(at));
                let perhaps = if member.perhaps { " (perhaps none of the series)" } else { "" };
                format!("{}, {at}: {}{perhaps}; {}", member.name(), member.verdict, member.why)
            })
            .collect();
        if self.before > 0 {
            let what = self.what.count(self.before);
            lines.insert(0, format!("{what} before the first on record: may have missed it"));
        }
        lines
    }
}

/// Every series of the plan with its control, in the order written.
pub(super) fn all(plan: &Plan) -> impl Iterator<Item = (&crate::plan::Control, &Series)> {
    plan.controls.iter().flat_map(|control| control.series.iter().map(move |series| (control, series)))
}

/// Judges every series from what was told of each lot.
pub(super) fn judge(plan: &Plan, told: Tellings, zone: Zone, begun: &[Instant]) -> Vec<SeriesVerdict> {
    all(plan)
        .zip(told.members)
        .map(|((control, series), mut members)| {
            let first_day = series.from.flatten();
            let day = |at: Instant| zone.local(at).date();
            members.retain(|member| member.at.zip(first_day).is_none_or(|(at, from)| day(at) >= from));
            members.sort_by(|a, b| {
                (a.at.is_none(), a.at, &a.lot, &a.sample).cmp(&(b.at.is_none(), b.at, &b.lot, &b.sample))
            });
            // Only a register that reaches back to the first day shows that nothing went before.
            let reaches = first_day.is_some_and(|from| begun.iter().any(|at| day(*at) <= from));
            let asked = Asked { of: usize::try_from(series.of).unwrap_or(usize::MAX), open: !reaches };
            let counts: Vec<Member> = members
                .iter()
                .map(|member| Member {
                    at: member.at.map(|at| at.0),
                    verdict: member.verdict,
                    perhaps: member.perhaps,
                    own: member.own,
                })
                .collect();
            let counted = count(&counts, asked);
            let limit = control.limits.iter().find(|limit| limit.name == series.limit);
            let mut found = SeriesVerdict {
                control: control.name.text.clone(),
                series: series.name.text.clone(),
                symbols: series.symbols(),
                limit: limit.map_or_else(String::new, crate::plan::Limit::symbols),
                verdict: decide(series, &members, counted),
                why: String::new(),
                what: series.what,
                asked: series.most,
                of: series.of,
                least: counted.least,
                most: counted.most,
                runs: counted.runs,
                members,
                run: None,
                before: 0,
            };
            if found.verdict == Verdict::NotMet {
                found.run = counted.sure;
            } else {
                (found.run, found.before) = (counted.worst, counted.before);
            }
            found.why = why(series, &found);
            found
        })
        .collect()
}

fn decide(series: &Series, members: &[SeriesMember], counted: Counted) -> Verdict {
    let asked = usize::try_from(series.most).unwrap_or(usize::MAX);
    if series.from == Some(None) || members.iter().all(|member| !member.own) {
        Verdict::NotShown
    } else if counted.least > asked {
        Verdict::NotMet
    } else if counted.most <= asked {
        Verdict::Met
    } else {
        Verdict::NotShown
    }
}

fn why(series: &Series, found: &SeriesVerdict) -> String {
    if series.from == Some(None) {
        return "the day from which it is counted is still blank in the plan".to_owned();
    }
    let what = found.what.word();
    if found.members.iter().all(|member| !member.own) {
        return format!("no {} of the period belongs to this series", what.trim_end_matches('s'));
    }
    let run = found.run_members();
    let (Some(first), Some(last)) = (run.first(), run.last()) else {
        return "nothing in the records can be held against this series".to_owned();
    };
    let span = format!("from {} to {}", first.name(), last.name());
    let named = |wanted: Verdict| {
        let names: Vec<String> = run.iter().filter(|member| member.verdict == wanted).map(SeriesMember::name).collect();
        (!names.is_empty()).then(|| format!("{wanted}: {}", names.join(", ")))
    };
    let mut parts: Vec<String> = match found.verdict {
        Verdict::NotMet => vec![format!("at least {} of {} {what} missed it, {span}", found.least, found.of)],
        Verdict::Met => {
            vec![format!("no run of {} {what} holds more than {} that missed it or may have", found.of, found.most)]
        }
        Verdict::NotShown => {
            vec![format!("{} to {} of {} {what} may have missed it, {span}", found.least, found.most, found.of)]
        }
    };
    if found.verdict != Verdict::Met {
        parts.extend(named(Verdict::NotMet));
    }
    if found.verdict == Verdict::NotShown {
        parts.extend(named(Verdict::NotShown));
        if found.before > 0 {
            parts.push(format!("{} of the run lie before the first on record", found.before));
        }
    }
    parts.push(format!("at most {} may; {} {what} in {} runs", series.most, found.members.len(), found.runs));
    parts.join("; ")
}
