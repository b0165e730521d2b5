//! What the figures shall be, on a machine of two cores. A goal is no test: it stands beside its figure, met or missed.

/// Most milliseconds from choosing a file of a million spots to its full result.
pub(super) const FULL_RESULT_MS: f64 = 600.0;
/// Most of what the general-purpose parser takes for the same million rows in the same browser: an eighth.
pub(super) const OF_PARSER: f64 = 1.0 / 8.0;
/// Most of what the loop written by hand takes for them: half.
pub(super) const OF_LOOP: f64 = 1.0 / 2.0;
/// Most of what the CSV reader takes for going over the same rows natively.
pub(super) const OF_CSV: f64 = 1.5;
/// Reading with a second worker over reading alone: at least 1.7 times as fast.
pub(super) const OF_ALONE: f64 = 1.0 / 1.7;
/// Ten million spots against a million.
pub(super) const TENFOLD: f64 = 10.5;
/// Most milliseconds from a filter to the new picture of a million spots, 95th percentile.
pub(super) const FILTER_MS: f64 = 33.0;
/// Most megabytes of a tab with a million spots.
pub(super) const TAB_MB: f64 = 200.0;
/// Most bytes of the table for a spot.
pub(super) const BYTES_A_SPOT: f64 = 40.0;
/// Most milliseconds until the page is first painted.
pub(super) const PAINT_MS: f64 = 500.0;
/// Most milliseconds that the core needs until it takes events.
pub(super) const CORE_MS: f64 = 300.0;
/// The number of spots that the goals of the page are for.
pub(super) const MILLION: usize = 1_000_000;
/// Cutting an archive down, over reading as many bytes whole: at least 0.7 of the rate.
pub(super) const ARCHIVE: f64 = 1.0 / 0.7;
/// Memory while an archive comes in, MB.
pub(super) const ARCHIVE_MB: f64 = 300.0;
