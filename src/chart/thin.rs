//! Any number of readings to a path of bounded length: the readings of each
//! narrow upright strip are replaced by their first, lowest, highest and last.

/// What of one run falls into one strip.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Strip {
    index: usize,
    piece: usize,
    first: (i64, f64),
    last: (i64, f64),
    low: (i64, f64),
    high: (i64, f64),
}

/// Runs that a line joins, after thinning. Readings outside `from..=to` are
/// dropped; where a joined line crosses an end, the crossing is kept. No point
/// is moved, so the lowest and the highest reading are exact.
pub(super) fn thin(pieces: &[Vec<(i64, f64)>], (from, to): (i64, i64), strips: usize) -> Vec<Vec<(i64, f64)>> {
    let runs = clip(pieces, from, to);
    let wide = (i128::from(to) - i128::from(from)).max(1);
    let index = |t: i64| {
        let at = (i128::from(t) - i128::from(from)) * strips.max(1) as i128 / wide;
        usize::try_from(at).unwrap_or(0).min(strips.max(1) - 1)
    };
    let mut parts: Vec<Strip> = Vec::new();
    for (piece, run) in runs.iter().enumerate() {
        for point in run {
            let at = index(point.0);
            match parts.last_mut() {
                Some(s) if s.index == at && s.piece == piece => {
                    s.last = *point;
                    if point.1 < s.low.1 {
                        s.low = *point;
                    }
                    if point.1 > s.high.1 {
                        s.high = *point;
                    }
                }
                _ => parts.push(Strip { index: at, piece, first: *point, last: *point, low: *point, high: *point }),
            }
        }
    }
    join(&parts)
}

/// Joins the strips of each run. A strip that holds parts of more than two runs
/// becomes one upright stroke joined to nothing: it shows how far the readings
/// reach and claims no line between them.
fn join(parts: &[Strip]) -> Vec<Vec<(i64, f64)>> {
    let mut thinned: Vec<Vec<(i64, f64)>> = Vec::new();
    let mut open: Option<usize> = None;
    for group in parts.chunk_by(|a, b| a.index == b.index) {
        if group.len() > 2 {
            let low = group.iter().map(|s| s.low).min_by(|a, b| a.1.total_cmp(&b.1));
            let high = group.iter().map(|s| s.high).max_by(|a, b| a.1.total_cmp(&b.1));
            if let Some((low, high)) = low.zip(high) {
                thinned.push(if low == high { vec![low] } else { vec![low, (low.0, high.1)] });
            }
            open = None;
            continue;
        }
        for strip in group {
            if open != Some(strip.piece) {
                thinned.push(Vec::new());
            }
            open = Some(strip.piece);
            let mut points = [strip.first, strip.low, strip.high, strip.last];
            points.sort_by_key(|p| p.0);
            if let Some(run) = thinned.last_mut() {
                for point in points {
                    if run.last() != Some(&point) {
                        run.push(point);
                    }
                }
            }
        }
    }
    thinned
}

/// Parts runs at values that are no number and cuts them at the ends.
fn clip(pieces: &[Vec<(i64, f64)>], from: i64, to: i64) -> Vec<Vec<(i64, f64)>> {
    let inside = |t: i64| t >= from && t <= to;
    let mut runs = Vec::new();
    for piece in pieces {
        for run in piece.split(|(_, v)| !v.is_finite()) {
            let mut kept: Vec<(i64, f64)> = Vec::new();
            let mut before: Option<(i64, f64)> = None;
            for point in run {
                if let Some(last) = before {
                    for end in [from, to] {
                        if last.0 < end && end < point.0 {
                            kept.push((end, between(last, *point, end)));
                        }
                    }
                }
                if inside(point.0) {
                    kept.push(*point);
                }
                before = Some(*point);
            }
            if !kept.is_empty() {
                runs.push(kept);
            }
        }
    }
    runs
}

/// The value of the joining line at an instant.
fn between(a: (i64, f64), b: (i64, f64), at: i64) -> f64 {
    let wide = (i128::from(b.0) - i128::from(a.0)).max(1) as f64;
    let part = (i128::from(at) - i128::from(a.0)) as f64 / wide;
    a.1 * (1.0 - part) + b.1 * part
}
