//! Sun, hops and likely take-off angles in words, and what angles cannot say.

use super::headline::{Headline, Named};
use super::number::{Length, NO_BREAK, count, counted, decimals, whole};
use crate::model::Band;
use crate::sky::SunState;
use crate::study::angles::{AngleCounts, HopClass, Layer, PathAngle};

/// Below so many spots nothing is said about their angles.
const LEAST_SPOTS: usize = 20;
/// Halves nearer to one another than this are alike, degrees.
const ALIKE_DEG: f64 = 1.0;

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

/// How a path was likely covered: `likely 1 hop at 14° (11 to 18), ray 1 260 km`.
pub fn path(of: &PathAngle, length: Length) -> String {
    format!(
        "likely {} at {}° ({} to {}), ray {}",
        counted(of.hops as usize, "hop", "hops"),
        decimals(of.elevation_deg, 0),
        decimals(of.range_deg.0, 0),
        decimals(of.range_deg.1, 0),
        length.text(of.slant_km)
    )
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

/// The answer of the angles: of one antenna, or of two against each other. `band` says which band is looked at.
pub fn headline(of: &[(String, &AngleCounts)], band: Option<Band>) -> Headline {
    let mut head = Headline::default();
    let on = band.map_or_else(String::new, |band| format!(" on {}", band.label()));
    if of.iter().any(|(_, counts)| counts.spots < LEAST_SPOTS) || of.is_empty() {
        let spots: Vec<String> = of.iter().map(|(name, counts)| format!("{name} {}", count(counts.spots))).collect();
        head.say(format!("Too few spots{on} to speak of their angles: {}.", spots.join(", ")));
        head.evidence = format!("At least {LEAST_SPOTS} spots at listeners of known place are looked at together.");
        return head;
    }
    let half = |counts: &AngleCounts| counts.half_under_deg.unwrap_or_default();
    let degrees = |counts: &AngleCounts| decimals(half(counts), 0);
    if let [(a, of_a), (b, of_b)] = of {
        if (half(of_a) - half(of_b)).abs() < ALIKE_DEG {
            let (of_a, of_b) = (degrees(of_a), degrees(of_b));
            let other = if of_a == of_b { String::new() } else { format!(" and {of_b}") };
            head.say(format!(
                "The spots of {a} and {b} fit like angles{on}: half of either lie under {of_a}{other}{NO_BREAK}degrees."
            ));
        } else {
            let (first, second) = ((a, Named::A, of_a), (b, Named::B, of_b));
            let (low, high) = if half(of_a) < half(of_b) { (first, second) } else { (second, first) };
            head.name(low.0, low.1);
            head.say(format!("\u{2019}s spots fit lower angles{on} than those of "));
            head.name(high.0, high.1);
            let (low, high) = (degrees(low.2), degrees(high.2));
            head.say(format!(": half of them under {low}{NO_BREAK}degrees, against {high}."));
        }
        head.evidence.push_str(
            "Likely angles only, from distance and an assumed layer height; the two runs share the assumption, so their \
             order is surer than the figures. The listeners may be others: Compare holds the same ones against each other.",
        );
    } else if let [(name, counts), ..] = of {
        let share =
            |class: HopClass| decimals(100.0 * counts.hops[class.index()].spots as f64 / counts.spots as f64, 0);
        head.say(format!(
            "Half of the spots of {name}{on} fit angles under {}{NO_BREAK}degrees; {}{NO_BREAK}% fit near-vertical paths, \
             {}{NO_BREAK}% one hop.",
            degrees(counts),
            share(HopClass::NearVertical),
            share(HopClass::OneHop)
        ));
        let (low, high) = counts.half_under_range_deg.unwrap_or_default();
        head.evidence = format!(
            "Likely angles only, from distance and an assumed layer height: with other heights half lie under {} to {}{NO_BREAK}degrees.",
            decimals(low, 0),
            decimals(high, 0)
        );
    }
    head
}
