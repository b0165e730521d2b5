//! Many made skies with and without a beacon that failed: how often health says so, and how often it is wrong.

#![allow(
    clippy::unwrap_used,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a test may stop at the first surprise"
)]

use farheard::model::{Band, Side, Spot, TableBuilder};
use farheard::study::Subject;
use farheard::study::health::{Likely, Sender, health};
use farheard::time::UtcTime;

/// 2031-04-28 00:00 UTC.
const START_S: i64 = 1_935_100_800;
const DAY: i64 = 1440;
/// Skies of each kind.
const RUNS: usize = 24;

/// Numbers of a sequence (splitmix64): from 0 up to 1, and of a normal distribution by the sum of twelve.
struct Chance(u64);

impl Chance {
    fn share(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.share()).sum::<f64>() - 6.0
    }
}

/// A sky in which each band rises and falls with the day and wanders from hour to hour, partly together with the others.
/// Level in dB over what a listener in the middle needs.
fn sky(chance: &mut Chance, bands: usize, slots: i64) -> Vec<Vec<f64>> {
    let wander = |chance: &mut Chance, sd: f64| {
        let mut at = sd * chance.normal();
        // forgotten over about two hours
        let keep = (-1.0_f64 / 60.0).exp();
        let step = sd * (1.0 - keep * keep).sqrt();
        (0..slots)
            .map(|_| {
                at = keep * at + step * chance.normal();
                at
            })
            .collect::<Vec<f64>>()
    };
    let together = wander(chance, 4.0);
    (0..bands)
        .map(|_| {
            let (mean, swing, best) = (8.0 * chance.share() - 2.0, 12.0 * chance.share(), chance.share());
            let own = wander(chance, 5.0);
            let level = |slot: usize| {
                let turn = (slot as f64 / 720.0 - best) * std::f64::consts::TAU;
                mean + swing * turn.cos() + own[slot] + together[slot]
            };
            (0..slots as usize).map(level).collect()
        })
        .collect()
}

/// A beacon on some bands in a cycle of ten slots, heard by twenty listeners of different hearing.
fn sender(seed: u64, bands: usize, days: i64, off: std::ops::Range<i64>) -> Option<Sender> {
    let mut chance = Chance(seed);
    let slots = days * DAY / 2;
    let sky = sky(&mut chance, bands, slots);
    let hearing: Vec<f64> = (0..20).map(|_| 6.0 * chance.normal() - 6.0).collect();
    let names = ["80m", "40m", "30m", "20m", "17m", "15m"];
    let mut builder = TableBuilder::new();
    builder.begin_file("made.csv");
    let tx = builder.station("Q7TST", None);
    for slot in 0..slots {
        let band = (slot % 10) as usize;
        for (at, hearing) in hearing.iter().enumerate() {
            // drawn also where nothing is sent, so that a beacon that was off has the same sky
            let fading = 3.0 * chance.normal();
            let Some(level) = sky.get(band).map(|level| level[slot as usize] + hearing + fading) else { continue };
            if level < 0.0 || off.contains(&(slot * 2)) {
                continue;
            }
            let rx = builder.station(&format!("Q{at}AB"), None);
            builder.push(Spot {
                time: UtcTime::from_unix_s(START_S + slot * 120).unwrap(),
                tx,
                rx,
                freq_hz: None,
                band: Band::from_name(names[band]).unwrap(),
                snr_db: Some(level - 28.0),
                drift_hz_min: None,
                power_dbm: None,
                line: 1,
            });
        }
    }
    let table = builder.freeze();
    let call = table.stations().find_call("Q7TST")?;
    let subject = Subject::new(&table, &[call], Side::Sends, None);
    health(&subject, subject.rows())?.senders.into_iter().next()
}

/// Runs in which the sender is blamed for a silence, in which a silence is called unusual, in which a band is, and without
/// a known cycle.
fn said(bands: usize, days: i64, off: &std::ops::Range<i64>) -> [usize; 4] {
    let mut counts = [0; 4];
    for seed in 0..RUNS as u64 {
        let Some(sender) = sender(seed * 1000 + 7, bands, days, off.clone()) else { continue };
        let silences = &sender.silences.all_bands;
        let of_off = |from: i64| off.is_empty() || (off.start - 120..off.end).contains(&((from - START_S) / 60));
        let blamed = |likely: Likely| likely == Likely::Sender;
        counts[0] += usize::from(silences.iter().any(|s| blamed(s.likely) && of_off(s.span.from.unix_s())));
        counts[1] += usize::from(silences.iter().any(|s| s.is_unusual() && of_off(s.span.from.unix_s())));
        counts[2] += usize::from(!sender.silences.one_band.is_empty());
        counts[3] += usize::from(!sender.turn.is_some_and(|turn| turn.filled));
    }
    counts
}

#[test]
fn failures_are_found_and_closing_bands_are_not_called_failures() {
    let (mut wrong, mut runs) = ([0; 4], 0);
    for (bands, days) in [(1, 1), (1, 4), (2, 1), (2, 4), (4, 1), (4, 4), (6, 2), (6, 4)] {
        let none = said(bands, days, &(0..0));
        assert_eq!(none[0], 0, "{bands} bands, {days} days: the sender is blamed for closed bands");
        assert_eq!(none[3], 0, "{bands} bands, {days} days: a beacon that never fails has a cycle");
        for (wrong, none) in wrong.iter_mut().zip(none) {
            *wrong += none;
        }
        runs += RUNS;
        // off for five hours on the last day
        let start = (days - 1) * DAY + 600;
        let [blamed, unusual, ..] = said(bands, days, &(start..start + 300));
        match (bands, days) {
            // with a single band nothing tells off from closed, and from a single day nothing is unusual
            (1, _) => assert_eq!(blamed, 0, "one band, {days} days"),
            (4.., 4) => {
                assert!(blamed * 3 > RUNS && unusual * 3 > RUNS * 2, "{bands}: {blamed} blamed, {unusual} unusual");
            }
            (4.., _) => assert!(blamed * 3 > RUNS, "{bands} bands, {days} days: {blamed} blamed"),
            _ => assert!(blamed * 5 > RUNS, "{bands} bands, {days} days: {blamed} blamed"),
        }
    }
    // called unusual in one run of twenty at most, on all bands and on single ones
    assert!(wrong[1] * 20 <= runs && wrong[2] * 20 <= runs, "{wrong:?} of {runs}");
}
