//! Health of the beacon: reckoned when it is looked at, and kept until spots or runs change.

use super::loaded::Loaded;
use super::reckoned::{Basis, Reckoned};
use super::runs::Runs;
use super::state::State;
use crate::draw::Antenna;
use crate::figure::health::HealthInput;
use crate::study::health::{Health, Sender, health};

/// Most senders that are shown.
const MOST_SENDERS: usize = 5;

/// What was reckoned last.
#[derive(Debug, Default)]
pub(super) struct Watch {
    /// Of the tested station, and of A and of B where two runs are compared.
    pub(super) found: Reckoned<Vec<(String, Antenna, Health)>>,
    /// Whose picture is shown.
    pub(super) at: usize,
}

impl Watch {
    /// Reckons anew if spots or runs changed since. Filters change nothing of it: a beacon is on whoever hears it.
    pub(super) fn update(&mut self, basis: Basis, runs: &Runs, loaded: &Loaded) {
        self.found.update(basis, || {
            let subject = loaded.subject();
            let of_run =
                |at: usize, antenna| Some((runs.name(at).to_owned(), antenna, health(&subject, runs.sets.get(at)?)?));
            // the whole first: a silence may be what parts the runs
            let whole = health(&subject, loaded.all_rows()).map(|found| (loaded.name().to_owned(), Antenna::A, found));
            let pair = runs.compared().map(|(a, b)| [of_run(a, Antenna::A), of_run(b, Antenna::B)]);
            whole.into_iter().chain(pair.into_iter().flatten().flatten()).collect()
        });
    }

    fn found(&self) -> &[(String, Antenna, Health)] {
        self.found.get().map_or(&[], Vec::as_slice)
    }

    /// The senders of the whole, with their names.
    pub(super) fn whole<'a>(&'a self, loaded: &'a Loaded) -> Vec<(&'a str, &'a Sender)> {
        let senders = self.found().first().into_iter().flat_map(|(_, _, found)| &found.senders).take(2);
        senders.map(|sender| (loaded.call(sender.call), sender)).collect()
    }

    /// The senders with their names, at most a few.
    pub(super) fn senders<'a>(&'a self, loaded: &'a Loaded) -> Vec<(&'a str, Antenna, &'a Sender)> {
        let of = |(name, antenna, found): &'a (String, Antenna, Health)| {
            let several = found.senders.len() > 1;
            found.senders.iter().map(move |sender| {
                let name = if several { loaded.call(sender.call) } else { name.as_str() };
                (name, *antenna, sender)
            })
        };
        self.found().iter().flat_map(of).take(MOST_SENDERS).collect()
    }
}

/// With what the picture of the sender looked at shows.
pub(super) fn health_input<T>(watch: &Watch, loaded: &Loaded, with: impl FnOnce(&HealthInput<'_>) -> T) -> Option<T> {
    let senders = watch.senders(loaded);
    let &(name, antenna, sender) = senders.get(watch.at).or(senders.first())?;
    Some(with(&HealthInput { sender, name, antenna }))
}

/// Height of the picture, CSS pixels.
pub(super) fn health_height(state: &State) -> f64 {
    if state.surroundings.narrow { 220.0 } else { 280.0 }
}
