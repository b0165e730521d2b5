//! Who went on hearing others while a beacon was silent: the other calls or runs of the test, or a sender close by.

use super::heard::Heard;
use crate::geography::Geodesic;
use crate::model::{Band, CallId, RowSet};
use crate::study::subject::Subject;

/// A sender this near has the same propagation, km.
const NEAR_KM: f64 = 100.0;

/// A span in which to look for others.
#[derive(Clone, Debug)]
pub(super) struct Watch {
    /// From this slot on.
    pub(super) from: i64,
    /// Before this slot.
    pub(super) to: i64,
    /// On this band, else on any of the beacon's.
    pub(super) band: Option<Band>,
    /// Nothing follows it: the beacon was not heard again.
    pub(super) is_end: bool,
}

/// What was seen in a span.
#[derive(Clone, Debug, Default)]
pub(super) struct Seen {
    /// Listeners of the beacon that reported another sender in the span.
    pub(super) listeners: usize,
    /// The other was heard in at least half of the hours.
    pub(super) throughout: bool,
    /// It was heard shortly before or after the span too, so it did not just take its turn.
    pub(super) outside: bool,
}

/// What one scan over the table gathers for a span.
struct Gathered {
    by: Vec<bool>,
    hours: Vec<bool>,
    outside: bool,
}

/// Looks for others in each of the spans, in one pass over the table.
pub(super) fn seen(subject: &Subject<'_>, rows: &RowSet, call: CallId, heard: &Heard, spans: &[Watch]) -> Vec<Seen> {
    let hour = heard.slots_an_hour();
    let around = |span: &Watch| hour.min((span.to - span.from) / 2).max(1);
    let begin = spans.iter().map(|span| span.from - around(span)).min().unwrap_or(0);
    let end = spans.iter().map(|span| span.to + around(span)).max().unwrap_or(0);
    let hour_of = |slot: i64| usize::try_from((slot - begin).div_euclid(hour)).unwrap_or(usize::MAX);
    // which spans each hour belongs to, so that a row asks few of them
    let mut of_hour: Vec<Vec<usize>> = vec![Vec::new(); if spans.is_empty() { 0 } else { hour_of(end) + 1 }];
    for (at, span) in spans.iter().enumerate() {
        for list in &mut of_hour[hour_of(span.from - around(span))..=hour_of(span.to + around(span))] {
            list.push(at);
        }
    }
    let table = subject.table();
    let mut found: Vec<Gathered> = spans
        .iter()
        .map(|span| Gathered {
            by: vec![false; table.stations().calls()],
            hours: vec![false; hour_of(begin + span.to - span.from - 1) + 1],
            outside: false,
        })
        .collect();
    let others = others(subject, call);
    let of_beacon = |band: Band| heard.bands.iter().any(|(other, _)| *other == band);
    for row in 0..table.len() {
        let slot = table.time(row).unix_s().div_euclid(heard.slot_s);
        let Some(near) = of_hour.get(hour_of(slot)).filter(|near| !near.is_empty()) else { continue };
        let sender = table.stations().call_of(table.tx(row));
        let own = sender == call;
        if !others[sender.index()] || (own && rows.contains(row)) {
            continue;
        }
        let (band, listener) = (table.band(row), subject.far_call(row));
        for &at in near {
            let span = &spans[at];
            // other rows of the same call after its end are what a filter cut off
            if span.band.map_or(!of_beacon(band), |wanted| wanted != band) || (own && span.is_end) {
                continue;
            }
            let gathered = &mut found[at];
            if span.from <= slot && slot < span.to {
                gathered.by[listener.index()] = true;
                if let Some(hour) = gathered.hours.get_mut(hour_of(begin + slot - span.from)) {
                    *hour = true;
                }
            } else if span.from - around(span) <= slot && slot < span.to + around(span) {
                gathered.outside = true;
            }
        }
    }
    let seen = |gathered: &Gathered| Seen {
        listeners: gathered.by.iter().zip(&heard.listeners).filter(|(other, ours)| **other && **ours).count(),
        throughout: 2 * gathered.hours.iter().filter(|&&hour| hour).count() >= gathered.hours.len(),
        outside: gathered.outside,
    };
    found.iter().map(seen).collect()
}

/// Which calls are others: those of the test (the beacon's own too, in another run), and senders close by.
fn others(subject: &Subject<'_>, call: CallId) -> Vec<bool> {
    let table = subject.table();
    let geodesic = Geodesic::wgs84();
    let close = |other: CallId| {
        let places = table.place(call).zip(table.place(other));
        places.is_some_and(|(here, there)| {
            // without the exact way for the thousands that are far away
            let (here, there) = (here.centre(), there.centre());
            (here.lat_deg - there.lat_deg).abs() < 2.0 && geodesic.path(here, there).distance_km <= NEAR_KM
        })
    };
    let all = (0..).map(CallId).take(table.stations().calls());
    all.map(|other| subject.calls().contains(&other) || close(other)).collect()
}
