//! One sentence in place of the picture.

use super::petals::middle_deg;
use super::{DiscInput, Showing};
use crate::words::number::{NO_BREAK, bearing, count, counted};

/// The sixteen directions in words, clockwise from north.
const DIRECTIONS: [&str; 16] = [
    "north",
    "north-northeast",
    "northeast",
    "east-northeast",
    "east",
    "east-southeast",
    "southeast",
    "south-southeast",
    "south",
    "south-southwest",
    "southwest",
    "west-southwest",
    "west",
    "west-northwest",
    "northwest",
    "north-northwest",
];

/// What the disc shows, in one sentence.
pub fn summary(input: &DiscInput<'_>) -> String {
    if input.subject.home().is_none() {
        return "Polar map without a place for home: no distances or bearings yet.".to_owned();
    }
    let placed = || input.listeners.iter().filter_map(|listener| Some(listener.far.as_ref()?.path));
    let all = placed().count();
    let edge = if input.extent.is_whole_earth() {
        "the point opposite".to_owned()
    } else {
        input.length.text(input.extent.rim_km)
    };
    let Some(far) = placed().max_by(|a, b| a.distance_km.total_cmp(&b.distance_km)) else {
        return format!("Polar map about home out to {edge}: no listener.");
    };
    let direction =
        far.bearing_deg.map_or_else(String::new, |degrees| format!(" at {}{NO_BREAK}degrees", bearing(degrees)));
    let mut sentence = format!(
        "Polar map about home out to {edge}: {}, the farthest {}{direction}",
        counted(all, "listener", "listeners"),
        input.length.text(far.distance_km)
    );
    let most = input.sectors.iter().filter(|sector| sector.listeners > 0).max_by_key(|sector| sector.listeners);
    if let (Some(most), true) = (most, all > 1) {
        let direction = direction_name(middle_deg(most));
        sentence.extend([", most of them (", &count(most.listeners), ") to the ", direction]);
    }
    let beyond = placed().filter(|path| path.distance_km > input.extent.rim_km).count();
    if beyond > 0 {
        sentence.extend([", ", &count(beyond), " beyond the map"]);
    }
    if let Some(night) = input.night {
        sentence.extend(["; shaded, the night at ", &night.clock(), " UTC"]);
    }
    sentence.push('.');
    sentence
}

/// What the disc shows, with what its marks say beyond where listeners are.
pub fn summary_as(input: &DiscInput<'_>, showing: &Showing<'_>) -> String {
    let sentence = summary(input);
    let more = match showing {
        Showing::Bands | Showing::Antenna { only: [] } => return sentence,
        Showing::Antenna { only } => {
            format!("{} heard this one only", counted(only.len(), "listener", "listeners"))
        }
        Showing::Differences { differences, a, b } => {
            let of_b = differences.iter().filter(|one| one.difference_db > 0.0).count();
            let clear = differences.iter().filter(|one| one.holds_together).count();
            format!(
                "{b} is stronger at {}, {a} at {}; beyond chance at {}",
                count(of_b),
                count(differences.len() - of_b),
                count(clear)
            )
        }
    };
    format!("{sentence} {more}.")
}

/// The name of the sector of a bearing in degrees.
pub(crate) fn direction_name(bearing_deg: f64) -> &'static str {
    DIRECTIONS[crate::study::bearings::sector_of(bearing_deg)]
}
