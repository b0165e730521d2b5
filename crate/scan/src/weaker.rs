//! Rows that are the weaker of several of one kind at one time.

use super::column::groups;
use super::{Columns, Rows};

/// Most kinds of rows that are told apart.
const MOST_KINDS: usize = 1 << 20;

/// Of rows with the same far call, near call and group in the same step of time, all but the strongest; of equally
/// strong ones the first stays. A level that is none is weakest.
///
/// `near` names the near call of each row by way of `near_place`, of which there are `nears`; there are `calls` far
/// calls. `None` if steps neither only rise nor only fall, or there are too many kinds of rows: then rows must be
/// compared another way.
#[inline(never)]
pub fn weaker(
    columns: &Columns<'_>,
    (near, near_place, nears): (&[u32], &[u32], usize),
    rows: Rows<'_>,
    step_s: u32,
    calls: usize,
) -> Option<Vec<u64>> {
    let &Columns { time_s, far, group, level, .. } = columns;
    let length = time_s.len();
    let (near, far) = (near.get(..length)?, far.get(..length)?);
    let (group, level) = (group.get(..length)?, level.get(..length)?);
    let present = groups(group, rows);
    let count = present.count_ones() as usize;
    let kinds = calls.checked_mul(nears)?.checked_mul(count).filter(|&kinds| kinds <= MOST_KINDS)?;
    // the last row of each kind
    let mut last = vec![u32::MAX; kinds];
    let mut weaker = vec![0_u64; rows.0.len()];
    let (mut step, mut rising, mut falling) = (None, false, false);
    let loud = |row: usize| if level[row].is_nan() { f32::NEG_INFINITY } else { level[row] };
    rows.each(|row| {
        if row >= length || rising && falling {
            return;
        }
        let now = time_s[row] / step_s.max(1);
        if let Some(before) = step.replace(now) {
            rising |= now > before;
            falling |= now < before;
        }
        let place_of_group = (present & ((1 << (group[row] & 63)) - 1)).count_ones() as usize;
        let Some(&near) = near_place.get(near[row] as usize).filter(|&&near| (near as usize) < nears) else { return };
        let kind = (far[row] as usize * nears + near as usize) * count + place_of_group;
        let Some(latest) = last.get_mut(kind) else { return };
        #[expect(clippy::cast_possible_truncation, reason = "a table has fewer rows than 32 bits count")]
        let mine = row as u32;
        let before = *latest as usize;
        if before >= length || time_s[before] / step_s.max(1) != now {
            *latest = mine;
            return;
        }
        let weak = if loud(row) > loud(before) { std::mem::replace(latest, mine) as usize } else { row };
        weaker[weak / 64] |= 1 << (weak % 64);
    });
    (!(rising && falling)).then_some(weaker)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(time_s: &[u32], far: &[u32], near: &[u32], group: &[u8], level: &[f32]) -> Option<u64> {
        let columns = Columns { time_s, far, group, level, power: &[] };
        let rows = [(1 << time_s.len()) - 1];
        weaker(&columns, (near, &[0, 1, 0], 2), Rows(&rows), 120, 4).map(|words| words[0])
    }

    #[test]
    fn of_one_kind_in_one_step_the_strongest_stays() {
        let level = [-20.0, -10.0, -10.0, f32::NAN, -5.0];
        assert_eq!(found(&[0, 60, 119, 119, 120], &[1; 5], &[0; 5], &[3; 5], &level), Some(0b0_1101));
        // another far call, near call or group is another kind; two stations may be one call
        assert_eq!(found(&[0; 5], &[0, 1, 2, 2, 2], &[0, 0, 0, 1, 2], &[3; 5], &level), Some(0b0_0100));
        assert_eq!(found(&[0; 5], &[1; 5], &[0; 5], &[3, 4, 5, 4, 3], &level), Some(0b0_1001));
    }

    #[test]
    fn steps_may_fall_but_not_both() {
        let level = [-20.0, -10.0, -30.0];
        assert_eq!(found(&[240, 240, 0], &[1; 3], &[0; 3], &[3; 3], &level), Some(0b001));
        assert_eq!(found(&[240, 0, 240], &[1; 3], &[0; 3], &[3; 3], &level), None);
    }

    #[test]
    fn too_many_kinds_are_left_to_others() {
        let columns = Columns { time_s: &[0], far: &[0], group: &[3], level: &[0.0], power: &[] };
        let near = (&[0][..], &[0][..], 1);
        assert_eq!(weaker(&columns, near, Rows(&[1]), 120, MOST_KINDS), Some(vec![0]));
        assert_eq!(weaker(&columns, near, Rows(&[1]), 120, MOST_KINDS + 1), None);
    }
}
