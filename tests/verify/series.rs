//! Rules over successive lots or samples: pencil examples, the period's edge, and a plain count by every possibility.
//! Every record here is invented.

use bourn::log::{Manner, Mapping, Memory, Records, read};
use bourn::plan::{self, Plan};
use bourn::source::{Source, Sources};
use bourn::verdict::Verdict::{self, Met, NotMet, NotShown};
use bourn::verify::series::SeriesVerdict;
use bourn::verify::{InParts, Period, Verification, survey_keeps, verify, verify_in_parts};
use chrono::NaiveDate;

const MAPPING: &str = "zone: UTC
lots:
  - files: [lots.csv]
    record: log
    time: { format: \"%Y-%m-%d %H:%M\" }
    lot: Lot
    missing: [\"\"]
    events: { pressed: Begun }
    facts: { route: Route }
samples:
  - files: [laboratory.csv]
    record: log
    time: { column: Time, format: \"%Y-%m-%d %H:%M\" }
    lot: Lot
    sample: Sample
    columns:
      Coli: { parameter: coli, answers: { detected: [pos], not-detected: [neg] } }
";

/// The plan with this series.
fn plan(series: &str, guard: &str) -> Plan {
    let text = format!(
        "plan p {{ time-zone UTC }}
role worker {{ }}
record log {{ }}
event pressed on log
event filled on log
parameter coli {{ answers detected, not-detected }}
parameter route {{ answers surface, steam; recorded each lot on log }}
step press {{ stage pressing from pressed to filled }}
control juice at press {{
  limit coli-free coli is not-detected, n 1, c 0{guard}
  series two-in-seven {series}
  monitor coli each lot by worker on log
}}
"
    );
    let mut sources = Sources::new();
    let id = sources.add(Source::new("plan", text));
    let reading = plan::read(&sources, &[id]);
    assert!(reading.findings.is_empty(), "{:#?}", reading.findings);
    reading.plan
}

/// One lot a day from 2026-09-01, written by its letter: `+` positive, `-` negative, `?` no result, `o` unreadable.
fn records(days: &str) -> Records {
    let (mut lots, mut laboratory) = (String::from("Lot,Begun,Route\n"), String::from("Time,Lot,Sample,Coli\n"));
    for (index, letter) in days.chars().enumerate() {
        let (day, lot) = (index + 1, format!("L{:02}", index + 1));
        lots.push_str(&format!("{lot},2026-09-{day:02} 08:00,surface\n"));
        let answer = match letter {
            '+' => "pos",
            '-' => "neg",
            'o' => "smudge",
            _ => continue,
        };
        laboratory.push_str(&format!("2026-09-{day:02} 15:00,{lot},1,{answer}\n"));
    }
    from_text(lots, laboratory)
}

fn from_text(lots: String, laboratory: String) -> Records {
    let mut sources = Sources::new();
    let id = sources.add(Source::new("mapping", MAPPING));
    let (mapping, findings) = Mapping::parse(MAPPING, id);
    let mapping = mapping.unwrap_or_else(|| panic!("{findings:#?}"));
    read(&mapping, &Memory::default().with("lots.csv", lots).with("laboratory.csv", laboratory))
}

fn day(day: u32) -> Option<NaiveDate> {
    NaiveDate::from_ymd_opt(2026, 9, day)
}

const RULE: &str = "coli-free not met in at most 1 of any 7 lots from 2026-09-01";

fn run(series: &str, days: &str) -> Verification {
    verify(&plan(series, ""), &records(days), Period::default())
}

fn one(series: &str, days: &str) -> SeriesVerdict {
    run(series, days).series.remove(0)
}

/// The pencil example of docs/limits-series.md. The rule is that of 21 CFR 120.25: two positive tests in a series of seven.
#[test]
fn two_in_seven() {
    for (days, least, most, verdict) in [
        ("+------+--", 1, 1, Met),    // the eighth is in no run of seven with the first
        ("+-----+---", 2, 2, NotMet), // the seventh is
        ("+--?------", 1, 2, NotShown),
        ("---?--?---", 0, 2, NotShown),
        ("+--?--+---", 2, 3, NotMet), // whatever the unknown one was
        ("---?------", 0, 1, Met),    // one unknown can be one positive at most
        ("--o-------", 0, 1, Met),
    ] {
        let series = one(RULE, days);
        assert_eq!((series.least, series.most, series.verdict), (least, most, verdict), "{days}: {}", series.why);
    }
}

#[test]
fn the_series_names_the_run_that_decided() {
    let series = one(RULE, "--+---+--");
    assert_eq!(series.verdict, NotMet);
    assert_eq!(
        series.why,
        "at least 2 of 7 lots missed it, from L01 to L07; not met: L03, L07; at most 1 may; 9 lots in 9 runs"
    );
    let series = one(RULE, "+--?---");
    assert_eq!(
        series.why,
        "1 to 2 of 7 lots may have missed it, from L01 to L04; not met: L01; not shown: L04; at most 1 may; 7 lots in 7 runs"
    );
}

#[test]
fn a_series_changes_no_verdict_of_a_lot() {
    let verification = run(RULE, "+-+");
    let own: Vec<Verdict> = verification.lots.iter().map(|lot| lot.limits[0].verdict).collect();
    assert_eq!(own, [NotMet, Met, NotMet]);
    assert_eq!(verification.counts(), (1, 2, 0));
    let verification = run("coli-free not met in at most 0 of any 2 lots from 2026-09-01", "-?");
    assert_eq!(verification.series_verdict(), Some(NotShown));
    assert_eq!(verification.lots[0].limits[0].verdict, Met);
}

/// Terminal, JSON and page each give it a place of its own, and leave the count of limits alone.
#[test]
fn every_report_gives_the_series_a_place_of_its_own() {
    let (plan, records) = (plan(RULE, ""), records("--+---+--"));
    let verification = verify(&plan, &records, Period::default());
    let sources = Sources::new();
    let text = bourn::report::summary::text(&plan, &records, &verification);
    assert!(text.contains("9 lots, 9 critical limits: 7 met, 2 not met, 0 not shown"), "{text}");
    let (_, section) = text.split_once("Over successive lots or samples (apart from the limits of each lot):").unwrap();
    assert!(section.contains("juice.two-in-seven: coli-free not met in at most 1 of any 7 lots from 2026-09-01"));
    assert!(section.contains("not met: at least 2 of 7 lots missed it, from L01 to L07; not met: L03, L07"));
    assert!(section.contains("L03, 2026-09-03 08:00:00: not met; "), "{section}");
    let value = bourn::report::verification::value(&sources, &plan, &records, &verification);
    let one = &value["series"][0];
    assert_eq!(one["verdict"], "not-met");
    assert_eq!((&one["least"], &one["most"], &one["runs"]), (&2.into(), &2.into(), &9.into()));
    assert_eq!(one["members"][2]["verdict"], "not-met");
    assert_eq!(one["deciding-run"]["to"], "L07");
    let order = bourn::document::report::Order {
        plan: &plan,
        sources: &sources,
        records: &records,
        verification: &verification,
        signing: None,
        paper: bourn::document::Paper::A4,
    };
    let page = bourn::document::report::report(&order).unwrap();
    assert!(page.contains("1 judged: 0 met, 1 not met, 0 not shown"));
    assert!(page.contains("id=\"series\"") && page.contains("The run that decided juice.two-in-seven"));
}

/// What came before the first lot on record may have been anything, unless the plan says from which day it counts and
/// the register reaches back to it.
#[test]
fn before_the_first_record() {
    let open = "coli-free not met in at most 1 of any 7 lots";
    let series = one(open, "--------");
    assert_eq!((series.verdict, series.most, series.before), (NotShown, 6, 6));
    assert_eq!(one(&format!("{open} from 2026-09-01"), "--------").verdict, Met);
    assert_eq!(one(&format!("{open} from 2026-08-31"), "--------").verdict, NotShown);
    // A blank day shows nothing.
    assert_eq!(one(&format!("{open} from ___"), "--------").verdict, NotShown);
    // It may begin anew: what was found before no longer counts.
    assert_eq!(one(&format!("{open} from 2026-09-01"), "++------").verdict, NotMet);
    assert_eq!(one(&format!("{open} from 2026-09-02"), "++------").verdict, Met);
}

/// A run belongs to the period of its last lot, and uses the lots before the period that were given.
#[test]
fn over_the_edge_of_the_period() {
    let plan = plan("coli-free not met in at most 1 of any 7 lots", "");
    let judged = |days: &str, from: u32, to: u32| {
        let records = records(days);
        let period = Period { from: day(from), to: day(to) };
        let whole = verify(&plan, &records, period);
        let throughout = |name: &str| survey_keeps(&plan, name);
        let bounds = InParts { at_once: 1, drawn: true, throughout: &throughout, manner: Manner::default() };
        let parts = verify_in_parts(&plan, &mut records.clone(), period, bounds);
        assert_eq!(format!("{:?}", whole.series), format!("{:?}", parts.series));
        whole.series[0].clone()
    };
    // Six lots before the first of the period are on record: nothing is open.
    let series = judged("------------", 7, 12);
    assert_eq!((series.verdict, series.runs, series.members.len()), (Met, 6, 12));
    // Five are not enough for the first run.
    assert_eq!(judged("-----------", 6, 11).verdict, Met);
    assert_eq!(judged("-----------", 5, 11).verdict, NotShown);
    // A positive of last month and one of this month in one run.
    assert_eq!(judged("-----+------+", 9, 12).verdict, Met);
    assert_eq!(judged("-----+----+--", 9, 12).verdict, NotMet);
    // Both of last month: that run ended there.
    assert_eq!(judged("--+---+------", 10, 13).verdict, Met);
    // Lots after the period end runs of the next one.
    assert_eq!(judged("------+---+--", 7, 10).verdict, Met);
}

/// Lots for which the limit does not count are none of the series; one whose fact is not recorded may be.
#[test]
fn only_the_lots_that_the_limit_is_for() {
    let plan = plan("coli-free not met in at most 1 of any 3 lots from 2026-09-01", " only when route is surface");
    let judged = |rows: &[(&str, &str)]| {
        let (mut lots, mut laboratory) = (String::from("Lot,Begun,Route\n"), String::from("Time,Lot,Sample,Coli\n"));
        for (index, (route, answer)) in rows.iter().enumerate() {
            lots.push_str(&format!("L{index},2026-09-{:02} 08:00,{route}\n", index + 1));
            laboratory.push_str(&format!("2026-09-{:02} 15:00,L{index},1,{answer}\n", index + 1));
        }
        verify(&plan, &from_text(lots, laboratory), Period::default()).series.remove(0)
    };
    let (on, off, unknown) = (("surface", "pos"), ("steam", "neg"), ("", "neg"));
    // Steam lots lie between, and the two positives are still within three of the series.
    assert_eq!(judged(&[on, off, off, off, on]).verdict, NotMet);
    assert_eq!(judged(&[on, ("surface", "neg"), ("surface", "neg"), on]).verdict, Met);
    // Perhaps one lies between them and perhaps not.
    assert_eq!(judged(&[on, ("surface", "neg"), unknown, on]).verdict, NotShown);
}

/// Two lots of one instant may have come in either order, and a lot without a time may stand anywhere.
#[test]
fn lots_whose_order_is_not_known() {
    let plan = plan("coli-free not met in at most 1 of any 2 lots from 2026-09-01", "");
    let judged = |rows: &[(&str, &str)]| {
        let (mut lots, mut laboratory) = (String::from("Lot,Begun,Route\n"), String::from("Time,Lot,Sample,Coli\n"));
        for (index, (time, answer)) in rows.iter().enumerate() {
            lots.push_str(&format!("L{index},{time},surface\n"));
            laboratory.push_str(&format!("2026-09-29 15:00,L{index},1,{answer}\n"));
        }
        verify(&plan, &from_text(lots, laboratory), Period::default()).series.remove(0)
    };
    let (early, noon, late) = ("2026-09-01 08:00", "2026-09-01 12:00", "2026-09-01 16:00");
    // The positive of noon is next to the early one, or the negative of noon is.
    assert_eq!(judged(&[(early, "pos"), (noon, "neg"), (noon, "pos"), (late, "neg")]).verdict, NotShown);
    assert_eq!(judged(&[(early, "pos"), (noon, "pos"), (noon, "pos"), (late, "neg")]).verdict, NotMet);
    // One without a time may stand between the two positives, or beside one.
    assert_eq!(judged(&[(early, "pos"), (noon, "pos"), ("", "neg")]).verdict, NotShown);
    assert_eq!(judged(&[(early, "pos"), ("", "pos")]).verdict, NotMet);
    assert_eq!(judged(&[(early, "neg"), (noon, "neg"), ("", "pos")]).verdict, Met);
}

/// Tests in a row, whatever lot they are of; a retest can make its sample positive and is no further test.
#[test]
fn samples_in_a_row() {
    let plan = plan("coli-free not met in at most 1 of any 7 samples from 2026-09-01", "");
    let judged = |tests: &[(&str, &str, &str)]| {
        let lots =
            "Lot,Begun,Route\nA,2026-09-01 06:00,surface\nB,2026-09-02 06:00,surface\nC,2026-09-03 06:00,surface\n";
        let rows: String = tests
            .iter()
            .enumerate()
            .map(|(index, (lot, sample, answer))| format!("2026-09-04 {:02}:00,{lot},{sample},{answer}\n", 6 + index))
            .collect();
        let laboratory = format!("Time,Lot,Sample,Coli\n{rows}");
        verify(&plan, &from_text(lots.to_owned(), laboratory), Period::default()).series.remove(0)
    };
    let series = judged(&[("A", "1", "neg"), ("A", "2", "pos"), ("B", "1", "neg")]);
    // Lot C has no test and is none of the series.
    assert_eq!((series.verdict, series.members.len()), (Met, 3));
    let series = judged(&[("A", "1", "pos"), ("A", "2", "pos"), ("B", "1", "neg")]);
    assert_eq!((series.verdict, series.least), (NotMet, 2));
    let series = judged(&[("A", "1", "pos"), ("A", "1", "pos"), ("A", "1", "neg"), ("B", "1", "neg")]);
    assert_eq!((series.verdict, series.least, series.members.len()), (Met, 1, 2));
    let series = judged(&[("A", "1", "pos"), ("A", "2", "smudge"), ("B", "1", "neg")]);
    assert_eq!((series.verdict, series.least, series.most), (NotShown, 1, 2));
}

/// A sample belongs to the period in which it was taken: the lot of the old month may be tested after one of the new.
#[test]
fn samples_over_the_edge_of_the_period() {
    let plan = plan("coli-free not met in at most 1 of any 2 samples", "");
    let lots = "Lot,Begun,Route\nA,2026-09-28 06:00,surface\nB,2026-09-30 06:00,surface\nC,2026-10-01 06:00,surface\n";
    let tests = "2026-09-29 12:00,A,1,neg\n2026-10-02 12:00,C,1,pos\n2026-10-03 12:00,B,1,pos\n";
    let records = from_text(lots.to_owned(), format!("Time,Lot,Sample,Coli\n{tests}"));
    let judged = |from: (u32, u32), to: (u32, u32)| {
        let day = |(month, day)| NaiveDate::from_ymd_opt(2026, month, day);
        let period = Period { from: day(from), to: day(to) };
        let whole = verify(&plan, &records, period);
        let throughout = |name: &str| survey_keeps(&plan, name);
        let bounds = InParts { at_once: 1, drawn: true, throughout: &throughout, manner: Manner::default() };
        let parts = verify_in_parts(&plan, &mut records.clone(), period, bounds);
        assert_eq!(format!("{:?}", whole.series), format!("{:?}", parts.series));
        whole.series[0].clone()
    };
    let september = judged((9, 1), (9, 30));
    assert_eq!((september.verdict, september.runs), (Met, 1));
    let october = judged((10, 1), (10, 31));
    assert_eq!((october.verdict, october.least, october.runs), (NotMet, 2, 2));
}

/// Every way in which the unknown lots can have turned out, run by run: the count must be its smallest and largest.
#[test]
fn every_way_it_can_have_been() {
    let mut tried = 0;
    let mut state: u32 = 20_260_901;
    for _ in 0..400 {
        let mut next = || {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            state >> 16
        };
        let length = 2 + next() % 9;
        let days: String = (0..length).map(|_| ['+', '-', '-', '?'][(next() % 4) as usize]).collect();
        let (of, most) = (2 + next() % 4, next() % 2);
        let rule = format!("coli-free not met in at most {most} of any {of} lots from 2026-09-01");
        let series = one(&rule, &days);
        let unknown = days.matches('?').count();
        let mut seen = Vec::new();
        for way in 0..(1_u32 << unknown) {
            let mut left = way;
            let filled: Vec<bool> = days
                .chars()
                .map(|letter| {
                    let bit = left & 1 == 1;
                    if letter == '?' {
                        left >>= 1;
                    }
                    letter == '+' || letter == '?' && bit
                })
                .collect();
            let worst = (0..filled.len())
                .map(|start| filled.iter().skip(start).take(of as usize).filter(|positive| **positive).count())
                .max()
                .unwrap();
            seen.push(worst);
        }
        let (least, largest) = (*seen.iter().min().unwrap(), *seen.iter().max().unwrap());
        assert_eq!((series.least, series.most), (least, largest), "{days}, any {of}");
        let asked = most as usize;
        let verdict = if least > asked {
            NotMet
        } else if largest <= asked {
            Met
        } else {
            NotShown
        };
        assert_eq!(series.verdict, verdict, "{days}: {rule}");
        tried += 1;
    }
    assert_eq!(tried, 400);
}

/// A register of corrective actions beside the lots and results.
const ACTIONS: &str = "registers:
  - files: [actions.csv]
    record: log
    holds: corrective-actions
    time: { format: \"%Y-%m-%d %H:%M\" }
    fields: { number: Number, lots: Lots, limits: Limits }
";

/// The month with this corrective action: the deviations of the rule, as covered or not, and the codes of what is found.
fn followed(days: &str, action: &str) -> (Vec<(Vec<String>, usize)>, Vec<&'static str>) {
    let text = format!("{MAPPING}{ACTIONS}");
    let mut sources = Sources::new();
    let id = sources.add(Source::new("mapping", text.as_str()));
    let (mapping, findings) = Mapping::parse(&text, id);
    let mapping = mapping.unwrap_or_else(|| panic!("{findings:#?}"));
    let (mut lots, mut laboratory) = (String::from("Lot,Begun,Route\n"), String::from("Time,Lot,Sample,Coli\n"));
    for (index, letter) in days.chars().enumerate() {
        let (day, lot) = (index + 1, format!("L{:02}", index + 1));
        lots.push_str(&format!("{lot},2026-09-{day:02} 08:00,surface\n"));
        let answer = if letter == '+' { "pos" } else { "neg" };
        laboratory.push_str(&format!("2026-09-{day:02} 15:00,{lot},1,{answer}\n"));
    }
    let files = Memory::default()
        .with("lots.csv", lots)
        .with("laboratory.csv", laboratory)
        .with("actions.csv", format!("Number,Lots,Limits\n{action}"));
    let plan = plan("coli-free not met in at most 1 of any 7 lots from 2026-09-01", "");
    let whole = verify(&plan, &read(&mapping, &files), Period::default());
    let of_rule = whole.followed.deviations.iter().filter(|one| one.limit == "two-in-seven");
    let told = of_rule.map(|one| {
        let codes = one.lots.iter().map(|share| share.code.clone()).collect();
        (codes, one.uncovered().count())
    });
    (told.collect(), whole.findings.iter().map(|finding| finding.rule.code).collect())
}

/// A rule over successive lots that is not met asks for a corrective action for each lot of the run that missed.
#[test]
fn a_rule_that_is_not_met_is_matched_to_corrective_actions() {
    let both = vec!["L02".to_owned(), "L05".to_owned()];
    let (rule, codes) = followed("-+--+--", "");
    assert_eq!(rule, [(both.clone(), 2)], "the two lots of the run that missed");
    assert_eq!(codes.iter().filter(|code| **code == "E101").count(), 2, "the limit and the rule: {codes:?}");
    let (rule, codes) = followed("-+--+--", "1,L02; L05,juice.two-in-seven\n");
    assert_eq!(rule, [(both.clone(), 0)]);
    assert!(!codes.contains(&"E405") && !codes.contains(&"E401"), "the rule is known by its name: {codes:?}");
    assert_eq!(codes.iter().filter(|code| **code == "E101").count(), 1, "the limit itself still: {codes:?}");
    let (rule, _) = followed("-+--+--", "1,L02; L05,juice\n");
    assert_eq!(rule, [(both.clone(), 0)], "an action on the CCP covers its rules");
    let (rule, _) = followed("-+--+--", "1,L02; L05,juice.coli-free\n");
    assert_eq!(rule, [(both.clone(), 2)], "an action on the limit alone does not");
    let (rule, _) = followed("-+--+--", "1,L02,juice.two-in-seven\n");
    assert_eq!(rule, [(both, 1)]);
    let (rule, codes) = followed("-+-----", "1,L02,juice.two-in-seven\n");
    assert_eq!(rule, [], "met: no deviation");
    assert!(codes.contains(&"E401"), "{codes:?}");
}
