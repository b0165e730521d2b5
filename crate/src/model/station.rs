//! Calls and stations, each stored once and known by a number.
//!
//! A *station* is a call at a locator; a *call* may stand at several
//! (a locator of 4 characters in one report and of 6 in the next, or a station that moved).

use std::collections::BTreeMap;

use super::table::room;
use crate::geography::Locator;

/// Number of a call.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct CallId(pub(crate) u32);

/// Number of a station.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct StationId(pub(crate) u32);

impl CallId {
    /// Place in tables that have one entry per call.
    pub fn index(self) -> usize {
        self.0 as usize
    }
}

impl StationId {
    /// Place in tables that have one entry per station.
    pub fn index(self) -> usize {
        self.0 as usize
    }
}

/// All calls and stations of a table, in order of first appearance.
#[derive(Clone, Debug, Default)]
pub struct Stations {
    calls: Vec<String>,
    call_ids: BTreeMap<String, CallId>,
    places: Vec<(CallId, Option<Locator>)>,
    station_ids: BTreeMap<(CallId, Option<Locator>), StationId>,
}

impl Stations {
    /// The number of a call (upper case, trimmed), which is entered if new.
    pub fn call_id(&mut self, call: &str) -> CallId {
        if let Some(&id) = self.call_ids.get(call) {
            return id;
        }
        let id = CallId(u32::try_from(self.calls.len()).unwrap_or(u32::MAX));
        self.calls.push(call.to_owned());
        self.call_ids.insert(call.to_owned(), id);
        id
    }

    /// The number of a call at a locator, which is entered if new.
    pub fn station_id(&mut self, call: &str, locator: Option<Locator>) -> StationId {
        let call = self.call_id(call);
        let new = StationId(u32::try_from(self.places.len()).unwrap_or(u32::MAX));
        let id = *self.station_ids.entry((call, locator)).or_insert(new);
        if id == new {
            self.places.push((call, locator));
        }
        id
    }

    /// The number of a known call, letter case free.
    pub fn find_call(&self, call: &str) -> Option<CallId> {
        self.call_ids.get(call.trim().to_ascii_uppercase().as_str()).copied()
    }

    /// The call in words.
    pub fn call(&self, id: CallId) -> &str {
        &self.calls[id.index()]
    }

    /// The call of a station.
    pub fn call_of(&self, id: StationId) -> CallId {
        self.places[id.index()].0
    }

    /// The number of each station's call, station after station: for scans.
    pub fn call_of_each(&self) -> Vec<u32> {
        self.places.iter().map(|(call, _)| call.0).collect()
    }

    /// The locator of a station as the report gave it.
    pub fn locator(&self, id: StationId) -> Option<Locator> {
        self.places[id.index()].1
    }

    /// How many calls there are.
    pub fn calls(&self) -> usize {
        self.calls.len()
    }

    /// How many stations there are.
    pub fn len(&self) -> usize {
        self.places.len()
    }

    /// Bytes of memory held: see [`super::SpotTable::bytes`].
    pub(super) fn bytes(&self) -> usize {
        let letters: usize = self.calls.iter().map(String::capacity).sum();
        let by_call = self.call_ids.len() * size_of::<(String, CallId)>();
        let by_station = self.station_ids.len() * size_of::<((CallId, Option<Locator>), StationId)>();
        // each call is written twice: in its place and as a key
        room(&self.calls) + room(&self.places) + 2 * letters + by_call + by_station
    }

    /// Are there none?
    pub fn is_empty(&self) -> bool {
        self.places.is_empty()
    }
}
