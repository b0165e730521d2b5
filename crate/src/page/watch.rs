//! Health of the beacon: reckoned when it is looked at, and kept until spots or runs change.

use super::loaded::Loaded;
use super::runs::Runs;
use super::state::State;
use crate::draw::Antenna;
use crate::figure::health::HealthInput;
use crate::study::health::{Health, Sender, health};

/// Most senders that are shown.
const MOST_SENDERS: usize = 4;

/// What was reckoned last.
#[derive(Debug, Default)]
pub(super) struct Watch {
    made_for: Option<(usize, u64)>,
    /// Of A and of B where two runs are compared, else of the tested station.
    found: Vec<(String, Antenna, Health)>,
    /// Whose picture is shown.
    pub(super) at: usize,
}

impl Watch {
    /// Reckons anew if spots or runs changed since. Filters change nothing: a beacon is on whoever hears it.
    pub(super) fn update(&mut self, runs: &Runs, loaded: &Loaded) {
        let key = (loaded.all.tally.spots, runs.revision);
        if self.made_for == Some(key) {
            return;
        }
        self.made_for = Some(key);
        let subject = loaded.subject();
        let of_run =
            |at: usize, antenna| Some((runs.name(at).to_owned(), antenna, health(&subject, runs.sets.get(at)?)?));
        let pair = runs.compared().map(|(a, b)| [of_run(a, Antenna::A), of_run(b, Antenna::B)]);
        self.found = match pair {
            Some(pair) => pair.into_iter().flatten().collect(),
            None => health(&subject, loaded.all_rows())
                .map(|found| (loaded.name().to_owned(), Antenna::A, found))
                .into_iter()
                .collect(),
        };
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
        self.found.iter().flat_map(of).take(MOST_SENDERS).collect()
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
