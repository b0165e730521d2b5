//! The parts of a filter: what each says on its chip, and how it is taken away.

use super::loaded::Loaded;
use super::zone::Clock;
use crate::study::Filter;
use crate::time::UtcTime;
use crate::words::Length;
use crate::words::answer::list;
use crate::words::number::{NO_BREAK, bearing, count, counted, level};

/// A part of a filter.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Part {
    Band,
    Time,
    Distance,
    Bearing,
    Level,
    Listener,
    Doubt,
}

impl Part {
    pub(super) const ALL: [Self; 7] =
        [Self::Band, Self::Time, Self::Distance, Self::Bearing, Self::Level, Self::Listener, Self::Doubt];

    /// Is there anything to choose?
    pub(super) fn is_useful(self, filter: &Filter, loaded: &Loaded) -> bool {
        self != Self::Doubt || self.is_on(filter) || !loaded.subject().doubts().any.is_empty()
    }

    /// The word in `data-value`, and the menu's.
    pub(super) fn word(self) -> &'static str {
        match self {
            Self::Band => "band",
            Self::Time => "time",
            Self::Distance => "distance",
            Self::Bearing => "bearing",
            Self::Level => "level",
            Self::Listener => "listener",
            Self::Doubt => "doubt",
        }
    }

    pub(super) fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|part| part.word() == word)
    }

    /// Its name on the button that opens its menu.
    pub(super) fn label(self) -> &'static str {
        match self {
            Self::Band => "Band",
            Self::Time => "Time",
            Self::Distance => "Distance",
            Self::Bearing => "Bearing",
            Self::Level => "Level",
            Self::Listener => "Listener",
            Self::Doubt => "Doubtful",
        }
    }

    /// Its name within 'Clear the ... filter'.
    pub(super) fn within(self) -> &'static str {
        match self {
            Self::Level => "SNR",
            Self::Doubt => "doubtful spots",
            other => other.word(),
        }
    }

    /// What changing it is called among the steps that can be undone.
    pub(super) fn step(self) -> &'static str {
        match self {
            Self::Band => "band filter",
            Self::Time => "time filter",
            Self::Distance => "distance filter",
            Self::Bearing => "bearing filter",
            Self::Level => "SNR filter",
            Self::Listener => "listener filter",
            Self::Doubt => "filter of doubtful spots",
        }
    }

    /// Do two filters differ in this part?
    pub(super) fn differs(self, a: &Filter, b: &Filter) -> bool {
        match self {
            Self::Band => a.bands != b.bands,
            Self::Time => (a.from, a.to) != (b.from, b.to),
            Self::Distance => (a.min_km, a.max_km) != (b.min_km, b.max_km),
            Self::Bearing => a.bearing != b.bearing,
            Self::Level => (a.min_snr_db, a.max_snr_db) != (b.min_snr_db, b.max_snr_db),
            Self::Listener => a.listeners != b.listeners,
            Self::Doubt => a.without != b.without,
        }
    }

    /// Does it keep anything out?
    pub(super) fn is_on(self, filter: &Filter) -> bool {
        self.without(filter) != *filter
    }

    /// The filter without this part.
    pub(super) fn without(self, filter: &Filter) -> Filter {
        let mut rest = filter.clone();
        match self {
            Self::Band => rest.bands = None,
            Self::Time => (rest.from, rest.to) = (None, None),
            Self::Distance => (rest.min_km, rest.max_km) = (None, None),
            Self::Bearing => rest.bearing = None,
            Self::Level => (rest.min_snr_db, rest.max_snr_db) = (None, None),
            Self::Listener => rest.listeners = None,
            Self::Doubt => rest.without.clear(),
        }
        rest
    }

    /// What its chip says.
    pub(super) fn chip(self, filter: &Filter, loaded: &Loaded, length: Length, clock: &Clock) -> String {
        match self {
            Self::Band => {
                let bands: Vec<_> = filter.bands.iter().flatten().copied().collect();
                if bands.len() <= 3 { list(&bands) } else { counted(bands.len(), "band", "bands") }
            }
            Self::Time => span_words(filter.from, filter.to, loaded, clock),
            Self::Distance => distance_words(filter.min_km, filter.max_km, length),
            Self::Bearing => filter.bearing.map_or_else(String::new, |(from, to)| {
                format!("{} to {}{NO_BREAK}degrees", bearing(from), bearing(to))
            }),
            Self::Level => snr_words(filter.min_snr_db, filter.max_snr_db),
            Self::Listener => {
                let calls: Vec<_> = filter.listeners.iter().flatten().collect();
                match calls.as_slice() {
                    [one] => loaded.call(**one).to_owned(),
                    many => counted(many.len(), "listener", "listeners"),
                }
            }
            Self::Doubt => {
                let n = loaded.subject().doubts().rows_of_any(&filter.without).count();
                format!("without {}{NO_BREAK}doubtful", count(n))
            }
        }
    }

    /// The part within a sentence that says why nothing is left: `between 03:00 and 06:00 UTC`.
    pub(super) fn clause(self, filter: &Filter, loaded: &Loaded, length: Length, clock: &Clock) -> String {
        match self {
            Self::Band => String::new(),
            Self::Time => {
                let words = self.chip(filter, loaded, length, clock);
                match (filter.from, filter.to) {
                    (Some(_), Some(_)) => format!("between {}", words.replacen(" to ", " and ", 1)),
                    _ => words,
                }
            }
            Self::Distance => {
                let words = self.chip(filter, loaded, length, clock);
                match (filter.min_km, filter.max_km) {
                    (Some(_), Some(_)) => format!("from {words}"),
                    _ => words,
                }
            }
            Self::Bearing => {
                format!("between {}", self.chip(filter, loaded, length, clock).replacen(" to ", " and ", 1))
            }
            Self::Level => match (filter.min_snr_db, filter.max_snr_db) {
                (Some(least), None) => format!("of {}{NO_BREAK}dB or more", level(least)),
                (None, Some(most)) => format!("of {}{NO_BREAK}dB or less", level(most)),
                _ => format!("of {}", self.chip(filter, loaded, length, clock)),
            },
            Self::Listener => match filter.listeners.iter().flatten().count() {
                1 => format!("of {}", self.chip(filter, loaded, length, clock)),
                _ => format!("of these {}", self.chip(filter, loaded, length, clock)),
            },
            Self::Doubt => "that is not doubtful".to_owned(),
        }
    }
}

/// `over 1 000 km`, `under 500 km`, `1 000 to 2 000 km`.
pub(super) fn distance_words(min_km: Option<f64>, max_km: Option<f64>, length: Length) -> String {
    match (min_km.filter(|&km| km > 0.0), max_km) {
        (Some(min), Some(max)) => format!("{} to {}", length.figure(min), length.text(max)),
        (Some(min), None) => format!("over {}", length.text(min)),
        (None, Some(max)) => format!("under {}", length.text(max)),
        (None, None) => "any distance".to_owned(),
    }
}

/// `SNR −20 dB or more` and so on.
fn snr_words(min: Option<f64>, max: Option<f64>) -> String {
    match (min, max) {
        (Some(least), Some(most)) => format!("SNR {} to {}{NO_BREAK}dB", level(least), level(most)),
        (Some(least), None) => format!("SNR {}{NO_BREAK}dB or more", level(least)),
        (None, Some(most)) => format!("SNR {}{NO_BREAK}dB or less", level(most)),
        (None, None) => "any SNR".to_owned(),
    }
}

/// `03:00 to 06:00 UTC`, with dates where the spots span more than one day.
fn span_words(from: Option<UtcTime>, to: Option<UtcTime>, loaded: &Loaded, clock: &Clock) -> String {
    let Some((first, last)) = loaded.all.tally.span else { return String::new() };
    let one_day = clock.day_of(first).day_number() == clock.day_of(last).day_number();
    let words = |time: UtcTime| {
        let midnight = clock.clock(time) == "00:00" && time > first && one_day;
        match (one_day, midnight) {
            (true, true) => "24:00".to_owned(),
            (true, false) => clock.clock(time),
            (false, _) => clock.date_and_minute(time),
        }
    };
    let zone = clock.label(from.or(to).unwrap_or(first));
    match (from, to) {
        (Some(from), Some(to)) => format!("{} to {}{NO_BREAK}{zone}", words(from), words(to)),
        (Some(from), None) => format!("from {}{NO_BREAK}{zone}", words(from)),
        (None, Some(to)) => format!("before {}{NO_BREAK}{zone}", words(to)),
        (None, None) => "all the time".to_owned(),
    }
}
