//! What the filter menus offer, and what each choice would leave.

use super::loaded::Loaded;
use super::parts::{Part, distance_words};
use super::state::State;
use crate::model::Side;
use crate::order::LightSort;
use crate::study::doubt::Doubt;
use crate::study::reach::CLASS_EDGES_KM;
use crate::study::{Filter, bearings, reach};
use crate::words::number::{NO_BREAK, bearing, counted, level, typed};
pub(super) use crate::words::terms::{SECTORS, far_words};

/// Levels offered as least SNR in dB. The lowest is near the decoding floor of WSPR
/// (about -29 dB in 2500 Hz; common practice, no source).
const LEAST_SNR_DB: [f64; 6] = [-25.0, -20.0, -15.0, -10.0, -5.0, 0.0];
/// Most listeners that the menu lists; the search narrows them.
const MOST_LISTENERS: usize = 40;

/// A choice in a menu.
#[derive(Clone, Debug)]
pub(super) struct Choice {
    /// `data-act` of its button.
    pub(super) act: &'static str,
    /// `data-value` of its button.
    pub(super) value: String,
    /// Its name.
    pub(super) label: String,
    /// What it would leave.
    pub(super) effect: String,
    /// Is it chosen?
    pub(super) on: bool,
    /// Does a rule stand below it?
    pub(super) rule: bool,
}

/// A field in a menu.
#[derive(Clone, Debug)]
pub(super) struct Field {
    pub(super) act: &'static str,
    pub(super) label: &'static str,
    pub(super) value: String,
    pub(super) unit: String,
    /// `text`, `decimal` or `search`: which keyboard a phone shows.
    pub(super) mode: &'static str,
}

/// An open menu's content.
#[derive(Clone, Debug, Default)]
pub(super) struct Panel {
    pub(super) choices: Vec<Choice>,
    pub(super) fields: Vec<Field>,
    /// A field above the choices that narrows them.
    pub(super) search: Option<Field>,
    pub(super) hint: String,
    /// The result so far: `Now 1 915 of 5 231 spots.`
    pub(super) now: String,
}

/// The content of a part's menu.
pub(super) fn panel(part: Part, state: &State, loaded: &Loaded) -> Panel {
    let rest = part.without(&state.filter);
    let mut panel = match part {
        Part::Band => band(state, loaded, &rest),
        Part::Time => time(state, loaded, &rest),
        Part::Distance => distance(state, loaded, &rest),
        Part::Bearing => sector(state, loaded, &rest),
        Part::Level => least_level(state, loaded, &rest),
        Part::Listener => listener(state, loaded, &rest),
        Part::Doubt => doubt(state, loaded, &rest),
    };
    panel.now = format!(
        "Now {} of {}.",
        crate::words::number::count(loaded.shown.tally.spots),
        counted(loaded.all.tally.spots, "spot", "spots")
    );
    panel
}

fn spots(n: usize) -> String {
    counted(n, "spot", "spots")
}

fn both(n: usize, far: usize, side: Side) -> String {
    let (one, many) = far_words(side);
    format!("{}, {}", spots(n), counted(far, one, many))
}

fn any(part: Part, label: &str, loaded: &Loaded, rest: &Filter, on: bool) -> Choice {
    Choice {
        act: "clear",
        value: part.word().to_owned(),
        label: label.to_owned(),
        effect: spots(loaded.count_of(rest)),
        on,
        rule: true,
    }
}

fn band(state: &State, loaded: &Loaded, rest: &Filter) -> Panel {
    let tally = loaded.tally_of(rest);
    let mut choices = vec![any(Part::Band, "All bands", loaded, rest, state.filter.bands.is_none())];
    for &band in loaded.every_band() {
        let place = tally.bands.iter().position(|&other| other == band);
        let n = place.map_or(0, |place| tally.spots_by_hour[place].iter().sum());
        let far = place.map_or(0, |place| tally.far.iter().filter(|far| far.bands[place].spots > 0).count());
        choices.push(Choice {
            act: "band",
            value: band.name().to_owned(),
            label: band.label(),
            effect: both(n, far, loaded.tested.side),
            on: state.filter.bands.as_ref().is_some_and(|bands| bands.contains(&band)),
            rule: false,
        });
    }
    Panel { choices, hint: "Shift and click for a span of bands.".to_owned(), ..Panel::default() }
}

fn doubt(state: &State, loaded: &Loaded, rest: &Filter) -> Panel {
    let without = &state.filter.without;
    let mut choices = vec![any(Part::Doubt, "Leave all of them in", loaded, rest, without.is_empty())];
    let subject = loaded.subject();
    let doubts = subject.doubts();
    let every = doubts.reasons().is_subset(without);
    let choice = |value: &str, label: &str, n: usize, on: bool| Choice {
        act: "doubt",
        value: value.to_owned(),
        label: label.to_owned(),
        effect: spots(n),
        on,
        rule: false,
    };
    choices.push(choice("all", "Leave all of them out", doubts.any.count(), every && !without.is_empty()));
    for (doubt, rows) in &doubts.by_reason {
        choices.push(choice(doubt.word(), doubt_words(*doubt), rows.count(), without.contains(doubt)));
    }
    let hint = "What is ticked is left out of every result.".to_owned();
    Panel { choices, hint, ..Panel::default() }
}

/// Why a spot is doubtful, in words.
pub(super) fn doubt_words(doubt: Doubt) -> &'static str {
    match doubt {
        Doubt::WeakerInSlot => "Weaker of several reports in one slot",
        Doubt::LoneFar => "A single far report near the floor",
        Doubt::OwnCall => "The station\u{2019}s own call at both ends",
        Doubt::PlaceJumps => "A listener away from its usual place",
        Doubt::OddMinute => "Not on an even minute",
        Doubt::Moved => "Sent or heard from another place than all is reckoned from",
    }
}

fn time(state: &State, loaded: &Loaded, rest: &Filter) -> Panel {
    let mut choices =
        vec![any(Part::Time, "All the time", loaded, rest, state.filter.from.is_none() && state.filter.to.is_none())];
    for hours in last_hours(loaded) {
        let filter = Filter { from: last_from(loaded, hours), to: None, ..rest.clone() };
        choices.push(Choice {
            act: "last",
            value: hours.to_string(),
            label: format!("Last {hours}{NO_BREAK}hours"),
            effect: spots(loaded.count_of(&filter)),
            on: state.filter.from == filter.from && state.filter.to.is_none(),
            rule: false,
        });
    }
    let (from, to, zone) = super::words::time_fields(state, loaded);
    let fields = vec![
        Field { act: "from", label: "From", value: from, unit: zone.clone(), mode: "text" },
        Field { act: "to", label: "To", value: to, unit: zone, mode: "text" },
    ];
    Panel { choices, fields, ..Panel::default() }
}

/// Spans before the last spot that are shorter than the whole, in hours.
pub(super) fn last_hours(loaded: &Loaded) -> Vec<i64> {
    let Some((first, last)) = loaded.all.tally.span else { return Vec::new() };
    [24, 6].into_iter().filter(|hours| last.unix_s() - first.unix_s() > hours * 3600).collect()
}

/// The beginning of the last so many hours, counted back from the end of the last spot's slot of two minutes.
pub(super) fn last_from(loaded: &Loaded, hours: i64) -> Option<crate::time::UtcTime> {
    let (_, last) = loaded.all.tally.span?;
    last.plus_s(120 - hours * 3600)
}

fn distance(state: &State, loaded: &Loaded, rest: &Filter) -> Panel {
    let tally = loaded.tally_of(rest);
    let classes = reach(&loaded.subject(), &tally).classes;
    let filter = &state.filter;
    let none = filter.min_km.is_none() && filter.max_km.is_none();
    let mut choices = vec![any(Part::Distance, "Any distance", loaded, rest, none)];
    let last = classes.iter().rposition(|class| class.listeners > 0).unwrap_or(0);
    for (at, class) in classes.iter().enumerate().take(last + 1) {
        let (min, max) = class_limits(at);
        choices.push(Choice {
            act: "distance",
            value: at.to_string(),
            label: distance_words(min, max, state.length),
            effect: both(class.spots, class.listeners, loaded.tested.side),
            on: !none && (filter.min_km, filter.max_km) == (min, max),
            rule: false,
        });
    }
    let show = |km: Option<f64>| {
        km.map_or_else(String::new, |km| format!("{}", (state.length.value(km) * 10.0).round() / 10.0))
    };
    let unit = state.length.unit().to_owned();
    let fields = vec![
        Field { act: "min-km", label: "From", value: show(filter.min_km), unit: unit.clone(), mode: "decimal" },
        Field { act: "max-km", label: "To", value: show(filter.max_km), unit, mode: "decimal" },
    ];
    Panel { choices, fields, ..Panel::default() }
}

/// Limits of a distance class as a filter has them.
pub(super) fn class_limits(at: usize) -> (Option<f64>, Option<f64>) {
    let edge = |at: usize| CLASS_EDGES_KM.get(at).copied();
    (edge(at).filter(|&km| km > 0.0), edge(at + 1).filter(|&km| km < 20_000.0))
}

fn sector(state: &State, loaded: &Loaded, rest: &Filter) -> Panel {
    let subject = loaded.subject();
    let sectors = bearings(&subject, &loaded.tally_of(rest));
    let mut choices = vec![any(Part::Bearing, "Every bearing", loaded, rest, state.filter.bearing.is_none())];
    for (at, (sector, name)) in sectors.iter().zip(SECTORS).enumerate() {
        let on = state.filter.bearing.is_some_and(|(from, to)| {
            let middle = sector.from_deg + 11.25;
            crate::study::filter::between_bearings(middle, from, to)
        });
        if sector.listeners == 0 && !on {
            continue;
        }
        choices.push(Choice {
            act: "sector",
            value: at.to_string(),
            label: format!("{name}, about {}°", bearing(sector.from_deg + 11.25)),
            effect: both(sector.spots, sector.listeners, loaded.tested.side),
            on,
            rule: false,
        });
    }
    let (from, to) = state.filter.bearing.map_or_else(Default::default, |(from, to)| (bearing(from), bearing(to)));
    let fields = vec![
        Field { act: "from-deg", label: "From", value: from, unit: "degrees".to_owned(), mode: "decimal" },
        Field { act: "to-deg", label: "clockwise to", value: to, unit: "degrees".to_owned(), mode: "decimal" },
    ];
    Panel { choices, fields, hint: "Shift and click for a span, clockwise.".to_owned(), ..Panel::default() }
}

fn least_level(state: &State, loaded: &Loaded, rest: &Filter) -> Panel {
    let filter = &state.filter;
    let none = filter.min_snr_db.is_none() && filter.max_snr_db.is_none();
    let mut choices = vec![any(Part::Level, "Any SNR", loaded, rest, none)];
    let rows = rest.rows(&loaded.subject());
    let mut counts = [0; LEAST_SNR_DB.len()];
    for snr in rows.iter().filter_map(|row| loaded.table.snr_db(row)) {
        for (left, least) in counts.iter_mut().zip(LEAST_SNR_DB) {
            *left += usize::from(snr >= least);
        }
    }
    for (least, left) in LEAST_SNR_DB.into_iter().zip(counts) {
        choices.push(Choice {
            act: "snr",
            value: format!("{least}"),
            label: format!("{}{NO_BREAK}dB or more", level(least)),
            effect: spots(left),
            on: filter.min_snr_db == Some(least) && filter.max_snr_db.is_none(),
            rule: false,
        });
    }
    let show = |db: Option<f64>| db.map_or_else(String::new, typed);
    let unit = "dB".to_owned();
    let fields = vec![
        Field { act: "min-snr", label: "At least", value: show(filter.min_snr_db), unit: unit.clone(), mode: "text" },
        Field { act: "max-snr", label: "at most", value: show(filter.max_snr_db), unit, mode: "text" },
    ];
    Panel { choices, fields, hint: "SNR as reported, in 2500\u{a0}Hz.".to_owned(), ..Panel::default() }
}

fn listener(state: &State, loaded: &Loaded, rest: &Filter) -> Panel {
    let tally = loaded.tally_of(rest);
    let chosen = state.filter.listeners.clone().unwrap_or_default();
    let label = match loaded.tested.side {
        Side::Sends => "All listeners",
        Side::Hears => "All stations",
    };
    let mut choices = vec![any(Part::Listener, label, loaded, rest, chosen.is_empty())];
    let search = state.search.trim().to_ascii_uppercase();
    let mut far: Vec<_> = tally
        .far
        .iter()
        .map(|far| (far.call, loaded.call(far.call), far.spots()))
        .filter(|(call, name, _)| chosen.contains(call) || name.contains(&search))
        .collect();
    far.order_by(|a, b| {
        chosen.contains(&b.0).cmp(&chosen.contains(&a.0)).then(b.2.cmp(&a.2)).then_with(|| a.1.cmp(b.1))
    });
    let found = far.len();
    for (call, name, n) in far.into_iter().take(MOST_LISTENERS) {
        choices.push(Choice {
            act: "listener",
            value: name.to_owned(),
            label: name.to_owned(),
            effect: spots(n),
            on: chosen.contains(&call),
            rule: false,
        });
    }
    let hint = if found > MOST_LISTENERS {
        format!("{MOST_LISTENERS} of {found} listed; type a part of the call to find others.")
    } else if found == 0 {
        "No call has these letters.".to_owned()
    } else {
        String::new()
    };
    let search =
        Field { act: "search", label: "Find", value: state.search.clone(), unit: String::new(), mode: "search" };
    Panel { choices, search: Some(search), hint, ..Panel::default() }
}
