//! What the spots that leave come to, as every picture of them needs it.

use super::picture::Asked;
use super::privacy::Leaving;
use crate::draw::Antenna;
use crate::figure::disc::{DiscInput, Haste, Zoom};
use crate::geography::coastline::{DiscLand, land};
use crate::study::{Listener, Sector, Subject, Tally, bearings, listeners, reach};
use crate::words::{Answer, answer};

/// The answer, and what the Disc is drawn from.
#[derive(Debug)]
pub(super) struct Shown<'a> {
    subject: &'a Subject<'a>,
    pub(super) tally: Tally,
    pub(super) sectors: Vec<Sector>,
    pub(super) said: Answer,
    listeners: Vec<Listener>,
    land: Option<DiscLand>,
}

impl<'a> Shown<'a> {
    pub(super) fn of(subject: &'a Subject<'a>, leaving: &Leaving<'_>, asked: &Asked<'_>) -> Self {
        let tally = Tally::of(subject, &leaving.row_set());
        let name = subject.calls().first().map_or("", |&call| leaving.call(call));
        Self {
            said: answer(name, subject, &tally, &reach(subject, &tally), asked.of, asked.length),
            listeners: listeners(subject, &tally),
            sectors: bearings(subject, &tally),
            land: subject.home().map(|home| land(home.centre(), asked.extent.rim_km)),
            subject,
            tally,
        }
    }

    pub(super) fn disc<'b>(&'b self, asked: &Asked<'b>) -> DiscInput<'b> {
        DiscInput {
            subject: self.subject,
            listeners: &self.listeners,
            sectors: &self.sectors,
            bands: asked.bands,
            land: self.land.as_ref(),
            night: None,
            extent: asked.extent,
            zoom: Zoom::default(),
            antenna: Antenna::A,
            length: asked.length,
            pinned: None,
            focused: None,
            haste: Haste::None,
        }
    }
}
