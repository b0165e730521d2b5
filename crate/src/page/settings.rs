//! The view as a line of text: kept in the address, and handed back when the core starts again.
//!
//! `view=spots&bands=40m,30m&from=2031-04-27T06:00:00Z&km=1000-2000&unit=mi`: words of our own, in any order.
//! What is not understood is left out, since an address may have been typed or cut.

use std::fmt::Write as _;

use super::asked_runs::AskedRuns;
use super::runs::Runs;
use super::state::{Shade, State, View};
use crate::figure::disc::ViewKind;
use crate::model::{Band, SpotTable};
use crate::order::set;
use crate::study::Filter;
use crate::study::doubt::Doubt;
use crate::time::UtcTime;
use crate::units::plain_number;
use crate::words::Length;

/// Most listeners that an address names.
const MOST_LISTENERS: usize = 20;
/// An address longer than this is none of ours.
const MOST_BYTES: usize = 4096;

/// The settings of a state; `table` names the listeners of the filter.
pub(super) fn write(state: &State, kind: Option<ViewKind>, table: Option<&SpotTable>, runs: &Runs) -> String {
    let mut parts: Vec<String> = Vec::new();
    if state.view != View::Disc {
        parts.push(format!("view={}", state.view.word()));
    }
    let filter = &state.filter;
    if let Some(bands) = &filter.bands {
        let names: Vec<&str> = bands.iter().map(|band| band.name()).collect();
        parts.push(format!("bands={}", names.join(",")));
    }
    for (word, time) in [("from", filter.from), ("to", filter.to)] {
        parts.extend(time.map(|time| format!("{word}={}", time.iso())));
    }
    let range = |word: &str, low: Option<f64>, high: Option<f64>| {
        let show = |value: Option<f64>| value.map_or_else(String::new, |value| format!("{value}"));
        (low.is_some() || high.is_some()).then(|| format!("{word}={}..{}", show(low), show(high)))
    };
    parts.extend(range("km", filter.min_km, filter.max_km));
    parts.extend(range("bearing", filter.bearing.map(|sides| sides.0), filter.bearing.map(|sides| sides.1)));
    parts.extend(range("snr", filter.min_snr_db, filter.max_snr_db));
    if let (Some(listeners), Some(table)) = (&filter.listeners, table) {
        let calls: Vec<&str> = listeners.iter().take(MOST_LISTENERS).map(|&call| table.stations().call(call)).collect();
        parts.push(format!("heard-by={}", calls.join(",")));
    }
    if !filter.without.is_empty() {
        let words: Vec<&str> = filter.without.iter().map(|doubt| doubt.word()).collect();
        parts.push(format!("without={}", words.join(",")));
    }
    match kind {
        Some(ViewKind::WholeReach) => parts.push("reach=whole".to_owned()),
        Some(ViewKind::NearView) => parts.push("reach=near".to_owned()),
        None => {}
    }
    if state.length == Length::Miles {
        parts.push("unit=mi".to_owned());
    }
    if state.clock.is_local() {
        parts.push("zone=local".to_owned());
    }
    if state.shade != Shade::Auto {
        parts.push(format!("theme={}", state.shade.word()));
    }
    parts.extend(runs.address_parts());
    let mut text = String::new();
    for (at, part) in parts.iter().enumerate() {
        // writing to a string cannot fail
        write!(text, "{}{part}", if at == 0 { "" } else { "&" }).ok();
    }
    text
}

/// What a line of settings asks for.
#[derive(Clone, Debug, Default)]
pub(super) struct Asked {
    pub(super) view: View,
    pub(super) filter: Filter,
    pub(super) kind: Option<ViewKind>,
    pub(super) length: Length,
    pub(super) local: bool,
    pub(super) shade: Shade,
    /// Runs, pair, control and assumptions.
    pub(super) runs: AskedRuns,
    heard_by: Vec<String>,
    /// As it was written.
    text: String,
}

impl Asked {
    /// Reads settings; whatever is not understood is left as it is by default.
    pub(super) fn read(text: &str) -> Self {
        let mut asked = Self::default();
        if text.len() > MOST_BYTES {
            return asked;
        }
        text.clone_into(&mut asked.text);
        for part in text.trim_start_matches('#').split('&') {
            let Some((word, value)) = part.split_once('=') else { continue };
            asked.take(word, value);
        }
        asked
    }

    fn take(&mut self, word: &str, value: &str) {
        match word {
            "view" => self.view = View::from_word(value).unwrap_or_default(),
            "bands" => {
                let bands = set(value.split(',').filter_map(Band::from_name));
                self.filter.bands = (!bands.is_empty()).then_some(bands);
            }
            "from" => self.filter.from = UtcTime::parse_iso(value),
            "to" => self.filter.to = UtcTime::parse_iso(value),
            "km" => (self.filter.min_km, self.filter.max_km) = range(value),
            "snr" => (self.filter.min_snr_db, self.filter.max_snr_db) = range(value),
            "bearing" => {
                if let (Some(from), Some(to)) = range(value) {
                    self.filter.bearing = Some((from, to));
                }
            }
            "heard-by" => self.heard_by = value.split(',').take(MOST_LISTENERS).map(str::to_owned).collect(),
            "without" => self.filter.without = set(value.split(',').filter_map(Doubt::from_word)),
            "reach" => {
                self.kind = match value {
                    "whole" => Some(ViewKind::WholeReach),
                    "near" => Some(ViewKind::NearView),
                    _ => None,
                }
            }
            "unit" => self.length = if value == "mi" { Length::Miles } else { Length::Km },
            "zone" => self.local = value == "local",
            "theme" => self.shade = Shade::from_word(value).unwrap_or_default(),
            _ => self.runs.take(word, value),
        }
    }

    /// Does it ask for anything else than this view? What it says of runs is not looked at.
    pub(super) fn differs(&self, view: &str) -> bool {
        let of_runs = |part: &&str| part.split_once('=').is_some_and(|(word, _)| AskedRuns::WORDS.contains(&word));
        let asked: Vec<&str> = self.text.split('&').filter(|part| !of_runs(part)).collect();
        !self.text.is_empty() && asked.join("&") != view
    }

    /// The filter, with its listeners looked up in the table.
    pub(super) fn filter(&self, table: &SpotTable) -> Filter {
        let calls = set(self.heard_by.iter().filter_map(|call| table.stations().find_call(call)));
        Filter { listeners: (!calls.is_empty()).then_some(calls), ..self.filter.clone() }
    }
}

/// `low..high`, either of which may be missing; figures that are none are missing.
fn range(text: &str) -> (Option<f64>, Option<f64>) {
    let (low, high) = text.split_once("..").unwrap_or((text, ""));
    (plain_number(low), plain_number(high))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn settings_read_back_and_nonsense_is_left_out() {
        let mut state = State { view: View::Spots, shade: Shade::Sun, length: Length::Miles, ..State::default() };
        state.filter.bands = Some([Band::from_name("40m").unwrap(), Band::from_name("30m").unwrap()].into());
        state.filter.from = UtcTime::parse_iso("2031-04-27T06:00");
        state.filter.bearing = Some((-11.25, 33.75));
        state.filter.min_snr_db = Some(-20.0);
        state.filter.without = Doubt::ALL.into();
        let text = write(&state, Some(ViewKind::NearView), None, &Runs::default());
        let asked = Asked::read(&format!("#{text}&colour=blue&km=x..y&=&%%%"));
        assert_eq!(asked.filter, state.filter);
        assert_eq!((asked.view, asked.shade, asked.length), (View::Spots, Shade::Sun, Length::Miles));
        assert_eq!(asked.kind, Some(ViewKind::NearView));
        assert_eq!(write(&State::default(), None, None, &Runs::default()), "");
    }
}
