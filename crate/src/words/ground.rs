//! What two runs share, and what is left out of their comparison and why.

use super::number::{Length, NO_BREAK, count, counted, difference, whole};
use crate::study::compare::{Comparison, Design, Part, Shared};

/// What the plot of intervals shows where days are not told apart from antennas.
pub const TICKS: &str =
    "Two ticks: what the spots alone would say, were both days alike. Dashed: with the change from day to day.";

/// How the runs lay in time.
pub fn design(design: Design) -> &'static str {
    match design {
        Design::Interleaved => "in turn or at once",
        Design::SeparateDays => "on different days",
        Design::SeparateDaysControl => "on different days, with a control",
    }
}

/// All of it in one sentence.
pub fn shared(found: &Comparison) -> String {
    let ground = &found.ground;
    format!(
        "Shared ground: {} of {} bands, {} of {} listeners, {} safe of {}.",
        count(ground.bands.both),
        count(ground.bands.all()),
        count(ground.listeners.both),
        count(ground.listeners.all()),
        count(ground.safe),
        counted(ground.pairs.both, "pair", "pairs"),
    )
}

/// `12 listeners with Doublet only, 9 listeners with Vertical only left out.`, or `all` where nothing is.
pub fn left(shared: Shared, (one, many): (&str, &str), (a, b): (&str, &str), all: &str) -> String {
    let part = |n: usize, name: &str| (n > 0).then(|| format!("{} with {name} only", counted(n, one, many)));
    let parts: Vec<String> = [part(shared.only_a, a), part(shared.only_b, b)].into_iter().flatten().collect();
    if parts.is_empty() { all.to_owned() } else { format!("{} left out.", parts.join(", ")) }
}

/// Spots that have no partner.
pub fn without_partner(found: &Comparison, a: &str, b: &str) -> String {
    let pairs = found.ground.pairs;
    format!(
        "{} of {a} and {} of {b} have no partner and are left out.",
        counted(pairs.only_a, "spot", "spots"),
        count(pairs.only_b)
    )
}

/// Pairs that the floor may have bent.
pub fn near_floor(found: &Comparison) -> String {
    format!(
        "{} too near the floor ({}{NO_BREAK}dB) to be trusted.",
        counted(found.ground.near_floor, "pair is", "pairs are"),
        whole(found.floor_db)
    )
}

/// Why listeners that heard one antenna only do not count, with what all pairs would have said.
pub fn one_only(all: &Part) -> String {
    let plain =
        all.all_pairs_db.map_or_else(String::new, |db| format!(" (all pairs here: {}{NO_BREAK}dB)", difference(db)));
    format!(
        "A listener that heard one antenna only has no pair. Leaving such reports out makes a real difference look \
         smaller where all pairs are averaged, since the weaker antenna is then seen only in its better \
         moments{plain}. Safe pairs do not suffer so: they are chosen by the mean of both levels, which says nothing \
         about their difference."
    )
}

/// What two sites mean.
pub fn sites(apart_km: f64, length: Length) -> String {
    format!(
        "The two stood {} apart: reach and bearings are each from its own site, and the difference in dB is that of \
         antenna and site together.",
        length.text(apart_km)
    )
}
