//! A comparison in one answer: strongest difference first, then what does not differ, then what cannot be told.

use super::answer::list;
use super::number::{NO_BREAK, count, counted, decimals, difference};
use crate::model::Band;
use crate::order::LightSort;
use crate::study::compare::{Comparison, Design, Part, Settings, Verdict};

/// Which antenna a piece of a sentence names, and so whose colour it takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Named {
    /// The first.
    A,
    /// The second.
    B,
}

/// A piece of a sentence; a name takes its colour only where it is the winner.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Piece {
    /// The words.
    pub text: String,
    /// The winner it names.
    pub named: Option<Named>,
}

/// The answer of a comparison: the sentence in pieces, and one line of evidence under it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Headline {
    /// The sentence.
    pub pieces: Vec<Piece>,
    /// How strong its evidence is.
    pub evidence: String,
}

impl Headline {
    /// The sentence as one text.
    pub fn whole(&self) -> String {
        self.pieces.iter().map(|piece| piece.text.as_str()).collect()
    }

    pub(crate) fn say(&mut self, text: impl Into<String>) {
        self.pieces.push(Piece { text: text.into(), named: None });
    }

    pub(crate) fn name(&mut self, text: &str, named: Named) {
        self.pieces.push(Piece { text: text.to_owned(), named: Some(named) });
    }
}

/// The bands won by one antenna, strongest first.
struct Won<'a> {
    named: Named,
    name: &'a str,
    bands: Vec<(&'a Band, f64, &'a Part)>,
}

/// Answers which antenna is better, where, and by how much.
pub fn headline(a: &str, b: &str, comparison: &Comparison, settings: Settings) -> Headline {
    let mut head = Headline { pieces: Vec::new(), evidence: evidence(comparison, settings) };
    let won = |named: Named, name, verdict: Verdict, sign: f64| {
        let of = comparison.bands.iter().filter(|(_, part)| part.verdict == verdict);
        let mut bands: Vec<_> = of.filter_map(|(band, part)| Some((band, part.difference_db? * sign, part))).collect();
        bands.order_by(|x, y| y.1.total_cmp(&x.1));
        Won { named, name, bands }
    };
    let mut winners = vec![won(Named::B, b, Verdict::BStronger, 1.0), won(Named::A, a, Verdict::AStronger, -1.0)];
    winners.retain(|winner| !winner.bands.is_empty());
    let most = |winner: &Won<'_>| winner.bands.first().map_or(0.0, |band| band.1);
    winners.order_by(|x, y| most(y).total_cmp(&most(x)));
    for (at, winner) in winners.iter().enumerate() {
        if at > 0 {
            head.say("; ");
        }
        head.name(winner.name, winner.named);
        head.say(if at == 0 { " is stronger" } else { "" });
        let last = winner.bands.len() - 1;
        for (place, &(band, by_db, part)) in winner.bands.iter().enumerate() {
            let joint = if place == 0 {
                " "
            } else if place == last {
                ", and "
            } else {
                ", "
            };
            let trace = if is_trace(part, settings) { "by a trace, " } else { "by " };
            head.say(format!("{joint}on {}, {trace}{}{NO_BREAK}dB", band.label(), decimals(by_db, 1)));
        }
    }
    let of = |verdict: Verdict| -> Vec<Band> {
        comparison.bands.iter().filter(|(_, part)| part.verdict == verdict).map(|&(band, _)| band).collect()
    };
    let (alike, open) = (of(Verdict::NoDifference), of(Verdict::NotEnough));
    if !winners.is_empty() {
        head.say(".");
    } else if alike.is_empty() {
        cannot_tell(&mut head, a, b, comparison);
        return head;
    } else {
        head.say(format!(
            "{a} and {b} do not differ by more than {}{NO_BREAK}dB on {}.",
            small(settings),
            list(&alike)
        ));
    }
    if !winners.is_empty() && !alike.is_empty() {
        head.say(format!(" On {} they differ by less than {}{NO_BREAK}dB.", list(&alike), small(settings)));
    }
    if !open.is_empty() {
        let bands = if open.len() > 3 { counted(open.len(), "other band", "other bands") } else { list(&open) };
        head.say(format!(" On {bands} it cannot be told."));
    }
    head
}

fn small(settings: Settings) -> String {
    let db = settings.too_small_db;
    decimals(db, usize::from((db - db.round()).abs() > 0.01))
}

/// Does the interval exclude zero and yet lie within what is too small to matter?
pub fn is_trace(part: &Part, settings: Settings) -> bool {
    part.low_db.zip(part.high_db).is_some_and(|(low, high)| low.abs().max(high.abs()) <= settings.too_small_db)
}

/// Where no band is settled: all bands together may still be, else why nothing can be said.
fn cannot_tell(head: &mut Headline, a: &str, b: &str, comparison: &Comparison) {
    let all = &comparison.all;
    let winner = match all.verdict {
        Verdict::BStronger => Some((Named::B, b, a)),
        Verdict::AStronger => Some((Named::A, a, b)),
        _ => None,
    };
    if let (Some((named, winner, other)), Some(by)) = (winner, all.difference_db) {
        head.name(winner, named);
        head.say(format!(
            " is stronger than {other} over all bands together, by {}{NO_BREAK}dB; on no band alone can it be told.",
            decimals(by.abs(), 1)
        ));
        return;
    }
    let why = match comparison.design {
        _ if comparison.ground.listeners.both == 0 => ": no listener heard both.".to_owned(),
        _ if comparison.ground.bands.both == 0 => ": they share no band.".to_owned(),
        _ if comparison.ground.pairs.both == 0 => {
            ": no listener heard both on the same band at a time that can be paired.".to_owned()
        }
        Design::SeparateDays => {
            ": they ran on different days, and days differ by more than most antennas do.".to_owned()
        }
        Design::SeparateDaysControl | Design::Interleaved => match soonest(comparison) {
            Some((band, hours)) => format!(
                " yet: about {} more of the same test would settle {}.",
                super::verdict::hours(hours),
                band.label()
            ),
            None => ": there are too few pairs well above the decoding floor.".to_owned(),
        },
    };
    head.say(format!("{a} and {b} cannot be told apart{why}"));
}

/// The band that would be settled first, within a week.
fn soonest(comparison: &Comparison) -> Option<(Band, f64)> {
    let hours = comparison.bands.iter().filter_map(|(band, part)| Some((*band, part.more_hours?)));
    hours.filter(|&(_, hours)| hours <= 24.0 * 7.0).min_by(|x, y| x.1.total_cmp(&y.1))
}

fn evidence(comparison: &Comparison, settings: Settings) -> String {
    let pairs = counted(comparison.ground.safe, "safe pair", "safe pairs");
    let mut text = match comparison.design {
        Design::Interleaved => {
            format!("From {pairs}: the same listener, the same band, near in time, both well above the decoding floor.")
        }
        Design::SeparateDaysControl => format!(
            "From {pairs} of the same listener, band and time of day; what the control beacon changed from day to day is taken off."
        ),
        Design::SeparateDays if comparison.days.0 + comparison.days.1 > 2 => format!(
            "From {pairs} on {} and {} of each; how much days alone differ widens every interval.",
            counted(comparison.days.0, "day", "days"),
            count(comparison.days.1)
        ),
        Design::SeparateDays => {
            let least = 1.96 * settings.day_to_day_db;
            format!(
                "{}, one day each and no control beacon: a difference under {}{NO_BREAK}dB would not show.",
                counted(comparison.ground.safe, "safe pair", "safe pairs"),
                decimals(least, 0)
            )
        }
    };
    let claimed: Vec<Band> = comparison
        .bands
        .iter()
        .filter(|(_, part)| matches!(part.verdict, Verdict::AStronger | Verdict::BStronger) && !part.holds_together)
        .map(|&(band, _)| band)
        .collect();
    if !claimed.is_empty() && comparison.bands.len() > 1 {
        let bands = counted(comparison.bands.len(), "band", "bands");
        text.extend([" Of ", &bands, " looked at together, ", &list(&claimed), " might still be chance."]);
    }
    text
}

/// The verdict on a part in a few words for a table: the winner's name leads.
pub fn short(a: &str, b: &str, part: &Part, settings: Settings) -> String {
    let trace = if is_trace(part, settings) { " a trace" } else { "" };
    match part.verdict {
        Verdict::BStronger => format!("{b}{trace} stronger"),
        Verdict::AStronger => format!("{a}{trace} stronger"),
        Verdict::NoDifference => "no difference that matters".to_owned(),
        Verdict::NotEnough => super::verdict::not_enough(part.more_hours),
    }
}

/// `−5.1 to −4.1`, or an en dash.
pub fn interval(part: &Part) -> String {
    let ends = part.low_db.zip(part.high_db);
    ends.map_or_else(
        || super::number::MISSING.to_owned(),
        |(low, high)| format!("{} to {}", difference(low), difference(high)),
    )
}

/// Whether more listeners heard one antenna only than chance explains, by the exact test of `McNemar`, in words.
pub fn heard_by_one(a: &str, b: &str, part: &Part) -> String {
    let (only_a, only_b) = (part.only_a, part.only_b);
    let p = part.only_probability;
    if only_a + only_b == 0 {
        return "all of them".to_owned();
    }
    let chance = if p < 0.001 {
        format!("under 0.1{NO_BREAK}% by chance")
    } else {
        format!("{}{NO_BREAK}% by chance", decimals(p * 100.0, usize::from(p < 0.0995)))
    };
    if p < 0.05 {
        format!("more for {} than chance explains (so uneven: {chance})", if only_a > only_b { a } else { b })
    } else {
        format!("all of it (so uneven: {chance})")
    }
}
