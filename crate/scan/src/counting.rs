//! What stands in a set of rows: by far call and group, by group and hour, by group and by sector of far call.

use super::{Columns, Levels, Rows};

const DAY_S: u32 = 86_400;
const HOUR_S: u32 = 3_600;

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

/// What was counted.
#[derive(Clone, Debug, PartialEq)]
pub struct Counted {
    /// What each far call counts in each place, call after call.
    pub cells: Vec<Cell>,
    /// Rows of each place and hour of the UTC day.
    pub by_hour: Vec<[usize; 24]>,
}

/// Which levels there are.
#[derive(Clone, Debug, PartialEq)]
pub struct Levelled {
    /// Levels of each place.
    pub levels: Vec<Levels>,
    /// Normalised levels of each place.
    pub normalised: Vec<Levels>,
    /// Normalised levels of each sector.
    pub by_sector: Vec<Levels>,
}

/// Counts the rows of a set; `calls` far calls there are.
#[inline(never)]
pub fn count(columns: &Columns<'_>, rows: Rows<'_>, places: Places<'_>, calls: usize) -> Counted {
    let &Columns { time_s, far, group, level, .. } = columns;
    let length = time_s.len();
    let (far, group, level) = (&far[..length], &group[..length], &level[..length]);
    let empty = Cell { rows: 0, hours: 0, best: f32::NAN, first_s: u32::MAX, last_s: 0 };
    let mut cells = vec![empty; calls * places.count];
    let mut by_hour = vec![[0; 24]; places.count];
    rows.each(|row| {
        // asked once, so that the compiler need not ask at each column
        if row >= length {
            return;
        }
        let time = time_s[row];
        let place = places.of_group[usize::from(group[row])];
        let hour = time % DAY_S / HOUR_S;
        let cell = &mut cells[far[row] as usize * places.count + place];
        cell.rows += 1;
        cell.hours |= 1 << hour;
        // a level that is none stands back, whichever side it is on
        cell.best = cell.best.max(level[row]);
        cell.first_s = cell.first_s.min(time);
        cell.last_s = cell.last_s.max(time);
        by_hour[place][hour as usize] += 1;
    });
    Counted { cells, by_hour }
}

/// Which levels the rows of a set have, by place and by the sector of each far call, beyond `sectors` for none.
/// It takes longer than [`count`].
#[inline(never)]
pub fn levels(
    columns: &Columns<'_>,
    rows: Rows<'_>,
    places: Places<'_>,
    sector_of_far: &[u8],
    sectors: usize,
) -> Levelled {
    let &Columns { far, group, level, normalised, .. } = columns;
    let mut found = Levelled {
        levels: vec![Levels::default(); places.count],
        normalised: vec![Levels::default(); places.count],
        by_sector: vec![Levels::default(); sectors],
    };
    rows.each(|row| {
        let place = places.of_group[usize::from(group[row])];
        found.levels[place].add(f64::from(level[row]));
        found.normalised[place].add(normalised[row]);
        if let Some(sector) = found.by_sector.get_mut(usize::from(sector_of_far[far[row] as usize])) {
            sector.add(normalised[row]);
        }
    });
    found
}

/// How many rows of a set fall into each of `count` steps of `step_s` seconds from `start_s` on.
#[inline(never)]
pub fn steps(columns: &Columns<'_>, rows: Rows<'_>, start_s: u32, step_s: u32, count: usize) -> Vec<usize> {
    let mut steps = vec![0; count];
    rows.each(|row| {
        let step = columns.time_s[row].wrapping_sub(start_s) / step_s;
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
        normalised: &[-13.0, f64::NAN, 2.5],
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
        let found = levels(&COLUMNS, Rows(&[0b111]), places, &[0, 1], 1);
        assert_eq!((found.levels[0].median(|_| ()), found.levels[1].median(|_| ())), (None, Some(-12.25)));
        assert_eq!((found.normalised[1].median(|_| ()), found.by_sector[0].median(|_| ())), (Some(-5.25), Some(-5.25)));
    }

    #[test]
    fn steps_outside_are_left_out() {
        assert_eq!(steps(&COLUMNS, Rows(&[0b111]), DAY_S, HOUR_S, 2), [1, 1]);
        assert_eq!(steps(&COLUMNS, Rows(&[0b111]), DAY_S + 1, DAY_S, 2), [1, 1]);
    }
}
