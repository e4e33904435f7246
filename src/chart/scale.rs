//! Round values on both axes.

/// Round values from at or below `low` to at or above `high`, about `want` of
/// them, a step of 1, 2 or 5 times a power of ten apart. Empty when the ends
/// are not finite or not in order.
pub fn nice_values(low: f64, high: f64, want: usize) -> Vec<f64> {
    let span = high - low;
    if !span.is_finite() || span <= 0.0 {
        return Vec::new();
    }
    let rough = span / want.max(1) as f64;
    let power = 10f64.powf(rough.log10().floor());
    if !power.is_normal() {
        return vec![low, high];
    }
    let step =
        [1.0, 2.0, 5.0, 10.0].into_iter().map(|m| m * power).find(|s| *s >= rough * 0.999).unwrap_or(10.0 * power);
    let (first, last) = ((low / step).floor(), (high / step).ceil());
    if (last - first) > 200.0 || (first + 1.0) == first {
        return vec![low, high];
    }
    (0..=(last - first) as i64).map(|i| (first + i as f64) * step).collect()
}

/// The values as text, all with as many decimals as the step between them
/// needs.
pub(super) fn value_labels(values: &[f64]) -> Vec<String> {
    let step = match values {
        [a, b, ..] => b - a,
        _ => 1.0,
    };
    let large = values.iter().any(|v| v.abs() >= 1e7);
    let small = step.abs() < 1e-6;
    let decimals = (-(step.abs().log10() + 1e-9).floor()).clamp(0.0, 9.0) as usize;
    values
        .iter()
        .map(|v| {
            if large || small {
                return format!("{v:e}");
            }
            let text = format!("{v:.decimals$}");
            if text.trim_start_matches('-').trim_matches(['0', '.']).is_empty() {
                text.trim_start_matches('-').to_owned()
            } else {
                text
            }
        })
        .collect()
}

const SECOND: i64 = 1_000_000_000;
const STEPS: [i64; 24] = [
    1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1_800, 3_600, 7_200, 10_800, 21_600, 43_200, 86_400, 172_800, 345_600,
    604_800, 1_209_600, 2_592_000, 31_536_000,
];

/// Round instants of local time within `from_ns..=to_ns`, at most about `want`
/// of them. `offset_ns` gives the zone's distance from UTC (local minus UTC, in
/// ns) at an instant; across a clock change the marks stay at round local times.
pub fn time_ticks(from_ns: i64, to_ns: i64, want: usize, offset_ns: impl Fn(i64) -> i64) -> Vec<i64> {
    let span = i128::from(to_ns) - i128::from(from_ns);
    if span <= 0 {
        return Vec::new();
    }
    let want = want.clamp(1, 60) as i128;
    let step =
        STEPS.iter().map(|s| i128::from(*s) * i128::from(SECOND)).find(|s| span / s <= want).unwrap_or(span / want);
    // A day on each side reaches every local time that may fall in the range.
    let day = i128::from(86_400 * SECOND);
    let start = i128::from(from_ns) + i128::from(offset_ns(from_ns));
    let end = i128::from(to_ns) + i128::from(offset_ns(to_ns)) + day.min(step * 4);
    let mut local = (start - day.min(step * 4)).div_euclid(step) * step;
    let mut ticks = Vec::new();
    while local <= end {
        for near in [from_ns, to_ns] {
            let guess = local - i128::from(offset_ns(near));
            let Ok(guess) = i64::try_from(guess) else {
                continue;
            };
            if let Ok(at) = i64::try_from(local - i128::from(offset_ns(guess)))
                && i128::from(at) + i128::from(offset_ns(at)) == local
                && (from_ns..=to_ns).contains(&at)
            {
                ticks.push(at);
            }
        }
        local += step;
    }
    ticks.sort_unstable();
    ticks.dedup();
    ticks
}
