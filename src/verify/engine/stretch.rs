//! Neighbouring readings with something in common.

use super::outcome::{Capped, Point, Stretch};
use super::weave::Mark;

/// Gathers neighbouring readings with something in common into stretches.
#[derive(Debug, Default)]
pub(super) struct Stretches {
    open: Option<Stretch>,
    list: Capped<Stretch>,
}

impl Stretches {
    /// Takes the next reading; `certain` counts only if it belongs to a stretch at all.
    pub fn take(&mut self, mark: &Mark, belongs: bool, certain: bool) {
        if !belongs || mark.void {
            if let (false, Some(done)) = (mark.void, self.open.take()) {
                self.list.add(done);
            }
            return;
        }
        let lowest = Point { at: mark.at, value: mark.lo };
        let highest = Point { at: mark.at, value: mark.hi };
        match &mut self.open {
            Some(stretch) => {
                stretch.to = mark.at;
                stretch.readings += 1;
                stretch.certain |= certain;
                if lowest.value < stretch.lowest.value {
                    stretch.lowest = lowest;
                }
                if highest.value > stretch.highest.value {
                    stretch.highest = highest;
                }
            }
            none => {
                *none = Some(Stretch { from: mark.at, to: mark.at, readings: 1, lowest, highest, certain });
            }
        }
    }

    /// Whether the last reading belongs to a stretch.
    pub fn is_open(&self) -> bool {
        self.open.is_some()
    }

    pub fn finish(&mut self) -> Capped<Stretch> {
        if let Some(done) = self.open.take() {
            self.list.add(done);
        }
        std::mem::take(&mut self.list)
    }
}
