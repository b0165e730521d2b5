//! What a filter leaves, summed by time beforehand: moving its times or bands then scans no more than the edges.

use farheard_scan::{Cube, Wanted, pass};

use super::filter::Filter;
use super::subject::Subject;
use super::tally::Tally;
use super::timeline::Timeline;
use crate::model::RowSet;

/// Most counts that are kept, and most as a share of the rows: a scan of few rows costs nothing.
const MOST_COUNTS: usize = 1 << 18;
const ROWS_FOR_COUNT: usize = 4;
/// Of fewer stretches of time the edges would be most of what is there.
const FEWEST_STRETCHES: usize = 5;

/// What stands in the rows that pass a filter, whatever its times and bands.
#[derive(Debug)]
pub struct Sums {
    others: Filter,
    rows: RowSet,
    /// `None` where scanning is as cheap.
    cube: Option<Cube>,
    /// The strip of time, without spots.
    strip: Option<Timeline>,
}

/// What is left by a filter.
#[derive(Debug)]
pub struct Left {
    /// What they count.
    pub tally: Tally,
    /// Their spots over time, if the subject has any.
    pub timeline: Option<Timeline>,
}

impl Left {
    /// What some rows of the subject come to, for a strip of at most `most` steps.
    pub fn of(subject: &Subject<'_>, rows: &RowSet, most: usize) -> Self {
        match Timeline::without_spots(subject, most) {
            Some(strip) => Self::on(subject, rows, &strip),
            None => Self { tally: Tally::of(subject, rows), timeline: None },
        }
    }

    fn on(subject: &Subject<'_>, rows: &RowSet, strip: &Timeline) -> Self {
        let grid = strip.grid();
        let cube = subject.cube(rows, grid, grid.steps);
        let (counted, spots) = cube.whole();
        Self { tally: Tally::from_counted(subject, &counted), timeline: Some(Timeline { spots, ..strip.clone() }) }
    }
}

impl Sums {
    /// Sums up what passes the filter but for its times and bands, for a strip of at most `most` steps.
    pub fn of(subject: &Subject<'_>, filter: &Filter, most: usize) -> Self {
        let others = filter.without_times_and_bands();
        let rows = others.rows(subject);
        let strip = Timeline::without_spots(subject, most);
        let cube = strip.as_ref().and_then(|strip| cube(subject, &rows, strip));
        Self { others, rows, cube, strip }
    }

    /// Do they hold for this filter?
    pub fn hold(&self, filter: &Filter) -> bool {
        self.others == filter.without_times_and_bands()
    }

    /// What passes a filter for which they hold: the rows, and what they come to.
    pub fn left(&self, subject: &Subject<'_>, filter: &Filter) -> (RowSet, Left) {
        let (groups, time_s) = (filter.groups(), filter.time_s());
        let passed = |time_s| {
            let wanted = Wanted { groups, time_s, ..Wanted::default() };
            self.rows.of_bits(pass(&subject.columns(), self.rows.bits(), &wanted))
        };
        let rows = if groups.is_none() && time_s.is_none() { self.rows.clone() } else { passed(time_s) };
        let Some(strip) = &self.strip else {
            let left = Left { tally: Tally::of(subject, &rows), timeline: None };
            return (rows, left);
        };
        let Some(cube) = &self.cube else {
            let left = Left::on(subject, &rows, strip);
            return (rows, left);
        };
        let wanted: Vec<bool> =
            subject.bands().iter().map(|band| groups.is_none_or(|groups| groups >> band.index() & 1 == 1)).collect();
        let (from, before) = time_s.unwrap_or((0, u64::MAX));
        let (stretches, edges) = cube.within(from, before);
        let mut counted = cube.sum(stretches.clone(), &wanted);
        let mut spots = cube.steps(stretches, &wanted);
        let grid = strip.grid();
        for edge in edges.into_iter().filter(|&(from, before)| u64::from(from) < before) {
            let (more, of_steps) = subject.cube(&passed(Some(edge)), grid, grid.steps).whole();
            counted.add(&more);
            for (sum, more) in spots.iter_mut().zip(of_steps) {
                *sum += more;
            }
        }
        let timeline = Some(Timeline { spots, ..strip.clone() });
        (rows, Left { tally: Tally::from_counted(subject, &counted), timeline })
    }
}

/// The spots of `rows` over time, in at most `most` steps. `None` if the subject has none at all.
pub fn timeline(subject: &Subject<'_>, rows: &RowSet, most: usize) -> Option<Timeline> {
    Left::of(subject, &rows.and(subject.rows()), most).timeline
}

fn cube(subject: &Subject<'_>, rows: &RowSet, strip: &Timeline) -> Option<Cube> {
    let (calls, bands) = (subject.far_calls().len(), subject.bands().len());
    let most = MOST_COUNTS.min(rows.count() / ROWS_FOR_COUNT);
    let stretches = (most / (calls * bands).max(1)).min(strip.spots.len());
    if stretches < FEWEST_STRETCHES.min(strip.spots.len()) {
        return None;
    }
    let joined = strip.spots.len().div_ceil(stretches.max(1));
    Some(subject.cube(rows, strip.grid(), joined))
}
