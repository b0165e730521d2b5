//! Makes the sample files: an antenna test that never was, the same bytes every time.
//!
//! - [`scenario`]: place, days, bands and beacons
//! - [`antenna`]: gain of the antennas by bearing and angle
//! - [`listener`]: who listens, where, on what and when
//! - [`sky_path`]: how signals travel, and the noise they meet
//! - [`day`]: two days of sending and listening
//! - [`mod@file`]: rows of text, with the blemishes of real files
//! - [`truth`]: the right answers, as tables for the README
//! - [`chance`]: seeded draws

pub mod antenna;
pub mod chance;
pub mod day;
pub mod file;
pub mod listener;
pub mod scenario;
pub mod sky_path;
pub mod truth;

/// The control's frequencies are given to so many hertz.
const TEN_HZ: f64 = 10.0;

/// A sample file and its text.
#[derive(Clone, Debug)]
pub struct Sample {
    /// Its name in `sample-files/`.
    pub name: &'static str,
    /// Its text.
    pub text: String,
}

/// All sample files, and the tables of the truth for `sample-files/README.md`.
pub fn make() -> (Vec<Sample>, String) {
    let listeners = listener::Listener::all();
    let tested = day::all_heard(&scenario::TESTED, &listeners);
    let mut control = day::all_heard(&scenario::CONTROL, &listeners);
    // nobody asks for the drift of the control, and the page that carries it is 1.6 kB lighter
    for report in &mut control {
        report.freq_hz = (report.freq_hz / TEN_HZ).round() * TEN_HZ;
    }
    let samples = vec![
        Sample {
            name: "two-antennas-two-days.csv",
            text: file::with_blemishes(&scenario::TESTED, &listeners, &tested),
        },
        Sample { name: "control-beacon-two-days.csv", text: file::plain(&scenario::CONTROL, &listeners, &control) },
    ];
    let truth = truth::tables(&listeners, &tested, &control);
    (samples, truth)
}
