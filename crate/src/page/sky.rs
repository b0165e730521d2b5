//! Angles and hours in large: what may be chosen, what was reckoned for it, and the two pictures.

use super::loaded::Loaded;
use super::pictures::{self, hours_input};
use super::reckoned::{Basis, Reckoned};
use super::runs::Runs;
use super::session::Session;
use super::state::State;
use super::words::number;
use crate::draw::Antenna;
use crate::figure::angles::{self as angles_figure, AnglesInput, Series};
use crate::figure::hours::Key;
use crate::figure::hours_large::{self, HoursLargeInput};
use crate::figure::{Frame, Size};
use crate::model::Band;
use crate::study::angles::{AngleCounts, Angles, Layer, angles};
use crate::study::health::{BandSends, health};
use crate::study::openings::openings;
use crate::study::sunlight::{SunDay, Sunlight, sun_day, sunlight};
use crate::study::{BandOpenings, Places, Tally, places, places_by_band};
use crate::time::UtcTime;

/// What the table of the hours counts.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum Counts {
    #[default]
    Spots,
    Listeners,
    Level,
    Sends,
}

impl Counts {
    pub(super) const ALL: [(Self, &'static str, &'static str); 4] = [
        (Self::Spots, "spots", "Spots"),
        (Self::Listeners, "listeners", "Listeners"),
        (Self::Level, "level", "Median level, dB at 1\u{a0}W"),
        (Self::Sends, "sends", "Sends heard by anyone, % of those expected"),
    ];
}

/// What may be chosen, and what was reckoned for it.
#[derive(Debug, Default)]
pub(super) struct Sky {
    pub(super) layer: Layer,
    /// The band looked at; `None` for all.
    pub(super) band: Option<Band>,
    pub(super) counts: Counts,
    /// The layer and whether the clock is local, of what was seen.
    made_for: (u64, bool),
    pub(super) seen: Reckoned<Seen>,
}

/// What the spots shown say.
#[derive(Debug)]
pub(super) struct Seen {
    /// Of A and of B where two runs are compared, else of the tested antenna.
    pub(super) angles: Vec<Angles>,
    pub(super) openings: Vec<BandOpenings>,
    /// The sun at home on the day in the middle of the time shown.
    pub(super) sun: Option<SunDay>,
    local: Option<[String; 24]>,
    /// Places of all listeners shown, of each run where two are compared, and of each band.
    pub(super) places: Vec<(String, Places)>,
    pub(super) sunlight: Sunlight,
    /// Sends expected and heard by band, whatever the filters; looked for when they are asked for.
    pub(super) sends: Option<Vec<BandSends>>,
}

impl Seen {
    fn of(layer: Layer, runs: &Runs, loaded: &Loaded, state: &State) -> Self {
        let subject = loaded.subject();
        let shown = &loaded.shown;
        let mut found = Vec::new();
        let mut reached = vec![("All".to_owned(), places(&subject, &shown.tally))];
        for at in runs.compared().into_iter().flat_map(|(a, b)| [a, b]) {
            let Some(rows) = runs.sets.get(at) else { continue };
            let tally = Tally::of(&subject, &rows.and(&shown.rows));
            found.push(angles(&subject, &tally, layer));
            reached.push((runs.name(at).to_owned(), places(&subject, &tally)));
        }
        if found.is_empty() {
            found.push(angles(&subject, &shown.tally, layer));
        }
        let of_bands = places_by_band(&subject, &shown.tally).into_iter();
        reached.extend(of_bands.map(|(band, places)| (band.label(), places)));
        let middle = shown.tally.span.and_then(|(first, last)| first.plus_s((last.unix_s() - first.unix_s()) / 2));
        Self {
            angles: found,
            places: reached,
            sunlight: sunlight(&subject, &shown.rows, layer),
            sends: None,
            openings: openings(&subject, &shown.rows, &shown.tally, layer),
            sun: subject.home_position().zip(middle).map(|(home, day)| sun_day(home, day)),
            local: middle.filter(|_| state.clock.is_local()).map(|day| local_hours(state, day)),
        }
    }
}

impl Sky {
    /// Reckons anew if rows, runs, the layer or the clock changed since.
    pub(super) fn update(&mut self, basis: Basis, runs: &Runs, loaded: &Loaded, state: &State) {
        let key = (self.layer.height_km().to_bits(), state.clock.is_local());
        if self.made_for != key {
            self.made_for = key;
            self.seen.clear();
        }
        let layer = self.layer;
        self.seen.update(basis, || Seen::of(layer, runs, loaded, state));
        if self.band.is_some_and(|band| !loaded.every_band().contains(&band)) {
            self.band = None;
        }
        if let Some(seen) = self.seen.get_mut().filter(|seen| self.counts == Counts::Sends && seen.sends.is_none()) {
            let found = health(&loaded.subject(), loaded.all_rows());
            let first = found.and_then(|found| found.senders.into_iter().next());
            seen.sends = Some(first.map_or_else(Vec::new, |of| of.sends));
        }
    }

    /// The counts of the band looked at.
    pub(super) fn counts_of<'a>(&self, angles: &'a Angles) -> Option<&'a AngleCounts> {
        match self.band {
            None => Some(&angles.all),
            Some(band) => angles.bands.iter().find(|(of, _)| *of == band).map(|(_, counts)| counts),
        }
    }

    /// The band whose nearest listener is shown: the one looked at, else the one with most spots.
    pub(super) fn nearest(&self) -> Option<&BandOpenings> {
        let openings = &self.seen.get()?.openings;
        match self.band {
            Some(band) => openings.iter().find(|of| of.band == band),
            None => openings.iter().rev().max_by_key(|of| of.spots.iter().sum::<usize>()),
        }
    }
}

/// The hour of the local clock in which each UTC hour of a day begins.
fn local_hours(state: &State, day: UtcTime) -> [String; 24] {
    let start = day.plus_s(-i64::from(day.second_of_day())).unwrap_or(day);
    let mut begins = Some(start);
    std::array::from_fn(|_| {
        let clock = begins.map_or_else(String::new, |time| state.clock.clock(time));
        begins = begins.and_then(|time| time.plus_s(3600));
        // some clocks run half an hour off
        clock.strip_suffix(":00").map_or_else(|| clock.clone(), str::to_owned)
    })
}

/// The two bars of each class.
pub(super) fn series(sky: &Sky, runs: &Runs) -> Option<[Series; 2]> {
    let none = AngleCounts::default();
    let seen = sky.seen.get()?;
    let counts = |at: usize| seen.angles.get(at).and_then(|angles| sky.counts_of(angles)).unwrap_or(&none);
    Some(match runs.compared().filter(|_| seen.angles.len() == 2) {
        Some((a, b)) => {
            [Series::spots(runs.name(a), Antenna::A, counts(0)), Series::spots(runs.name(b), Antenna::B, counts(1))]
        }
        None => [Series::spots("spots", Antenna::A, counts(0)), Series::listeners("listeners", Antenna::A, counts(0))],
    })
}

/// With what the picture of angles shows.
pub(super) fn angles_input<T>(sky: &Sky, runs: &Runs, with: impl FnOnce(&AnglesInput<'_>) -> T) -> Option<T> {
    let series = series(sky, runs)?;
    Some(with(&AnglesInput { series: &series, layer: sky.layer, key: Key::Inside }))
}

/// What the picture of the hours shows.
pub(super) fn hours_large_input<'a>(sky: &'a Sky, state: &State, loaded: &'a Loaded) -> Option<HoursLargeInput<'a>> {
    let seen = sky.seen.get()?;
    Some(HoursLargeInput {
        cells: hours_input(loaded),
        local: seen.local.as_ref(),
        sun: seen.sun.as_ref(),
        nearest: sky.nearest().filter(|_| loaded.subject().home().is_some()),
        length: state.length,
    })
}

/// A frame as high as it need be, to ask for heights.
fn frame_of(state: &State) -> Frame {
    let narrow = state.surroundings.narrow;
    Frame::new(
        if narrow { 358.0 } else { 1100.0 },
        100.0,
        pictures::theme(state),
        if narrow { Size::Phone } else { Size::Full },
    )
}

/// Height of the picture of angles, CSS pixels.
pub(super) fn angles_height(state: &State) -> f64 {
    angles_figure::height(Key::Inside, &frame_of(state))
}

/// Height of the picture of the hours, CSS pixels.
pub(super) fn hours_large_height(sky: &Sky, state: &State, loaded: &Loaded) -> f64 {
    let input = hours_large_input(sky, state, loaded);
    input.map_or(100.0, |input| hours_large::height(&input, &frame_of(state)))
}

impl Session {
    /// Does what a control of the angles and hours asks for.
    pub(super) fn act_sky(&mut self, act: &str, value: &str) {
        match act {
            "sky-band" => self.sky.band = Band::from_name(value),
            "sky-layer" => {
                if let Some(layer) = number(value).and_then(Layer::at) {
                    self.sky.layer = layer;
                }
            }
            _ => {
                let counts = Counts::ALL.into_iter().find(|(_, word, _)| *word == value);
                self.sky.counts = counts.map_or_else(Counts::default, |(counts, ..)| counts);
            }
        }
        self.pictures.at.clear();
        self.pictures.touch_all();
    }
}
