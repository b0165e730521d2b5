//! The right answers of the invented test, as tables in Markdown.

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
/// Reports that the floor cannot have bent much: at this SNR or better, in dB.
const STRONG_DB: i32 = -22;

/// How many reports, and the mean of what was true of each.
fn true_difference<'a>(heard: impl Iterator<Item = &'a Heard>) -> String {
    let (mut sum, mut count) = (0.0, 0_u32);
    for report in heard {
        sum += report.second_minus_first_db;
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
    text.push_str("\nHow far the vertical truly is above the doublet, in dB, over the ways the signals took: mean over the reports of both days (their number).\n\n");
    write!(text, "| band | all | {STRONG_DB} dB or better |").unwrap_or_default();
    for (name, _) in CLASSES {
        write!(text, " {name} |").unwrap_or_default();
    }
    text.push_str("\n|---|---|---|---|---|---|\n");
    for (band, hop) in BANDS.iter().map(Some).enumerate().chain([(BANDS.len(), None)]) {
        let own = || tested.iter().filter(|h| hop.is_none() || h.band == band);
        let name = hop.map_or("all", |hop| hop.name);
        let strong = true_difference(own().filter(|h| h.snr_db >= STRONG_DB));
        write!(text, "| {name} | {} | {strong} |", true_difference(own())).unwrap_or_default();
        let mut from_km = 0.0;
        for (_, to_km) in CLASSES {
            let here = true_difference(own().filter(|h| (from_km..to_km).contains(&listeners[h.listener].distance_km)));
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
