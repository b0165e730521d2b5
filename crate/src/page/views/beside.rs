//! What stands beside Compare: the shared ground and corrections at the left; discs, and why nothing can be told, at the right.

use askama::Template;

use crate::page::compared::{Contrast, RunResults};
use crate::page::loaded::Loaded;
use crate::page::menus::{Choice, far_words};
use crate::page::message::Picture;
use crate::page::pair_pictures::pair_extent;
use crate::page::pictures::Pictures;
use crate::page::planned::Planned;
use crate::page::runs::Runs;
use crate::page::state::State;
use crate::study::compare::{Comparison, Design, Shared, Verdict};
use crate::study::plan::{Layout, Need};
use crate::words::number::{NO_BREAK, count, counted, decimals, difference, or_missing};
use crate::words::{ground as ground_words, power, verdict};

/// A block under the runs.
#[derive(Debug)]
pub(in crate::page) struct Ground {
    pub(super) heading: &'static str,
    pub(super) rows: Vec<GroundRow>,
    pub(super) acts: Vec<Choice>,
}

#[derive(Debug)]
pub(super) struct GroundRow {
    pub(super) label: &'static str,
    pub(super) figure: String,
    pub(super) bar: Option<Bar>,
    pub(super) lines: Vec<String>,
}

/// A bar of 200 units: only A, both, only B; the rest is in neither.
#[derive(Debug)]
pub(super) struct Bar {
    pub(super) a: f64,
    pub(super) both: f64,
    pub(super) b: f64,
}

fn bar(shared: Shared) -> Bar {
    let scale = 200.0 / shared.all().max(1) as f64;
    Bar { a: shared.only_a as f64 * scale, both: shared.both as f64 * scale, b: shared.only_b as f64 * scale }
}

/// Names of A and B.
fn names<'a>(runs: &'a Runs, contrast: &Contrast) -> (&'a str, &'a str) {
    (runs.name(contrast.pair.0), runs.name(contrast.pair.1))
}

impl Ground {
    pub(in crate::page) fn new(loaded: &Loaded, runs: &Runs, contrast: &Contrast) -> Self {
        let (a, b) = names(runs, contrast);
        let found = &contrast.comparison;
        let ground = &found.ground;
        let (one, many) = far_words(loaded.tested.side);
        let left = |shared, one, many, all| ground_words::left(shared, (one, many), (a, b), all);
        let mut rows = vec![GroundRow {
            label: "Time",
            figure: format!("{}{NO_BREAK}h", count(ground.hours.both)),
            bar: Some(bar(ground.hours)),
            lines: vec![left(ground.hours, "hour", "hours", "Both ran in every hour.")],
        }];
        if found.design != Design::Interleaved {
            rows.push(GroundRow {
                label: "Time of day",
                figure: format!("{}{NO_BREAK}h", count(ground.hours_of_day.both)),
                bar: Some(bar(ground.hours_of_day)),
                lines: vec!["Matched within 15\u{a0}minutes of the clock.".to_owned()],
            });
        }
        let of = |shared: Shared| format!("{} of {}", count(shared.both), count(shared.all()));
        rows.push(GroundRow {
            label: "Bands",
            figure: of(ground.bands),
            bar: Some(bar(ground.bands)),
            lines: vec![left(ground.bands, "band", "bands", "None left out.")],
        });
        let heard = left(ground.listeners, one, many, "None left out.");
        rows.push(GroundRow {
            label: if one == "listener" { "Listeners" } else { "Stations" },
            figure: of(ground.listeners),
            bar: Some(bar(ground.listeners)),
            lines: vec![if ground.listeners.all() > ground.listeners.both {
                format!("{heard} A matter of reach, never turned into dB.")
            } else {
                heard
            }],
        });
        rows.push(GroundRow {
            label: "Pairs",
            figure: count(ground.pairs.both),
            bar: Some(bar(ground.pairs)),
            lines: vec![ground_words::without_partner(found, a, b)],
        });
        rows.push(safe_row(found));
        if found.design != Design::Interleaved {
            rows.push(GroundRow {
                label: "Control",
                figure: match (&runs.control, found.design) {
                    (Some(call), Design::SeparateDaysControl) => call.clone(),
                    _ => "none".to_owned(),
                },
                bar: None,
                lines: vec![match found.design {
                    Design::SeparateDaysControl => {
                        "What it changed from one period to the other is taken off, listener by listener.".to_owned()
                    }
                    _ => "No third beacon is named as heard in both.".to_owned(),
                }],
            });
        }
        let (lines, acts) = corrections(runs, contrast);
        rows.push(GroundRow { label: "Correction", figure: total_correction(runs, contrast), bar: None, lines });
        Self { heading: "Shared ground", rows, acts }
    }
}

fn safe_row(found: &Comparison) -> GroundRow {
    let ground = &found.ground;
    let mut lines = vec![ground_words::near_floor(found)];
    if ground.without_control > 0 {
        lines.push(format!(
            "{} without the control at the same listener and hour.",
            counted(ground.without_control, "safe pair", "safe pairs")
        ));
    }
    let share = 200.0 * ground.safe as f64 / ground.pairs.both.max(1) as f64;
    GroundRow {
        label: "Safe from the floor",
        figure: count(ground.safe),
        bar: Some(Bar { a: 0.0, both: share, b: 0.0 }),
        lines,
    }
}

/// Power that counts for a run: the true one, else the one reported most.
fn counted_power(runs: &Runs, at: usize) -> Option<f64> {
    let typed = runs.cards.get(at).and_then(|card| card.run.true_power_dbm);
    typed.or_else(|| runs.facts.get(at)?.powers.first().copied())
}

/// What the reported powers differ by, dB, where nobody has said yet whether they were sent or only mark the antennas.
pub(in crate::page) fn doubtful_powers(runs: &Runs, (a, b): (usize, usize)) -> Option<f64> {
    let reported = |at: usize| {
        let typed = runs.cards.get(at).is_some_and(|card| card.run.true_power_dbm.is_some());
        counted_power(runs, at).filter(|_| !typed)
    };
    let apart = (reported(a)? - reported(b)?).abs();
    (apart >= 0.05).then_some(apart)
}

/// By how much the correction moves the difference B less A, dB.
fn total_correction(runs: &Runs, contrast: &Contrast) -> String {
    let (a, b) = contrast.pair;
    let loss = |at: usize| runs.cards.get(at).map_or(0.0, |card| card.run.feeder_loss_db);
    let powers = counted_power(runs, a).zip(counted_power(runs, b)).map_or(0.0, |(a, b)| a - b);
    let total = powers + loss(b) - loss(a);
    if total.abs() < 0.05 { "none".to_owned() } else { format!("{}{NO_BREAK}dB", difference(total)) }
}

/// Power and feeder of the two, and what can be asked about them.
fn corrections(runs: &Runs, contrast: &Contrast) -> (Vec<String>, Vec<Choice>) {
    let (a, b) = contrast.pair;
    let (name_a, name_b) = names(runs, contrast);
    let mut lines = Vec::new();
    let mut acts = Vec::new();
    let typed = |at: usize| runs.cards.get(at).is_some_and(|card| card.run.true_power_dbm.is_some());
    let several = |at: usize| !typed(at) && runs.facts.get(at).is_some_and(|facts| facts.powers.len() > 1);
    let source = |at: usize| match (typed(at), several(at)) {
        (true, _) => "as you said",
        (false, true) => "most of the time; each spot counts with the power reported in it",
        (false, false) => "as reported",
    };
    match (counted_power(runs, a), counted_power(runs, b)) {
        (Some(power_a), Some(power_b)) if (power_a - power_b).abs() < 0.05 => {
            lines.push(format!("Both sent {}, {}.", power(power_a), source(a)));
        }
        (Some(power_a), Some(power_b)) => {
            lines.push(format!(
                "{name_a} {} {}, {name_b} {} {}: {}{NO_BREAK}dB for that.",
                power(power_a),
                source(a),
                power(power_b),
                source(b),
                difference(power_a - power_b)
            ));
            if doubtful_powers(runs, contrast.pair).is_some() && !several(a) && !several(b) {
                lines.push("Were these the powers sent, or do they only mark the antennas?".to_owned());
                let both = power(power_a.max(power_b));
                acts.push(super::choice("run-mark-only", "", format!("Marks only: both {both}"), false));
            }
        }
        _ => lines.push("No power is reported: give each run\u{2019}s power to compare levels.".to_owned()),
    }
    let loss = |at: usize| runs.cards.get(at).map_or(0.0, |card| card.run.feeder_loss_db);
    if loss(a) > 0.0 || loss(b) > 0.0 {
        lines.push(format!(
            "Feeder loss {} and {}{NO_BREAK}dB: {}{NO_BREAK}dB for that.",
            decimals(loss(a), 1),
            decimals(loss(b), 1),
            difference(loss(b) - loss(a))
        ));
    }
    (lines, acts)
}

#[derive(Debug)]
struct WhyNot {
    sentence: &'static str,
    sum: Vec<(String, String)>,
    total: (String, String),
}

#[derive(Debug)]
struct Settle {
    caption: String,
    rows: Vec<(&'static str, &'static str, String)>,
}

#[derive(Debug)]
struct SmallDisc {
    picture: &'static str,
    shape: &'static str,
    name: String,
    caption: String,
    summary: String,
}

/// The right column of Compare.
#[derive(Debug, Template)]
#[template(path = "compare_right.html")]
pub(in crate::page) struct Beside {
    why_not: Option<WhyNot>,
    settle: Option<Settle>,
    placed: bool,
    discs: [SmallDisc; 2],
    rings: String,
    difference: String,
    sites: String,
}

impl Beside {
    pub(in crate::page) fn new(
        state: &State,
        loaded: &Loaded,
        runs: &Runs,
        contrast: &Contrast,
        planned: &Planned,
        pictures: &Pictures,
    ) -> Self {
        let found = &contrast.comparison;
        let (a, b) = names(runs, contrast);
        let (_, many) = far_words(loaded.tested.side);
        let disc = |picture: Picture, shape, name: &str, results: &RunResults| SmallDisc {
            picture: picture.name(),
            shape,
            name: name.to_owned(),
            caption: format!(
                "{} {many}, farthest {}",
                count(results.tally.far.len()),
                or_missing(results.reach.farthest.map(|farthest| farthest.km), |km| state.length.text(km))
            ),
            summary: pictures.compare_summary(picture, state, loaded, runs, contrast),
        };
        let alone = found.design == Design::SeparateDays;
        let settled =
            found.bands.iter().any(|(_, part)| matches!(part.verdict, Verdict::AStronger | Verdict::BStronger));
        let ring_km = pair_extent(state, contrast).ring_km;
        Self {
            why_not: (alone && found.days.0 + found.days.1 <= 2).then(|| why_not(runs, found)).flatten(),
            settle: (alone || !settled).then(|| settle(planned, runs)),
            placed: loaded.subject().home().is_some(),
            discs: [disc(Picture::DiscA, "a", a, &contrast.a), disc(Picture::DiscB, "b", b, &contrast.b)],
            rings: format!("Rings every {} in both. Dotted: heard this one only.", state.length.text(ring_km)),
            difference: pictures.compare_summary(Picture::Difference, state, loaded, runs, contrast),
            sites: contrast.sites_apart_km.map_or_else(String::new, |km| ground_words::sites(km, state.length)),
        }
    }
}

fn why_not(runs: &Runs, found: &Comparison) -> Option<WhyNot> {
    let best = found.bands.iter().filter(|(_, part)| part.high_db.is_some()).max_by_key(|(_, part)| part.pairs_used)?;
    let (band, part) = best;
    let own = part.pairs_half_width_db?;
    let half = (part.high_db? - part.low_db?) / 2.0;
    let db = |db: f64| format!("±{NO_BREAK}{}{NO_BREAK}dB", decimals(db, 1));
    Some(WhyNot {
        sentence: "Between one day and the next the same antenna, at the same listeners, moves by several dB. One day each cannot separate the antenna from the day.",
        sum: vec![
            (format!("Scatter of the spots, {}", band.label()), db(own)),
            (
                "Change of day, assumed".to_owned(),
                format!("{}{NO_BREAK}dB SD", decimals(runs.settings.day_to_day_db, 1)),
            ),
        ],
        total: (format!("Together, {}", band.label()), db(half)),
    })
}

fn settle(planned: &Planned, runs: &Runs) -> Settle {
    let wanted_db = planned.wanted_db();
    let takes = |layout: Layout| match layout {
        Layout::Alternating => ("Alternate", "one beacon, antennas in turn, ten minutes each"),
        Layout::TwoSenders => ("Two senders", "both antennas at once, two beacons of equal power"),
        Layout::NextDayControl => ("A control beacon", "one antenna a day, and a beacon that nobody touches"),
        Layout::NextDay => ("Another day each", "one antenna a day and nothing else"),
    };
    let rows = [Layout::Alternating, Layout::TwoSenders, Layout::NextDayControl, Layout::NextDay]
        .into_iter()
        .map(|layout| {
            let (test, what) = takes(layout);
            (test, what, need_words(planned.all_bands(layout, wanted_db, runs.settings)))
        })
        .collect();
    Settle { caption: format!("to tell {}{NO_BREAK}dB on every band", decimals(wanted_db, 0)), rows }
}

/// `2.4 h`, `8 days`, `over 10 days`, `never`.
pub(super) fn need_words(need: Need) -> String {
    match need {
        Need::Never => "never".to_owned(),
        Need::Unknown => "not known".to_owned(),
        Need::Hours(hours) if hours > 240.0 => format!("over 10{NO_BREAK}days"),
        Need::Hours(hours) => verdict::lasting(hours),
    }
}
