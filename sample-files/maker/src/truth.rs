//! The right answers of the invented test, as tables in Markdown.

use std::collections::BTreeMap;
use std::fmt::Write;

use crate::antenna::Antenna;
use crate::day::Heard;
use crate::listener::Listener;
use crate::scenario::{BANDS, POWER_DBM};

/// Bearings of the table by angle: along the doublet's legs, and across them.
const BEARINGS: [(&str, f64); 2] =
    [("along the doublet's legs (25°, 205°)", 25.0), ("across them (115°, 295°)", 115.0)];
/// Take-off angles of that table, degrees.
const ELEVATIONS_DEG: [f64; 6] = [3.0, 5.0, 10.0, 20.0, 40.0, 70.0];

/// What was heard and what is true, per band; then the difference by bearing and angle.
pub fn tables(listeners: &[Listener], tested: &[Heard], control: &[Heard]) -> String {
    let mut text = String::new();
    per_band(&mut text, listeners, tested, control);
    for (name, bearing_deg) in BEARINGS {
        by_angle(&mut text, name, bearing_deg);
    }
    text
}

/// Distance classes of the truth: name, and upper limit in km.
const CLASSES: [(&str, f64); 3] = [("under 1500 km", 1500.0), ("1500 to 4000 km", 4000.0), ("farther", f64::INFINITY)];
/// Pairs that the floor can hardly have bent: the mean SNR of both reports, in dB, is at least this.
const CLEAR_DB: i32 = -16;

/// What was true of each pair: a report of each day, of one listener on one band at the same time of day.
fn clear_pairs<'a>(heard: impl Iterator<Item = &'a Heard>) -> impl Iterator<Item = f64> {
    let mut first = BTreeMap::new();
    let mut second = Vec::new();
    for report in heard {
        let key = (report.listener, report.band, report.time.second_of_day());
        if report.day == 0 {
            first.insert(key, report);
        } else {
            second.push((key, report));
        }
    }
    second
        .into_iter()
        .filter_map(move |(key, b)| first.get(&key).map(|&a| (a, b)))
        .filter(|(a, b)| a.snr_db + b.snr_db >= 2 * CLEAR_DB)
        .map(|(a, b)| f64::midpoint(a.second_minus_first_db, b.second_minus_first_db))
}

fn mean_and_number(values: impl Iterator<Item = f64>) -> String {
    let (mut sum, mut count) = (0.0, 0_u32);
    for value in values {
        sum += value;
        count += 1;
    }
    if count == 0 { "none".to_owned() } else { format!("{:+.1} ({count})", sum / f64::from(count)) }
}

fn per_band(text: &mut String, listeners: &[Listener], tested: &[Heard], control: &[Heard]) {
    text.push_str("| band | doublet | vertical | control, day 1 | day 2 | listeners of both antennas |\n|---|---|---|---|---|---|\n");
    for (band, hop) in BANDS.iter().enumerate() {
        let count = |heard: &[Heard], day| heard.iter().filter(|h| h.band == band && h.day == day).count();
        let hears =
            |listener: usize, day| tested.iter().any(|h| h.band == band && h.day == day && h.listener == listener);
        let both = (0..listeners.len()).filter(|&listener| hears(listener, 0) && hears(listener, 1)).count();
        writeln!(
            text,
            "| {} | {} | {} | {} | {} | {both} |",
            hop.name,
            count(tested, 0),
            count(tested, 1),
            count(control, 0),
            count(control, 1)
        )
        .unwrap_or_default();
    }
    writeln!(
        text,
        "\nHow far the vertical truly is above the doublet, in dB, over the ways the signals took, and in brackets over how many.\nAll reports: of both days. \
        Clear pairs: a report of each day, same listener, band and time of day, mean SNR {CLEAR_DB} dB or better, so that the decode floor hides neither: \
        this is what a fair comparison of pairs should find. Distance classes: all reports.\n"
    )
    .unwrap_or_default();
    write!(text, "| band | all reports | clear pairs |").unwrap_or_default();
    for (name, _) in CLASSES {
        write!(text, " {name} |").unwrap_or_default();
    }
    text.push_str("\n|---|---|---|---|---|---|\n");
    for (band, hop) in BANDS.iter().map(Some).enumerate().chain([(BANDS.len(), None)]) {
        let own = || tested.iter().filter(|h| hop.is_none() || h.band == band);
        let name = hop.map_or("all", |hop| hop.name);
        let all = mean_and_number(own().map(|h| h.second_minus_first_db));
        let clear = mean_and_number(clear_pairs(own()));
        write!(text, "| {name} | {all} | {clear} |").unwrap_or_default();
        let mut from_km = 0.0;
        for (_, to_km) in CLASSES {
            let here = own().filter(|h| (from_km..to_km).contains(&listeners[h.listener].distance_km));
            let here = mean_and_number(here.map(|h| h.second_minus_first_db));
            write!(text, " {here} |").unwrap_or_default();
            from_km = to_km;
        }
        text.push('\n');
    }
}

fn by_angle(text: &mut String, name: &str, bearing_deg: f64) {
    write!(text, "\nVertical above doublet in dB, {name}, at {POWER_DBM} dBm each:\n\n| band |").unwrap_or_default();
    for elevation_deg in ELEVATIONS_DEG {
        write!(text, " {elevation_deg}° |").unwrap_or_default();
    }
    text.push_str("\n|---|---|---|---|---|---|---|\n");
    for hop in BANDS {
        write!(text, "| {} |", hop.name).unwrap_or_default();
        for elevation_deg in ELEVATIONS_DEG {
            let gain = |antenna: Antenna| antenna.gain_dbi(hop.mhz(), bearing_deg, elevation_deg);
            write!(text, " {:+.1} |", gain(Antenna::ShortVertical) - gain(Antenna::LowDoublet)).unwrap_or_default();
        }
        text.push('\n');
    }
}
