//! What stands in a set of rows: by far call and group, by group and hour, and all of that by stretches of time, so that
//! any of these and any groups come without another scan.

use std::ops::Range;

use super::{Columns, Places, Rows};

const DAY_S: u32 = 86_400;
const HOUR_S: u32 = 3_600;

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
    fn count(&mut self, time: u32, hour: u32, level: f32) {
        self.rows += 1;
        self.hours |= 1 << hour;
        self.hear(level);
        self.first_s = self.first_s.min(time);
        self.last_s = self.last_s.max(time);
    }

    /// A level that is none stands back, whichever side it is on. (`f32::max` is a call where it is compiled for the page.)
    #[inline]
    fn hear(&mut self, level: f32) {
        if level > self.best || self.best.is_nan() {
            self.best = level;
        }
    }

    /// Other rows more.
    #[inline]
    fn add(&mut self, more: &Self) {
        self.rows += more.rows;
        self.hours |= more.hours;
        self.hear(more.best);
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

/// Steps of time of one length, one after the other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Grid {
    /// Where the first begins, seconds since 1970.
    pub start_s: u32,
    /// How long each is, s.
    pub step_s: u32,
    /// How many there are.
    pub steps: usize,
}

/// Counts by step of time, far call and group.
#[derive(Clone, Debug)]
pub struct Cube {
    grid: Grid,
    /// How many steps of the grid stand together.
    joined: usize,
    calls: usize,
    places: usize,
    /// By steps that stand together, then call after call as in [`Counted::cells`].
    cells: Vec<Cell>,
    /// By steps that stand together, then by place.
    by_hour: Vec<[u32; 24]>,
    /// Rows by step of the grid, then by place.
    by_step: Vec<u32>,
}

impl Cube {
    /// Counts the rows of a set, all of which lie on the grid; so many of its steps stand together.
    #[inline(never)]
    pub fn of(
        columns: &Columns<'_>,
        rows: Rows<'_>,
        places: Places<'_>,
        calls: usize,
        grid: Grid,
        joined: usize,
    ) -> Self {
        let &Columns { time_s, far, group, level, .. } = columns;
        let length = time_s.len();
        let (far, group, level) = (&far[..length], &group[..length], &level[..length]);
        let stretches = grid.steps.div_ceil(joined.max(1));
        let mut cells = vec![Cell::EMPTY; stretches * calls * places.count];
        let mut by_hour = vec![[0; 24]; stretches * places.count];
        let mut by_step = vec![0; grid.steps * places.count];
        // many rows have the time of the one before them
        let (mut last, mut hour, mut step, mut stretch) = (None, 0, 0, 0);
        rows.each(|row| {
            // asked once, so that the compiler need not ask at each column
            if row >= length {
                return;
            }
            let time = time_s[row];
            if last != Some(time) {
                last = Some(time);
                hour = time % DAY_S / HOUR_S;
                step = (time.wrapping_sub(grid.start_s) / grid.step_s.max(1)) as usize;
                stretch = step / joined.max(1);
            }
            let place = places.of_group[usize::from(group[row])];
            cells[(stretch * calls + far[row] as usize) * places.count + place].count(time, hour, level[row]);
            by_hour[stretch * places.count + place][hour as usize] += 1;
            by_step[step * places.count + place] += 1;
        });
        Self { grid, joined: joined.max(1), calls, places: places.count, cells, by_hour, by_step }
    }

    /// When the steps begin that stand together, from so many on.
    fn begins_s(&self, stretch: usize) -> u64 {
        let step = (stretch * self.joined).min(self.grid.steps);
        u64::from(self.grid.start_s) + step as u64 * u64::from(self.grid.step_s)
    }

    /// The steps standing together that lie wholly in a stretch of time, and what of it lies before and after them.
    pub fn within(&self, from: u32, before: u64) -> (Range<usize>, [(u32, u64); 2]) {
        let stretches = self.grid.steps.div_ceil(self.joined);
        let (from, before) = (from.max(self.grid.start_s), before.min(self.begins_s(stretches)));
        if u64::from(from) >= before {
            return (0..0, [(0, 0); 2]);
        }
        let first = (0..stretches).find(|&at| self.begins_s(at) >= u64::from(from)).unwrap_or(stretches);
        let end = (first..=stretches).rev().find(|&at| self.begins_s(at) <= before).unwrap_or(first);
        if first == end {
            return (first..end, [(from, before), (0, 0)]);
        }
        let after = u32::try_from(self.begins_s(end)).unwrap_or(u32::MAX);
        (first..end, [(from, self.begins_s(first)), (after.max(from), before)])
    }

    /// What stands in steps that stand together, in the places that are wanted.
    #[inline(never)]
    pub fn sum(&self, stretches: Range<usize>, wanted: &[bool]) -> Counted {
        let mut cells = vec![Cell::EMPTY; self.calls * self.places];
        let mut by_hour = vec![[0; 24]; self.places];
        for stretch in stretches {
            let from = stretch * self.calls * self.places;
            let of_calls = self.cells[from..from + self.calls * self.places].chunks_exact(self.places.max(1));
            for (sums, more) in cells.chunks_exact_mut(self.places.max(1)).zip(of_calls) {
                for ((sum, more), &wanted) in sums.iter_mut().zip(more).zip(wanted) {
                    if wanted && more.rows > 0 {
                        sum.add(more);
                    }
                }
            }
            let hours = &self.by_hour[stretch * self.places..(stretch + 1) * self.places];
            for ((sums, more), _) in by_hour.iter_mut().zip(hours).zip(wanted).filter(|&(_, &wanted)| wanted) {
                for (sum, &more) in sums.iter_mut().zip(more) {
                    *sum += more as usize;
                }
            }
        }
        Counted { cells, by_hour }
    }

    /// How many rows each step of the grid has in the places that are wanted; those that do not stand in `stretches` have
    /// none.
    pub fn steps(&self, stretches: Range<usize>, wanted: &[bool]) -> Vec<usize> {
        let among = stretches.start * self.joined..stretches.end * self.joined;
        let rows = |step: usize| {
            let of_places = self.by_step[step * self.places..(step + 1) * self.places].iter().zip(wanted);
            of_places.map(|(&rows, &wanted)| if wanted { rows as usize } else { 0 }).sum()
        };
        (0..self.grid.steps).map(|step| if among.contains(&step) { rows(step) } else { 0 }).collect()
    }

    /// All that stands in it, and how many rows each step of the grid has.
    pub fn whole(&self) -> (Counted, Vec<usize>) {
        let (stretches, all) = (0..self.grid.steps.div_ceil(self.joined), vec![true; self.places]);
        (self.sum(stretches.clone(), &all), self.steps(stretches, &all))
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Wanted, pass};
    use super::*;

    /// Rows of 5 calls in 3 groups over 1000 s, the times not in order.
    struct Invented {
        time_s: Vec<u32>,
        far: Vec<u32>,
        group: Vec<u8>,
        level: Vec<f32>,
        bits: Vec<u64>,
    }

    impl Invented {
        fn new() -> Self {
            let number = |row: u32, of: u32| row.wrapping_mul(2_654_435_761).rotate_left(of) >> 7;
            let each = 0..2000_u32;
            Self {
                time_s: each.clone().map(|row| 86_000 + number(row, 3) % 1000).collect(),
                far: each.clone().map(|row| number(row, 11) % 5).collect(),
                group: each.clone().map(|row| [4, 7, 9][number(row, 17) as usize % 3]).collect(),
                level: each.map(|row| if row % 7 == 0 { f32::NAN } else { (row % 40) as f32 - 30.0 }).collect(),
                bits: (0..32_u64).map(|word| if word == 31 { 0xFFFF } else { !(1 << (word % 64)) }).collect(),
            }
        }

        /// What stands in some rows, counted one by one.
        fn counted(&self, rows: &[u64], grid: Grid) -> (Counted, Vec<usize>) {
            let mut counted = Counted { cells: vec![Cell::EMPTY; 15], by_hour: vec![[0; 24]; 3] };
            let mut by_step = vec![0; grid.steps];
            for row in (0..self.time_s.len()).filter(|row| rows[row / 64] >> (row % 64) & 1 == 1) {
                let (time, place) = (self.time_s[row], [4, 7, 9].iter().position(|&of| of == self.group[row]).unwrap());
                let hour = time / 3600 % 24;
                let Cell { rows, hours, best, first_s, last_s } =
                    &mut counted.cells[self.far[row] as usize * 3 + place];
                *rows += 1;
                *hours |= 1 << hour;
                *best = best.max(self.level[row]);
                (*first_s, *last_s) = (time.min(*first_s), time.max(*last_s));
                counted.by_hour[place][hour as usize] += 1;
                by_step[((time - grid.start_s) / grid.step_s) as usize] += 1;
            }
            (counted, by_step)
        }

        fn columns(&self) -> Columns<'_> {
            let Self { time_s, far, group, level, .. } = self;
            Columns { time_s, far, group, level, power: &[] }
        }
    }

    #[test]
    fn any_stretch_and_groups_are_what_a_scan_finds() {
        let invented = Invented::new();
        let (columns, all) = (invented.columns(), Rows(&invented.bits));
        let of_group = [0, 0, 0, 0, 0, 0, 0, 1, 0, 2];
        let places = Places { of_group: &of_group, count: 3 };
        let grid = Grid { start_s: 85_980, step_s: 60, steps: 18 };
        for joined in [1, 4, 5, 18, 40] {
            let cube = Cube::of(&columns, all, places, 5, grid, joined);
            assert_eq!(format!("{:?}", cube.whole()), format!("{:?}", invented.counted(&invented.bits, grid)));
            for (from, before) in [
                (0, u64::MAX),
                (86_040, 86_100),
                (86_100, 86_700),
                (86_101, 86_699),
                (86_400, 86_401),
                (86_390, 86_410),
                (86_950, 90_000),
                (90_000, 91_000),
                (100, 200),
                (86_500, 86_300),
            ] {
                for wanted in [[true; 3], [true, false, true], [false, true, false], [false; 3]] {
                    let groups = (0..3).filter(|&place| wanted[place]).map(|place| 1 << [4, 7, 9][place]).sum();
                    let passed = |time_s| {
                        let wanted = Wanted { groups: Some(groups), time_s: Some(time_s), ..Wanted::default() };
                        pass(&columns, all, &wanted)
                    };
                    let rows = passed((from, before));
                    let (stretches, edges) = cube.within(from, before);
                    let mut found = cube.sum(stretches.clone(), &wanted);
                    let mut by_step = cube.steps(stretches, &wanted);
                    for edge in edges {
                        let (more, of_steps) = invented.counted(&passed(edge), grid);
                        found.add(&more);
                        by_step.iter_mut().zip(of_steps).for_each(|(sum, more)| *sum += more);
                    }
                    let (scanned, of_steps) = invented.counted(&rows, grid);
                    let told = format!("{from} to {before}, {wanted:?}, {joined} together");
                    // what has no level is no number, which is like nothing
                    assert_eq!(format!("{found:?}"), format!("{scanned:?}"), "{told}");
                    assert_eq!(by_step, of_steps, "{told}");
                }
            }
        }
    }
}
