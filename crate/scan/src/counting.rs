//! What stands in a set of rows: by call and group, by group and hour, by group and by sector of call.

use super::{Columns, Levels, Rows};

const DAY_S: u32 = 86_400;
const HOUR_S: u32 = 3_600;
const NONE: u32 = u32::MAX;

/// How rows are to be counted.
#[derive(Clone, Copy, Debug)]
pub struct Asked<'a> {
    /// Place of each group among those that are counted.
    pub place_of_group: &'a [usize],
    /// How many places there are.
    pub places: usize,
    /// The sector of each call; beyond `sectors` for none.
    pub sector_of_call: &'a [u8],
    /// How many sectors there are.
    pub sectors: usize,
}

/// One call in one group.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cell {
    /// Rows.
    pub rows: u32,
    /// Bit n is set if there is a row in hour n of any UTC day.
    pub hours: u32,
    /// Greatest level, NaN if none of them has one.
    pub best: f32,
}

/// What was counted.
#[derive(Clone, Debug, PartialEq)]
pub struct Counted {
    /// Rows in all.
    pub rows: usize,
    /// Calls that occur, in order of first appearance.
    pub calls: Vec<u32>,
    /// First and last second of each of them.
    pub spans: Vec<(u32, u32)>,
    /// What each of them counts in each place, call after call.
    pub cells: Vec<Cell>,
    /// Rows of each place and hour of the UTC day.
    pub by_hour: Vec<[usize; 24]>,
    /// Levels of each place.
    pub levels: Vec<Levels>,
    /// Normalised levels of each place.
    pub normalised: Vec<Levels>,
    /// Normalised levels of each sector.
    pub by_sector: Vec<Levels>,
}

/// Counts the rows of a set.
pub fn count(columns: &Columns<'_>, rows: Rows<'_>, asked: &Asked<'_>) -> Counted {
    let &Columns { time_s, station, call_of_station, group, level, normalised } = columns;
    let places = asked.places;
    let empty = Cell { rows: 0, hours: 0, best: f32::NAN };
    let mut place_of_call = vec![NONE; asked.sector_of_call.len()];
    let mut counted = Counted {
        rows: 0,
        calls: Vec::new(),
        spans: Vec::new(),
        cells: Vec::new(),
        by_hour: vec![[0; 24]; places],
        levels: vec![Levels::default(); places],
        normalised: vec![Levels::default(); places],
        by_sector: vec![Levels::default(); asked.sectors],
    };
    rows.each(|row| {
        let time = time_s[row];
        let call = call_of_station[station[row] as usize];
        let mut at = place_of_call[call as usize];
        if at == NONE {
            at = u32::try_from(counted.calls.len()).unwrap_or(NONE);
            place_of_call[call as usize] = at;
            counted.calls.push(call);
            counted.spans.push((time, time));
            counted.cells.resize(counted.cells.len() + places, empty);
        }
        let at = at as usize;
        let (first, last) = &mut counted.spans[at];
        *first = time.min(*first);
        *last = time.max(*last);
        let place = asked.place_of_group[usize::from(group[row])];
        let hour = time % DAY_S / HOUR_S;
        let (level, normalised) = (level[row], normalised[row]);
        let cell = &mut counted.cells[at * places + place];
        cell.rows += 1;
        cell.hours |= 1 << hour;
        // a level that is none stands back, whichever side it is on
        cell.best = cell.best.max(level);
        counted.rows += 1;
        counted.by_hour[place][hour as usize] += 1;
        counted.levels[place].add(f64::from(level));
        counted.normalised[place].add(normalised);
        if let Some(sector) = counted.by_sector.get_mut(usize::from(asked.sector_of_call[call as usize])) {
            sector.add(normalised);
        }
    });
    counted
}

/// How many rows of a set fall into each of `count` steps of `step_s` seconds from `start_s` on.
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
        station: &[0, 1, 2],
        call_of_station: &[1, 0, 1],
        group: &[2, 0, 2],
        level: &[-20.0, f32::NAN, -4.5],
        normalised: &[-13.0, f64::NAN, 2.5],
    };

    #[test]
    fn rows_are_counted_where_they_belong() {
        let asked = Asked { place_of_group: &[0, 9, 1], places: 2, sector_of_call: &[1, 0], sectors: 1 };
        let found = count(&COLUMNS, Rows(&[0b111]), &asked);
        assert_eq!((found.rows, &found.calls[..]), (3, &[1, 0][..]));
        assert_eq!(found.spans, [(DAY_S, 2 * DAY_S + 5), (DAY_S + HOUR_S, DAY_S + HOUR_S)]);
        assert_eq!(found.cells[1], Cell { rows: 2, hours: 1, best: -4.5 });
        assert_eq!((found.cells[2].rows, found.cells[2].hours, found.cells[2].best.is_nan()), (1, 2, true));
        assert_eq!((found.cells[0].rows, found.cells[3].rows), (0, 0));
        assert_eq!((found.by_hour[1][0], found.by_hour[0][1]), (2, 1));
        assert_eq!((found.levels[0].median(), found.levels[1].median()), (None, Some(-12.25)));
        assert_eq!((found.normalised[1].median(), found.by_sector[0].median()), (Some(-5.25), Some(-5.25)));
    }

    #[test]
    fn steps_outside_are_left_out() {
        assert_eq!(steps(&COLUMNS, Rows(&[0b111]), DAY_S, HOUR_S, 2), [1, 1]);
        assert_eq!(steps(&COLUMNS, Rows(&[0b111]), DAY_S + 1, DAY_S, 2), [1, 1]);
    }
}
