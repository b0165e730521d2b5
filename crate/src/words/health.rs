//! Health of a beacon in words: what was silent and what may be behind it, drift, and what changed.

use super::calendar::day;
use super::number::{MINUS, NO_BREAK, count, counted, decimals, difference};
use super::power;
use crate::geography::{Geodesic, Locator};
use crate::model::{SpotTable, Stations};
use crate::study::health::{BandFrequency, BandSends, Course, Habit, Jump, Likely, Sender, Silence, Span};
use crate::time::UtcTime;

/// A sender that moves less is steady, Hz: reports give whole Hz.
const STEADY_HZ: f64 = 2.0;
/// So many jumps are named.
const MOST_JUMPS: usize = 3;
/// Other senders in a silence count from so many listeners on.
const LEAST_OTHERS: usize = 3;

/// The one sentence on a sender: silent or not. `name` is its call or the name of its run.
pub fn answer(name: &str, sender: &Sender) -> String {
    let silences = &sender.silences.all_bands;
    let worst = silences.iter().filter(|silence| silence.likely != Likely::Usual);
    let worst = worst.max_by_key(|silence| (silence.likely == Likely::Sender, length_s(silence.span)));
    match worst {
        Some(silence) if silence.to_the_end => format!("{name} was not heard after {}.", moment(silence.span.from)),
        Some(silence) => {
            let why =
                if silence.likely == Likely::Sender { ", most likely through the beacon or its antenna" } else { "" };
            format!("{name} was silent for {}, {}{why}.", long(length_s(silence.span)), span(silence.span))
        }
        None if too_few(sender) => format!("Too few reports of {name} to tell whether it was on all the time."),
        None if silences.is_empty() => format!(
            "{name} was heard all along from {} to {}{}, without a silence longer than chance explains.",
            moment(sender.first),
            moment(sender.last),
            if sender.silences.pauses.is_empty() { "" } else { ", pauses of a day and more apart" }
        ),
        None => format!("{name} was silent only at times when it is so on other days too."),
    }
}

/// Would only a silence of more than a third of the run be longer than chance explains?
fn too_few(sender: &Sender) -> bool {
    let hours = (sender.last.unix_s() - sender.first.unix_s()) as f64 / 3600.0;
    let sends = sender.sends.iter().map(|of_band| of_band.heard).sum::<usize>() as f64;
    (20.0 * sends).ln() * 3.0 > sends || hours < 1.0
}

/// All sentences on a sender: cycle, sends by band, silences, frequency, changes.
pub fn sentences(table: &SpotTable, sender: &Sender) -> Vec<String> {
    let mut said = vec![turn(sender)];
    said.extend(sender.sends.iter().map(sends));
    said.extend(silences(sender));
    said.extend(frequencies(sender));
    said.extend(sender.frequency.iter().filter_map(|of_band| receivers(table.stations(), of_band)));
    said.extend(changes(sender));
    said
}

/// How often it sends.
pub fn turn(sender: &Sender) -> String {
    let minutes = |seconds: i64| counted(usize::try_from(seconds / 60).unwrap_or(0), "minute", "minutes");
    match &sender.turn {
        None => "Its sends follow no cycle that can be seen, so how many there were is not known.".to_owned(),
        Some(turn) if turn.filled => format!(
            "It sends in a cycle of {}, taken from the spacing of the reports. A send that nobody heard is not a send that failed.",
            minutes(turn.cycle_s())
        ),
        Some(turn) => format!(
            "Its sends keep to places in a cycle of {}, but even in its best hours many of these are not heard: sends are left out or weak, so how many there were is not known.",
            minutes(turn.cycle_s())
        ),
    }
}

/// Sends of a band: `20 m: 391 of 432 sends heard by anyone (91 %).`
pub fn sends(of_band: &BandSends) -> String {
    let band = of_band.band.label();
    match of_band.expected.zip(of_band.share()) {
        Some((expected, share)) => format!(
            "{band}: {} of {} sends heard by anyone ({}{NO_BREAK}%).",
            count(of_band.heard),
            count(expected),
            decimals(share * 100.0, 0)
        ),
        None => format!("{band}: {} heard by anyone.", counted(of_band.heard, "send", "sends")),
    }
}

/// The silences, those that are usual at their time in one sentence.
pub fn silences(sender: &Sender) -> Vec<String> {
    let all = &sender.silences;
    let mut said: Vec<String> =
        all.all_bands.iter().filter(|silence| silence.likely != Likely::Usual).map(|of| silence(of, sender)).collect();
    said.extend(usual(&all.all_bands));
    said.extend(all.one_band.iter().map(|of| silence(of, sender)));
    if !all.turns.is_empty() {
        let turns = counted(all.turns.len(), "span", "spans");
        said.push(format!("{turns} without it while another run had its turn: not counted as silence."));
    }
    let pauses = all.pauses.iter().map(|pause| {
        format!("No report for {}, {}: taken as a pause of the test.", long(length_s(*pause)), span(*pause))
    });
    said.extend(pauses);
    said
}

/// A silence: when, what other days say, and what may be behind it.
pub fn silence(of: &Silence, sender: &Sender) -> String {
    let others =
        format!("{} went on hearing another sender from the same place", counted(of.others, "listener", "listeners"));
    if of.to_the_end {
        return format!(
            "Not heard after {}, while {others}: its run was over, or the beacon or its antenna failed.",
            moment(of.span.from)
        );
    }
    let (where_, closed) = match of.band {
        Some(band) => (format!("on {} ", band.label()), "band closed"),
        None if sender.sends.len() > 1 => ("on all bands ".to_owned(), "all bands closed"),
        None => (String::new(), "band closed"),
    };
    let mut said = format!("Silent {where_}{}, {}. ", span(of.span), long(length_s(of.span)));
    said.push_str(&habit(of));
    let mut signs = Vec::new();
    if of.together > 1 {
        signs.push(format!(
            "{} stopped and came back together",
            counted(of.together, "band", "bands that were heard well")
        ));
    }
    if of.others >= LEAST_OTHERS {
        signs.push(others);
    }
    let beacon = if of.band.is_some() { "Antenna fault on this band" } else { "Beacon off, antenna fault" };
    let may_be = match of.likely {
        Likely::Sender if of.band.is_some() => {
            format!("Most likely the antenna on this band: {}.", signs.join(", and "))
        }
        Likely::Sender => format!("Most likely the beacon or its antenna, not the bands: {}.", signs.join(", and ")),
        Likely::Usual => "The band is closed then, or the beacon rests.".to_owned(),
        Likely::Unsure => format!("{beacon}, or {closed}: the reports alone cannot tell."),
    };
    said.push_str(&may_be);
    said
}

/// What other days say, or the hours around where there are none, ending in a blank.
fn habit(of: &Silence) -> String {
    let around = match of.around.share() {
        Some(_) => format!("{} of {} sends", count(of.around.heard), count(of.around.expected)),
        None => counted(of.around.heard, "send", "sends"),
    };
    let Some(Habit { days, silent_days, sends, .. }) = of.habit else {
        return format!("No other day to compare it with; in the hours around it listeners heard {around}. ");
    };
    let days_said = counted(days, "other day", "other days");
    let heard = match sends.share() {
        Some(_) => format!("{} of {} sends", count(sends.heard), count(sends.expected)),
        None => counted(sends.heard, "send", "sends"),
    };
    let then = if silent_days == days {
        format!("On {days_said} nobody heard it then either. ")
    } else {
        format!("On {days_said} listeners heard {heard} at this time. ")
    };
    match of.chance.filter(|_| of.is_unusual()) {
        Some(chance) => {
            let one_in = count(one_in(chance));
            format!("{then}So long a silence is unusual: about 1 in {one_in} by this beacon's habit. ")
        }
        None => then,
    }
}

/// Spans that are silent on other days too.
fn usual(silences: &[Silence]) -> Option<String> {
    let usual: Vec<&Silence> = silences.iter().filter(|silence| silence.likely == Likely::Usual).collect();
    let lengths = || usual.iter().map(|silence| length_s(silence.span));
    let (shortest, longest) = (lengths().min()?, lengths().max()?);
    let lasting =
        if usual.len() == 1 { long(longest) } else { format!("{} to {} each", long(shortest), long(longest)) };
    Some(format!(
        "{} of {lasting} at a time at which other days are silent too: the bands close then, or the beacon rests. Whether it was on cannot be told.",
        counted(usual.len(), "silence", "silences")
    ))
}

/// Frequency by band; bands on which the sender was steady, or on which it hops, in one sentence.
pub fn frequencies(sender: &Sender) -> Vec<String> {
    let mut said = Vec::new();
    let hops = BandFrequency::hops;
    let blurred = BandFrequency::is_blurred;
    let steady = |of: &BandFrequency| {
        !hops(of) && !blurred(of) && of.jumps.is_empty() && of.range_hz.is_some_and(|range| range <= STEADY_HZ)
    };
    let most = |values: &mut dyn Iterator<Item = Option<f64>>| values.flatten().fold(0.0, f64::max);
    let labels = |these: &dyn Fn(&BandFrequency) -> bool| {
        let labels: Vec<String> = sender.frequency.iter().filter(|of| these(of)).map(|of| of.band.label()).collect();
        labels.join(", ")
    };
    if sender.frequency.iter().any(steady) {
        let range = most(&mut sender.frequency.iter().filter(|of| steady(of)).map(|of| of.range_hz));
        said.push(format!(
            "{}: the sender kept its frequency within {}, as its listeners saw it.",
            labels(&steady),
            whole_hz(range)
        ));
    }
    if sender.frequency.iter().any(hops) {
        let scatter = most(&mut sender.frequency.iter().filter(|of| hops(of)).map(|of| of.sender_scatter_hz));
        said.push(format!(
            "{}: the sender changes its frequency from send to send: half of its sends lie within {} of the middle, too much to see a drift.",
            labels(&hops),
            hz(scatter)
        ));
    }
    if sender.frequency.iter().any(blurred) {
        let scatter = most(&mut sender.frequency.iter().filter(|of| blurred(of)).map(|of| of.receiver_scatter_hz));
        said.push(format!(
            "{}: reports of the same send lie up to {} from its middle in half of the cases: too much to see what the sender did.",
            labels(&blurred),
            hz(scatter)
        ));
    }
    said.extend(sender.frequency.iter().filter(|of| !steady(of) && !hops(of) && !blurred(of)).map(frequency));
    said
}

/// A frequency with one decimal below ten: `0.8 Hz`, `12 Hz`.
fn hz(value: f64) -> String {
    format!("{}{NO_BREAK}Hz", decimals(value, usize::from(value.abs() < 9.95)))
}

/// A range in whole Hz, which is what reports give, one at least.
fn whole_hz(range: f64) -> String {
    format!("{}{NO_BREAK}Hz", decimals(range.ceil().max(1.0), 0))
}

/// Frequency of a band: what the sender did.
fn frequency(of: &BandFrequency) -> String {
    let band = of.band.label();
    let Some(range) = of.range_hz else {
        return format!(
            "{band}: {} gave a frequency: too few to tell the sender from a receiver.",
            counted(of.listeners, "listener", "listeners")
        );
    };
    let drift = match of.slope_hz_h.filter(|slope| slope.abs() >= 0.05) {
        Some(slope) => format!("drifting by {}{NO_BREAK}Hz an hour", difference(slope)),
        None => "without a lasting drift".to_owned(),
    };
    let jumps: Vec<String> = of.jumps.iter().take(MOST_JUMPS).map(jump).collect();
    let more = of.jumps.len().saturating_sub(MOST_JUMPS);
    let jumps = match (jumps.len(), more) {
        (0, _) => String::new(),
        (_, 0) => format!("jumped by {}, and ", jumps.join(", by ")),
        _ => format!("jumped by {} and {} more, and ", jumps.join(", by "), counted(more, "time", "times")),
    };
    if range <= STEADY_HZ {
        return format!(
            "{band}: the sender {jumps}kept within {} otherwise, as its listeners saw it.",
            whole_hz(range)
        );
    }
    format!("{band}: the sender {jumps}moved by {}, {drift}; its listeners saw it in common.", hz(range))
}

/// `−163 Hz at 00:00 UTC on 13 October`.
fn jump(of: &Jump) -> String {
    let sign = if of.hz < 0.0 { MINUS } else { '+' };
    format!("{sign}{} at {}", hz(of.hz.abs()), moment(of.at))
}

/// Listeners that drifted by themselves, the greatest three.
pub fn receivers(stations: &Stations, of: &BandFrequency) -> Option<String> {
    let named = of.receivers.iter().take(3).map(|receiver| {
        let slope = difference(receiver.slope_hz_h);
        format!("{} by {slope}{NO_BREAK}Hz an hour", stations.call(receiver.call))
    });
    let mut named: Vec<String> = named.collect();
    if named.is_empty() {
        return None;
    }
    if of.receivers.len() > named.len() {
        named.push(format!("{} more", count(of.receivers.len() - named.len())));
    }
    Some(format!("{}: receivers that drifted by themselves: {}.", of.band.label(), named.join(", ")))
}

/// Power and place that changed.
pub fn changes(sender: &Sender) -> Vec<String> {
    let mut said = Vec::new();
    course(&mut said, &sender.changes.power_dbm, "reported power", &|&dbm| power(dbm), &|_, _| None);
    let moved = |from: &Locator, to: &Locator| {
        let km = Geodesic::wgs84().path(from.centre(), to.centre()).distance_km;
        Some(format!("{}{NO_BREAK}km apart", decimals(km, usize::from(km < 9.95))))
    };
    course(&mut said, &sender.changes.locator, "reported locator", &Locator::to_string, &moved);
    said
}

fn course<T>(
    said: &mut Vec<String>,
    of: &Course<T>,
    what: &str,
    text: &dyn Fn(&T) -> String,
    apart: &dyn Fn(&T, &T) -> Option<String>,
) {
    for change in &of.changes {
        let apart = apart(&change.from, &change.to).map(|apart| format!(", {apart}")).unwrap_or_default();
        said.push(format!(
            "The {what} changed at {} from {} ({}) to {} ({}){apart}.",
            moment(change.at),
            text(&change.from),
            counted(change.sends_before, "send", "sends"),
            text(&change.to),
            counted(change.sends_after, "send", "sends")
        ));
    }
    if !of.in_turn.is_empty() {
        let values: Vec<String> = of.in_turn.iter().map(text).collect();
        said.push(format!("Its {what} changes in turn: {}.", values.join(", ")));
    }
    for odd in &of.odd {
        let sends = counted(odd.sends, "send", "sends");
        let first = if odd.sends == 1 { "at" } else { "first at" };
        said.push(format!(
            "A {what} of {} stands in {sends} only, {first} {}: misread, more likely than changed.",
            text(&odd.value),
            moment(odd.first)
        ));
    }
}

/// `1 in n` of a chance, with two figures at most: 87, 120.
fn one_in(chance: f64) -> usize {
    let mut n = (1.0 / chance.max(1e-4)).round();
    if n >= 100.0 {
        n = (n / 10.0).round() * 10.0;
    }
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "from 1 to 10 000")]
    let n = n as usize;
    n
}

fn length_s(span: Span) -> i64 {
    span.to.unix_s() - span.from.unix_s()
}

/// A length of time: `45 min`, `6 h 10 min`, `3 days`.
pub fn long(seconds: i64) -> String {
    let minutes = seconds.max(0) / 60;
    match (minutes / 60, minutes % 60) {
        (0, minutes) => format!("{minutes}{NO_BREAK}min"),
        (hours, _) if hours >= 48 => format!("{}{NO_BREAK}days", (hours + 12) / 24),
        (hours, 0) => format!("{hours}{NO_BREAK}h"),
        (hours, minutes) => format!("{hours}{NO_BREAK}h {minutes}{NO_BREAK}min"),
    }
}

/// `from 02:10 to 05:40 UTC on 29 April`, `from 23:10 UTC on 28 April to 02:40 UTC on 29 April`.
fn span(of: Span) -> String {
    if of.from.day_number() == of.to.day_number() {
        return format!("from {} to {} UTC on {}", of.from.clock(), of.to.clock(), day(of.to));
    }
    format!("from {} to {}", moment(of.from), moment(of.to))
}

/// `23:10 UTC on 28 April`.
fn moment(at: UtcTime) -> String {
    format!("{} UTC on {}", at.clock(), day(at))
}
