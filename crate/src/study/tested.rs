//! Whose antenna is tested, found from the data: the call that never (or least) changes.

use crate::model::{CallId, Side, SpotTable, Tested};
use crate::order::LightSort;

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

/// The call that sends most of the spots; or, where nearly all spots have one listener
/// and no sender has half of them, that listener, whose antenna then hears. `None` for an empty table.
///
/// A beacon named as `control` is not the tested one. Ties between calls go to the first in the alphabet.
pub fn guess(table: &SpotTable, control: Option<CallId>) -> Option<Guess> {
    let sends = guess_on(table, Side::Sends, control)?;
    let hears = guess_on(table, Side::Hears, control)?;
    let one_listener = hears.spots * 10 >= hears.of * 9 && sends.spots * 2 < sends.of;
    Some(if one_listener { hears } else { sends })
}

/// The likeliest tested station on a given side; `control` as in [`guess`].
pub fn guess_on(table: &SpotTable, side: Side, control: Option<CallId>) -> Option<Guess> {
    let (call, spots) = frequencies(table, side).into_iter().find(|&(call, _)| Some(call) != control)?;
    Some(Guess { tested: Tested { call, side }, spots, of: table.len() })
}

/// How often each call stands on a side, most often first, in alphabetical order among equals.
pub fn frequencies(table: &SpotTable, side: Side) -> Vec<(CallId, usize)> {
    let mut counts = vec![0; table.stations().calls()];
    for (call, &spots) in table.stations().call_of_each().into_iter().zip(table.spots_by_station(side)) {
        counts[call as usize] += spots as usize;
    }
    let mut calls: Vec<_> = (0..).map(CallId).zip(counts).filter(|&(_, spots)| spots > 0).collect();
    calls.order_by(|a, b| b.1.cmp(&a.1).then_with(|| table.stations().call(a.0).cmp(table.stations().call(b.0))));
    calls
}
