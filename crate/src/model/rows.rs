//! A set of rows of one table, as bits: what a filter leaves, what a run holds.

/// Which rows of a table of known length are meant. Cheap to combine and to scan in row order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RowSet {
    words: Vec<u64>,
    rows: usize,
}

impl RowSet {
    /// No row of a table of `rows` rows.
    pub fn none(rows: usize) -> Self {
        Self { words: vec![0; rows.div_ceil(64)], rows }
    }

    /// Every row of a table of `rows` rows.
    pub fn all(rows: usize) -> Self {
        let mut words = vec![u64::MAX; rows.div_ceil(64)];
        if let Some(last) = words.last_mut().filter(|_| !rows.is_multiple_of(64)) {
            *last = (1 << (rows % 64)) - 1;
        }
        Self { words, rows }
    }

    /// The rows for which `keep` says so.
    pub fn where_(rows: usize, keep: impl Fn(usize) -> bool) -> Self {
        let mut set = Self::none(rows);
        for row in 0..rows {
            if keep(row) {
                set.insert(row);
            }
        }
        set
    }

    /// The rows of this set for which `keep` says so.
    #[must_use]
    pub fn filtered(&self, keep: impl Fn(usize) -> bool) -> Self {
        let mut set = Self::none(self.rows);
        for row in self.iter() {
            if keep(row) {
                set.insert(row);
            }
        }
        set
    }

    /// The rows in both sets (of the same table).
    #[must_use]
    pub fn and(&self, other: &Self) -> Self {
        let words = self.words.iter().zip(&other.words).map(|(a, b)| a & b).collect();
        Self { words, rows: self.rows }
    }

    /// The rows in either set (of the same table).
    #[must_use]
    pub fn or(&self, other: &Self) -> Self {
        let words = self.words.iter().zip(&other.words).map(|(a, b)| a | b).collect();
        Self { words, rows: self.rows }
    }

    /// The rows of this set that are not in another of the same table.
    #[must_use]
    pub fn without(&self, other: &Self) -> Self {
        let words = self.words.iter().zip(&other.words).map(|(a, b)| a & !b).collect();
        Self { words, rows: self.rows }
    }

    /// Adds a row; rows beyond the table are ignored.
    pub fn insert(&mut self, row: usize) {
        if row < self.rows {
            self.words[row / 64] |= 1 << (row % 64);
        }
    }

    /// Is the row in the set?
    pub fn contains(&self, row: usize) -> bool {
        self.words.get(row / 64).is_some_and(|word| word >> (row % 64) & 1 == 1)
    }

    /// The set as bits, for scans: bit n of word m stands for row 64 m + n.
    pub fn bits(&self) -> farheard_scan::Rows<'_> {
        farheard_scan::Rows(&self.words)
    }

    /// The set of the same table that a scan gave as bits.
    #[must_use]
    pub fn of_bits(&self, words: Vec<u64>) -> Self {
        debug_assert_eq!(words.len(), self.words.len(), "a set of another table");
        Self { words, rows: self.rows }
    }

    /// How many rows are in the set.
    pub fn count(&self) -> usize {
        self.words.iter().map(|word| word.count_ones() as usize).sum()
    }

    /// Is no row in the set?
    pub fn is_empty(&self) -> bool {
        self.words.iter().all(|&word| word == 0)
    }

    /// Length of the table the set belongs to.
    pub fn table_len(&self) -> usize {
        self.rows
    }

    /// The rows of the set, in ascending order.
    pub fn iter(&self) -> impl Iterator<Item = usize> {
        self.words.iter().enumerate().flat_map(|(at, &word)| {
            let mut left = word;
            std::iter::from_fn(move || {
                (left != 0).then(|| {
                    let bit = left.trailing_zeros() as usize;
                    left &= left - 1;
                    at * 64 + bit
                })
            })
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sets_combine_and_scan_in_order() {
        let threes = RowSet::where_(200, |row| row % 3 == 0);
        let fives = RowSet::where_(200, |row| row % 5 == 0);
        assert_eq!(threes.and(&fives).iter().collect::<Vec<_>>(), (0..200).step_by(15).collect::<Vec<_>>());
        assert_eq!(threes.or(&fives).count(), threes.count() + fives.count() - threes.and(&fives).count());
        assert_eq!(RowSet::all(65).count(), 65);
        assert!(!RowSet::all(65).contains(65));
        assert!(RowSet::none(0).is_empty() && RowSet::all(0).is_empty());
    }
}
