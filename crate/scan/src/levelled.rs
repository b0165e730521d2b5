//! Which levels a set of rows has, by group and by sector of far call.

use super::{Columns, Levels, Rows};

/// Which groups are counted, and where.
#[derive(Clone, Copy, Debug)]
pub struct Places<'a> {
    /// Place of each group among those that are counted.
    pub of_group: &'a [usize],
    /// How many places there are.
    pub count: usize,
}

/// Which levels there are.
#[derive(Clone, Debug, PartialEq)]
pub struct Levelled {
    /// Levels of each place.
    pub levels: Vec<Levels>,
    /// Normalised levels of each place, and there of each sector; the last is that of far calls in none.
    pub normalised: Vec<Levels>,
}

/// Which levels the rows of a set have, by place and by the sector of each far call, `sectors` or more for none.
/// Normalised is a level less the power, rounded to a ten-thousandth, and plus a number. It takes longer than to count them.
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

#[cfg(test)]
mod tests {
    use super::*;

    const COLUMNS: Columns<'_> = Columns {
        time_s: &[0, 1, 2],
        far: &[0, 1, 0],
        group: &[2, 0, 2],
        level: &[-20.0, f32::NAN, -4.5],
        power: &[23.0, 20.0, 23.000_04],
    };

    #[test]
    fn levels_stand_where_they_belong() {
        let places = Places { of_group: &[0, 9, 1], count: 2 };
        let found = levels(&COLUMNS, Rows(&[0b111]), places, &[0, 1], 1, 30.0);
        assert_eq!((found.levels[0].median(|_| ()), found.levels[1].median(|_| ())), (None, Some(-12.25)));
        assert_eq!(
            found.normalised.iter().map(|of| of.median(|_| ())).collect::<Vec<_>>(),
            [None, None, Some(-5.25), None]
        );
    }
}
