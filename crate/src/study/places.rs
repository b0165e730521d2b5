//! Countries and continents reached, over all bands and per band.
//!
//! A listener counts where its locator has its middle. Where a border runs through the locator's cell, or nearer than
//! the data can tell, it counts apart: such a country is reached perhaps. What country a place is in, and what
//! continents there are, is said in [`geography::places`](crate::geography::places).

use super::subject::Subject;
use super::tally::{FarTally, Tally};
use crate::geography::{Continent, Country};
use crate::model::Band;
use crate::order::LightSort;

/// How many listeners of some rows are where.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Places {
    /// Countries that listeners are in or perhaps in: those with most sure listeners first, then by name.
    pub countries: Vec<Reached<Country>>,
    /// Continents, likewise. Islands that the data set gives to no continent are on none.
    pub continents: Vec<Reached<Continent>>,
    /// Listeners in all.
    pub listeners: usize,
    /// Those that may be across a border from where they are counted.
    pub unsure: usize,
    /// Those whose locator is at sea, with no land in reach.
    pub at_sea: usize,
    /// Those without a locator.
    pub unplaced: usize,
}

/// A country or continent with its listeners.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Reached<T> {
    /// Where.
    pub place: T,
    /// Listeners that can be nowhere else.
    pub sure: usize,
    /// Listeners that may be across a border of it.
    pub perhaps: usize,
}

impl Places {
    /// Countries with a listener that can be nowhere else: at least so many are reached.
    pub fn countries_sure(&self) -> usize {
        sure(&self.countries)
    }

    /// Continents with a listener that can be nowhere else: at least so many are reached.
    pub fn continents_sure(&self) -> usize {
        sure(&self.continents)
    }

    /// Counts one listener.
    fn add(&mut self, subject: &Subject<'_>, far: &FarTally) {
        self.listeners += 1;
        let Some(place) = subject.place(far.call) else {
            self.unplaced += 1;
            return;
        };
        let Some(country) = place.country else {
            self.at_sea += 1;
            return;
        };
        let sure = place.neighbours.is_empty();
        self.unsure += usize::from(!sure);
        count(&mut self.countries, country, sure);
        if let Some(continent) = place.continent {
            count(&mut self.continents, continent, place.continent_sure);
        }
    }

    fn ordered(mut self) -> Self {
        // what compares equal stays in order of name
        self.countries.order_by(|a, b| a.place.name().cmp(b.place.name()));
        self.countries.order_by(|a, b| b.sure.cmp(&a.sure));
        self.continents.order_by(|a, b| a.place.cmp(&b.place));
        self.continents.order_by(|a, b| b.sure.cmp(&a.sure));
        self
    }
}

/// The places of all listeners of a tally.
pub fn places(subject: &Subject<'_>, tally: &Tally) -> Places {
    of(subject, tally.far.iter())
}

/// The places of those heard on each band, in the order of [`Tally::bands`].
pub fn places_by_band(subject: &Subject<'_>, tally: &Tally) -> Vec<(Band, Places)> {
    let on = |at: usize| tally.far.iter().filter(move |far| far.bands.get(at).is_some_and(|heard| heard.spots > 0));
    tally.bands.iter().enumerate().map(|(at, &band)| (band, of(subject, on(at)))).collect()
}

fn of<'t>(subject: &Subject<'_>, far: impl Iterator<Item = &'t FarTally>) -> Places {
    let mut places = Places::default();
    for far in far {
        places.add(subject, far);
    }
    places.ordered()
}

fn count<T: PartialEq>(all: &mut Vec<Reached<T>>, place: T, sure: bool) {
    let (sure, perhaps) = (usize::from(sure), usize::from(!sure));
    if let Some(reached) = all.iter_mut().find(|reached| reached.place == place) {
        reached.sure += sure;
        reached.perhaps += perhaps;
    } else {
        all.push(Reached { place, sure, perhaps });
    }
}

fn sure<T>(all: &[Reached<T>]) -> usize {
    all.iter().filter(|reached| reached.sure > 0).count()
}
