//! The tour of the sample: how far, which part, which antenna, how that came about, and then one's own file.
//!
//! It is a line in the strip under the bar, never over anything; each step does with the page's own controls what it
//! tells, so that it can be undone like anything else, and marks the control.

use super::message::Patch;
use super::session::Session;
use super::state::Told;
use super::views::frame::TourWords;
use crate::model::Band;
use crate::order::set;
use crate::study::Filter;

/// The step at which one's own files are told of.
const LAST: usize = 4;

/// How far a person is with it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum Tour {
    /// The sample was not shown yet.
    #[default]
    NotYet,
    /// It waits in the strip.
    Offered,
    /// A step is shown.
    At(usize),
    /// It was left or came to its end, and is not offered again.
    Over,
}

impl Session {
    /// Other files are shown: with the sample the tour is offered, with others it ends.
    pub(super) fn offer_tour(&mut self) {
        self.tour = match (self.tour, self.is_sample()) {
            (Tour::NotYet | Tour::Offered, true) if self.shared.is_none() => Tour::Offered,
            (Tour::NotYet | Tour::Offered, _) => Tour::NotYet,
            _ => Tour::Over,
        };
    }

    /// The next step, or the end.
    pub(super) fn act_tour(&mut self, value: &str) {
        self.tour = match self.tour {
            Tour::Offered if value == "next" => Tour::At(0),
            Tour::At(step) if value == "next" && step < LAST => Tour::At(step + 1),
            _ => Tour::Over,
        };
        let Tour::At(step) = self.tour else {
            self.out.push(Patch::Focus { id: "middle".to_owned() });
            return;
        };
        let filter = Filter { bands: (step == 1).then(|| set(self.busiest())), ..Filter::default() };
        if filter != self.state.filter {
            self.state.filter = filter;
            self.filter_changed();
        }
        self.act("view", if step < 2 { "disc" } else { "compare" }, false);
        self.state.how = (step >= 3).then_some(Told::AllBands);
        // what the step says takes the place of what its filter would say
        self.out.retain(|patch| !matches!(patch, Patch::Announce { .. }));
        let said = self.tour_words().map_or_else(String::new, |words| words.sentence);
        self.announce(said);
        self.out.push(Patch::Focus { id: "tour-next".to_owned() });
    }

    fn busiest(&self) -> Option<Band> {
        self.runs.facts.first().and_then(|facts| facts.busiest)
    }

    /// What the strip says of it, if anything.
    pub(super) fn tour_words(&self) -> Option<TourWords> {
        let narrow = self.state.surroundings.narrow;
        let (a, b) = self.runs.pair;
        let (sentence, mark) = match self.tour {
            Tour::NotYet | Tour::Over => return None,
            Tour::Offered => ("Two minutes: how far, which part, which antenna.".to_owned(), ""),
            Tour::At(0) => {
                let says = "How far: the Disc shows each listener by bearing and distance; point at a mark, or press it, to read of it.";
                (says.to_owned(), "picture-disc")
            }
            Tour::At(1) => {
                let band = self.busiest().map_or_else(String::new, Band::label);
                let says = format!(
                    "Which part: a filter leaves a part of the spots, here {band} alone; its cross takes it away."
                );
                (says, if narrow { "chip-band" } else { "part-band" })
            }
            Tour::At(2) => {
                let (a, b) = (self.runs.name(a), self.runs.name(b));
                let says = format!(
                    "Which antenna: Compare holds {b} against {a}; a control, a beacon that did not change, tells what the days changed."
                );
                (says, if narrow { "thumb-compare" } else { "nav-compare" })
            }
            Tour::At(3) => {
                let says = "How it came about: a press on a difference tells its reckoning, step by step.";
                (says.to_owned(), "how-words")
            }
            Tour::At(_) => {
                let says = "Your own: drop, paste or open a file of yours, and the sample makes room.";
                (says.to_owned(), if narrow { "thumb-more" } else { "open-files" })
            }
        };
        let (next, leave) = match self.tour {
            Tour::Offered => ("Show me", "No thanks"),
            Tour::At(LAST) => ("Done", ""),
            _ => ("Next", "Leave"),
        };
        let step =
            if let Tour::At(step) = self.tour { format!("Step {} of {}", step + 1, LAST + 1) } else { String::new() };
        Some(TourWords { step, sentence, mark, next, leave })
    }
}
