//! The workings of whatever these tests judge, in every form: the verdict of the report, a way told to it for every
//! part, and steps that add up to the least and the most.

use bourn::log::Records;
use bourn::plan::Plan;
use bourn::report::workings::{Order, text, value};
use bourn::time::Zone;
use bourn::verdict::Verdict;
use bourn::verify::engine::{End, Step, Tally};
use bourn::verify::workings::{show, wanted};
use bourn::verify::{Part, Verification};

/// Compares the workings of every lot with what was judged.
pub fn explained(plan: &Plan, records: &Records, judged: &Verification) {
    for lot in &judged.lots {
        let wanted = wanted(plan, records, &records.lots[lot.lot].code).unwrap();
        let shown = show(plan, records, &wanted);
        let order = Order { records, zone: Zone::UTC, shown: &shown, all_rows: false };
        let printed = text(&order);
        crate::readd::readd(&printed, &mut crate::readd::Added::new());
        let told = value(&order);
        assert_eq!(told["limits"].as_array().unwrap().len(), lot.limits.len());
        assert_eq!(shown.limits.len(), lot.limits.len());
        for (told, judged) in shown.limits.iter().zip(&lot.limits) {
            assert_eq!((told.verdict, &told.why), (judged.verdict, &judged.why));
            assert_eq!(told.parts.len(), judged.parts.len());
            assert!(printed.contains(&format!("verdict: {}; ", told.verdict)), "{printed}");
            for (told, judged) in told.parts.iter().zip(&judged.parts) {
                assert_eq!((told.verdict, &told.evidence), (judged.verdict, &judged.evidence));
                assert!(judged.workings.is_none(), "kept without being asked for");
                part(told, &printed);
            }
        }
    }
}

/// A part without steps or lines shows nothing, and says so.
fn part(part: &Part, printed: &str) {
    let told = part.workings.as_ref().is_some_and(|one| !one.steps.is_empty() || !one.lines.is_empty());
    if !told {
        assert_eq!(part.verdict, Verdict::NotShown, "{printed}");
        assert!(!part.evidence.is_empty(), "{printed}");
        return;
    }
    let Some(workings) = &part.workings else { return };
    let Some(last) = workings.steps.last() else { return };
    assert!(!workings.thresholds.is_empty(), "{printed}");
    let Some(outcome) = &part.outcome else { panic!("steps without an outcome: {printed}") };
    if let Tally::Rate { least, most, unbounded, .. } = last.after {
        let (low, high) = rates(&workings.steps);
        let near = |a: f64, b: f64| (a - b).abs() <= 1e-9 * (1.0 + a.abs().max(b.abs()));
        assert!(near(low, least) && near(high, most), "{low} {high}\n{printed}");
        let end = |end: End| end.number().unwrap_or(f64::INFINITY);
        assert!(near(low, end(outcome.extent.least)), "{low}\n{printed}");
        assert!(unbounded || near(high, end(outcome.extent.most)), "{high}\n{printed}");
    }
}

/// Rate times time, step by step.
fn rates(steps: &[Step]) -> (f64, f64) {
    let (mut least, mut most) = (0.0, 0.0);
    #[allow(clippy::cast_precision_loss)]
    let seconds = |span: Option<bourn::verify::engine::Span>| span.map_or(0.0, |span| span.length() as f64 / 1e9);
    for step in steps.iter().filter(|step| !step.is_reading()) {
        if let Tally::Rate { low, high, .. } = step.after {
            least += low * seconds(step.core);
            most += high.map_or(0.0, |high| high * seconds(step.outer));
        }
    }
    (least, most)
}
