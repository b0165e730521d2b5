//! The sentence that answers: how far, from how many, on which bands, when. And how strong its evidence is.

use super::number::{Length, NO_BREAK, bearing, count, counted};
use super::terms::far_words;
use crate::geography::geodesic::OPPOSITE_KM;
use crate::model::{Band, Side};
use crate::study::doubt::Doubt;
use crate::study::{Reach, Subject, Tally};

/// Past this distance, near the point opposite, the bearing means hardly anything: km.
const NEARLY_OPPOSITE_KM: f64 = 19_000.0;
/// SNR in dB under which a WSPR report is near the decoding floor (about -29 dB in 2500 Hz; common practice, no source).
const NEAR_FLOOR_DB: f64 = -25.0;
/// Under so many spots little can be told.
const FEW_SPOTS: usize = 20;

/// The answer in two parts: the sentence after the antenna's name, and the qualification under it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Answer {
    /// Name of the antenna or station, by which the sentence begins.
    pub name: String,
    /// The rest of the sentence, with its leading punctuation.
    pub sentence: String,
    /// One line about strength of evidence.
    pub evidence: String,
}

impl Answer {
    /// The whole sentence.
    pub fn whole(&self) -> String {
        format!("{}{}", self.name, self.sentence)
    }
}

/// Answers for the rows that `tally` counted; `of` is the number of spots before filtering.
pub fn answer(name: &str, subject: &Subject<'_>, tally: &Tally, reach: &Reach, of: usize, length: Length) -> Answer {
    let filtered = tally.spots < of;
    let far = far_words(subject.side());
    let name = name.to_owned();
    if tally.spots == 0 {
        let sentence = if of == 0 {
            ": no spots.".to_owned()
        } else {
            format!(": none of its {} passes the filters.", counted(of, "spot", "spots"))
        };
        return Answer { name, sentence, evidence: String::new() };
    }
    let mut sentence = String::from(if filtered { ", filtered: " } else { ": " });
    sentence += &counted(tally.spots, "spot", "spots");
    sentence += match subject.side() {
        Side::Sends => " from ",
        Side::Hears => " of ",
    };
    sentence += &counted(tally.far.len(), far.0, far.1);
    let on_bands = match tally.bands.as_slice() {
        [band] if *band == Band::UNKNOWN => ", band unknown".to_owned(),
        [band] => format!(" on {}", band.label()),
        bands if filtered && bands.len() <= 3 => format!(" on {}", list(bands)),
        bands => format!(" on {}{NO_BREAK}bands", count(bands.len())),
    };
    sentence += &on_bands;
    if let Some(farthest) = reach.farthest {
        sentence.extend([", farthest ", &length.text(farthest.km)]);
        match farthest.bearing_deg {
            _ if farthest.km >= NEARLY_OPPOSITE_KM => sentence += ", nearly the point opposite home",
            Some(degrees) => sentence.extend([" at ", &bearing(degrees), "\u{a0}degrees"]),
            None => {}
        }
    }
    let all_day = tally.round_the_clock();
    if !all_day.is_empty() && !filtered {
        let bands = if all_day.len() == tally.bands.len() && all_day.len() > 1 {
            if all_day.len() == 2 { "both".to_owned() } else { format!("all {}", small_number(all_day.len())) }
        } else {
            list(&all_day)
        };
        sentence.extend([", heard round the clock on ", &bands]);
    }
    sentence.push('.');
    let mut parts = evidence(tally, reach, filtered, length, far.1);
    if let (Some(moved), Some(home)) = (subject.doubts().rows(Doubt::Moved), subject.home()) {
        let n = counted(moved.count(), "spot", "spots");
        parts.push(format!("{n} with another place of {name}: distances and bearings are all reckoned from {home}."));
    }
    Answer { name, sentence, evidence: parts.join(" ") }
}

fn evidence(tally: &Tally, reach: &Reach, filtered: bool, length: Length, far: &str) -> Vec<String> {
    let mut parts = Vec::new();
    if filtered {
        parts.push("Filters are on: the sentence and every figure speak of what is left.".to_owned());
    }
    if tally.spots < FEW_SPOTS {
        parts.push("So few spots tell that a path was open, not how well the antenna works.".to_owned());
    } else if let (Some(median), Some(p90), false) = (reach.median_km, reach.p90_km, filtered || reach.placed < 2) {
        parts.push(format!(
            "Half of the {far} lie within {}, nine in ten within {}.",
            length.text(median),
            length.text(p90)
        ));
    }
    if reach.placed < tally.far.len() {
        let unplaced = tally.far.len() - reach.placed;
        parts.push(format!(
            "{} of {} {far} without a place: not in the distances.",
            count(unplaced),
            count(tally.far.len())
        ));
    }
    if let Some(farthest) = reach.farthest {
        let weak = farthest.best_snr_db.is_some_and(|snr| snr < NEAR_FLOOR_DB);
        if farthest.spots <= 2 && tally.spots >= FEW_SPOTS {
            let times = if farthest.spots == 1 { "once" } else { "twice" };
            let floor = if weak { ", near the decoding floor" } else { "" };
            let repeated = match reach.farthest_repeated {
                Some(repeated) if farthest.spots == 1 => {
                    format!("; heard at least twice: {}", length.text(repeated.km))
                }
                _ => String::new(),
            };
            parts.push(format!("The farthest was reported {times}{floor}: weak evidence{repeated}."));
        } else if farthest.km >= NEARLY_OPPOSITE_KM {
            let short = (OPPOSITE_KM - farthest.km).max(0.0);
            // where it stands, not how far the others do: the line is to stay one line
            parts.retain(|part| !part.starts_with("Half "));
            parts.push(format!(
                "The farthest lies {} short of that point, where all bearings meet: its distance is sound, its bearing means hardly anything.",
                length.text(short)
            ));
        }
    }
    parts
}

/// `80 m, 40 m and 30 m`.
pub fn list(bands: &[Band]) -> String {
    match bands {
        [] => String::new(),
        [band] => band.label(),
        [most @ .., last] => {
            let most: Vec<_> = most.iter().map(|band| band.label()).collect();
            format!("{} and {}", most.join(", "), last.label())
        }
    }
}

fn small_number(n: usize) -> String {
    ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"]
        .get(n)
        .map_or_else(|| count(n), |&word| word.to_owned())
}
