//! The worked examples of the pages on judging: each is read from its page, made into a plan and records, and judged.

mod forms;
mod read;
mod scene;

use crate::limits::examples;
use crate::readd;
use bourn::quantity::{Unit, plain};
use bourn::report::workings::{Order, text};
use bourn::time::show_duration;
use bourn::verdict::Verdict;
use bourn::verify::LimitVerdict;
use bourn::verify::engine::{End, Extent, Kind};
use bourn::verify::workings::{show, wanted};
use read::{Case, cases};

fn every_case() -> Vec<Case> {
    examples("worked").iter().flat_map(cases).collect()
}

#[test]
fn every_worked_example_comes_to_what_the_page_says() {
    let mut wrong = Vec::new();
    let cases = every_case();
    for case in &cases {
        let judged = scene::run(case);
        let limit = judged.lot.limits.iter().find(|limit| limit.limit == "worked");
        let verdict = limit.map_or("does not count", |limit| match limit.verdict {
            Verdict::Met => "met",
            Verdict::NotMet => "not met",
            Verdict::NotShown => "not shown",
        });
        if verdict != case.verdict {
            let why = limit.map_or("", |limit| limit.why.as_str());
            wrong.push(format!("{}\n    is {verdict}: {why}", case.place));
        }
        let Some(limit) = limit else { continue };
        let found = intervals(limit);
        match &case.interval {
            Some(interval) if !found.is_empty() && found.join(" and ") != *interval => {
                wrong.push(format!("{}\n    comes to {}", case.place, found.join(" and ")));
            }
            Some(words) if found.is_empty() && !says(limit, words) => {
                let said: Vec<&String> = limit.parts.iter().flat_map(|part| &part.evidence).collect();
                wrong.push(format!("{}\n    says {said:#?}", case.place));
            }
            None if found.len() == 1 && verdict == case.verdict => {
                wrong.push(format!("{}\n    tells no interval; it is {}", case.place, found[0]));
            }
            _ => {}
        }
    }
    assert!(wrong.is_empty(), "{} of {} are wrong:\n{}", wrong.len(), cases.len(), wrong.join("\n"));
    crate::counts::report(
        "worked",
        &format!("{} worked examples read from docs/limits*.md, as the pages say\n", cases.len()),
    );
}

#[test]
fn every_form_has_a_worked_example() {
    let mut seen = std::collections::BTreeSet::new();
    for case in every_case() {
        let judged = scene::run(&case);
        let limit = judged.plan.controls[0].limits.iter().find(|limit| limit.name.text == "worked").unwrap();
        seen.extend(forms::of(limit, &judged.plan));
    }
    let missing: Vec<&&str> = forms::ALL.iter().filter(|form| !seen.contains(**form)).collect();
    assert!(missing.is_empty(), "docs/limits.md has no worked example of {missing:?}");
    let unknown: Vec<&&str> = seen.iter().filter(|form| !forms::ALL.contains(*form)).collect();
    assert!(unknown.is_empty(), "tests/docs/worked/forms.rs does not list {unknown:?}");
}

/// Every example as `--workings` prints it, added again from the printed lines alone.
#[test]
fn the_printed_workings_of_every_example_add_up_to_the_printed_interval() {
    let mut added = readd::Added::new();
    let mut computed = 0;
    for case in every_case() {
        let judged = scene::run(&case);
        let wanted = wanted(&judged.plan, &judged.records, "L1/worked").unwrap();
        let shown = show(&judged.plan, &judged.records, &wanted);
        let zone = judged.plan.head.as_ref().and_then(|head| head.zone.as_ref()).unwrap().value;
        for all_rows in [false, true] {
            let printed = text(&Order { records: &judged.records, zone, shown: &shown, all_rows });
            readd::readd(&printed, &mut added);
            // A computed value tells both readings that went into it, each with its row.
            if case.limit.starts_with("water-phase-salt") {
                let whole = printed.split_whitespace().collect::<Vec<_>>().join(" ");
                for pair in ["salt 3 % (table-0.csv:2), moisture 77 % (table-0.csv:2)", "moisture 57 % (table-0.csv:4)"]
                {
                    assert!(whole.contains(pair), "{printed}");
                    computed += 1;
                }
            }
        }
    }
    assert!(computed > 0);
    println!("added again: {added:?}");
    for kind in ["time", "stretch", "share", "rate", "value", "clock", "fall", "moments", "samples"] {
        assert!(added.get(kind).is_some_and(|count| *count > 3), "{kind} was hardly added again: {added:?}");
    }
}

/// The interval of each part that was judged over a trace, or between two instants.
fn intervals(limit: &LimitVerdict) -> Vec<String> {
    let of = |extent: &Extent, unit: Option<Unit>| {
        let (least, most) = (end(extent.kind, extent.least, unit), end(extent.kind, extent.most, unit));
        if least == most { least } else { format!("{least} to {most}") }
    };
    let parts = limit.parts.iter().filter_map(|part| Some((part.outcome.as_ref()?, part.unit)));
    let words = parts.map(|(outcome, unit)| {
        let lowest = outcome.lower.as_ref().map(|lower| format!("lowest {}, highest ", of(lower, unit)));
        format!("{}{}", lowest.unwrap_or_default(), of(&outcome.extent, unit))
    });
    words.map(|words| words.replace('\u{a0}', " ")).collect()
}

fn end(kind: Kind, end: End, unit: Option<Unit>) -> String {
    let symbol = unit.map_or("", |unit| unit.symbol);
    match end {
        End::Closed(value) | End::Open(value) => match kind {
            Kind::Value if symbol.is_empty() => plain(value, 6),
            Kind::Value => format!("{} {symbol}", plain(value, 6)),
            #[allow(clippy::cast_possible_truncation)]
            Kind::Nanoseconds => show_duration(value as i64),
            Kind::Decades => format!("{} log10", plain(value, 2)),
            Kind::ValueSeconds => format!("{} {symbol}·h", plain(value / 3600.0, 2)),
        },
        End::UnboundedBelow | End::UnboundedAbove => "anything".to_owned(),
        End::Nothing => "none".to_owned(),
    }
}

/// Whether the evidence says these words, whole.
fn says(limit: &LimitVerdict, words: &str) -> bool {
    let spread = words.split_once(" to ").map(|(least, most)| format!("at least {least}, at most {most}"));
    let lines = limit.parts.iter().flat_map(|part| &part.evidence).chain([&limit.why]);
    lines.map(|line| line.replace('\u{a0}', " ")).any(|line| {
        [Some(words.to_owned()), spread.clone()].into_iter().flatten().any(|words| {
            line.match_indices(&words).any(|(at, _)| {
                let bounded = |next: Option<char>| next.is_none_or(|next| !next.is_alphanumeric() && next != '.');
                bounded(line[..at].chars().next_back()) && bounded(line[at + words.len()..].chars().next())
            })
        })
    })
}
