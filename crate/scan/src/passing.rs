//! Which rows pass.

use super::{Columns, Rows};

/// What a row must be to pass.
#[derive(Clone, Copy, Debug)]
pub struct Wanted<'a> {
    /// For each call, whether it passes.
    pub calls: &'a [bool],
    /// Bit n is set if group n passes.
    pub groups: u64,
    /// Seconds since 1970 from which on a row passes.
    pub from_s: u32,
    /// Seconds since 1970 before which a row passes.
    pub before_s: u64,
    /// Least and greatest level; a row without one does not pass.
    pub levels: Option<(f64, f64)>,
    /// Rows that do not pass whatever they hold.
    pub without: Option<Rows<'a>>,
}

/// The rows of a set that pass, as bits.
pub fn pass(columns: &Columns<'_>, rows: Rows<'_>, wanted: &Wanted<'_>) -> Vec<u64> {
    let &Columns { time_s, station, call_of_station, group, level, .. } = columns;
    let (least, most) = wanted.levels.unwrap_or((f64::NEG_INFINITY, f64::INFINITY));
    let any_level = wanted.levels.is_none();
    let mut passed = vec![0; rows.0.len()];
    rows.each(|row| {
        let time = time_s[row];
        let level = f64::from(level[row]);
        let passes = time >= wanted.from_s
            && u64::from(time) < wanted.before_s
            && wanted.groups >> group[row] & 1 == 1
            && (any_level || least <= level && level <= most)
            && wanted.calls[call_of_station[station[row] as usize] as usize];
        passed[row / 64] |= u64::from(passes) << (row % 64);
    });
    if let Some(Rows(without)) = wanted.without {
        for (word, without) in passed.iter_mut().zip(without) {
            *word &= !without;
        }
    }
    passed
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_wish_counts() {
        let columns = Columns {
            time_s: &[10, 20, 30, 40],
            station: &[0, 1, 2, 2],
            call_of_station: &[0, 1, 1],
            group: &[3, 4, 4, 5],
            level: &[-20.0, -10.0, f32::NAN, 0.0],
            normalised: &[],
        };
        let all = Wanted {
            calls: &[true, true],
            groups: u64::MAX,
            from_s: 0,
            before_s: u64::MAX,
            levels: None,
            without: None,
        };
        let passed = |wanted: &Wanted<'_>| pass(&columns, Rows(&[0b1111]), wanted)[0];
        assert_eq!(passed(&all), 0b1111);
        assert_eq!(passed(&Wanted { calls: &[false, true], ..all }), 0b1110);
        assert_eq!(passed(&Wanted { groups: 1 << 4, ..all }), 0b0110);
        assert_eq!(passed(&Wanted { from_s: 20, before_s: 40, ..all }), 0b0110);
        assert_eq!(passed(&Wanted { levels: Some((-15.0, f64::INFINITY)), ..all }), 0b1010);
        assert_eq!(passed(&Wanted { levels: Some((f64::NEG_INFINITY, -10.0)), ..all }), 0b0011);
        assert_eq!(passed(&Wanted { without: Some(Rows(&[0b0001])), ..all }), 0b1110);
        assert_eq!(pass(&columns, Rows(&[0b0101]), &all)[0], 0b0101);
    }
}
