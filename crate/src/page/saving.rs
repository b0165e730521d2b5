//! Saving: what leaves, in which form, and what is kept back of it.

use super::message::Patch;
use super::parts::Part;
use super::pictures::views;
use super::session::Session;
use super::state::Rows;
use super::views::save::Save;
use super::zone::Clock;
use crate::model::Side;
use crate::share::picture::{self, Asked};
use crate::share::report::{self, Pair};
use crate::share::shared;
use crate::share::tables::{self, Kind, Looked};
use crate::share::{Leaving, Privacy, RunNotes, Source, adif, csv, map, work_file};
use crate::words::answer::list;
use crate::words::number::in_files;

/// What is chosen in the panel.
#[derive(Clone, Debug, Default)]
pub(super) struct Saving {
    pub(super) privacy: Privacy,
    /// Are paths drawn on maps?
    pub(super) paths: bool,
    /// Who shares a page, if they say so.
    pub(super) by: String,
    /// Can the system send a picture on?
    pub(super) sends: bool,
}

impl Session {
    /// What leaves: the spots shown, in their order where they are listed.
    pub(super) fn leaving(&self) -> Option<Leaving<'_>> {
        let work = self.work.as_ref()?;
        let rows = match (&self.order, self.state.rows) {
            (Some((made_for, order)), Rows::Spots) if *made_for == self.order_key() => order.clone(),
            _ => work.loaded.shown.rows.iter().filter_map(|row| u32::try_from(row).ok()).collect(),
        };
        let dealt = self.runs.sets.iter().zip(&self.runs.facts);
        let runs = self.runs.cards.iter().zip(dealt).map(|(card, (rows, facts))| RunNotes {
            run: card.run.clone(),
            words: [&card.antenna, &card.height, &card.direction, &card.notes].map(String::clone),
            rows: Some(rows.clone()),
            powers: facts.powers.clone(),
            place: facts.place,
        });
        let source = if work.sample { Source::Sample } else { Source::Files };
        Some(self.state.saving.privacy.apply(&work.loaded.subject(), rows, source, runs.collect()))
    }

    /// The panel.
    pub(super) fn save_panel(&self) -> Option<Save> {
        let leaving = self.leaving()?;
        let pictured = leaving.subject().home().is_some();
        let control = self.control_that_leaves(&leaving);
        let two = self.runs.compared().is_some();
        Some(Save::new(self.state.saving.clone(), &leaving.leaves(), control, [pictured, two], self.tables_there_are()))
    }

    fn tables_there_are(&self) -> impl Iterator<Item = &'static str> {
        let two = self.runs.compared().is_some();
        let sends = self.work.as_ref().is_some_and(|work| work.loaded.tested.side == Side::Sends);
        Kind::ALL
            .into_iter()
            .filter(move |(kind, _)| {
                (two || !kind.is_of_two()) && (sends || !matches!(kind, Kind::Sends | Kind::Silences))
            })
            .map(|(_, word)| word)
    }

    /// Hands over a file.
    pub(super) fn save(&mut self, what: &str) {
        match what {
            "work" => return self.save_work(),
            "page" => return self.share_page(),
            _ => {}
        }
        // the order of the rows, where they were not listed yet
        if self.spots().is_none() {
            return;
        }
        let basis = self.basis();
        if let Some(work) = &self.work {
            self.compared.compare(basis, &self.runs, &work.loaded, &self.state.filter);
        }
        let Some(leaving) = self.leaving() else { return };
        let paths = self.state.saving.paths;
        let (word, ending, media_type, bytes) = match what {
            "csv" => ("spots", "csv", "text/csv", csv::spots(&leaving)),
            "adi" => ("spots", "adi", "text/plain", adif::spots(&leaving)),
            "geojson" => ("map", "geojson", "application/geo+json", map::geojson(&leaving, paths)),
            "kml" => ("map", "kml", "application/vnd.google-earth.kml+xml", map::kml(&leaving, paths)),
            "report" => ("report", "html", "text/html", self.report(&leaving).into_bytes()),
            "svg" => ("disc", "svg", "image/svg+xml", self.picture(&leaving).into_bytes()),
            "svg-work" => {
                let (picture, work) =
                    (self.picture(&leaving), shared::work(&self.with_control(leaving.clone()), &self.sharing()).text());
                ("disc-with-spots", "svg", "image/svg+xml", work_file::in_picture(&picture, &work).into_bytes())
            }
            "difference-svg" => ("difference", "svg", "image/svg+xml", self.difference(&leaving).into_bytes()),
            "png-1" | "png-2" | "png-4" | "copy" | "send" | "difference-png-1" | "difference-png-2"
            | "difference-png-4" => {
                let times = what.rsplit('-').next().and_then(|times| times.parse().ok()).unwrap_or(2);
                let to = match what {
                    "copy" => "copy",
                    "send" => "send",
                    _ => "save",
                };
                let (word, text) = if what.starts_with("difference") {
                    ("difference", self.difference(&leaving))
                } else {
                    ("disc", self.picture(&leaving))
                };
                let name = leaving.file_name(word, "png");
                if to == "save" {
                    self.announce_saved(&name);
                }
                self.out.push(Patch::Raster { to, name, text, times });
                return;
            }
            _ => {
                let Some((kind, word)) = Kind::ALL.into_iter().find(|(_, word)| *word == what) else { return };
                let mut looked = Looked { layer: self.sky.layer, pair: self.runs.compared(), against: Vec::new() };
                if let Some(contrast) = self.compared.contrast() {
                    looked.against.push((contrast.pair.1, &contrast.comparison));
                    let others = contrast.others.iter();
                    looked.against.extend(others.filter_map(|(at, found, _)| Some((*at, found.as_ref()?))));
                }
                let table = tables::table(kind, &leaving, &looked);
                (word, "csv", "text/csv", csv::table(&table, leaving.source()))
            }
        };
        let name = leaving.file_name(word, ending);
        self.announce_saved(&name);
        self.out.push(Patch::Save { name, media_type, bytes });
    }

    pub(super) fn announce_saved(&mut self, name: &str) {
        self.announce(format!("{name} saved."));
    }

    /// The Disc to stand alone.
    fn picture(&self, leaving: &Leaving<'_>) -> String {
        self.asked(&|asked| picture::disc(leaving, asked))
    }

    /// The two runs compared.
    fn pair(&self) -> Option<Pair<'_>> {
        let contrast = self.compared.contrast()?;
        Some(Pair { runs: contrast.pair, found: &contrast.comparison, settings: self.runs.settings })
    }

    /// Their difference by band to stand alone.
    fn difference(&self, leaving: &Leaving<'_>) -> String {
        self.asked(&|asked| self.pair().map_or_else(String::new, |pair| picture::difference(leaving, asked, pair)))
    }

    /// Everything on one page.
    fn report(&self, leaving: &Leaving<'_>) -> String {
        let pair = self.pair();
        let readings = self.work.as_ref().map_or(&[][..], |work| &work.readings);
        self.asked(&|&shown| report::report(leaving, &report::Asked { shown, pair, readings }))
    }

    /// Makes something of how the spots are shown.
    fn asked(&self, make: &dyn Fn(&Asked<'_>) -> String) -> String {
        let Some(work) = &self.work else { return String::new() };
        let (state, loaded) = (&self.state, &work.loaded);
        let views = views(state, loaded);
        let filter = &state.filter;
        let on = Part::ALL.into_iter().filter(|part| part.is_on(filter));
        let utc = Clock::default();
        // names of listeners may be kept back
        let words = |part: Part| match part {
            Part::Listener if state.saving.privacy != Privacy::default() => "some listeners".to_owned(),
            Part::Band => list(&filter.bands.iter().flatten().copied().collect::<Vec<_>>()),
            _ => part.chip(filter, loaded, state.length, &utc),
        };
        make(&Asked {
            extent: views.extent(self.pictures.shown_kind(&views)),
            length: state.length,
            bands: loaded.every_band(),
            of: loaded.all.tally.spots,
            filters: &in_files(|| on.map(words).collect::<Vec<_>>()),
        })
    }

    /// Something is to be kept back, or not any more.
    pub(super) fn keep_back(&mut self, what: &str) {
        let saving = &mut self.state.saving;
        let privacy = &mut saving.privacy;
        let chosen = match what {
            "places" => &mut privacy.short_locators,
            "calls" => &mut privacy.number_calls,
            "tested" => &mut privacy.hide_tested,
            "notes" => &mut privacy.no_notes,
            "paths" => &mut saving.paths,
            _ => return,
        };
        *chosen = !*chosen;
    }
}
