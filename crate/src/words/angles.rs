//! Sun, hops and likely take-off angles in words, and what angles cannot say.

use super::number::{NO_BREAK, decimals, whole};
use crate::sky::SunState;
use crate::study::angles::{HopClass, Layer};

/// `day`: a state of the sun.
pub fn sun(state: SunState) -> &'static str {
    match state {
        SunState::Day => "day",
        SunState::Twilight => "twilight",
        SunState::Night => "night",
    }
}

/// `one hop`: a class of hops.
pub fn hops(class: HopClass) -> &'static str {
    match class {
        HopClass::NearVertical => "near-vertical",
        HopClass::OneHop => "one hop",
        HopClass::TwoHops => "two hops",
        HopClass::MoreHops => "three hops or more",
    }
}

/// `5 to 10°`: a class of angles.
pub fn range((from_deg, to_deg): (f64, f64)) -> String {
    format!("{} to {}°", decimals(from_deg, 0), decimals(to_deg, 0))
}

/// What a picture of angles cannot say, in two sentences.
pub fn cannot_say() -> &'static str {
    "This cannot say at which angle a signal left. It says which angle would fit the distance, had it come by the \
     fewest equal hops off a layer of that height."
}

/// What bar and whisker are, and what to read them with.
pub fn caution(layer: Layer) -> String {
    let (low, high) = layer.range_km();
    format!(
        "Bar: layer at {}{NO_BREAK}km. Whisker: the fewest and the most with a layer anywhere from {} to \
         {}{NO_BREAK}km. Where nobody listens nothing is seen, so a count of listeners is no pattern of an antenna: \
         to tell two antennas apart at an angle, compare them at the same listeners.",
        whole(layer.height_km()),
        whole(low),
        whole(high)
    )
}
