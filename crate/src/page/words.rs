//! Figures of the page in words that several views share.

use super::loaded::Loaded;
use super::state::State;
use crate::model::CallId;
use crate::study::Listener;
use crate::time::UtcTime;
use crate::units::plain_number;
use crate::words::number::{bearing, whole};

/// First and last instant of the time filter, else of the spots, as the two fields show them, and their zone.
pub(super) fn time_fields(state: &State, loaded: &Loaded) -> (String, String, String) {
    let Some((first, last)) = loaded.all.tally.span else { return Default::default() };
    let from = state.filter.from.unwrap_or(first);
    let to = state.filter.to.map_or(last, last_minute);
    let clock = &state.clock;
    (clock.date_and_minute(from), clock.date_and_minute(to), clock.label_of_span(from, to))
}

/// The last minute before the end of a filter, which is itself left out.
fn last_minute(to: UtcTime) -> UtcTime {
    to.plus_s(-60).unwrap_or(to)
}

/// Distance and bearing of a listener with how far off the locators leave them: `7 716 ± 4 km at 306°`,
/// `222 ± 214 km at 180 ± 75°`. An error under one degree is not said; a bearing that may be any is left out.
pub(super) fn place(state: &State, listener: &Listener) -> String {
    let Some(far) = listener.far else { return "place unknown".to_owned() };
    let km = state.length.text_with_error(far.path.distance_km, far.error_km);
    match far.path.bearing_deg {
        Some(_) if far.error_deg >= 180.0 => format!("{km}, bearing open"),
        Some(degrees) if far.error_deg >= 1.0 => {
            format!("{km} at {}\u{a0}±\u{a0}{}°", bearing(degrees), whole(far.error_deg))
        }
        Some(degrees) => format!("{km} at {}°", bearing(degrees)),
        None => km,
    }
}

/// The entry of a call among the listeners shown.
pub(super) fn listener(loaded: &Loaded, call: CallId) -> Option<&Listener> {
    loaded.shown.listeners.iter().find(|listener| listener.call == call)
}

/// A number as people type it: a comma or a point before decimals, a true or a plain minus.
pub(super) fn number(text: &str) -> Option<f64> {
    let plain: String = text
        .chars()
        .filter(|c| !c.is_whitespace())
        .map(|c| match c {
            ',' => '.',
            '\u{2212}' | '\u{2013}' => '-',
            other => other,
        })
        .collect();
    plain_number(&plain)
}
