//! Plan: the next test from the data at hand.

use askama::Template;

use super::beside::need_words;
use super::choice;
use crate::draw::Antenna;
use crate::page::loaded::Loaded;
use crate::page::menus::Choice;
use crate::page::message::Picture;
use crate::page::pair_pictures::{order_height, plan_summary};
use crate::page::planned::{FLOOR_PERCENT, Planned};
use crate::page::runs::Runs;
use crate::page::state::State;
use crate::study::plan::{BandPlan, Layout, Need, TRANSMIT_S};
use crate::words::calendar;
use crate::words::headline::Headline;
use crate::words::number::{NO_BREAK, count, counted, decimals, typed};

/// The layouts in the order of the table.
const LAYOUTS: [(Layout, &str); 4] = [
    (Layout::Alternating, "Alternate, one beacon"),
    (Layout::TwoSenders, "Two senders at once"),
    (Layout::NextDayControl, "Next day, control beacon"),
    (Layout::NextDay, "Next day, nothing else"),
];

#[derive(Debug)]
struct NeedRow {
    label: String,
    needs: Vec<(String, bool)>,
}

/// The plan.
#[derive(Debug, Template)]
#[template(path = "plan.html")]
pub(in crate::page) struct Plan {
    a: String,
    b: String,
    wanted: Vec<Choice>,
    bands: Vec<Choice>,
    hours: String,
    layouts: [&'static str; 4],
    rows: Vec<NeedRow>,
    reckoned: String,
    cannot: Vec<String>,
    as_table: bool,
    order_caption: String,
    order_height: f64,
    order_summary: String,
    order_words: String,
    turns: Vec<(String, String, String)>,
    zone: String,
    begin: String,
    silent: usize,
    battery: [(&'static str, &'static str, String, &'static str); 3],
    battery_summary: String,
    battery_words: String,
}

/// What the two antennas of the next test are called.
pub(in crate::page) fn names(runs: &Runs) -> (&str, &str) {
    if runs.cards.len() > 1 { (runs.name(runs.pair.0), runs.name(runs.pair.1)) } else { ("A", "B") }
}

impl Plan {
    pub(in crate::page) fn new(state: &State, loaded: &Loaded, runs: &Runs, planned: &Planned) -> Self {
        let (a, b) = names(runs);
        let wanted = [1.0, 2.0, 3.0].map(|db: f64| {
            choice("plan-wanted", format!("{db}"), format!("{db}{NO_BREAK}dB"), (planned.wanted_db - db).abs() < 0.01)
        });
        let all = planned.chosen.is_empty();
        let mut bands = vec![choice("plan-band", "all", "all bands", all)];
        bands.extend(
            planned.needs().iter().map(|need| {
                choice("plan-band", need.band.name(), need.band.label(), planned.chosen.contains(&need.band))
            }),
        );
        let needs = |band: &BandPlan| {
            let cells = LAYOUTS.into_iter().flat_map(|(layout, _)| {
                [3.0, 2.0, 1.0].map(|db| {
                    let picked = layout == Layout::Alternating && (db - planned.wanted_db).abs() < 0.01;
                    (need_words(band.need(layout, db, runs.settings)), picked)
                })
            });
            NeedRow { label: band.band.label(), needs: cells.collect() }
        };
        let as_table = state.as_table.get(Picture::Order).is_some();
        let turns = planned.turns(runs.settings);
        let turn_min = planned.turn_min();
        let begin = planned.begin(loaded);
        let clock = &state.clock;
        let time_of = |turn: usize| {
            let after = i64::try_from(turn * turn_min).unwrap_or(0) * 60;
            begin.and_then(|begin| begin.plus_s(after)).map_or_else(String::new, |time| clock.date_and_minute(time))
        };
        let name = |antenna: Antenna| if antenna == Antenna::A { a } else { b };
        let listed = turns.iter().enumerate().filter(|_| as_table);
        let data = runs.facts.get(planned.run_looked_at());
        let of_data = data.and_then(|facts| facts.span).map_or_else(String::new, |(first, last)| {
            format!(" of {}", calendar::days(clock.day_of(first), clock.day_of(last)))
        });
        Self {
            a: a.to_owned(),
            b: b.to_owned(),
            wanted: wanted.into(),
            bands,
            hours: planned.hours.map_or_else(String::new, typed),
            layouts: LAYOUTS.map(|(_, name)| name),
            rows: planned.needs().iter().map(needs).collect(),
            reckoned: format!(
                "Reckoned from {}{of_data}: its {}, their fading and their gaps. Another season or place can need twice as long.",
                runs.name(planned.run_looked_at()),
                counted(data.map_or(0, |facts| facts.listeners), "listener", "listeners"),
            ),
            cannot: cannot(planned, runs),
            as_table,
            order_caption: format!("{turn_min} minutes each, in an order that neither drift nor rhythm favours"),
            order_height: order_height(state),
            order_summary: plan_summary(Picture::Order, state, loaded, runs, planned),
            order_words: format!(
                "{} of {turn_min}{NO_BREAK}minutes: whole rounds of {} and {}, so that the antennas do not line up with the bands. Each antenna sends {} times an hour on each band.",
                counted(turns.len(), "turn", "turns"),
                counted(planned.bands_in_turn(), "band", "bands"),
                counted(planned.silent, "silent slot", "silent slots"),
                decimals(planned.sends_each(), 1),
            ),
            turns: listed.map(|(at, &antenna)| (count(at + 1), time_of(at), name(antenna).to_owned())).collect(),
            zone: begin.map_or_else(String::new, |begin| clock.label(begin)),
            begin: format!("{:02}:{:02}", planned.begin_min / 60, planned.begin_min % 60),
            silent: planned.silent,
            battery: [
                ("plan-capacity", "Capacity", typed(planned.capacity_ah), "Ah"),
                ("plan-transmit", "Current, sending", typed(planned.transmit_a), "A"),
                ("plan-idle", "Current, waiting", typed(planned.idle_a), "A"),
            ],
            battery_summary: plan_summary(Picture::Battery, state, loaded, runs, planned),
            battery_words: battery_words(planned, runs),
        }
    }
}

/// Which layout cannot answer, plainly.
fn cannot(planned: &Planned, runs: &Runs) -> Vec<String> {
    let wanted = planned.wanted_db;
    let mut lines = Vec::new();
    if planned.all_bands(Layout::NextDay, wanted, runs.settings) == Need::Never {
        lines.push(format!(
            "One antenna a day and nothing else cannot tell {}{NO_BREAK}dB, however long: days differ by more ({}{NO_BREAK}dB SD assumed).",
            decimals(wanted, 0),
            decimals(runs.settings.day_to_day_db, 1)
        ));
    }
    if let Some(hours) = planned.hours {
        let late: Vec<String> = planned
            .counted()
            .filter(|band| match band.need(Layout::Alternating, wanted, runs.settings) {
                Need::Hours(needed) => needed > hours,
                Need::Never => true,
                Need::Unknown => false,
            })
            .map(|band| band.band.label())
            .collect();
        if !late.is_empty() {
            lines.push(format!(
                "In {} alternating would not tell {}{NO_BREAK}dB on {}.",
                crate::words::verdict::hours(hours),
                decimals(wanted, 0),
                late.join(", ")
            ));
        }
    }
    lines
}

fn battery_words(planned: &Planned, runs: &Runs) -> String {
    let battery = planned.battery();
    let hours = planned.plan_hours(runs.settings);
    let duty = format!(
        "Sending takes {} of {}{NO_BREAK}s in each slot used",
        decimals(TRANSMIT_S, 1),
        decimals(crate::study::plan::SLOT_S, 0)
    );
    match battery.hours() {
        Some(lasts) => format!(
            "{duty}. The battery lasts {} down to {}{NO_BREAK}%; the plan takes {}{}.",
            crate::words::verdict::hours(lasts),
            decimals(FLOOR_PERCENT, 0),
            crate::words::verdict::hours(hours),
            if lasts < hours { ": it is too small" } else { "" }
        ),
        None => format!("{duty}. Give capacity and currents to see how long it lasts."),
    }
}

/// The answer of the plan.
pub(in crate::page) fn headline(runs: &Runs, planned: &Planned) -> Headline {
    let mut head = Headline::default();
    let wanted = planned.wanted_db;
    let db = format!("{}{NO_BREAK}dB", decimals(wanted, 0));
    let needs: Vec<(&BandPlan, f64)> = planned
        .counted()
        .filter_map(|band| match band.need(Layout::Alternating, wanted, runs.settings) {
            Need::Hours(hours) => Some((band, hours)),
            Need::Never | Need::Unknown => None,
        })
        .collect();
    let slowest = needs.iter().copied().max_by(|x, y| x.1.total_cmp(&y.1));
    let quickest = needs.iter().copied().min_by(|x, y| x.1.total_cmp(&y.1));
    let unknown = planned.counted().count() - needs.len();
    if let (Some((slow, most)), Some((quick, least))) = (slowest, quickest) {
        let hours = need_words(Need::Hours(most));
        let on = if needs.len() == 1 {
            slow.band.label()
        } else if unknown > 0 {
            format!("{} of {} bands", count(needs.len()), count(needs.len() + unknown))
        } else {
            format!("all {} bands", count(needs.len()))
        };
        let first = if needs.len() > 1 && least < 0.8 * most {
            format!("; after {} on {} already", need_words(Need::Hours(least)), quick.band.label())
        } else {
            String::new()
        };
        head.pieces.push(crate::words::headline::Piece {
            text: format!("Alternate the two antennas for {hours} and a difference of {db} will show on {on}{first}."),
            named: None,
        });
        let one = need_words(slow.need(Layout::Alternating, 1.0, runs.settings));
        let control = need_words(slow.need(Layout::NextDayControl, wanted, runs.settings));
        head.evidence = format!(
            "1{NO_BREAK}dB on {} would take {one}; day by day with a control beacon it would take {control} for {db} there.",
            slow.band.label()
        );
    } else {
        head.pieces.push(crate::words::headline::Piece {
            text: "Alternate the two antennas: how long, these spots are too few to foresee.".to_owned(),
            named: None,
        });
        "Twenty safe pairs from five listeners in three hours are the least to reckon with."
            .clone_into(&mut head.evidence);
    }
    head
}
