//! Reports as the rows of a file, and the blemishes that files from outside always have.

use std::fmt::Write;

use crate::chance::Chance;
use crate::day::Heard;
use crate::listener::Listener;
use crate::scenario::{POWER_DBM, Sender};

/// First line: a header of our own words.
pub const HEADER: &str = "utc,sent by,from,power dBm,heard by,at,frequency MHz,SNR dB,drift Hz/min";

/// A report nobody can have made: 10 m at night, from the far side of the earth, at the floor, and only once.
const UNLIKELY: &str = "2031-10-13 02:52,Q6HUT,IN71,23,Q2ZKD,RE78rt,28.126094,-31,0";

/// The file of a beacon, every row as it was heard.
pub fn plain(sender: &Sender, listeners: &[Listener], heard: &[Heard]) -> String {
    joined(heard.iter().map(|report| row(sender, &listeners[report.listener], report)))
}

/// The file of a beacon with a handful of rows of each kind that a reader has to deal with: repeated rows,
/// a second and weaker report of the same signal 100 Hz away, calls that could not be resolved, a call cut short, and a
/// single report too far to be true.
pub fn with_blemishes(sender: &Sender, listeners: &[Listener], heard: &[Heard]) -> String {
    let mut rows: Vec<String> = heard.iter().map(|report| row(sender, &listeners[report.listener], report)).collect();
    let mut chance = Chance::of(&[30, sender.index]);
    let mut more: Vec<(usize, String)> = Vec::new();
    for _ in 0..5 {
        let at = chance.below(rows.len());
        more.push((at, rows[at].clone()));
    }
    let strong: Vec<usize> = (0..heard.len()).filter(|&at| heard[at].snr_db > -6).collect();
    for _ in 0..3 {
        let Some(&at) = strong.get(chance.below(strong.len())) else { break };
        let image = Heard { freq_hz: heard[at].freq_hz + 100.0, snr_db: heard[at].snr_db - 19, ..heard[at].clone() };
        more.push((at, row(sender, &listeners[image.listener], &image)));
    }
    for _ in 0..4 {
        let at = chance.below(rows.len());
        rows[at] =
            rows[at].replace(&format!(",{},{},", sender.call, sender.locator), &format!(",<...>,{},", sender.stands));
    }
    let at = chance.below(rows.len());
    let call = &listeners[heard[at].listener].call;
    let cut: String = call.chars().take(2).collect();
    rows[at] = rows[at].replace(&format!(",{call},"), &format!(",{cut},"));
    // each added row stands right after the one it repeats
    more.sort_by_key(|(at, _)| *at);
    let mut more = more.into_iter().peekable();
    let mut all = Vec::new();
    for (at, row) in rows.into_iter().enumerate() {
        all.push(row);
        while let Some((_, added)) = more.next_if(|(after, _)| *after == at) {
            all.push(added);
        }
    }
    let after = all.partition_point(|row| row.as_str() < UNLIKELY);
    all.insert(after, UNLIKELY.to_owned());
    joined(all.into_iter())
}

fn joined(rows: impl Iterator<Item = String>) -> String {
    let mut text = format!("{HEADER}\n");
    for row in rows {
        text.push_str(&row);
        text.push('\n');
    }
    text
}

fn row(sender: &Sender, listener: &Listener, report: &Heard) -> String {
    let mut row = format!("{},{},{},{POWER_DBM},", report.time.date_and_minute(), sender.call, sender.locator);
    // writing to a String cannot fail
    write!(
        row,
        "{},{},{:.6},{},{}",
        listener.call,
        listener.locator,
        report.freq_hz / 1e6,
        report.snr_db,
        report.drift_hz_min
    )
    .unwrap_or_default();
    row
}
