//! What stands in a set of rows: by far call and group, by group and hour, by group and by sector of far call.

use super::{Columns, Grid, Levels, Rows};

pub(super) const DAY_S: u32 = 86_400;
pub(super) const HOUR_S: u32 = 3_600;

/// Which groups are counted, and where.
#[derive(Clone, Copy, Debug)]
pub struct Places<'a> {
    /// Place of each group among those that are counted.
    pub of_group: &'a [usize],
    /// How many places there are.
    pub count: usize,
}

/// One far call in one group.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cell {
    /// Rows.
    pub rows: u32,
    /// Bit n is set if there is a row in hour n of any UTC day.
    pub hours: u32,
    /// Greatest level, NaN if none of them has one.
    pub best: f32,
    /// First second, if there is any row.
    pub first_s: u32,
    /// Last second, if there is any row.
    pub last_s: u32,
}

impl Cell {
    /// Without any row.
    pub const EMPTY: Self = Self { rows: 0, hours: 0, best: f32::NAN, first_s: u32::MAX, last_s: 0 };

    /// One row more.
    #[inline]
    pub(super) fn count(&mut self, time: u32, hour: u32, level: f32) {
        self.rows += 1;
        self.hours |= 1 << hour;
        // a level that is none stands back, whichever side it is on
        self.best = self.best.max(level);
        self.first_s = self.first_s.min(time);
        self.last_s = self.last_s.max(time);
    }

    /// Other rows more.
    #[inline]
    pub(super) fn add(&mut self, more: &Self) {
        self.rows += more.rows;
        self.hours |= more.hours;
        self.best = self.best.max(more.best);
        self.first_s = self.first_s.min(more.first_s);
        self.last_s = self.last_s.max(more.last_s);
    }
}

/// What was counted.
#[derive(Clone, Debug, PartialEq)]
pub struct Counted {
    /// What each far call counts in each place, call after call.
    pub cells: Vec<Cell>,
    /// Rows of each place and hour of the UTC day.
    pub by_hour: Vec<[usize; 24]>,
}

impl Counted {
    /// What other rows count with the same calls and places.
    #[inline(never)]
    pub fn add(&mut self, more: &Self) {
        for (sum, more) in self.cells.iter_mut().zip(&more.cells) {
            sum.add(more);
        }
        for (sum, more) in self.by_hour.as_flattened_mut().iter_mut().zip(more.by_hour.as_flattened()) {
            *sum += more;
        }
    }
}

/// Which levels there are.
#[derive(Clone, Debug, PartialEq)]
pub struct Levelled {
    /// Levels of each place.
    pub levels: Vec<Levels>,
    /// Normalised levels of each place, and there of each sector; the last is that of far calls in none.
    pub normalised: Vec<Levels>,
}

/// Counts the rows of a set; `calls` far calls there are.
#[inline(never)]
pub fn count(columns: &Columns<'_>, rows: Rows<'_>, places: Places<'_>, calls: usize) -> Counted {
    let &Columns { time_s, far, group, level, .. } = columns;
    let length = time_s.len();
    let (far, group, level) = (&far[..length], &group[..length], &level[..length]);
    let mut cells = vec![Cell::EMPTY; calls * places.count];
    let mut by_hour = vec![[0; 24]; places.count];
    rows.each(|row| {
        // asked once, so that the compiler need not ask at each column
        if row >= length {
            return;
        }
        let time = time_s[row];
        let place = places.of_group[usize::from(group[row])];
        let hour = time % DAY_S / HOUR_S;
        cells[far[row] as usize * places.count + place].count(time, hour, level[row]);
        by_hour[place][hour as usize] += 1;
    });
    Counted { cells, by_hour }
}

/// Which levels the rows of a set have, by place and by the sector of each far call, `sectors` or more for none.
/// Normalised is a level less the power, rounded to a ten-thousandth, and plus a number. It takes longer than [`count`].
#[inline(never)]
pub fn levels(
    columns: &Columns<'_>,
    rows: Rows<'_>,
    places: Places<'_>,
    sector_of_far: &[u8],
    sectors: usize,
    plus: f64,
) -> Levelled {
    let &Columns { far, group, level, power, .. } = columns;
    // powers are few: the one before is mostly the next one too
    let mut last = (f32::NAN, f64::NAN);
    let mut found = Levelled {
        levels: vec![Levels::default(); places.count],
        normalised: vec![Levels::default(); places.count * (sectors + 1)],
    };
    rows.each(|row| {
        let place = places.of_group[usize::from(group[row])];
        let sector = usize::from(sector_of_far[far[row] as usize]).min(sectors);
        let (level, power) = (f64::from(level[row]), power[row]);
        if power.to_bits() != last.0.to_bits() {
            last = (power, (f64::from(power) * 1e4).round() / 1e4);
        }
        found.levels[place].add(level);
        found.normalised[place * (sectors + 1) + sector].add(level - last.1 + plus);
    });
    found
}

/// How many rows of a set fall into each step of a grid.
#[inline(never)]
pub fn steps(columns: &Columns<'_>, rows: Rows<'_>, grid: Grid) -> Vec<usize> {
    let mut steps = vec![0; grid.steps];
    rows.each(|row| {
        let step = columns.time_s[row].wrapping_sub(grid.start_s) / grid.step_s.max(1);
        if let Some(rows) = steps.get_mut(step as usize) {
            *rows += 1;
        }
    });
    steps
}

#[cfg(test)]
mod tests {
    use super::*;

    const COLUMNS: Columns<'_> = Columns {
        time_s: &[DAY_S, DAY_S + HOUR_S, 2 * DAY_S + 5],
        far: &[0, 1, 0],
        group: &[2, 0, 2],
        level: &[-20.0, f32::NAN, -4.5],
        power: &[23.0, 20.0, 23.000_04],
    };

    #[test]
    fn rows_are_counted_where_they_belong() {
        let places = Places { of_group: &[0, 9, 1], count: 2 };
        let found = count(&COLUMNS, Rows(&[0b111]), places, 2);
        let (first_s, last_s) = (DAY_S, 2 * DAY_S + 5);
        assert_eq!(found.cells[1], Cell { rows: 2, hours: 1, best: -4.5, first_s, last_s });
        assert_eq!((found.cells[2].rows, found.cells[2].hours, found.cells[2].best.is_nan()), (1, 2, true));
        assert_eq!((found.cells[0].rows, found.cells[3].rows), (0, 0));
        assert_eq!((found.by_hour[1][0], found.by_hour[0][1]), (2, 1));
        let found = levels(&COLUMNS, Rows(&[0b111]), places, &[0, 1], 1, 30.0);
        assert_eq!((found.levels[0].median(|_| ()), found.levels[1].median(|_| ())), (None, Some(-12.25)));
        assert_eq!(
            found.normalised.iter().map(|of| of.median(|_| ())).collect::<Vec<_>>(),
            [None, None, Some(-5.25), None]
        );
    }

    #[test]
    fn steps_outside_are_left_out() {
        assert_eq!(steps(&COLUMNS, Rows(&[0b111]), Grid { start_s: DAY_S, step_s: HOUR_S, steps: 2 }), [1, 1]);
        assert_eq!(steps(&COLUMNS, Rows(&[0b111]), Grid { start_s: DAY_S + 1, step_s: DAY_S, steps: 2 }), [1, 1]);
    }
}
