//! What decided, in words that a person can follow with a pencil.

use super::engine::{EdgeUse, End, Extent, Kind, Outcome, Point, Reason, Sampling, Stretch};
use crate::log::Records;
use crate::quantity::{Unit, plain};
use crate::time::{Instant, Zone, show_duration};
use crate::verdict::Verdict;

/// What the words are told about.
#[derive(Debug, Clone, Copy)]
pub struct Told<'a> {
    /// Zone of printed times.
    pub zone: Zone,
    /// The records, for file and row.
    pub records: &'a Records,
    /// The channel of the readings, if they were recorded as such.
    pub channel: Option<usize>,
    /// The unit of the readings.
    pub unit: Unit,
    /// How readings were joined.
    pub sampling: Sampling,
    /// Cells without a reading in the window.
    pub missing: u64,
}

impl Told<'_> {
    /// The evidence of one form over one trace, the deciding line first.
    #[must_use]
    pub fn lines(&self, form: &str, quantity: &str, outcome: &Outcome) -> Vec<String> {
        let mut out = vec![self.first(form, quantity, outcome)];
        let witness = &outcome.witness;
        if let Some(lower) = &outcome.lower {
            out.push(format!("lowest value {}", self.extent(lower)));
        }
        out.extend(self.extremes(outcome));
        match outcome.extent.kind {
            Kind::Value => {}
            _ => {
                if let Some(span) = witness.longest_certain {
                    out.push(format!(
                        "longest certain stretch: {} from {}",
                        show_duration(span.length()),
                        self.at(span.from)
                    ));
                }
                if let (Some(start), Some(stop)) = (witness.clock_start, witness.clock_stop) {
                    out.push(format!(
                        "clock starts {}, stops {}",
                        self.between(start.from, start.to),
                        self.between(stop.from, stop.to)
                    ));
                }
                if let Some(estimate) = witness.trapezoid {
                    out.push(format!(
                        "trapezoid estimate {} (for comparison only, never held against the limit)",
                        plain(estimate, 2)
                    ));
                }
            }
        }
        if let Some(gap) = witness.gaps.items.first() {
            let more =
                if witness.gaps.count > 1 { format!("; {} gaps in all", witness.gaps.count) } else { String::new() };
            let until = if gap.to == i64::MAX { "no recorded end".to_owned() } else { self.at(gap.to) };
            out.push(format!("not covered: {} to {until}{more}", self.at(gap.from)));
        }
        if witness.rewarmings.count > 0 {
            let times: Vec<String> = witness.rewarmings.items.iter().take(3).map(|one| self.rewarming(one)).collect();
            let more = if witness.rewarmings.count > times.len() { "; …" } else { "" };
            out.push(format!(
                "back over the starting line {} times after the clock started, which does not restart it: {}{more}",
                witness.rewarmings.count,
                times.join("; ")
            ));
        }
        for edge in [witness.start_edge, witness.end_edge] {
            if let EdgeUse::Nearest(length) = edge
                && outcome.witness.edge_by_nearest
            {
                out.push(format!("an edge of {} is judged by its nearest reading", show_duration(length)));
            }
        }
        if outcome.verdict == Verdict::NotShown {
            out.extend(self.long_edge("start", witness.start_edge));
            out.extend(self.long_edge("end", witness.end_edge));
        }
        out.push(format!(
            "{} readings used, longest joined step {}, joined up to {}; values are taken to stay between neighbouring readings",
            witness.readings,
            show_duration(witness.longest_step),
            show_duration(self.sampling.credit_gap)
        ));
        // A computed value is an interval by its rounding, not by two rows at one instant.
        let spreads = if self.channel.is_some() { witness.spreads } else { 0 };
        if self.missing > 0 || witness.broken > 0 || spreads > 0 {
            out.push(format!(
                "{} cells without a reading, {} broken rows, {} readings of two values",
                self.missing, witness.broken, spreads
            ));
        }
        out
    }

    fn at(&self, at: i64) -> String {
        self.zone.show_local(Instant(at))
    }

    fn between(&self, from: i64, to: i64) -> String {
        if from == to {
            self.at(from)
        } else if to == i64::MAX {
            format!("not before {}", self.at(from))
        } else {
            format!("between {} and {}", self.at(from), self.at(to))
        }
    }

    /// One re-warming: when it was read, and how high it came.
    fn rewarming(&self, one: &Stretch) -> String {
        format!("{}, up to {}", self.span(one.from, one.to), self.value(one.highest.value))
    }

    /// A stretch of time, or one instant.
    pub(super) fn span(&self, from: i64, to: i64) -> String {
        let end = |at: i64| if at == i64::MAX { "no recorded end".to_owned() } else { self.at(at) };
        if from == to {
            format!("at {}", end(from))
        } else if from == i64::MIN {
            format!("until {}", end(to))
        } else {
            format!("from {} to {}", self.at(from), end(to))
        }
    }

    fn value(&self, value: f64) -> String {
        if self.unit.dimension.bare() {
            plain(value, 6)
        } else {
            format!("{}\u{a0}{}", plain(value, 6), self.unit.symbol)
        }
    }

    fn number(&self, kind: Kind, value: f64) -> String {
        match kind {
            Kind::Value => self.value(value),
            Kind::Nanoseconds => show_duration(value as i64),
            // A gap credited at the top of a model's range says only that very much is possible.
            Kind::Decades if value > 99.0 => "more than 99\u{a0}log10".to_owned(),
            Kind::Decades => format!("{}\u{a0}log10", plain(value, 2)),
            Kind::ValueSeconds => format!("{}\u{a0}{}·h", plain(value / 3600.0, 2), self.unit.symbol),
        }
    }

    pub(super) fn end(&self, kind: Kind, end: End) -> String {
        match end {
            End::Closed(value) | End::Open(value) => self.number(kind, value),
            End::UnboundedBelow | End::UnboundedAbove => "anything".to_owned(),
            End::Nothing => "none".to_owned(),
        }
    }

    /// `least … most …` in the unit of the limit's quantity.
    fn extent(&self, extent: &Extent) -> String {
        match (extent.least, extent.most) {
            (least, most) if least == most => return self.end(extent.kind, least),
            (End::UnboundedBelow, End::UnboundedAbove) => return "could be anything".to_owned(),
            (End::Nothing, most) => return format!("not shown at any moment, at most {}", self.end(extent.kind, most)),
            _ => {}
        }
        format!("at least {}, at most {}", self.end(extent.kind, extent.least), self.end(extent.kind, extent.most))
    }

    fn first(&self, form: &str, quantity: &str, outcome: &Outcome) -> String {
        let witness = &outcome.witness;
        // For a share the interval is a difference; the time itself says more to a reader.
        let time = witness.credited.zip(witness.possible).filter(|_| quantity.contains("less"));
        let time = time.map_or_else(String::new, |(least, most)| {
            format!("time in it at least {}, at most {}; ", show_duration(least), show_duration(most))
        });
        let found = if time.is_empty() {
            format!("{quantity} {}{}; asked for: {form}", self.extent(&outcome.extent), self.all_read(outcome))
        } else {
            format!("{time}asked for: {form}")
        };
        match (outcome.verdict, outcome.reason) {
            (Verdict::NotShown, Some(Reason::NothingToJudge)) => {
                format!("no reading that shows anything in the stage; asked for: {form}")
            }
            (Verdict::NotShown, Some(Reason::Contradiction)) => {
                format!(
                    "the record contradicts itself: the stage ends before it begins, or rows step back in time; asked for: {form}"
                )
            }
            (Verdict::NotShown, Some(Reason::NoEnd)) => format!("the end of the stage is not recorded; {found}"),
            (Verdict::NotShown, Some(Reason::StartNotShown)) => {
                format!("no reading shows the start of the passage; {found}")
            }
            (Verdict::NotShown, _) => match witness.gaps.items.iter().max_by_key(|gap| gap.length()) {
                Some(gap) if gap.to != i64::MAX => {
                    format!("nothing shows the time from {} to {}; {found}", self.at(gap.from), self.at(gap.to))
                }
                _ => format!("the readings leave it open; {found}"),
            },
            (Verdict::NotMet, _) if outcome.extent.kind == Kind::Value => {
                let worst = outcome.breaks.items.iter().find(|stretch| stretch.certain);
                let worst = worst.map(|stretch| {
                    let length = show_duration(stretch.to - stretch.from);
                    format!(
                        "; {} readings break it from {}{}, over {length}",
                        stretch.readings,
                        self.at(stretch.from),
                        self.row(stretch.from)
                    )
                });
                format!("{found}{}", worst.unwrap_or_default())
            }
            _ => found,
        }
    }

    /// Where no reading lies in what is asked for: between what values all of them lie.
    fn all_read(&self, outcome: &Outcome) -> String {
        match (outcome.extent.least, &outcome.witness.lowest, &outcome.witness.highest) {
            (End::Nothing, Some(lowest), Some(highest)) => {
                format!(" (readings from {} to {})", self.value(lowest.value), self.value(highest.value))
            }
            _ => String::new(),
        }
    }

    /// An edge that is just too long to be judged by its nearest reading, where the clocks of two records may be why.
    fn long_edge(&self, which: &str, edge: EdgeUse) -> Option<String> {
        let EdgeUse::Missing(length) = edge else { return None };
        let most = self.sampling.edge_allowance;
        (most > 0 && length <= most.saturating_add(super::CLOCK_ALLOWANCE)).then(|| {
            format!(
                "at the {which} of the stage up to {} have no reading; up to {}, one interval and what the plan allows for lateness, would be judged by the nearest reading",
                show_duration(length),
                show_duration(most)
            )
        })
    }

    fn extremes(&self, outcome: &Outcome) -> Vec<String> {
        let point = |word: &str, point: &Option<Point>| {
            point.as_ref().map(|point| {
                format!("{word} reading {} at {}{}", self.value(point.value), self.at(point.at), self.row(point.at))
            })
        };
        [point("lowest", &outcome.witness.lowest), point("highest", &outcome.witness.highest)]
            .into_iter()
            .flatten()
            .collect()
    }

    /// File and row of the reading at an instant.
    fn row(&self, at: i64) -> String {
        let found = self.channel.and_then(|index| self.records.channels.get(index)).and_then(|channel| {
            let index = channel.rows.partition_point(|entry| entry.at < at);
            let entry = channel.rows.get(index).filter(|entry| entry.at == at)?;
            let file = self.records.files.get(usize::from(entry.file))?;
            Some(format!(" ({}, row {})", file.name, entry.row))
        });
        found.unwrap_or_default()
    }
}

/// An interval of time between two moments, in words.
pub(super) fn span_words(outcome: &Outcome) -> String {
    let end = |end: End| match end {
        End::Closed(value) | End::Open(value) => show_duration(value as i64),
        End::UnboundedBelow | End::UnboundedAbove => "anything".to_owned(),
        End::Nothing => "none".to_owned(),
    };
    match outcome.reason {
        Some(Reason::NothingToJudge) => "a moment is not recorded".to_owned(),
        Some(Reason::Contradiction) => {
            "the record contradicts itself: the second moment lies before the first".to_owned()
        }
        _ => format!("time between at least {}, at most {}", end(outcome.extent.least), end(outcome.extent.most)),
    }
}
