//! Whose antenna is tested, found from the data: the call that never (or least) changes.

use crate::model::{CallId, Side, SpotTable, Tested};

/// The likeliest tested station, with what speaks for it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Guess {
    /// Station and side.
    pub tested: Tested,
    /// Spots with this call on this side.
    pub spots: usize,
    /// Spots in all.
    pub of: usize,
}

/// The call with most spots on one side of all paths; where both sides have one as often, the sender.
/// `None` for an empty table.
///
/// Ties between calls go to the first in the alphabet.
pub fn guess(table: &SpotTable) -> Option<Guess> {
    let sends = most_frequent(table, Side::Sends);
    let hears = most_frequent(table, Side::Hears);
    let (call, spots, side) = match (sends, hears) {
        (Some((call, spots)), Some((_, other))) if spots >= other => (call, spots, Side::Sends),
        (_, Some((call, spots))) => (call, spots, Side::Hears),
        (Some((call, spots)), None) => (call, spots, Side::Sends),
        (None, None) => return None,
    };
    Some(Guess { tested: Tested { call, side }, spots, of: table.len() })
}

/// The likeliest tested station on a given side.
pub fn guess_on(table: &SpotTable, side: Side) -> Option<Guess> {
    let (call, spots) = most_frequent(table, side)?;
    Some(Guess { tested: Tested { call, side }, spots, of: table.len() })
}

/// How often each call stands on a side, most often first, in alphabetical order among equals.
pub fn frequencies(table: &SpotTable, side: Side) -> Vec<(CallId, usize)> {
    let mut counts = vec![0; table.stations().calls()];
    for row in 0..table.len() {
        counts[table.stations().call_of(table.near(row, side)).index()] += 1;
    }
    let mut calls: Vec<_> = (0..).map(CallId).zip(counts).filter(|&(_, spots)| spots > 0).collect();
    calls.sort_by(|a, b| b.1.cmp(&a.1).then_with(|| table.stations().call(a.0).cmp(table.stations().call(b.0))));
    calls
}

fn most_frequent(table: &SpotTable, side: Side) -> Option<(CallId, usize)> {
    frequencies(table, side).into_iter().next()
}
