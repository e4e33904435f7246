//! Facts about the lot: which limits and rows they make count, and what an unknown fact decides. Invented figures.

use bourn::log::{Mapping, Memory, read};
use bourn::plan;
use bourn::source::{Source, Sources};
use bourn::verdict::Verdict::{self, Met, NotMet, NotShown};
use bourn::verify::{Period, Verification, verify};

/// A lot cooked from 10:00 to 10:10 with whatever facts the register holds.
struct Lot<'a> {
    limits: &'a str,
    more: &'a str,
    core: &'a [&'a str],
    fat: &'a str,
    way: &'a str,
}

impl Lot<'_> {
    fn verification(&self) -> Verification {
        let text = format!(
            "plan p \"P\" {{ time-zone UTC }}
role worker \"Worker\" {{ duties \"All\" }}
parameter core {{ unit °C }}
parameter fat \"Fat\" {{ unit %; recorded each lot on log }}
parameter way \"Way\" {{ answers quick, slow; recorded each lot on log }}
step cook \"Cook\" {{ stage cooking from start-cook to end-cook }}
record log \"Log\" {{ kept for 1 year }}
event start-cook on log
event end-cook on log
{}
ccp c \"C\" at cook {{
{}
  monitor core continuously step 1 min by worker on log
}}
",
            self.more, self.limits
        );
        let mut sources = Sources::new();
        let id = sources.add(Source::new("plan", text));
        let reading = plan::read(&sources, &[id]);
        assert!(reading.findings.is_empty(), "{:#?}", reading.findings);
        let rows: String =
            self.core.iter().enumerate().map(|(at, value)| format!("2026-10-05 10:{at:02},{value}\n")).collect();
        let sample = format!(
            "Time,Core
{rows}"
        );
        let memory = Memory::default()
            .with(
                "lots.csv",
                format!("Lot,Start,End,Fat,Way\nL1,2026-10-05 10:00,2026-10-05 10:10,{},{}\n", self.fat, self.way),
            )
            .with("core.csv", sample);
        let mapping = "zone: UTC
lots:
  - files: [lots.csv]
    record: log
    time: { format: \"%Y-%m-%d %H:%M\" }
    lot: Lot
    events: { start-cook: Start, end-cook: End }
    facts: { fat: Fat, way: Way }
    missing: [\"\"]
readings:
  - files: [core.csv]
    record: log
    time: { column: Time, format: \"%Y-%m-%d %H:%M\" }
    missing: [\"\"]
    columns:
      Core: { parameter: core, unit: °C }
";
        let id = sources.add(Source::new("mapping", mapping));
        let (parsed, findings) = Mapping::parse(mapping, id);
        let parsed = parsed.unwrap_or_else(|| panic!("{findings:#?}"));
        let records = read(&parsed, &memory);
        let verification = verify(&reading.plan, &records, Period::default());
        crate::workings::explained(&reading.plan, &records, &verification);
        verification
    }

    /// Name and verdict of every limit that counts.
    fn verdicts(&self) -> Vec<(String, Verdict)> {
        let whole = self.verification();
        whole.lots[0].limits.iter().map(|limit| (limit.limit.clone(), limit.verdict)).collect()
    }
}

/// 70 °C from 10:03 to 10:06: 3 min without a break, and 5 at most.
const THREE: [&str; 11] = ["20", "40", "60", "70", "70", "70", "70", "60", "50", "40", "30"];

const NOTHING: Lot<'static> = Lot { limits: "", more: "", core: &THREE, fat: "", way: "" };

/// The verdicts of two limits, one for lean lots and one for the others, for one recorded fat.
fn by_fat(fat: &str) -> Vec<(String, Verdict)> {
    let limits = "limit lean core reaches 70 °C when fat < 10 %\n  limit rich core reaches 75 °C when fat >= 10 %";
    Lot { limits, fat, ..NOTHING }.verdicts()
}

#[test]
fn a_number_makes_a_limit_count_exactly() {
    let one = |name: &str, verdict| vec![(name.to_owned(), verdict)];
    let open = vec![("lean".to_owned(), NotShown), ("rich".to_owned(), NotShown)];
    assert_eq!(by_fat("9.9"), one("lean", Met));
    assert_eq!(by_fat("9.999999999999999999"), one("lean", Met));
    assert_eq!(by_fat("10"), one("rich", NotMet));
    assert_eq!(by_fat("10.0"), one("rich", NotMet));
    // Not recorded, no number, with its unit, below nought: the fact says nothing.
    for said in ["", "about 10", "10 %", "-3"] {
        assert_eq!(by_fat(said), open, "{said}");
    }
}

#[test]
fn an_answer_that_the_plan_does_not_know_is_none() {
    let limits = "limit hot core reaches 75 °C only when way is quick";
    assert_eq!(Lot { limits, way: "slow", ..NOTHING }.verdicts(), []);
    let mistyped = Lot { limits, way: "Quick", ..NOTHING };
    assert_eq!(mistyped.verdicts(), [("hot".to_owned(), NotShown)]);
    assert!(mistyped.verification().findings.iter().any(|finding| finding.rule.code == "V105"));
}

#[test]
fn a_row_is_picked_by_a_fact_and_the_last_row_is_for_an_unknown_one() {
    let rows =
        "table rows \"Rows\" { row >= 70 °C held for 2 min when fat <= 1 %; row >= 70 °C held for 6 min otherwise }";
    let limits = "limit hot core meets any row of rows";
    let verdict = |fat: &str| Lot { limits, more: rows, fat, ..NOTHING }.verdicts()[0].1;
    assert_eq!(verdict("1"), Met);
    assert_eq!(verdict("1.1"), NotMet);
    assert_eq!(verdict(""), NotMet);
    assert_eq!(verdict("unknown"), NotMet);
}

#[test]
fn rows_that_all_agree_need_no_fact() {
    // No row for an unknown fact: what all rows say stands, and nothing else.
    let verdict = |long: &str| {
        let rows = format!(
            "table rows \"Rows\" {{ row >= 70 °C held for 1 min when way is quick; row >= 70 °C held for {long} when way is slow }}"
        );
        Lot { limits: "limit hot core meets any row of rows", more: &rows, ..NOTHING }.verdicts()[0].1
    };
    assert_eq!(verdict("2 min"), Met);
    assert_eq!(verdict("9 min"), NotShown);
}

#[test]
fn only_the_way_that_was_chosen_beforehand_is_judged() {
    // 3 min at 70 °C: quick is met, slow is not.
    let options = "limit hot one of chosen by way { option quick core >= 70 °C held for 2 min; option slow core >= 65 °C held for 8 min }";
    let rows = "table rows \"Rows\" { row quick >= 70 °C held for 2 min; row slow >= 65 °C held for 8 min }";
    let by_row = "limit hot core meets the row of rows chosen by way";
    for (limits, more) in [(options, ""), (by_row, rows)] {
        let verdict = |way: &str| Lot { limits, more, way, ..NOTHING }.verdicts()[0].1;
        assert_eq!(verdict("quick"), Met);
        assert_eq!(verdict("slow"), NotMet);
        assert_eq!(verdict(""), NotShown);
        assert_eq!(verdict("Quick"), NotShown);
    }
    let open = Lot { limits: options, ..NOTHING }.verification().lots[0].limits[0].why.clone();
    assert!(open.contains("not recorded"), "{open}");
}

#[test]
fn without_the_choice_what_all_options_agree_on_stands() {
    let both = |quick: &str, slow: &str| {
        let limits = format!(
            "limit hot one of chosen by way {{ option quick core reaches {quick}; option slow core reaches {slow} }}"
        );
        Lot { limits: &limits, ..NOTHING }.verdicts()[0].1
    };
    assert_eq!(both("65 °C", "70 °C"), Met);
    assert_eq!(both("75 °C", "80 °C"), NotMet);
    assert_eq!(both("65 °C", "80 °C"), NotShown);
}
