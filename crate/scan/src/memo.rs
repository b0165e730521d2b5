//! What pairs of short cells stand for, remembered.

use super::cell::words;
use super::spots::hash_of_words;

/// Two short cells, exactly: their lengths with the words that begin and end them.
#[derive(Clone, Copy, Debug)]
pub struct Pair([u64; 5]);

/// Longer cells are read anew each time: they are no stations, and keeping them could fill memory.
const LONGEST: usize = 16;

impl PartialEq for Pair {
    /// Word by word without a branch: quicker than comparing memory, which calls the C library.
    #[inline]
    fn eq(&self, other: &Self) -> bool {
        self.0.iter().zip(&other.0).fold(0, |differ, (a, b)| differ | (a ^ b)) == 0
    }
}

impl Pair {
    /// The pair of two cells, if they are short.
    #[inline]
    pub fn of(first: &[u8], second: &[u8]) -> Option<Self> {
        if first.len() > LONGEST || second.len() > LONGEST {
            return None;
        }
        let ((a, b), (c, d)) = (words(first), words(second));
        Some(Self([(first.len() << 8 | second.len()) as u64, a, b, c, d]))
    }
}

/// A place in the table of pairs that holds none.
const FREE: u32 = u32::MAX;

/// Pairs of cells, numbered in the order in which they were entered.
#[derive(Clone, Debug, Default)]
pub struct Pairs {
    /// Numbers of pairs, each at the place its hash names or the next free one behind; a power of two of them.
    places: Vec<u32>,
    pairs: Vec<Pair>,
}

#[inline]
#[expect(clippy::cast_possible_truncation, reason = "the low bits are what is wanted")]
fn hash(pair: &Pair) -> usize {
    hash_of_words(pair.0) as usize
}

impl Pairs {
    /// The number of a pair, if it was entered.
    #[inline]
    pub fn find(&self, pair: &Pair) -> Option<usize> {
        let mask = self.places.len().checked_sub(1)?;
        let mut at = hash(pair);
        loop {
            let number = self.places[at & mask];
            if number == FREE {
                return None;
            }
            if self.pairs.get(number as usize) == Some(pair) {
                return Some(number as usize);
            }
            at = at.wrapping_add(1);
        }
    }

    /// Enters a pair that was not found.
    pub fn enter(&mut self, pair: Pair) {
        self.pairs.push(pair);
        if 2 * self.pairs.len() > self.places.len() {
            self.places = vec![FREE; (4 * self.pairs.len()).next_power_of_two()];
            for number in 0..self.pairs.len() {
                self.put(number);
            }
        } else {
            self.put(self.pairs.len() - 1);
        }
    }

    fn put(&mut self, number: usize) {
        let mask = self.places.len() - 1;
        let mut at = hash(&self.pairs[number]);
        while self.places[at & mask] != FREE {
            at = at.wrapping_add(1);
        }
        self.places[at & mask] = u32::try_from(number).unwrap_or(FREE);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pairs_tell_all_short_cells_apart() {
        let cells: Vec<Vec<u8>> = (0..=16_usize)
            .flat_map(|n| {
                [
                    vec![b'a'; n],
                    [vec![b'a'; n.saturating_sub(1)], vec![b'b'; n.min(1)]].concat(),
                    [vec![b'b'; n.min(1)], vec![b'a'; n.saturating_sub(1)]].concat(),
                ]
            })
            .collect();
        for a in &cells {
            for b in &cells {
                assert_eq!(Pair::of(a, b"x") == Pair::of(b, b"x"), a == b, "{a:?} {b:?}");
                assert_eq!(Pair::of(b"x", a) == Pair::of(b"x", b), a == b, "{a:?} {b:?}");
            }
        }
        assert_eq!(Pair::of(&[b'a'; 17], b""), None);
    }

    #[test]
    fn thousands_of_pairs_are_found_again_by_their_numbers() {
        let mut pairs = Pairs::default();
        let pair = |n: usize| Pair::of(format!("Q{n}AA").as_bytes(), b"JO10").unwrap();
        assert_eq!(pairs.find(&pair(0)), None);
        for n in 0..5000 {
            pairs.enter(pair(n));
        }
        assert!((0..5000).all(|n| pairs.find(&pair(n)) == Some(n)));
        assert_eq!(pairs.find(&pair(5000)), None);
    }
}
