//! Published cooling options as passage limits.
//!
//! Figures: USDA FSIS, Compliance guidelines for cooling heat-treated meat and poultry products (stabilization),
//! Appendix B, January 1999, guideline 1 (read in a copy): 130 °F to 80 °F in not more than 1.5 h, then 80 °F to 40 °F
//! in not more than 5 h. US FDA Food Code 2022, 3-501.14(A) (read in a transcription): 135 °F to 70 °F within 2 h, and
//! within a total of 6 h from 135 °F to 41 °F. The cooling curves are invented: straight lines between the corners.

use super::scene::Scene;
use bourn::verdict::Verdict::{self, Met, NotMet};

/// A curve through corners of (minute, °F), read each minute, in tenths.
fn curve(corners: &[(i64, i64)]) -> Vec<(String, String)> {
    let mut rows = Vec::new();
    for pair in corners.windows(2) {
        let ((from, a), (to, b)) = (pair[0], pair[1]);
        for minute in from..to {
            let tenths = a * 10 + (b - a) * 10 * (minute - from) / (to - from);
            rows.push((minute, tenths));
        }
    }
    let (last, value) = *corners.last().unwrap();
    rows.push((last, value * 10));
    rows.into_iter()
        .map(|(minute, tenths)| {
            let time = format!("{:02}:{:02}:00", 10 + minute / 60, minute % 60);
            (time, format!("{}.{}", tenths / 10, tenths % 10))
        })
        .collect()
}

fn judged(limit: &str, corners: &[(i64, i64)]) -> Verdict {
    let end = corners.last().unwrap().0;
    let end: &'static str = Box::leak(format!("{:02}:{:02}:00", 10 + end / 60, end % 60).into_boxed_str());
    let mut scene = Scene::new(limit, &[]);
    scene.files = vec![("°F", curve(corners))];
    scene.stage = ("10:00:00", end);
    scene.verdict()
}

/// Option 1: both passages by their own clock. Minutes 10 and 98 stand for 130 °F and 80 °F.
#[test]
fn fsis_1999_option_1() {
    let first = "x core from 130 °F to 80 °F within 1.5 h";
    let second = "x core from 80 °F to 40 °F within 5 h";
    // 130 °F is left between minutes 10 and 11 and 80 °F is reached at minute 98: at most 88 min, in 90.
    let good = [(0, 140), (10, 130), (98, 80), (390, 40), (400, 39)];
    assert_eq!(judged(first, &good), Met);
    // 80 °F is left after minute 98 and 40 °F reached at 390: at most 292 min, in 300.
    assert_eq!(judged(second, &good), Met);
    let slow_first = [(0, 140), (10, 130), (103, 80), (390, 40), (400, 39)];
    assert_eq!(judged(first, &slow_first), NotMet);
    assert_eq!(judged(second, &slow_first), Met);
    let slow_second = [(0, 140), (10, 130), (98, 80), (402, 40), (410, 39)];
    assert_eq!(judged(first, &slow_second), Met);
    assert_eq!(judged(second, &slow_second), NotMet);
}

/// The Food Code counts six hours in all, from 135 °F: one hour and then almost five passes, although the second part
/// takes more than four; two hours and then more than four does not.
#[test]
fn food_code_3_501_14() {
    let first = "x core from 135 °F to 70 °F within 2 h";
    let total = "x core from 135 °F to 41 °F within 6 h";
    let quick_start = [(0, 145), (10, 135), (70, 70), (366, 41), (375, 40)];
    assert_eq!((judged(first, &quick_start), judged(total, &quick_start)), (Met, Met));
    let slow_end = [(0, 145), (10, 135), (126, 70), (376, 41), (380, 40)];
    assert_eq!((judged(first, &slow_end), judged(total, &slow_end)), (Met, NotMet));
}
