//! What stands in one column: how often each number, which rows hold some of them, from when to when.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use super::Rows;

/// A place that is none.
pub const NOWHERE: u32 = u32::MAX;

/// How many rows of a set hold each number from 0 to `count`, which is not in it.
#[inline(never)]
pub fn tallied(column: &[u32], rows: Rows<'_>, count: usize) -> Vec<u32> {
    let mut tally = vec![0; count];
    rows.each(|row| {
        if let Some(&number) = column.get(row)
            && let Some(rows) = tally.get_mut(number as usize)
        {
            *rows += 1;
        }
    });
    tally
}

/// The rows of a column, all of them, whose numbers are wanted.
#[inline(never)]
pub fn holding(column: &[u32], wanted: &[bool]) -> Vec<u64> {
    let words = column.chunks(64).map(|entries| {
        let bits = entries.iter().zip(0..);
        bits.fold(0, |held, (&entry, bit)| {
            held | u64::from(wanted.get(entry as usize).copied().unwrap_or(false)) << bit
        })
    });
    words.collect()
}

/// The rows of a set whose numbers are wanted.
#[inline(never)]
pub fn holding_of(column: &[u32], rows: Rows<'_>, wanted: &[bool]) -> Vec<u64> {
    let mut held = holding(column, wanted);
    for (word, row) in held.iter_mut().zip(rows.0) {
        *word &= row;
    }
    held
}

/// The owners of the numbers in a set of rows, in order of first appearance, and for each row of the column the place
/// of its owner among these; [`NOWHERE`] for rows that are not in the set. `owner` names each number's owner, of which
/// there are `owners`.
#[inline(never)]
pub fn numbered(column: &[u32], rows: Rows<'_>, owner: &[u32], owners: usize) -> (Vec<u32>, Vec<u32>) {
    let mut place_of = vec![NOWHERE; owners];
    let mut order = Vec::new();
    let mut of_row = vec![NOWHERE; column.len()];
    rows.each(|row| {
        let (Some(&number), Some(place_of_row)) = (column.get(row), of_row.get_mut(row)) else { return };
        let Some(&owner) = owner.get(number as usize) else { return };
        let Some(place) = place_of.get_mut(owner as usize) else { return };
        if *place == NOWHERE {
            *place = u32::try_from(order.len()).unwrap_or(NOWHERE);
            order.push(owner);
        }
        *place_of_row = *place;
    });
    (order, of_row)
}

/// The least and the greatest number in a set of rows.
#[inline(never)]
pub fn span(column: &[u32], rows: Rows<'_>) -> Option<(u32, u32)> {
    let mut span: Option<(u32, u32)> = None;
    rows.each(|row| {
        if let Some(&number) = column.get(row) {
            span = Some(span.map_or((number, number), |(least, most)| (least.min(number), most.max(number))));
        }
    });
    span
}

/// Bit n is set if a row of the set is of group n.
#[inline(never)]
pub fn groups(group: &[u8], rows: Rows<'_>) -> u64 {
    let mut groups = 0;
    rows.each(|row| {
        if let Some(&of_row) = group.get(row) {
            groups |= 1 << (of_row & 63);
        }
    });
    groups
}

/// The rows of a set whose number is no multiple of a step.
#[inline(never)]
pub fn off_step(column: &[u32], rows: Rows<'_>, step: u32) -> Vec<u64> {
    let mut off = vec![0; rows.0.len()];
    rows.each(|row| {
        if column.get(row).is_some_and(|&number| number % step.max(1) != 0)
            && let Some(word) = off.get_mut(row / 64)
        {
            *word |= 1 << (row % 64);
        }
    });
    off
}

/// A number and how often it stands there, in order of the number.
#[derive(Clone, Copy, Debug)]
struct Run((f32, usize));

impl Ord for Run {
    fn cmp(&self, other: &Self) -> Ordering {
        self.0.0.total_cmp(&other.0.0)
    }
}

impl PartialOrd for Run {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Run {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other).is_eq()
    }
}

impl Eq for Run {}

/// The numbers in a set of rows in ascending order, each with how many rows hold it, those that are none left out.
/// Zero and minus zero stand apart.
#[inline(never)]
pub fn values(column: &[f32], rows: Rows<'_>) -> Vec<(f32, usize)> {
    // most rows hold what the row before holds
    let mut runs: Vec<(f32, usize)> = Vec::new();
    rows.each(|row| {
        let Some(&number) = column.get(row).filter(|number| !number.is_nan()) else { return };
        match runs.last_mut() {
            Some((last, count)) if last.to_bits() == number.to_bits() => *count += 1,
            _ => runs.push((number, 1)),
        }
    });
    // a sort weighs eight kilobytes, a heap one
    let mut runs: Vec<(f32, usize)> = runs
        .into_iter()
        .map(Run)
        .collect::<BinaryHeap<_>>()
        .into_sorted_vec()
        .into_iter()
        .map(|Run(run)| run)
        .collect();
    runs.dedup_by(|next, kept| {
        let same = next.0.to_bits() == kept.0.to_bits();
        kept.1 += if same { next.1 } else { 0 };
        same
    });
    runs
}

#[cfg(test)]
mod tests {
    use super::*;

    const COLUMN: [u32; 5] = [3, 1, 3, 0, 9];
    const ROWS: Rows<'_> = Rows(&[0b1_0111]);

    #[test]
    fn numbers_are_counted_found_and_numbered() {
        assert_eq!(tallied(&COLUMN, ROWS, 4), [0, 1, 0, 2], "9 is beyond what is counted, 0 is not in the set");
        let wanted = [true, false, false, true];
        assert_eq!(holding(&COLUMN, &wanted), [0b0_1101]);
        assert_eq!(holding_of(&COLUMN, ROWS, &wanted), [0b0_0101]);
        let owner = [0, 1, 0, 0, 0, 0, 0, 0, 0, 1];
        assert_eq!(numbered(&COLUMN, ROWS, &owner, 2), (vec![0, 1], vec![0, 1, 0, NOWHERE, 1]));
        assert_eq!((span(&COLUMN, ROWS), span(&COLUMN, Rows(&[0]))), (Some((1, 9)), None));
        assert_eq!(off_step(&COLUMN, ROWS, 3), [0b0_0010]);
        assert_eq!(values(&[2.0, 1.0, 2.0, 1.0, f32::NAN], ROWS), [(1.0, 1), (2.0, 2)]);
        assert_eq!(groups(&[5, 6, 5, 7, 0], ROWS), 1 << 5 | 1 << 6 | 1);
    }
}
