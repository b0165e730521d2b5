//! Which rows pass.

use super::{Columns, Rows};

/// What a row must be to pass; `None` for whatever it is.
#[derive(Clone, Copy, Debug, Default)]
pub struct Wanted<'a> {
    /// For each far call, whether it passes.
    pub far: Option<&'a [bool]>,
    /// Bit n is set if group n passes.
    pub groups: Option<u64>,
    /// Seconds since 1970 from which on and before which a row passes.
    pub time_s: Option<(u32, u64)>,
    /// Least and greatest level; a row without one does not pass.
    pub levels: Option<(f64, f64)>,
    /// Rows that do not pass whatever they hold.
    pub without: Option<Rows<'a>>,
}

/// The rows of a set that pass, as bits.
#[inline(never)]
pub fn pass(columns: &Columns<'_>, rows: Rows<'_>, wanted: &Wanted<'_>) -> Vec<u64> {
    let mut passed = rows.0.to_vec();
    // one wish after the other: a wish that is none costs nothing
    if let Some((from, before)) = wanted.time_s {
        keep(&mut passed, columns.time_s, |time| time >= from && u64::from(time) < before);
    }
    if let Some(groups) = wanted.groups {
        keep(&mut passed, columns.group, |group| groups >> group & 1 == 1);
    }
    if let Some((least, most)) = wanted.levels {
        keep(&mut passed, columns.level, |level| least <= f64::from(level) && f64::from(level) <= most);
    }
    if let Some(calls) = wanted.far {
        // rows that are not in the set have no far call
        keep(&mut passed, columns.far, |call| calls.get(call as usize).is_some_and(|&passes| passes));
    }
    if let Some(Rows(without)) = wanted.without {
        for (word, without) in passed.iter_mut().zip(without) {
            *word &= !without;
        }
    }
    passed
}

/// Keeps the rows whose entry in a column passes.
#[inline]
fn keep<T: Copy>(rows: &mut [u64], column: &[T], passes: impl Fn(T) -> bool) {
    for (word, entries) in rows.iter_mut().zip(column.chunks(64)) {
        if *word != 0 {
            let bits = entries.iter().zip(0..);
            *word &= bits.fold(0, |passed, (&entry, bit)| passed | u64::from(passes(entry)) << bit);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_wish_counts() {
        let columns = Columns {
            time_s: &[10, 20, 30, 40, 50],
            far: &[0, 1, 1, 1, u32::MAX],
            group: &[3, 4, 4, 5, 5],
            level: &[-20.0, -10.0, f32::NAN, 0.0, 0.0],
            power: &[],
        };
        let all = Wanted::default();
        let passed = |wanted: &Wanted<'_>| pass(&columns, Rows(&[0b1111]), wanted)[0];
        assert_eq!(passed(&all), 0b1111);
        assert_eq!(passed(&Wanted { far: Some(&[false, true]), ..all }), 0b1110);
        assert_eq!(passed(&Wanted { groups: Some(1 << 4), ..all }), 0b0110);
        assert_eq!(passed(&Wanted { time_s: Some((20, 40)), ..all }), 0b0110);
        assert_eq!(passed(&Wanted { levels: Some((-15.0, f64::INFINITY)), ..all }), 0b1010);
        assert_eq!(passed(&Wanted { levels: Some((f64::NEG_INFINITY, -10.0)), ..all }), 0b0011);
        assert_eq!(passed(&Wanted { without: Some(Rows(&[0b0001])), ..all }), 0b1110);
        assert_eq!(pass(&columns, Rows(&[0b0101]), &all)[0], 0b0101);
    }
}
