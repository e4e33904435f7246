//! How long something takes.

use std::time::{Duration, Instant};

/// The shortest of several runs.
pub fn shortest(times: u32, mut run: impl FnMut()) -> Duration {
    (0..times)
        .map(|_| {
            let start = Instant::now();
            run();
            start.elapsed()
        })
        .min()
        .unwrap_or_default()
}
