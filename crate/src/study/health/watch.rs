//! Who went on hearing others while a beacon was silent: the other calls or runs of the test, or a sender close by.

use super::heard::Heard;
use crate::geography::Geodesic;
use crate::model::{Band, CallId, RowSet};
use crate::study::safe::floor_db;
use crate::study::subject::Subject;

/// A sender this near has the same propagation, km.
const NEAR_KM: f64 = 100.0;
/// Where another sender is heard in a silence, the beacon should have been so far above the decoding floor, going by how
/// their levels differ at that listener else: weaker ones may just be too weak, dB.
const SAFE_DB: f64 = 10.0;
/// So many such reports of a listener show that it was there.
const LEAST_REPORTS: u32 = 2;

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
    /// Listeners of the beacon that reported another sender in the span, so strongly that they should have heard the beacon.
    pub(super) listeners: usize,
    /// Another was heard in at least half of the hours, by anyone.
    pub(super) throughout: bool,
    /// It was heard shortly before or after the span too, so it did not just take its turn.
    pub(super) outside: bool,
}

/// What one scan over the table gathers for a span.
struct Gathered {
    /// Reports of others by call that the beacon should have been heard beside.
    by: Vec<u32>,
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
            by: vec![0; table.stations().calls()],
            hours: vec![false; hour_of(begin + span.to - span.from - 1) + 1],
            outside: false,
        })
        .collect();
    let others = others(subject, call);
    let levels = if of_hour.is_empty() { None } else { Levels::of(subject, rows, call, &others, heard) };
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
            if span.band.map_or(!of_beacon(band), |wanted| wanted != band) {
                continue;
            }
            let gathered = &mut found[at];
            if span.from <= slot && slot < span.to {
                let safe = levels.as_ref().is_some_and(|levels| levels.is_safe(table.snr_db(row), listener, band));
                gathered.by[listener.index()] += u32::from(safe);
                if let Some(hour) = gathered.hours.get_mut(hour_of(begin + slot - span.from)) {
                    *hour = true;
                }
            } else if span.from - around(span) <= slot && slot < span.to + around(span) {
                gathered.outside = true;
            }
        }
    }
    let seen = |gathered: &Gathered| Seen {
        listeners: gathered.by.iter().filter(|&&reports| reports >= LEAST_REPORTS).count(),
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

/// Sum and number of the levels of the beacon and of others, for each listener on each band.
struct Levels {
    floor_db: f64,
    sums: Vec<[(f64, f64); 2]>,
}

impl Levels {
    /// Adds up all reports; `None` without a level of the beacon.
    fn of(subject: &Subject<'_>, rows: &RowSet, call: CallId, others: &[bool], heard: &Heard) -> Option<Self> {
        let table = subject.table();
        let floor_db = floor_db(rows.iter().filter_map(|row| table.snr_db(row)).collect())?;
        let mut sums = vec![[(0.0, 0.0); 2]; table.stations().calls() * Band::COUNT];
        for row in 0..table.len() {
            let sender = table.stations().call_of(table.tx(row));
            let listener = subject.far_call(row);
            let Some(snr) = table.snr_db(row).filter(|_| heard.listeners[listener.index()]) else { continue };
            let own = sender == call && rows.contains(row);
            if own || others[sender.index()] {
                let (sum, n) = &mut sums[listener.index() * Band::COUNT + table.band(row).index()][usize::from(!own)];
                *sum += snr;
                *n += 1.0;
            }
        }
        Some(Self { floor_db, sums })
    }

    /// Should the beacon have been heard well by a listener that reports another sender with this level?
    fn is_safe(&self, snr_db: Option<f64>, listener: CallId, band: Band) -> bool {
        let [own, other] = self.sums[listener.index() * Band::COUNT + band.index()];
        let means = (own.1 > 0.0 && other.1 > 0.0).then(|| own.0 / own.1 - other.0 / other.1);
        snr_db.zip(means).is_some_and(|(snr, difference)| snr + difference >= self.floor_db + SAFE_DB)
    }
}
