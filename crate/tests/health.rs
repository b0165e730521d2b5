//! Health of made beacons whose truth is known: what they sent, when they were off, how they drifted.

#![allow(
    clippy::unwrap_used,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_possible_wrap,
    reason = "a test may stop at the first surprise"
)]

mod published;

use std::collections::BTreeSet;
use std::fmt::Write;

use farheard::geography::Locator;
use farheard::model::{Band, CallId, RowSet, Side, Spot, SpotTable, TableBuilder};
use farheard::share::readout::{Input, Readout, Request};
use farheard::study::health::slope::theil_sen;
use farheard::study::health::{Health, Likely, Sender, Silence, health};
use farheard::study::runs::{Rule, Run};
use farheard::study::{Filter, Subject};
use farheard::time::UtcTime;
use farheard::words::health as words;

/// 2031-04-28 00:00 UTC.
const START_S: i64 = 1_935_100_800;
const DAY: i64 = 1440;

/// A number from 0 up to 1 for each case (splitmix64).
fn chance(of: [i64; 4]) -> f64 {
    let mut z = of.iter().fold(0x5EED_u64, |z, &part| {
        let z = (z ^ part as u64).wrapping_add(0x9E37_79B9_7F4A_7C15);
        let z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB)
    });
    z ^= z >> 31;
    (z >> 11) as f64 / (1_u64 << 53) as f64
}

/// Bands with their places in a cycle.
type Places = Vec<(&'static str, Vec<i64>)>;

/// A beacon of known habits. Minutes count from the start; its slots are two minutes long.
struct Beacon {
    call: &'static str,
    /// Length of the cycle in slots, and the places of each band in it.
    cycle: i64,
    bands: Places,
    minutes: std::ops::Range<i64>,
    on: fn(i64) -> bool,
    /// How likely each listener hears a send.
    open: fn(&str, i64) -> f64,
    listeners: i64,
    /// Offset from the middle in Hz by listener and minute.
    hz: fn(i64, i64) -> f64,
    power_dbm: fn(i64) -> f64,
    locator: fn(i64) -> &'static str,
    /// Level by listener and minute, dB; below the floor of -28 dB nobody hears it.
    snr_db: fn(i64, i64) -> f64,
}

impl Default for Beacon {
    fn default() -> Self {
        Self {
            call: "Q7TST",
            cycle: 5,
            bands: vec![("20m", vec![1])],
            minutes: 0..DAY,
            on: |_| true,
            open: |_, _| 0.3,
            listeners: 12,
            hz: |_, _| 0.0,
            power_dbm: |_| 23.0,
            locator: |_| "JN99fl",
            snr_db: |listener, minute| -26.0 + listener as f64 * 2.0 + chance([minute, listener, 2, 2]),
        }
    }
}

fn six_bands() -> Places {
    ["80m", "40m", "30m", "20m", "17m", "15m"].into_iter().zip(0..).map(|(band, place)| (band, vec![place])).collect()
}

/// A sine wave over the day, highest at noon: 0 to 1.
fn daylight(minute: i64) -> f64 {
    let turn = (minute as f64 / DAY as f64 - 0.25) * std::f64::consts::TAU;
    f64::midpoint(turn.sin(), 1.0)
}

impl Beacon {
    fn sends(&self) -> Vec<(i64, &'static str)> {
        let mut sends = Vec::new();
        for slot in self.minutes.start / 2..self.minutes.end / 2 {
            let place = (START_S / 120 + slot).rem_euclid(self.cycle);
            for (band, places) in &self.bands {
                if places.contains(&place) && (self.on)(slot * 2) {
                    sends.push((slot * 2, *band));
                }
            }
        }
        sends
    }

    fn spots(&self) -> Vec<Report> {
        let mut spots = Vec::new();
        for (minute, band) in self.sends() {
            for listener in 0..self.listeners {
                let band = Band::from_name(band).unwrap();
                let salt = self.call.len() as i64;
                let snr_db = (self.snr_db)(listener, minute);
                if chance([minute, listener, band.order(), salt]) < (self.open)(band.name(), minute) && snr_db >= -28.0
                {
                    let hz = band.edges_hz().unwrap().0 + 20_000.0 + (self.hz)(listener, minute);
                    spots.push(Report {
                        minute,
                        call: self.call,
                        listener: format!("Q{listener}AB"),
                        band,
                        hz: hz.round(),
                        snr_db: snr_db.round(),
                        power_dbm: (self.power_dbm)(minute),
                        locator: (self.locator)(minute),
                    });
                }
            }
        }
        spots
    }
}

#[derive(Clone, Debug)]
struct Report {
    minute: i64,
    call: &'static str,
    listener: String,
    band: Band,
    hz: f64,
    snr_db: f64,
    power_dbm: f64,
    locator: &'static str,
}

fn table(spots: &[Report]) -> SpotTable {
    let mut builder = TableBuilder::new();
    builder.begin_file("made.csv");
    for (line, spot) in (2..).zip(spots) {
        let tx = builder.station(spot.call, Locator::parse(spot.locator).ok());
        let rx = builder.station(&spot.listener, Locator::parse("JO10ab").ok());
        builder.push(Spot {
            time: at(spot.minute),
            tx,
            rx,
            freq_hz: Some(spot.hz),
            band: spot.band,
            snr_db: Some(spot.snr_db),
            drift_hz_min: None,
            power_dbm: Some(spot.power_dbm),
            line,
        });
    }
    builder.freeze()
}

fn at(minute: i64) -> UtcTime {
    UtcTime::from_unix_s(START_S + minute * 60).unwrap()
}

fn of_calls(table: &SpotTable, calls: &[&str]) -> Health {
    let calls: Vec<CallId> = calls.iter().map(|call| table.stations().find_call(call).unwrap()).collect();
    let subject = Subject::new(table, &calls, Side::Sends, None);
    health(&subject, subject.rows()).unwrap()
}

fn of(beacon: &Beacon) -> Sender {
    let health = of_calls(&table(&beacon.spots()), &[beacon.call]);
    assert_eq!(health.senders.len(), 1);
    health.senders.into_iter().next().unwrap()
}

/// Minutes of a silence since the start.
fn minutes(silence: &Silence) -> (i64, i64) {
    let minute = |time: UtcTime| (time.unix_s() - START_S) / 60;
    (minute(silence.span.from), minute(silence.span.to))
}

fn band(name: &str) -> Band {
    Band::from_name(name).unwrap()
}

#[test]
fn a_regular_beacon_on_six_bands_is_counted_as_it_sent() {
    let beacon = Beacon { cycle: 10, bands: six_bands(), ..Beacon::default() };
    let sender = of(&beacon);
    let turn = sender.turn.as_ref().unwrap();
    assert_eq!((turn.slots, turn.slot_s, turn.filled), (10, 120, true));
    for (at, (name, places)) in six_bands().into_iter().enumerate() {
        assert_eq!(turn.places(band(name)).unwrap(), [places[0] as usize]);
        let of_band = &sender.sends[at];
        assert_eq!(of_band.band, band(name));
        // the first or last send may be the unheard one that the run is not known to reach
        let sent = 720 / 10;
        assert!((sent - 1..=sent).contains(&of_band.expected.unwrap()), "{name}: {:?}", of_band.expected);
        // one of twelve listeners hears it with 1 - 0.7^12 = 0.986
        assert!(of_band.share().unwrap() > 0.93, "{name}");
        assert_eq!(of_band.hours.iter().map(|hour| hour.expected).sum::<usize>(), of_band.expected.unwrap());
        assert_eq!(of_band.hours.iter().map(|hour| hour.heard).sum::<usize>(), of_band.heard);
    }
    assert!(sender.silences.all_bands.is_empty() && sender.silences.one_band.is_empty());
    assert!(sender.changes.power_dbm.changes.is_empty() && sender.changes.locator.odd.is_empty());
}

#[test]
fn heard_sends_equal_a_plain_recount() {
    let beacon = Beacon { cycle: 7, bands: six_bands(), open: |_, _| 0.05, ..Beacon::default() };
    let spots = beacon.spots();
    let sender = of(&beacon);
    for of_band in &sender.sends {
        let own = spots.iter().filter(|spot| spot.band == of_band.band);
        let sends: BTreeSet<i64> = own.map(|spot| spot.minute).collect();
        assert_eq!(of_band.heard + of_band.beside, sends.len(), "{:?}", of_band.band);
        for (hour, of_hour) in (0..).zip(&of_band.hours) {
            assert_eq!(of_hour.heard, sends.iter().filter(|&&minute| minute / 60 == hour).count());
        }
    }
}

#[test]
fn cycles_of_all_kinds_are_found() {
    let kinds: [(i64, Places); 7] = [
        (1, vec![("20m", vec![0])]),
        (2, vec![("20m", vec![1])]),
        (5, vec![("40m", vec![3])]),
        (30, vec![("20m", vec![0, 7])]),
        (6, six_bands()),
        (12, six_bands()),
        // two antennas in turn on each of three bands
        (12, vec![("80m", vec![0, 6]), ("40m", vec![1, 7]), ("20m", vec![2, 9])]),
    ];
    for (cycle, bands) in kinds {
        let beacon = Beacon { cycle, bands: bands.clone(), ..Beacon::default() };
        let turn = of(&beacon).turn.unwrap_or_else(|| panic!("cycle of {cycle}: {bands:?}"));
        assert!(turn.filled, "cycle of {cycle}: {turn:?}");
        assert_eq!(turn.slots as i64, cycle);
        for (name, places) in bands {
            let found: Vec<i64> = turn.places(band(name)).unwrap().iter().map(|&place| place as i64).collect();
            assert_eq!(found, places, "{name} in a cycle of {cycle}");
        }
    }
}

/// Common practice, no source: many senders choose one slot in five by chance, some with bands that go by the clock.
#[test]
fn who_sends_by_chance_has_no_expected_sends() {
    for (cycle, bands) in [(1, vec![("20m", vec![0])]), (10, six_bands())] {
        for (on, name) in [
            ((|minute| chance([minute, 0, 0, 77]) < 0.2) as fn(i64) -> bool, "a fifth"),
            (|minute| chance([minute, 0, 0, 78]) < 0.5, "half"),
        ] {
            let beacon =
                Beacon { cycle, bands: bands.clone(), on, minutes: 0..3 * DAY, open: |_, _| 0.6, ..Beacon::default() };
            let sender = of(&beacon);
            assert!(sender.turn.as_ref().is_none_or(|turn| !turn.filled), "{name} of slots: {:?}", sender.turn);
            assert!(sender.sends.iter().all(|of_band| of_band.expected.is_none()), "{name}");
            assert_eq!(
                sender.sends.iter().map(|of_band| of_band.heard + of_band.beside).sum::<usize>(),
                beacon.sends().len()
            );
            assert!(sender.silences.all_bands.is_empty(), "{name}: {:?}", sender.silences.all_bands);
        }
    }
}

#[test]
fn a_few_reports_with_wrong_clocks_do_not_hide_the_cycle() {
    let beacon = Beacon { cycle: 6, bands: six_bands(), ..Beacon::default() };
    let mut spots = beacon.spots();
    for at in (0..spots.len()).step_by(40) {
        spots[at].minute += 2;
        spots[at].listener = "Q9LATE".to_owned();
    }
    spots.sort_by_key(|spot| spot.minute);
    let health = of_calls(&table(&spots), &["Q7TST"]);
    let turn = health.senders[0].turn.as_ref().unwrap();
    assert_eq!((turn.slots, turn.filled, turn.bands.len()), (6, true, 6));
    assert!(turn.bands.iter().all(|of_band| of_band.places.len() == 1));
    assert!(health.senders[0].sends.iter().map(|of_band| of_band.beside).sum::<usize>() > 20);
}

#[test]
fn off_for_four_hours_in_a_single_night_is_seen_where_bands_stop_together() {
    let beacon = Beacon {
        cycle: 6,
        bands: six_bands(),
        minutes: 18 * 60..34 * 60, // over midnight
        on: |minute| !(23 * 60..27 * 60).contains(&minute),
        ..Beacon::default()
    };
    let sender = of(&beacon);
    let [silence] = sender.silences.all_bands[..] else { panic!("{:?}", sender.silences) };
    let (from, to) = minutes(&silence);
    assert!((23 * 60 - 12..=23 * 60).contains(&from) && (27 * 60..=27 * 60 + 12).contains(&to), "{from} {to}");
    assert!((silence.span.hours() - 4.0).abs() < 0.4);
    assert!((115..=130).contains(&silence.missed.unwrap()), "{:?}", silence.missed);
    assert_eq!((silence.likely, silence.together, silence.band), (Likely::Sender, 6, None));
    assert!(silence.habit.is_none() && !silence.is_unusual(), "there is no other day");
    assert!(silence.around.share().unwrap() > 0.9);
    assert!(sender.silences.one_band.is_empty());
}

#[test]
fn off_in_one_night_of_four_is_unusual_by_the_other_three() {
    let beacon = Beacon {
        cycle: 6,
        bands: vec![("40m", vec![1])],
        minutes: 0..4 * DAY,
        on: |minute| !(2 * DAY + 60..2 * DAY + 7 * 60).contains(&minute),
        ..Beacon::default()
    };
    let sender = of(&beacon);
    let [silence] = sender.silences.all_bands[..] else { panic!("{:?}", sender.silences) };
    let habit = silence.habit.unwrap();
    assert_eq!((habit.days, habit.silent_days), (3, 0));
    assert!(habit.sends.share().unwrap() > 0.9);
    // by hand: seven hours (a little over six) at 1 in 5, each further one at 0.6
    let chance = habit.chance.unwrap();
    assert!((chance - 0.2 * 0.6_f64.powi(6)).abs() < 1e-9 || (chance - 0.2 * 0.6_f64.powi(5)).abs() < 1e-9, "{chance}");
    assert!(silence.is_unusual());
    // one band: nothing tells a beacon that is off from a band that is closed
    assert_eq!(silence.likely, Likely::Unsure);
}

#[test]
fn a_band_that_closes_at_night_is_not_called_off() {
    let fading = |_: &str, minute: i64| (daylight(minute) * 1.2 - 0.6).max(0.0);
    for days in 1..=5 {
        let beacon = Beacon {
            cycle: 6,
            bands: vec![("20m", vec![0]), ("17m", vec![1])],
            minutes: DAY / 2..DAY / 2 + days * DAY,
            open: fading,
            ..Beacon::default()
        };
        let sender = of(&beacon);
        assert_eq!(sender.silences.all_bands.len() as i64, days);
        for silence in &sender.silences.all_bands {
            assert_ne!(silence.likely, Likely::Sender, "{days} days: {silence:?}");
            assert!(!silence.is_unusual(), "{days} days: {silence:?}");
            if days > 2 {
                assert_eq!(silence.likely, Likely::Usual, "{silence:?}");
            }
        }
        assert!(sender.silences.one_band.is_empty(), "{:?}", sender.silences.one_band);
    }
    // with another band open all night there is no silence at all
    let open = |band: &str, minute: i64| if band == "40m" { 0.3 } else { (daylight(minute) * 1.2 - 0.6).max(0.0) };
    let bands = vec![("40m", vec![2]), ("20m", vec![0]), ("17m", vec![1])];
    let beacon = Beacon { cycle: 6, bands, minutes: 0..3 * DAY, open, ..Beacon::default() };
    let sender = of(&beacon);
    assert!(sender.silences.all_bands.is_empty() && sender.silences.one_band.is_empty(), "{:?}", sender.silences);
    let twenty = sender.sends.iter().find(|of_band| of_band.band == band("20m")).unwrap();
    assert!(
        twenty.hours[0].heard == 0 && twenty.hours[0].expected > 10,
        "the sends of the night are expected, not heard"
    );
}

#[test]
fn one_band_that_fails_is_told_from_those_that_go_on() {
    let open = |band: &str, minute: i64| {
        if band == "20m" && (3 * DAY + 600..3 * DAY + 1100).contains(&minute) { 0.0 } else { 0.3 }
    };
    let beacon = Beacon { cycle: 6, bands: six_bands(), minutes: 0..6 * DAY, open, ..Beacon::default() };
    let sender = of(&beacon);
    assert!(sender.silences.all_bands.is_empty());
    let [silence] = sender.silences.one_band[..] else { panic!("{:?}", sender.silences) };
    assert_eq!((silence.band, silence.likely), (Some(band("20m")), Likely::Unsure));
    assert!(silence.is_unusual());
    assert!(
        (minutes(&silence).0 - (3 * DAY + 600)).abs() <= 24 && (minutes(&silence).1 - (3 * DAY + 1100)).abs() <= 24
    );
}

#[test]
fn listeners_that_go_on_hearing_the_other_run_show_that_it_was_the_sender() {
    let a = Beacon {
        cycle: 4,
        bands: vec![("20m", vec![0])],
        on: |minute| !(600..900).contains(&minute),
        ..Beacon::default()
    };
    let b = Beacon {
        call: "Q7TST/2",
        bands: vec![("20m", vec![2])],
        on: |_| true,
        ..Beacon { cycle: 4, ..Beacon::default() }
    };
    let mut spots = [a.spots(), b.spots()].concat();
    spots.sort_by_key(|spot| spot.minute);
    let table = table(&spots);
    let health = of_calls(&table, &["Q7TST", "Q7TST/2"]);
    let of_call = |call: &str| health.senders.iter().find(|sender| table.stations().call(sender.call) == call).unwrap();
    let [silence] = of_call("Q7TST").silences.all_bands[..] else { panic!("{:?}", of_call("Q7TST").silences) };
    // the listeners that hear it 10 dB or more above the floor: numbers 6 to 11, and perhaps 5
    assert!(silence.likely == Likely::Sender && (6..=7).contains(&silence.others), "{silence:?}");
    assert!(of_call("Q7TST/2").silences.all_bands.is_empty());
    assert!(health.senders.iter().all(|sender| sender.silences.turns.is_empty()));
}

#[test]
fn a_stronger_sender_that_is_heard_longer_is_no_sign_of_a_failure() {
    // the band fades by day for all; the other sender is 10 dB stronger and stays
    let weak: fn(i64, i64) -> f64 = |listener, minute| {
        -14.0 + listener as f64 * 0.5 - 26.0 * daylight(minute) + 4.0 * chance([minute, listener, 2, 2])
    };
    let strong: fn(i64, i64) -> f64 = |listener, minute| {
        -4.0 + listener as f64 * 0.5 - 26.0 * daylight(minute) + 4.0 * chance([minute, listener, 2, 3])
    };
    for days in [1, 2] {
        let minutes = 0..days * DAY;
        let bands = vec![("80m", vec![0])];
        let a =
            Beacon { cycle: 4, bands, minutes: minutes.clone(), snr_db: weak, open: |_, _| 0.9, ..Beacon::default() };
        let bands = vec![("80m", vec![2])];
        let b =
            Beacon { call: "Q7TST/2", cycle: 4, bands, minutes, snr_db: strong, open: |_, _| 0.9, ..Beacon::default() };
        let mut spots = [a.spots(), b.spots()].concat();
        spots.sort_by_key(|spot| spot.minute);
        let table = table(&spots);
        let health = of_calls(&table, &["Q7TST", "Q7TST/2"]);
        let weak = health.senders.iter().find(|sender| table.stations().call(sender.call) == "Q7TST").unwrap();
        assert_eq!(weak.silences.all_bands.len() as i64, days, "{:?}", weak.silences);
        assert!(weak.silences.all_bands.iter().all(|silence| silence.likely != Likely::Sender), "{:?}", weak.silences);
    }
}

#[test]
fn a_beacon_that_stops_before_the_other_run_is_said() {
    let a = Beacon { cycle: 4, bands: vec![("20m", vec![0])], minutes: 0..900, ..Beacon::default() };
    let b = Beacon { call: "Q7TST/2", cycle: 4, bands: vec![("20m", vec![2])], ..Beacon::default() };
    let mut spots = [a.spots(), b.spots()].concat();
    spots.sort_by_key(|spot| spot.minute);
    let table = table(&spots);
    let health = of_calls(&table, &["Q7TST", "Q7TST/2"]);
    let sender = health.senders.iter().find(|sender| table.stations().call(sender.call) == "Q7TST").unwrap();
    let [silence] = sender.silences.all_bands[..] else { panic!("{:?}", sender.silences) };
    assert!(silence.to_the_end && silence.likely == Likely::Sender);
    assert!((minutes(&silence).0 - 900).abs() <= 10 && (minutes(&silence).1 - DAY).abs() <= 10);
}

#[test]
fn antennas_that_take_turns_by_the_hours_are_not_silent() {
    for hours in [1, 2, 6] {
        let turn_a: fn(i64) -> bool = match hours {
            1 => |minute| minute / 60 % 2 == 0,
            2 => |minute| minute / 120 % 2 == 0,
            _ => |minute| minute / 360 % 2 == 0,
        };
        let turn_b: fn(i64) -> bool = match hours {
            1 => |minute| minute / 60 % 2 == 1,
            2 => |minute| minute / 120 % 2 == 1,
            _ => |minute| minute / 360 % 2 == 1,
        };
        let a = Beacon { cycle: 5, minutes: 0..2 * DAY, on: turn_a, ..Beacon::default() };
        let b = Beacon { call: "Q7TST/2", cycle: 5, minutes: 0..2 * DAY, on: turn_b, ..Beacon::default() };
        let mut spots = [a.spots(), b.spots()].concat();
        spots.sort_by_key(|spot| spot.minute);
        let health = of_calls(&table(&spots), &["Q7TST", "Q7TST/2"]);
        for sender in &health.senders {
            assert!(sender.silences.all_bands.is_empty(), "{hours} h: {:?}", sender.silences);
            assert!(!sender.silences.turns.is_empty());
            // sends in the other's turn are not expected
            let of_band = &sender.sends[0];
            assert!(of_band.share().unwrap() > 0.93, "{hours} h: {of_band:?}");
        }
    }
}

#[test]
fn two_runs_in_turn_by_power_are_one_beacon_and_no_change() {
    let beacon = Beacon {
        cycle: 6,
        bands: six_bands(),
        minutes: 0..2 * DAY,
        power_dbm: |minute| if (START_S / 60 + minute) / 12 % 2 == 0 { 23.0 } else { 20.0 },
        ..Beacon::default()
    };
    let spots = beacon.spots();
    let table = table(&spots);
    let health = of_calls(&table, &["Q7TST"]);
    let sender = &health.senders[0];
    assert!(sender.changes.power_dbm.changes.is_empty());
    assert_eq!(sender.changes.power_dbm.in_turn.len(), 2);
    assert_eq!(sender.turn.as_ref().unwrap().slots, 6);
    // one of the runs alone: half of the sends, none of them silent
    let subject = Subject::new(&table, &[sender.call], Side::Sends, None);
    let run = subject.rows().filtered(|row| table.power_dbm(row) == Some(20.0));
    let of_run = health_of(&subject, &run);
    assert_eq!(of_run.turn.as_ref().unwrap().slots, 12);
    assert!(of_run.silences.all_bands.is_empty() && of_run.changes.power_dbm.in_turn.is_empty());
    assert!(of_run.sends.iter().all(|of_band| (119..=120).contains(&of_band.expected.unwrap())));
}

fn health_of(subject: &Subject<'_>, rows: &RowSet) -> Sender {
    health(subject, rows).unwrap().senders.into_iter().next().unwrap()
}

#[test]
fn a_filter_on_a_band_or_time_makes_no_silence() {
    let beacon = Beacon { cycle: 6, bands: six_bands(), ..Beacon::default() };
    let table = table(&beacon.spots());
    let call = table.stations().find_call("Q7TST").unwrap();
    let subject = Subject::new(&table, &[call], Side::Sends, None);
    let filters = [
        Filter { bands: Some(BTreeSet::from([band("20m")])), ..Filter::default() },
        Filter { from: Some(at(300)), to: Some(at(900)), ..Filter::default() },
    ];
    for filter in filters {
        let sender = health_of(&subject, &filter.rows(&subject));
        assert!(sender.silences.all_bands.is_empty() && sender.silences.one_band.is_empty());
        assert!(sender.sends.iter().all(|of_band| of_band.share().unwrap() > 0.9));
    }
}

#[test]
fn days_without_a_report_are_pauses() {
    let beacon =
        Beacon { cycle: 5, minutes: 0..6 * DAY, on: |minute| !(DAY..4 * DAY).contains(&minute), ..Beacon::default() };
    let sender = of(&beacon);
    assert!(sender.silences.all_bands.is_empty());
    assert_eq!(sender.silences.pauses.len(), 1);
    assert!(sender.sends[0].share().unwrap() > 0.93);
}

#[test]
fn tests_that_lie_decades_apart_take_no_longer() {
    let mut spots = Beacon { cycle: 1, bands: vec![("20m", vec![0])], ..Beacon::default() }.spots();
    let first = spots[0].clone();
    spots.insert(0, Report { minute: -DAY * 365 * 55, ..first.clone() });
    spots.push(Report { minute: DAY * 365 * 70, ..first });
    let sender = &of_calls(&table(&spots), &["Q7TST"]).senders[0];
    assert_eq!(sender.silences.pauses.len(), 2);
    assert!((715..=722).contains(&sender.sends[0].expected.unwrap()), "{:?}", sender.sends[0].expected);
    assert!(sender.course.steps.len() <= 97);
}

#[test]
fn drift_of_the_sender_is_told_from_that_of_a_receiver() {
    // every receiver is off by its own; the sender falls 0.5 Hz an hour, receiver 3 rises 0.8 Hz an hour
    let beacon = Beacon {
        hz: |listener, minute| {
            let hour = minute as f64 / 60.0;
            let own = listener as f64 * 7.0 - 30.0 + if listener == 3 { 0.8 * hour } else { 0.0 };
            own - 0.5 * hour + 2.0 * (chance([minute, listener, 1, 1]) - 0.5)
        },
        ..Beacon::default()
    };
    let table = table(&beacon.spots());
    let sender = &of_calls(&table, &["Q7TST"]).senders[0];
    let [ref twenty] = sender.frequency[..] else { panic!("{:?}", sender.frequency) };
    assert!((twenty.slope_hz_h.unwrap() + 0.5).abs() < 0.05, "{:?}", twenty.slope_hz_h);
    assert!((twenty.range_hz.unwrap() - 11.5).abs() < 1.0, "{:?}", twenty.range_hz);
    assert!(twenty.sender_scatter_hz.unwrap() < 1.0 && twenty.receiver_scatter_hz.unwrap() < 1.0);
    assert_eq!(twenty.steps.len(), 24);
    assert!(twenty.steps.windows(2).all(|pair| pair[0].start < pair[1].start));
    let drifting: Vec<&str> = twenty.receivers.iter().map(|receiver| table.stations().call(receiver.call)).collect();
    assert_eq!(drifting, ["Q3AB"]);
    assert!((twenty.receivers[0].slope_hz_h - 0.8).abs() < 0.1, "{:?}", twenty.receivers);
}

#[test]
fn receivers_that_come_and_go_do_not_bend_the_senders_drift() {
    // each hears four hours only, with offsets that alone would look like a drift
    let beacon = Beacon {
        listeners: 36,
        open: |_, _| 0.5,
        hz: |listener, minute| {
            if (minute / 60 - listener * 2 / 3).rem_euclid(24) < 4 {
                listener as f64 * 3.0 + 2.0 * (chance([minute, listener, 1, 1]) - 0.5)
            } else {
                f64::NAN
            }
        },
        ..Beacon::default()
    };
    let spots: Vec<Report> = beacon.spots().into_iter().filter(|spot| !spot.hz.is_nan()).collect();
    let health = of_calls(&table(&spots), &["Q7TST"]);
    let [ref twenty] = health.senders[0].frequency[..] else { panic!() };
    assert!(twenty.slope_hz_h.unwrap().abs() < 0.05, "{:?}", twenty.slope_hz_h);
    assert!(twenty.range_hz.unwrap() < 2.0, "{:?}", twenty.range_hz);
    assert!(twenty.receivers.is_empty());
}

#[test]
fn a_sender_that_hops_scatters_and_does_not_drift() {
    let beacon = Beacon {
        hz: |listener, minute| {
            listener as f64 * 7.0 + 160.0 * (chance([minute, 0, 9, 9]) - 0.5) + chance([minute, listener, 1, 1])
        },
        ..Beacon::default()
    };
    let sender = of(&beacon);
    let twenty = &sender.frequency[0];
    // half of what is spread evenly over 160 Hz lies within 40 Hz of its middle
    let scatter = twenty.sender_scatter_hz.unwrap();
    assert!(twenty.hops() && twenty.receivers.is_empty(), "{:?}", twenty.receivers);
    assert!((25.0..=50.0).contains(&scatter), "{scatter}");
    assert!(twenty.receiver_scatter_hz.unwrap() < 1.5);
}

#[test]
fn a_frequency_set_anew_is_a_jump_and_no_drift() {
    let beacon = Beacon {
        minutes: 0..2 * DAY,
        hz: |listener, minute| {
            listener as f64 * 7.0 + if minute < 1500 { 0.0 } else { -163.0 } + chance([minute, listener, 1, 1])
        },
        ..Beacon::default()
    };
    let sender = of(&beacon);
    let twenty = &sender.frequency[0];
    let [jump] = twenty.jumps[..] else { panic!("{:?}", twenty.jumps) };
    assert!((jump.hz + 163.0).abs() < 1.5 && jump.at == at(1500));
    assert!(twenty.range_hz.unwrap() < 2.0 && twenty.slope_hz_h.unwrap().abs() < 0.05);
}

#[test]
fn hours_with_a_single_listener_do_not_break_the_drift() {
    let beacon = Beacon {
        minutes: 0..2 * DAY,
        open: |_, minute| if minute / 60 % 24 < 6 { 0.03 } else { 0.4 },
        hz: |listener, minute| listener as f64 * 7.0 + chance([minute, listener, 1, 1]),
        ..Beacon::default()
    };
    let twenty = &of(&beacon).frequency[0];
    assert!(twenty.steps.len() > 40 && twenty.range_hz.unwrap() < 2.0, "{twenty:?}");
}

#[test]
fn coarse_frequencies_and_few_listeners_tell_no_drift() {
    let coarse = Beacon { hz: |_, minute| (minute as f64 / 100.0).round() * 10.0, ..Beacon::default() };
    assert!(of(&coarse).frequency.is_empty());
    let two = Beacon { listeners: 2, open: |_, _| 0.9, hz: |_, minute| minute as f64 / 60.0, ..Beacon::default() };
    let sender = of(&two);
    assert_eq!(sender.frequency.len(), 1);
    assert!(sender.frequency[0].slope_hz_h.is_none() && sender.frequency[0].steps.is_empty());
}

#[test]
fn power_and_locator_changes_are_told_from_odd_rows() {
    let beacon = Beacon {
        power_dbm: |minute| if minute < 700 { 23.0 } else { 30.0 },
        locator: |minute| if minute < 400 { "JN99fl" } else { "JN89gk" },
        ..Beacon::default()
    };
    let mut spots = beacon.spots();
    // misread once, and a shorter form of the same place
    let odd = spots.iter().position(|spot| spot.minute > 200).unwrap();
    spots[odd].power_dbm = 43.0;
    for at in (0..spots.len()).step_by(5) {
        spots[at].locator = if spots[at].minute < 400 { "JN99" } else { "JN89" };
    }
    let sender = &of_calls(&table(&spots), &["Q7TST"]).senders[0];
    let power = &sender.changes.power_dbm;
    let [change] = power.changes[..] else { panic!("{power:?}") };
    assert_eq!((change.from, change.to), (23.0, 30.0));
    assert!((change.at.unix_s() - at(700).unix_s()).abs() <= 600);
    let sends: BTreeSet<i64> = spots.iter().map(|spot| spot.minute).collect();
    assert_eq!(change.sends_before, sends.iter().filter(|&&minute| minute < 700).count());
    assert_eq!(change.sends_after, sends.iter().filter(|&&minute| minute >= 700).count());
    let [wrong] = power.odd[..] else { panic!("{power:?}") };
    assert_eq!((wrong.value, wrong.sends), (43.0, 1));
    let place = &sender.changes.locator;
    let [moved] = place.changes[..] else { panic!("{place:?}") };
    assert_eq!((moved.from.to_string(), moved.to.to_string()), ("JN99fl".to_owned(), "JN89gk".to_owned()));
    assert!(place.odd.is_empty() && place.in_turn.is_empty());
}

#[test]
fn one_spot_no_spot_and_a_receiver() {
    let spots = Beacon::default().spots();
    let table = table(&spots[..1]);
    let call = table.stations().find_call("Q7TST").unwrap();
    let subject = Subject::new(&table, &[call], Side::Sends, None);
    let sender = health_of(&subject, subject.rows());
    assert_eq!((sender.spots, sender.listeners, sender.turn.is_none()), (1, 1, true));
    assert!(sender.first == sender.last && sender.frequency.is_empty() && sender.silences.all_bands.is_empty());
    assert_eq!((sender.sends[0].heard, sender.sends[0].expected), (1, None));
    assert!(health(&subject, &RowSet::none(table.len())).is_none());
    let listener = table.stations().find_call("Q0AB").or(table.stations().find_call(&spots[0].listener)).unwrap();
    let hears = Subject::new(&table, &[listener], Side::Hears, None);
    assert!(health(&hears, hears.rows()).is_none(), "an antenna that hears has no sends");
}

#[test]
fn the_order_of_rows_changes_nothing() {
    let beacon = Beacon {
        cycle: 6,
        bands: six_bands(),
        minutes: 0..2 * DAY,
        on: |minute| !(600..900).contains(&minute),
        hz: |listener, minute| listener as f64 * 7.0 + chance([minute, listener, 1, 1]),
        ..Beacon::default()
    };
    let mut spots = beacon.spots();
    // two listeners of one send that misread its power, each otherwise: rows of one slot have no order of their own
    let send =
        spots.iter().position(|spot| spots.iter().filter(|other| other.minute == spot.minute).count() > 1).unwrap();
    let listeners: Vec<usize> = (0..spots.len()).filter(|&at| spots[at].minute == spots[send].minute).take(2).collect();
    spots[listeners[0]].power_dbm = 43.0;
    spots[listeners[1]].power_dbm = 40.0;
    let plain = of_calls(&table(&spots), &["Q7TST"]).senders.remove(0);
    assert_eq!(plain.changes.power_dbm.odd.iter().map(|odd| odd.value).collect::<Vec<_>>(), [40.0, 43.0]);
    let mut turned = spots.clone();
    turned.reverse();
    let mut mixed = spots;
    mixed.sort_by_key(|spot| (chance([spot.minute, spot.listener.len() as i64, spot.hz as i64, 5]) * 1e6) as i64);
    for other in [turned, mixed] {
        let sender = &of_calls(&table(&other), &["Q7TST"]).senders[0];
        assert_eq!(sender.turn, plain.turn);
        assert_eq!(sender.sends, plain.sends);
        assert_eq!(sender.silences, plain.silences);
        assert_eq!(sender.changes, plain.changes);
        for (a, b) in sender.frequency.iter().zip(&plain.frequency) {
            assert_eq!((a.steps.len(), a.range_hz, a.slope_hz_h), (b.steps.len(), b.range_hz, b.slope_hz_h));
        }
    }
}

/// The readout's document and text, from a file: what other programs and people get.
#[test]
fn the_readout_tells_the_health_of_each_run() {
    let beacon = Beacon {
        cycle: 6,
        bands: six_bands(),
        on: |minute| !(600..900).contains(&minute),
        power_dbm: |minute| if (START_S / 60 + minute) / 12 % 2 == 0 { 23.0 } else { 20.0 },
        hz: |listener, minute| listener as f64 * 7.0 + chance([minute, listener, 1, 1]),
        ..Beacon::default()
    };
    let mut file = "utc,tx,tx locator,power dBm,rx,rx locator,MHz,SNR\n".to_owned();
    for spot in beacon.spots() {
        let Report { call, locator, power_dbm, listener, hz, snr_db, .. } = &spot;
        let time = at(spot.minute).date_and_minute();
        writeln!(file, "{time},{call},{locator},{power_dbm},{listener},JO10ab,{:.6},{snr_db}", hz / 1e6).unwrap();
    }
    let document = |request: Request| {
        let readout = Readout::of(&[Input { name: "made.csv".to_owned(), bytes: file.clone().into_bytes() }], request);
        (serde_json::from_str::<serde_json::Value>(&readout.json()).unwrap(), plain(&readout.text()))
    };
    let (json, text) = document(Request::default());
    let whole = &json["health"][0];
    assert_eq!(json["health"].as_array().unwrap().len(), 1);
    assert!(whole["run"].is_null() && whole["call"] == "Q7TST");
    assert_eq!((&whole["cycle"]["slots"], &whole["cycle"]["sends_in_each"]), (&6.into(), &true.into()));
    assert_eq!(whole["sends"].as_array().unwrap().len(), 6);
    let silence = &whole["silences"][0];
    assert_eq!((&silence["from_utc"], &silence["likely"]), (&at(600).iso().into(), &"sender".into()));
    assert_eq!(
        plain(whole["text"].as_str().unwrap()),
        text.lines().find(|line| line.contains("was silent")).unwrap().trim()
    );
    assert!(text.contains("Health of Q7TST") && text.contains("Silent on all bands from 10:00"), "{text}");
    assert_eq!(whole["power_dbm"]["in_turn"], serde_json::json!([23.0, 20.0]));
    assert_eq!(whole["frequency"][0]["steps"].as_array().unwrap().len(), 19);
    // of each run, and without what filters leave out of the listeners
    let run = |name: &str, power: f64| Run {
        name: name.to_owned(),
        rule: Rule { power_dbm: Some(power), ..Rule::default() },
        ..Run::default()
    };
    let filter = Filter { min_snr_db: Some(0.0), to: Some(at(590)), ..Filter::default() };
    let (json, text) = document(Request { runs: vec![run("A", 20.0), run("B", 23.0)], filter, ..Request::default() });
    let runs: Vec<&str> =
        json["health"].as_array().unwrap().iter().map(|entry| entry["run"].as_str().unwrap()).collect();
    assert_eq!(runs, ["A", "B"]);
    for entry in json["health"].as_array().unwrap() {
        assert!(entry["spots"].as_u64().unwrap() > 500 && entry["silences"].as_array().unwrap().is_empty(), "{entry}");
        assert_eq!(entry["cycle"]["slots"], 12);
    }
    assert!(text.contains("Health of A") && text.contains("Health of B"));
}

/// `SciPy`; see `SOURCES.md` beside the table.
#[test]
fn slopes_are_those_of_the_reference() {
    for row in published::rows("slopes.csv") {
        let number = |text: &str| text.parse::<f64>().unwrap();
        let points = row.text("points").split(' ').map(|point| point.split_once(':').unwrap());
        let points: Vec<(f64, f64)> = points.map(|(x, y)| (number(x), number(y))).collect();
        published::close(theil_sen(&points).unwrap(), row.number("slope"), 1e-12, &row);
    }
    assert_eq!(theil_sen(&[(1.0, 2.0), (1.0, 3.0)]), None);
    assert_eq!(theil_sen(&[]), None);
}

/// No-break and narrow spaces as plain ones, so that sentences can be read here.
fn plain(text: &str) -> String {
    text.replace(['\u{a0}', '\u{202f}'], " ")
}

fn said(spots: &[Report]) -> (String, Vec<String>) {
    let table = table(spots);
    let health = of_calls(&table, &["Q7TST"]);
    let sender = &health.senders[0];
    let sentences = words::sentences(&table, sender).iter().map(|text| plain(text)).collect();
    (plain(&words::answer("Q7TST", sender)), sentences)
}

#[test]
fn sentences_say_what_was_found_and_what_it_may_be() {
    let off = Beacon {
        cycle: 6,
        bands: six_bands(),
        minutes: 18 * 60..34 * 60,
        on: |minute| !(23 * 60..27 * 60).contains(&minute),
        hz: |listener, minute| listener as f64 * 7.0 + chance([minute, listener, 1, 1]),
        ..Beacon::default()
    };
    let week = Beacon {
        cycle: 6,
        bands: vec![("40m", vec![1])],
        minutes: 0..4 * DAY,
        on: |minute| !(2 * DAY + 60..2 * DAY + 7 * 60).contains(&minute),
        power_dbm: |minute| if minute < 700 { 23.0 } else { 30.0 },
        locator: |minute| if minute < 400 { "JN99fl" } else { "JN89gk" },
        hz: |listener, minute| {
            listener as f64 * 7.0 + minute as f64 / 120.0 - if listener == 3 { minute as f64 / 60.0 } else { 0.0 }
        },
        ..Beacon::default()
    };
    let night = Beacon {
        cycle: 6,
        bands: vec![("20m", vec![0])],
        minutes: 0..4 * DAY,
        open: |_, minute| (daylight(minute) * 1.2 - 0.6).max(0.0),
        ..Beacon::default()
    };
    let (answer, sentences) = said(&off.spots());
    assert_eq!(
        answer,
        "Q7TST was silent for 4 h, from 23:00 UTC on 28 April to 03:00 UTC on 29 April, most likely through the beacon or its antenna."
    );
    let holds = |sentences: &[String], wanted: &str| {
        assert!(sentences.iter().any(|text| text == wanted), "{wanted}\nnot in {sentences:#?}");
    };
    for wanted in [
        "It sends in a cycle of 12 minutes, taken from the spacing of the reports. A send that nobody heard is not a send that failed.",
        "80 m: 60 of 80 sends heard by anyone (75 %).",
        "Silent on all bands from 23:00 UTC on 28 April to 03:00 UTC on 29 April, 4 h. No other day to compare it with; in the hours around it listeners heard 179 of 180 sends. Most likely the beacon or its antenna, not the bands: 6 bands that were heard well stopped and came back together.",
        "40 m, 30 m, 80 m, 20 m, 17 m, 15 m: the sender kept its frequency within 1 Hz, as its listeners saw it.",
    ] {
        holds(&sentences, wanted);
    }
    let (answer, sentences) = said(&week.spots());
    assert_eq!(answer, "Q7TST was silent for 6 h 10 min, from 00:52 to 07:02 UTC on 30 April.");
    for wanted in [
        "Silent from 00:52 to 07:02 UTC on 30 April, 6 h 10 min. On 3 other days listeners heard 89 of 90 sends at this time. So long a silence is unusual: about 1 in 110 by this beacon's habit. Beacon off, antenna fault, or band closed: the reports alone cannot tell.",
        "40 m: the sender moved by 48 Hz, drifting by +0.5 Hz an hour; its listeners saw it in common.",
        "40 m: receivers that drifted by themselves: Q3AB by \u{2212}1.0 Hz an hour.",
        "The reported power changed at 11:50 UTC on 28 April from 200 mW (59 sends) to 1 W (389 sends).",
        "The reported locator changed at 06:50 UTC on 28 April from JN99fl (34 sends) to JN89gk (414 sends), 139 km apart.",
    ] {
        holds(&sentences, wanted);
    }
    let (answer, sentences) = said(&night.spots());
    assert_eq!(answer, "Q7TST was silent only at times when it is so on other days too.");
    holds(
        &sentences,
        "3 silences of 12 h 22 min to 13 h 34 min each at a time at which other days are silent too: the bands close then, or the beacon rests. Whether it was on cannot be told.",
    );
    let whole = Beacon::default().spots();
    assert_eq!(
        said(&whole).0,
        "Q7TST was heard all along from 00:02 UTC on 28 April to 23:52 UTC on 28 April, without a silence longer than chance explains."
    );
    let few: Vec<Report> = whole.into_iter().step_by(60).collect();
    assert_eq!(said(&few).0, "Too few reports of Q7TST to tell whether it was on all the time.");
}

#[test]
fn an_irregular_sender_is_said_to_be_one() {
    let by_chance = Beacon {
        cycle: 1,
        bands: vec![("20m", vec![0])],
        on: |minute| chance([minute, 0, 0, 77]) < 0.2,
        ..Beacon::default()
    };
    let (answer, sentences) = said(&by_chance.spots());
    assert!(answer.contains("heard all along"), "{answer}");
    assert_eq!(sentences[0], "Its sends follow no cycle that can be seen, so how many there were is not known.");
    assert!(
        sentences[1].starts_with("20 m: ") && sentences[1].ends_with(" sends heard by anyone."),
        "{}",
        sentences[1]
    );
}
