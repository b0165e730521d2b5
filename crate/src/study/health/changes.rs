//! Power or locator that changed on the way, as the beacon itself gave them.

use std::cmp::Ordering;

use crate::geography::Locator;
use crate::order::LightSort;
use crate::study::subject::Subject;
use crate::time::{UtcTime, WSPR_SLOT_S};

/// A value in at most so many sends is an odd one: misread or mistyped, not a change.
const ODD_SENDS: usize = 2;
/// Also one in less than this share of the sends.
const ODD_SHARE: f64 = 0.01;
/// More changes than this are values in turn.
const MOST_CHANGES: usize = 4;
/// More values than this are no settings of a beacon.
const MOST_VALUES: usize = 16;

/// A change that lasted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Change<T> {
    /// First send with the new value.
    pub at: UtcTime,
    /// Value before.
    pub from: T,
    /// Value from then on.
    pub to: T,
    /// Sends heard with the value before, since the change before.
    pub sends_before: usize,
    /// Sends heard with the new value, until the next change.
    pub sends_after: usize,
}

/// A value in a few sends only.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Odd<T> {
    /// The value.
    pub value: T,
    /// Sends heard with it.
    pub sends: usize,
    /// The first of them.
    pub first: UtcTime,
}

/// What one value of the beacon did.
#[derive(Clone, Debug, PartialEq)]
pub struct Course<T> {
    /// Changes that lasted, in order of time.
    pub changes: Vec<Change<T>>,
    /// Values that are given in turn all the time, in order of first appearance; empty if there is one at a time.
    pub in_turn: Vec<T>,
    /// Values in a few sends only.
    pub odd: Vec<Odd<T>>,
}

/// What changed.
#[derive(Clone, Debug, PartialEq)]
pub struct Changes {
    /// Reported power, dBm.
    pub power_dbm: Course<f64>,
    /// Reported locator; a shorter one that holds a longer one is the same place.
    pub locator: Course<Locator>,
}

fn slot_of(time: UtcTime) -> i64 {
    time.unix_s().div_euclid(WSPR_SLOT_S)
}

/// Looks for changes in rows in order of time.
pub(super) fn changes(subject: &Subject<'_>, in_order: &[u32]) -> Changes {
    let table = subject.table();
    let mut powers = Values::default();
    let mut places = Values::default();
    for rows in in_order.chunk_by(|&a, &b| slot_of(table.time(a as usize)) == slot_of(table.time(b as usize))) {
        let rows = || rows.iter().map(|&row| row as usize);
        let dbm = rows().filter_map(|row| Some((table.power_dbm(row)?, table.time(row))));
        powers.add(dbm.collect(), f64::total_cmp, |a, b| (a - b).abs() < 0.05);
        let locator = rows().filter_map(|row| Some((table.stations().locator(table.tx(row))?, table.time(row))));
        places.add(locator.collect(), Locator::cmp, |a, b| a == b);
    }
    places.join();
    Changes { power_dbm: powers.course(), locator: places.course() }
}

/// The values of one kind in order of time.
struct Values<T> {
    /// The different values, in order of first appearance.
    values: Vec<T>,
    /// Slot, its start, number of the value: each value of a slot once.
    sends: Vec<(i64, UtcTime, usize)>,
}

impl<T> Default for Values<T> {
    fn default() -> Self {
        Self { values: Vec::new(), sends: Vec::new() }
    }
}

impl<T: Copy> Values<T> {
    /// Adds what one slot gave. Rows of a slot have no order of their own: they are taken by value, then by time.
    fn add(&mut self, mut given: Vec<(T, UtcTime)>, order: impl Fn(&T, &T) -> Ordering, same: impl Fn(&T, &T) -> bool) {
        let by_value = |a: &(T, UtcTime), b: &(T, UtcTime)| order(&a.0, &b.0).then(a.1.cmp(&b.1));
        // nearly always a slot gives one value, in order of time
        if !given.is_sorted_by(|a, b| by_value(a, b).is_le()) {
            given.order_by(by_value);
        }
        let from = self.sends.len();
        for (value, time) in given {
            let known = self.values.iter().position(|other| same(other, &value));
            let number = known.unwrap_or_else(|| {
                self.values.push(value);
                self.values.len() - 1
            });
            if !self.sends[from..].iter().any(|send| send.2 == number) {
                self.sends.push((slot_of(time), time, number));
            }
        }
    }

    fn course(self) -> Course<T> {
        let mut course = Course { changes: Vec::new(), in_turn: Vec::new(), odd: Vec::new() };
        let mut counts = vec![0_usize; self.values.len()];
        for send in &self.sends {
            counts[send.2] += 1;
        }
        let least = (self.sends.len() as f64 * ODD_SHARE).max(ODD_SENDS as f64);
        // where all are rare none is odd
        let odd = |number: usize| (counts[number] as f64) <= least && counts.iter().any(|&count| count as f64 > least);
        for (number, &value) in self.values.iter().enumerate() {
            let first = self.sends.iter().find(|send| send.2 == number);
            if let Some(&(_, first, _)) = first.filter(|_| odd(number) && course.odd.len() < MOST_VALUES) {
                course.odd.push(Odd { value, sends: counts[number], first });
            }
        }
        let mut lasting: Vec<(UtcTime, usize, usize)> = Vec::new();
        for &(_, time, number) in self.sends.iter().filter(|send| !odd(send.2)) {
            match lasting.last_mut() {
                Some(last) if last.1 == number => last.2 += 1,
                _ => lasting.push((time, number, 1)),
            }
        }
        if lasting.len() > MOST_CHANGES + 1 {
            let kept = self.values.iter().enumerate().filter(|(number, _)| !odd(*number));
            course.in_turn = kept.map(|(_, &value)| value).take(MOST_VALUES).collect();
            return course;
        }
        for pair in lasting.windows(2) {
            let [(_, from, sends_before), (at, to, sends_after)] = *pair else { continue };
            let (from, to) = (self.values[from], self.values[to]);
            course.changes.push(Change { at, from, to, sends_before, sends_after });
        }
        course
    }
}

impl Values<Locator> {
    /// Counts a shorter locator as the longer one that it holds and that is given most.
    fn join(&mut self) {
        let mut counts = vec![0_usize; self.values.len()];
        for send in &self.sends {
            counts[send.2] += 1;
        }
        let mut order: Vec<usize> = (0..self.values.len()).collect();
        order.order_by_key(|&number| (usize::MAX - counts[number], number));
        let joined = |number: usize| {
            let own = self.values[number];
            let longer = |other: &&usize| self.values[**other].len() > own.len() && own.holds(self.values[**other]);
            order.iter().find(longer).copied().unwrap_or(number)
        };
        // twice: four characters into six, and those into eight
        let joined: Vec<usize> = (0..self.values.len()).map(|number| joined(joined(number))).collect();
        for send in &mut self.sends {
            send.2 = joined[send.2];
        }
        self.sends.dedup_by_key(|send| (send.0, send.2));
    }
}
