//! Spots per step of time over a whole span: the time strip.

use farheard_scan::Grid;

use super::subject::Subject;
use crate::time::{DAY_S, UtcTime};

/// Steps in seconds that read well under an axis: 10 and 30 minutes, 1, 3, 6 hours, 1 day, 1 week.
const STEPS_S: [i64; 7] = [600, 1800, 3600, 3 * 3600, 6 * 3600, DAY_S, 7 * DAY_S];

/// Counts in equal steps.
#[derive(Clone, Debug, PartialEq)]
pub struct Timeline {
    /// Start of the first step, on a whole multiple of the step since 1970.
    pub start: UtcTime,
    /// Length of a step in seconds.
    pub step_s: i64,
    /// Spots in each step.
    pub spots: Vec<usize>,
}

impl Timeline {
    /// Steps that cover the whole span of the subject, at most `most` where the steps allow it: filters change the counts,
    /// never the span. `None` if the subject has no spots.
    pub fn without_spots(subject: &Subject<'_>, most: usize) -> Option<Self> {
        let (first, last) = subject.span()?;
        let most = i64::try_from(most.max(1)).unwrap_or(i64::MAX);
        let count = |step: i64| last.unix_s().div_euclid(step) - first.unix_s().div_euclid(step) + 1;
        let step_s = STEPS_S.into_iter().find(|&step| count(step) <= most).unwrap_or(7 * DAY_S);
        let start = UtcTime::from_unix_s(first.unix_s().div_euclid(step_s) * step_s)?;
        Some(Self { start, step_s, spots: vec![0; usize::try_from(count(step_s)).unwrap_or(0)] })
    }

    /// Its steps, for scans.
    pub(super) fn grid(&self) -> Grid {
        let step_s = u32::try_from(self.step_s).unwrap_or(u32::MAX);
        Grid { start_s: self.start.second(), step_s, steps: self.spots.len() }
    }

    /// End of the last step.
    pub fn end(&self) -> UtcTime {
        self.start.plus_s(self.step_s * i64::try_from(self.spots.len()).unwrap_or(0)).unwrap_or(self.start)
    }
}
