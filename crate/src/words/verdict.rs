//! A comparison in words: winner first, how sure, from what; and why not where it cannot be told.

use super::number::{MISSING, NO_BREAK, count, counted, decimals, difference};
use crate::model::Band;
use crate::study::compare::{Comparison, Design, LEAST_BLOCKS, LEAST_LISTENERS, LEAST_PAIRS, Part, Settings, Verdict};

/// Beyond this many more hours of the same test, another test is the better advice.
const MOST_HOURS: f64 = 24.0 * 14.0;

/// One part in a sentence: 'Doublet is 2.6 dB stronger than Vertical on 20 m (1.4 to 3.8, 95 %), from 212 safe pairs at 34 listeners.'
///
/// `place` is where the part lies (' on 20 m', ' towards 45 degrees'), with its leading blank, or empty for all.
pub fn part(a: &str, b: &str, place: &str, part: &Part, design: Design, settings: Settings) -> String {
    let basis = format!(
        "from {} at {}",
        counted(part.pairs_used, "safe pair", "safe pairs"),
        counted(part.listeners, "listener", "listeners")
    );
    let small = settings.too_small_db;
    match (part.verdict, part.difference_db, part.low_db, part.high_db) {
        (Verdict::BStronger, Some(by), Some(low), Some(high)) => {
            format!(
                "{b} is {} than {a}{place} ({}, 95{NO_BREAK}%), {basis}.",
                stronger(by, high, small),
                span(low, high)
            )
        }
        (Verdict::AStronger, Some(by), Some(low), Some(high)) => {
            format!(
                "{a} is {} than {b}{place} ({}, 95{NO_BREAK}%), {basis}.",
                stronger(-by, -low, small),
                span(-high, -low)
            )
        }
        (Verdict::NoDifference, Some(by), Some(low), Some(high)) => format!(
            "No difference that matters between {a} and {b}{place}: {}{NO_BREAK}dB ({} to {}, 95{NO_BREAK}%), {basis}.",
            difference(by),
            difference(low),
            difference(high)
        ),
        _ => format!("Not enough to tell {a} and {b} apart{place}: {}.", why_not(part, design)),
    }
}

/// One band in a sentence.
pub fn on_band(a: &str, b: &str, band: Band, of_band: &Part, comparison: &Comparison, settings: Settings) -> String {
    part(a, b, &format!(" on {}", band.label()), of_band, comparison.design, settings)
}

/// '2.6 dB stronger', or 'a trace stronger' where the whole interval is too small to matter.
fn stronger(by: f64, farthest: f64, small: f64) -> String {
    let figure = format!("{}{NO_BREAK}dB", decimals(by, 1));
    if farthest <= small { format!("a trace stronger, {figure},") } else { format!("{figure} stronger") }
}

fn span(low: f64, high: f64) -> String {
    format!("{} to {}", decimals(low, 1), decimals(high, 1))
}

/// What is lacking, and what would help.
fn why_not(part: &Part, design: Design) -> String {
    let mut lacking = Vec::new();
    let mut lack = |have: usize, least: usize, one: &str, many: &str| {
        if have < least {
            lacking.push(format!("{} of {} needed", counted(have, one, many), count(least)));
        }
    };
    lack(part.pairs_used, LEAST_PAIRS, "safe pair", "safe pairs");
    lack(part.listeners, LEAST_LISTENERS, "listener", "listeners");
    lack(part.blocks, LEAST_BLOCKS, "hour", "hours");
    let interval = match (part.difference_db, part.low_db, part.high_db) {
        (Some(by), Some(low), Some(high)) if lacking.is_empty() => {
            format!(
                "{}{NO_BREAK}dB, but anything from {} to {} fits",
                difference(by),
                difference(low),
                difference(high)
            )
        }
        _ => lacking.join(", "),
    };
    let help = match (design, part.more_hours) {
        (Design::SeparateDays, None) if part.pairs_used > 0 => {
            "; different days alone cannot separate antenna from propagation: take turns within one run, or add a control beacon".to_owned()
        }
        (_, Some(hours)) if hours <= MOST_HOURS => format!("; about {} more of the same test", self::hours(hours)),
        (_, Some(_)) => "; more of the same test would take weeks: more listeners or another design are needed".to_owned(),
        _ => String::new(),
    };
    let reason = format!("{interval}{help}");
    if reason.is_empty() { "too little in common".to_owned() } else { reason }
}

/// `not enough to tell; about 9 h more`, where so many more hours of the same test would settle it within two weeks.
pub fn not_enough(more_hours: Option<f64>) -> String {
    match more_hours {
        Some(hours) if hours <= MOST_HOURS => format!("not enough to tell; about {} more", lasting(hours)),
        _ => "not enough to tell".to_owned(),
    }
}

/// The same, from four days on in days: `43 h`, `8 days`.
pub fn lasting(hours: f64) -> String {
    if hours < 95.5 { self::hours(hours) } else { format!("{}{NO_BREAK}days", decimals((hours / 24.0).ceil(), 0)) }
}

/// Hours to wait, from ten on without decimals: `2.5 h`, `43 h`.
pub fn hours(hours: f64) -> String {
    format!("{}{NO_BREAK}h", decimals(hours.max(0.1), usize::from(hours < 9.95)))
}

/// How it was reckoned, in five lines with the figures at each step.
pub fn how_reckoned(of: &Part, comparison: &Comparison, settings: Settings) -> [String; 5] {
    let figure = |value: Option<f64>| value.map_or(MISSING.to_owned(), |db| format!("{}{NO_BREAK}dB", difference(db)));
    let half =
        |db: Option<f64>| db.map_or(MISSING.to_owned(), |db| format!("±{NO_BREAK}{}{NO_BREAK}dB", decimals(db, 1)));
    let alone = half(of.pairs_half_width_db);
    let width = match comparison.design {
        Design::Interleaved => "listeners and hours are allowed to move together".to_owned(),
        Design::SeparateDaysControl => "the control beacon is taken off at each listener and hour, \
                                        and these are allowed to move together"
            .to_owned(),
        Design::SeparateDays if comparison.days.0 + comparison.days.1 > 2 => format!(
            "the pairs alone would make it {alone}; how much the days of one antenna differ among themselves widens it, \
             eased towards {}{NO_BREAK}dB from day to day, an assumption",
            decimals(settings.day_to_day_db, 1)
        ),
        Design::SeparateDays => format!(
            "the pairs alone would make it {alone}; an allowance for the change from day to day widens it \
             (standard deviation {}{NO_BREAK}dB, an assumption)",
            decimals(settings.day_to_day_db, 1)
        ),
    };
    let control = of.control_db.map_or_else(String::new, |db| {
        let before = of.difference_db.map(|difference| difference + db);
        format!(
            " Before the control was taken off: {}; the control itself changed by {}.",
            figure(before),
            figure(Some(db))
        )
    });
    [
        format!(
            "{} of the same listener on the same band, one spot of each antenna.",
            counted(of.pairs, "pair", "pairs")
        ),
        format!(
            "Of these {} are safe from the decoding floor: their mean lies {}{NO_BREAK}dB or more above {}{NO_BREAK}dB.",
            count(of.pairs_used),
            decimals(of.margin_db, 1),
            decimals(comparison.floor_db, 0)
        ),
        format!(
            "Mean difference of the safe pairs, at 1{NO_BREAK}W each: {}; median {}.{control}",
            figure(of.difference_db),
            figure(of.median_db)
        ),
        match (of.low_db, of.high_db) {
            (Some(_), Some(_)) => {
                format!("95{NO_BREAK}% interval {} to {}: {width}.", figure(of.low_db), figure(of.high_db))
            }
            _ => format!("No 95{NO_BREAK}% interval: it takes two listeners and two hours at least."),
        },
        format!(
            "The plain average of all spots would have said {}: it is not used, since the stronger antenna adds weak spots that pull its average down.",
            figure(of.plain_difference_db)
        ),
    ]
}
