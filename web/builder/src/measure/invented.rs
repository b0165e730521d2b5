//! The invented file that is measured on.

use std::fmt::Write;

use farheard::time::UtcTime;

use crate::random::Random;

/// The two calls that send.
pub(super) const SENDERS: [&str; 2] = ["Q7TST", "Q7TST/2"];
const LISTENERS: usize = 150;
const FREQUENCIES_MHZ: [&str; 3] = ["7.040100", "10.140200", "14.097100"];
/// 2031-04-27T00:00Z.
const START_S: i64 = 1_935_100_800;

/// A file of so many rows: two senders in the same slots, each heard by every listener.
pub(super) fn invented(rows: usize) -> String {
    let mut random = Random::new(7);
    let mut text = String::from("time,tx call,tx grid,rx call,rx grid,frequency (MHz),SNR,drift,power (dBm)\n");
    for at in 0..rows {
        let (sender, listener, slot) = (at % 2, at / 2 % LISTENERS, at / 2 / LISTENERS);
        let seconds = START_S + 120 * i64::try_from(slot).unwrap_or(0);
        let time = UtcTime::from_unix_s(seconds).map_or_else(String::new, UtcTime::iso);
        let snr = -22.0 + (listener % 17) as f64 + 2.0 * sender as f64 + random.normal(3.0);
        let letter = |n: usize| char::from(b'A' + u8::try_from(n % 18).unwrap_or(0));
        let line = writeln!(
            text,
            "{time},{},JN99fl,Q{}{}{},{}{}{}{},{},{:.0},0,23",
            SENDERS[sender],
            listener % 10,
            letter(listener / 10),
            letter(listener),
            letter(listener * 7),
            letter(listener * 5),
            listener % 10,
            listener / 3 % 10,
            FREQUENCIES_MHZ[slot % FREQUENCIES_MHZ.len()],
            snr.max(-29.0),
        );
        debug_assert!(line.is_ok());
    }
    text
}

/// A file in which so many listeners all over the earth each reported one sender three times.
pub(super) fn many_listeners(listeners: usize) -> String {
    let mut random = Random::new(13);
    let mut text = String::from("time,tx call,tx grid,rx call,rx grid,frequency (MHz),SNR,drift,power (dBm)\n");
    let mut pick = |count: usize| {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a share of a small count")]
        let at = (random.share() * count as f64) as usize;
        at.min(count - 1)
    };
    let letter = |n: usize| char::from(b'A' + u8::try_from(n % 26).unwrap_or(0));
    let places: Vec<String> =
        (0..listeners).map(|_| format!("{}{}{}{}", letter(pick(18)), letter(pick(18)), pick(10), pick(10))).collect();
    for turn in 0..3 * listeners {
        let listener = turn % listeners;
        let slot = i64::try_from(turn * 720 / (3 * listeners)).unwrap_or(0);
        let time = UtcTime::from_unix_s(START_S + 120 * slot).map_or_else(String::new, UtcTime::iso);
        let line = writeln!(
            text,
            "{time},{},JN99fl,Q{}{}{}{},{},{},-{},0,23",
            SENDERS[0],
            listener % 10,
            letter(listener / 10),
            letter(listener / 260),
            letter(listener / 6760),
            places[listener],
            FREQUENCIES_MHZ[turn % FREQUENCIES_MHZ.len()],
            5 + turn % 20,
        );
        debug_assert!(line.is_ok());
    }
    text
}
