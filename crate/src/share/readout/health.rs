//! Health of the beacon: of each run where runs are given, else of all its spots.

use serde::Serialize;

use super::Readout;
use crate::geography::Locator;
use crate::model::Band;
use crate::study::health::{
    BandFrequency, BandSends, Change, Course, Health, Likely, Odd, Receiver, Sender, Silence, Step, Turn, health,
};
use crate::study::{Filter, runs};
use crate::time::UtcTime;
use crate::words::health as words;

/// The health of each run (or of all, without a name). Filters on bands and times hold; those that leave out listeners do
/// not: whether anyone heard a send is asked of all.
pub(super) fn healths(readout: &Readout) -> Vec<(Option<&str>, Health)> {
    let asked = &readout.request;
    let subject = readout.subject();
    let filter =
        Filter { bands: asked.filter.bands.clone(), from: asked.filter.from, to: asked.filter.to, ..Filter::default() };
    let rows = filter.rows(&subject);
    if asked.runs.is_empty() {
        return health(&subject, &rows).map(|health| (None, health)).into_iter().collect();
    }
    let sets = runs::assign(&readout.table, &rows, readout.side, &asked.runs, readout.calls.first().copied());
    let runs = asked.runs.iter().zip(&sets);
    runs.filter_map(|(run, rows)| Some((Some(run.name.as_str()), health(&subject, rows)?))).collect()
}

#[derive(Serialize)]
pub(super) struct HealthEntry<'a> {
    run: Option<&'a str>,
    call: &'a str,
    spots: usize,
    listeners: usize,
    first_utc: UtcTime,
    last_utc: UtcTime,
    cycle: Option<Cycle>,
    sends: Vec<OfBand>,
    silences: Vec<SilenceEntry>,
    frequency: Vec<FrequencyEntry<'a>>,
    power_dbm: CourseEntry,
    locator: CourseEntry,
    text: String,
}

#[derive(Serialize)]
struct Cycle {
    slot_s: i64,
    slots: usize,
    sends_in_each: bool,
}

#[derive(Serialize)]
struct OfBand {
    band: Band,
    expected: Option<usize>,
    heard: usize,
    expected_by_hour: [usize; 24],
    heard_by_hour: [usize; 24],
}

#[derive(Serialize)]
struct SilenceEntry {
    band: Option<Band>,
    from_utc: UtcTime,
    to_utc: UtcTime,
    hours: f64,
    to_the_end: bool,
    sends_expected: Option<usize>,
    likely: &'static str,
    unusual: bool,
    chance: Option<f64>,
    other_days: usize,
    other_days_silent: usize,
    bands_together: usize,
    listeners_of_others: usize,
    text: String,
}

#[derive(Serialize)]
struct FrequencyEntry<'a> {
    band: Band,
    spots: usize,
    listeners: usize,
    middle_hz: f64,
    range_hz: Option<f64>,
    slope_hz_per_hour: Option<f64>,
    jumps: Vec<JumpEntry>,
    sender_scatter_hz: Option<f64>,
    receiver_scatter_hz: Option<f64>,
    step_s: i64,
    steps: Vec<StepEntry>,
    receivers: Vec<ReceiverEntry<'a>>,
}

#[derive(Serialize)]
struct JumpEntry {
    at_utc: UtcTime,
    hz: f64,
}

#[derive(Serialize)]
struct StepEntry {
    start_utc: UtcTime,
    offset_hz: f64,
    listeners: usize,
}

#[derive(Serialize)]
struct ReceiverEntry<'a> {
    call: &'a str,
    spots: usize,
    hours: f64,
    slope_hz_per_hour: f64,
}

/// Values are numbers of dBm or locators.
#[derive(Serialize)]
struct CourseEntry {
    changes: Vec<ChangeEntry>,
    in_turn: Vec<serde_json::Value>,
    odd: Vec<OddEntry>,
}

#[derive(Serialize)]
struct ChangeEntry {
    at_utc: UtcTime,
    from: serde_json::Value,
    to: serde_json::Value,
    sends_before: usize,
    sends_after: usize,
}

#[derive(Serialize)]
struct OddEntry {
    value: serde_json::Value,
    sends: usize,
    first_utc: UtcTime,
}

/// An entry for each sender of each run.
pub(super) fn entries(readout: &Readout) -> Vec<HealthEntry<'_>> {
    let mut list = Vec::new();
    for (run, health) in healths(readout) {
        list.extend(health.senders.iter().map(|sender| entry(readout, run, sender)));
    }
    list
}

fn entry<'a>(readout: &'a Readout, run: Option<&'a str>, sender: &Sender) -> HealthEntry<'a> {
    let stations = readout.table.stations();
    let call = stations.call(sender.call);
    let silences = sender.silences.all_bands.iter().chain(&sender.silences.one_band);
    let locator = |locator: &Locator| locator.to_string().into();
    HealthEntry {
        run,
        call,
        spots: sender.spots,
        listeners: sender.listeners,
        first_utc: sender.first,
        last_utc: sender.last,
        cycle: sender.turn.as_ref().map(cycle),
        sends: sender.sends.iter().map(of_band).collect(),
        silences: silences.map(|silence| silence_entry(silence, sender)).collect(),
        frequency: sender.frequency.iter().map(|of| frequency(readout, of)).collect(),
        power_dbm: course(&sender.changes.power_dbm, |&dbm| dbm.into()),
        locator: course(&sender.changes.locator, locator),
        text: words::answer(run.unwrap_or(call), sender),
    }
}

fn cycle(turn: &Turn) -> Cycle {
    Cycle { slot_s: turn.slot_s, slots: turn.slots, sends_in_each: turn.filled }
}

fn of_band(of: &BandSends) -> OfBand {
    OfBand {
        band: of.band,
        expected: of.expected,
        heard: of.heard,
        expected_by_hour: of.hours.map(|hour| hour.expected),
        heard_by_hour: of.hours.map(|hour| hour.heard),
    }
}

fn silence_entry(silence: &Silence, sender: &Sender) -> SilenceEntry {
    SilenceEntry {
        band: silence.band,
        from_utc: silence.span.from,
        to_utc: silence.span.to,
        hours: silence.span.hours(),
        to_the_end: silence.to_the_end,
        sends_expected: silence.missed,
        likely: match silence.likely {
            Likely::Sender => "sender",
            Likely::Usual => "usual",
            Likely::Unsure => "unsure",
        },
        unusual: silence.is_unusual(),
        chance: silence.chance,
        other_days: silence.habit.map_or(0, |habit| habit.days),
        other_days_silent: silence.habit.map_or(0, |habit| habit.silent_days),
        bands_together: silence.together,
        listeners_of_others: silence.others,
        text: words::silence(silence, sender),
    }
}

fn frequency<'a>(readout: &'a Readout, of: &BandFrequency) -> FrequencyEntry<'a> {
    let step = |step: &Step| StepEntry { start_utc: step.start, offset_hz: step.offset_hz, listeners: step.listeners };
    let receiver = |receiver: &Receiver| ReceiverEntry {
        call: readout.table.stations().call(receiver.call),
        spots: receiver.spots,
        hours: receiver.hours,
        slope_hz_per_hour: receiver.slope_hz_h,
    };
    FrequencyEntry {
        band: of.band,
        spots: of.spots,
        listeners: of.listeners,
        middle_hz: of.middle_hz,
        range_hz: of.range_hz,
        slope_hz_per_hour: of.slope_hz_h,
        jumps: of.jumps.iter().map(|jump| JumpEntry { at_utc: jump.at, hz: jump.hz }).collect(),
        sender_scatter_hz: of.sender_scatter_hz,
        receiver_scatter_hz: of.receiver_scatter_hz,
        step_s: of.step_s,
        steps: of.steps.iter().map(step).collect(),
        receivers: of.receivers.iter().map(receiver).collect(),
    }
}

fn course<T>(of: &Course<T>, value: impl Fn(&T) -> serde_json::Value) -> CourseEntry {
    let change = |change: &Change<T>| ChangeEntry {
        at_utc: change.at,
        from: value(&change.from),
        to: value(&change.to),
        sends_before: change.sends_before,
        sends_after: change.sends_after,
    };
    let odd = |odd: &Odd<T>| OddEntry { value: value(&odd.value), sends: odd.sends, first_utc: odd.first };
    CourseEntry {
        changes: of.changes.iter().map(change).collect(),
        in_turn: of.in_turn.iter().map(&value).collect(),
        odd: of.odd.iter().map(odd).collect(),
    }
}
