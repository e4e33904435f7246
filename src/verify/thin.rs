//! Rows for drawing: few enough to keep, with every extreme and every break.

use super::engine::Row;

/// Stretches into which a long trace is cut; each keeps its lowest and its highest reading.
const STRETCHES: usize = 1_000;

/// At most some thousand rows of a trace: of each stretch the first, the lowest, the highest and the last reading, and
/// the first row that breaks the trace.
pub(super) fn thin(rows: &[Row]) -> Vec<Row> {
    if rows.len() <= STRETCHES * 5 {
        return rows.to_vec();
    }
    let mut kept = Vec::with_capacity(STRETCHES * 5);
    for stretch in rows.chunks(rows.len().div_ceil(STRETCHES)) {
        let readings = || stretch.iter().enumerate().filter(|(_, row)| !row.is_broken());
        let mut picks: Vec<usize> = [
            readings().next(),
            readings().min_by(|a, b| a.1.lo.total_cmp(&b.1.lo)),
            readings().max_by(|a, b| a.1.hi.total_cmp(&b.1.hi)),
            readings().next_back(),
            stretch.iter().enumerate().find(|(_, row)| row.is_broken()),
        ]
        .into_iter()
        .flatten()
        .map(|(index, _)| index)
        .collect();
        picks.sort_unstable();
        picks.dedup();
        kept.extend(picks.into_iter().filter_map(|index| stretch.get(index)).copied());
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_trace_keeps_its_extremes_and_breaks() {
        let mut rows: Vec<Row> = (0..100_000).map(|at| Row::reading(at, (at % 7) as f64)).collect();
        rows[50_123] = Row::reading(50_123, 99.0);
        rows[70_001] = Row::broken(70_001);
        let kept = thin(&rows);
        assert!(kept.len() <= STRETCHES * 5);
        assert!(kept.contains(&rows[50_123]) && kept.iter().any(Row::is_broken));
        assert!(kept.windows(2).all(|pair| pair[0].at < pair[1].at));
        assert_eq!(thin(&rows[..100]), rows[..100]);
    }
}
