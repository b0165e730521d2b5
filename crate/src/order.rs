//! Sorting that weighs little.
//!
//! The standard library's sort is compiled anew for every closure it is given, five kilobytes each time: with all the
//! sorts of this crate a tenth of the page. Here the places of the items are sorted by one compiled sort, and the items
//! then moved to them. Where a million items are sorted again and again, use the standard sort and say so.

use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet};

/// Stable sorting of slices: items that compare equal keep their order.
pub trait LightSort<T> {
    /// Sorts by a comparison.
    fn order_by(&mut self, compare: impl Fn(&T, &T) -> Ordering);

    /// Sorts by a key.
    fn order_by_key<K: Ord>(&mut self, key: impl Fn(&T) -> K) {
        self.order_by(|a, b| key(a).cmp(&key(b)));
    }
}

impl<T> LightSort<T> for [T] {
    fn order_by(&mut self, compare: impl Fn(&T, &T) -> Ordering) {
        let mut places: Vec<usize> = (0..self.len()).collect();
        sort_places(&mut places, &|a, b| compare(&self[a], &self[b]));
        move_to(self, places);
    }
}

/// Sorts items by small whole numbers below `below`, in one pass over them; equal ones keep their order.
/// A number beyond counts as the last.
pub fn order_by_small_number<T>(items: &mut [T], below: usize, number: impl Fn(&T) -> usize) {
    let numbers: Vec<usize> = items.iter().map(number).collect();
    move_to(items, places_by_number(&numbers, below));
}

/// Moves to each place the item that `places` names.
fn move_to<T>(items: &mut [T], mut places: Vec<usize>) {
    // each item that is not yet in place gives it to the one that belongs there, round by round
    for start in 0..places.len() {
        let mut place = start;
        loop {
            let from = std::mem::replace(&mut places[place], place);
            if from == start {
                break;
            }
            items.swap(place, from);
            place = from;
        }
    }
}

/// Each item once, sorted: what a set would hold, for a tenth of its code.
pub fn distinct<T: Ord>(items: impl Iterator<Item = T>) -> Vec<T> {
    let mut items: Vec<T> = items.collect();
    items.order_by(T::cmp);
    items.dedup();
    items
}

/// Whole numbers, each once, sorted. Where they lie close together it takes no sort.
pub fn distinct_numbers(numbers: impl Iterator<Item = i64>) -> Vec<i64> {
    distinct_of(numbers.collect())
}

/// Numbers that lie so many times farther apart than they are many are sorted instead.
const SPARSE: u64 = 64;

fn distinct_of(mut numbers: Vec<i64>) -> Vec<i64> {
    let (Some(&least), Some(&most)) = (numbers.iter().min(), numbers.iter().max()) else { return numbers };
    let range = most.abs_diff(least);
    if range > SPARSE * numbers.len() as u64 {
        numbers.order_by(i64::cmp);
        numbers.dedup();
        return numbers;
    }
    let mut seen = vec![false; usize::try_from(range).unwrap_or(0) + 1];
    for number in &numbers {
        seen[usize::try_from(number.abs_diff(least)).unwrap_or(0)] = true;
    }
    numbers.clear();
    numbers.extend((least..).zip(seen).filter_map(|(number, seen)| seen.then_some(number)));
    numbers
}

/// Items sorted by small whole numbers below `below`, in one pass over them; equal ones keep their order.
/// A number beyond counts as the last.
pub fn by_small_number<T: Copy>(items: &[T], below: usize, number: impl Fn(&T) -> usize) -> Vec<T> {
    let numbers: Vec<usize> = items.iter().map(number).collect();
    places_by_number(&numbers, below).into_iter().map(|at| items[at]).collect()
}

fn places_by_number(numbers: &[usize], below: usize) -> Vec<usize> {
    let last = below.saturating_sub(1);
    let mut next = vec![0_usize; last + 2];
    for &number in numbers {
        next[number.min(last) + 1] += 1;
    }
    for number in 0..last {
        next[number + 1] += next[number];
    }
    let mut places = vec![0; numbers.len()];
    for (at, &number) in numbers.iter().enumerate() {
        let place = &mut next[number.min(last)];
        places[*place] = at;
        *place += 1;
    }
    places
}

/// A set of few items: put in one by one, since collecting a set compiles a sort of its own.
pub fn set<T: Ord>(items: impl IntoIterator<Item = T>) -> BTreeSet<T> {
    let mut set = BTreeSet::new();
    for item in items {
        set.insert(item);
    }
    set
}

/// Sums and counts of values by keys of three numbers: one map for all that sums by groups.
#[derive(Debug, Default)]
pub struct Sums(BTreeMap<[i64; 3], (f64, f64)>);

impl Sums {
    /// Adds a value to its group.
    pub fn add(&mut self, key: [i64; 3], value: f64) {
        let (sum, n) = self.0.entry(key).or_default();
        *sum += value;
        *n += 1.0;
    }

    /// Key, sum and number of values of each group, in order of keys.
    pub fn iter(&self) -> impl Iterator<Item = ([i64; 3], f64, f64)> {
        self.0.iter().map(|(&key, &(sum, n))| (key, sum, n))
    }

    /// Mean of a group.
    pub fn mean(&self, key: [i64; 3]) -> Option<f64> {
        self.0.get(&key).map(|(sum, n)| sum / n)
    }

    /// How many groups there are.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Is there none?
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

fn sort_places(places: &mut [usize], compare: &dyn Fn(usize, usize) -> Ordering) {
    // much of what is sorted came in order
    if (1..places.len()).any(|at| compare(at - 1, at).is_gt()) {
        places.sort_by(|&a, &b| compare(a, b));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn it_sorts_as_the_standard_sort_does(items in prop::collection::vec((0_u8..9, any::<u16>()), 0..200)) {
            let (mut ours, mut theirs) = (items.clone(), items);
            ours.order_by(|a, b| b.0.cmp(&a.0));
            theirs.sort_by_key(|item| std::cmp::Reverse(item.0));
            prop_assert_eq!(&ours, &theirs);
            ours.order_by_key(|item| item.1);
            theirs.sort_by_key(|item| item.1);
            prop_assert_eq!(ours, theirs);
        }

        #[test]
        fn numbers_each_once(near in prop::collection::vec(-40_i64..40, 0..200), far in prop::collection::vec(any::<i64>(), 0..9)) {
            for numbers in [near.clone(), far.clone(), [near, far].concat()] {
                let set: BTreeSet<i64> = numbers.iter().copied().collect();
                prop_assert_eq!(distinct_numbers(numbers.into_iter()), set.into_iter().collect::<Vec<_>>());
            }
        }

        #[test]
        fn small_numbers_sort_as_the_standard_sort_does(items in prop::collection::vec((0_usize..9, any::<u16>()), 0..200)) {
            let mut sorted = items.clone();
            sorted.sort_by_key(|item| item.0);
            prop_assert_eq!(by_small_number(&items, 9, |item| item.0), sorted.clone());
            let mut ours = items;
            order_by_small_number(&mut ours, 9, |item| item.0);
            prop_assert_eq!(ours, sorted);
        }
    }
}
