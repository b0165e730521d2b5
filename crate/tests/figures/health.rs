//! Health of a beacon, as a recorder saw it drawn, and its pictures.

use super::invented_run::shares;
use super::pictures::{check, picture};
use farheard::draw::record::{Drawn, Recorder};
use farheard::draw::{Antenna, Theme, Verb};
use farheard::figure::health::{HealthInput, draw, summary};
use farheard::figure::{Frame, Size};
use farheard::model::{Band, Side, Spot, SpotTable, TableBuilder};
use farheard::study::Subject;
use farheard::study::health::{Sender, health};
use farheard::time::UtcTime;

/// Two days of an invented beacon: three bands in a cycle of ten minutes, or by chance; off for five hours.
fn table(by_chance: bool, with_frequency: bool) -> SpotTable {
    let start = UtcTime::parse_iso("2031-01-16T09:00").unwrap();
    let bands: Vec<Band> = ["40m", "30m", "20m"].into_iter().filter_map(Band::from_name).collect();
    let mut share = shares(5);
    let mut builder = TableBuilder::new();
    builder.begin_file("invented.csv");
    let tx = builder.station("Q7TST", None);
    for slot in 0..1440_i64 {
        let hour = slot / 30;
        let sends = if by_chance { share() < 0.2 } else { slot % 5 < 3 };
        let Some(&band) = bands.get((slot % 5) as usize % 3) else { continue };
        for listener in 0..8_i64 {
            let (heard, off_hz) = (share(), share());
            let daylight = ((hour as f64 - 3.0) / 24.0 * std::f64::consts::TAU).cos();
            if !sends || (26..31).contains(&hour) || heard > 0.25 + 0.15 * daylight {
                continue;
            }
            let rx = builder.station(&format!("Q{listener}A"), None);
            // warmer by day, and cold after the pause
            let sender_hz = 3.0 * daylight + if hour >= 31 { 9.0 * (-(hour as f64 - 31.0) / 3.0).exp() } else { 0.0 };
            let hz = band.edges_hz().unwrap().0 + 38_700.0 + (listener * 6) as f64 + sender_hz + off_hz;
            builder.push(Spot {
                time: start.plus_s(slot * 120).unwrap(),
                tx,
                rx,
                freq_hz: with_frequency.then_some(hz.round()),
                band,
                snr_db: Some(-20.0),
                drift_hz_min: None,
                power_dbm: Some(23.0),
                line: 2,
            });
        }
    }
    builder.freeze()
}

fn sender(table: &SpotTable) -> Sender {
    let subject = Subject::new(table, &[table.stations().find_call("Q7TST").unwrap()], Side::Sends, None);
    health(&subject, subject.rows()).unwrap().senders.remove(0)
}

#[test]
fn bars_hatching_and_drift_show_what_was_found() {
    let sender = sender(&table(false, true));
    let input = HealthInput { sender: &sender, name: "Q7TST", antenna: Antenna::A };
    let frame = Frame::new(640.0, 190.0, Theme::Light, Size::Full);
    let mut recorder = Recorder::new();
    let scene = draw(&input, &frame, &mut recorder);
    assert!(recorder.is_finite());
    assert_eq!(scene.bars.len(), sender.course.steps.len());
    let filled = |colour| {
        let fills = recorder
            .drawn
            .iter()
            .filter(|drawn| matches!(drawn, Drawn::Fill { colour: found, .. } if *found == colour));
        fills.count()
    };
    assert_eq!(filled(frame.palette.a.mark), sender.course.steps.iter().filter(|step| step.heard > 0).count());
    // one silence, with its length above
    assert_eq!((sender.silences.all_bands.len(), filled(frame.palette.sheet)), (1, 1));
    assert!(recorder.words().contains(&"5\u{a0}h 4\u{a0}min"), "{:?}", recorder.words());
    // the drift is two lines, one on each side of the silence
    let lines = recorder.drawn.iter().filter_map(|drawn| match drawn {
        Drawn::Stroke { outline, pen } if pen.colour == frame.palette.a.ink => Some(outline.verbs().len()),
        _ => None,
    });
    let lines: Vec<usize> = lines.collect();
    assert_eq!(lines.len(), 2);
    assert_eq!(lines.iter().sum::<usize>(), input.drift().unwrap().steps.len());
    assert!(summary(&input).contains("was silent for 5\u{a0}h 4\u{a0}min"), "{}", summary(&input));
    assert!(scene.bars[30].label.ends_with("0 of 18 sends heard"), "{}", scene.bars[30].label);
}

#[test]
fn hatching_stays_in_its_frame() {
    let sender = sender(&table(false, false));
    for (width, height) in [(640.0, 190.0), (200.0, 400.0), (90.0, 60.0), (1.0, 1.0)] {
        let frame = Frame::new(width, height, Theme::Light, Size::Full);
        let mut recorder = Recorder::new();
        draw(&HealthInput { sender: &sender, name: "Q7TST", antenna: Antenna::A }, &frame, &mut recorder);
        let points = |drawn: &Drawn, wanted: f64| match drawn {
            Drawn::Stroke { outline, pen } if (pen.width - wanted).abs() < 1e-9 => {
                let of = |verb: &Verb| match verb {
                    Verb::Move(at) | Verb::Line(at) => Some(*at),
                    _ => None,
                };
                outline.verbs().iter().filter_map(of).collect()
            }
            _ => Vec::new(),
        };
        let at = recorder.drawn.iter().position(|drawn| points(drawn, 0.75).len() > 1).unwrap();
        let (lines, corners) = (points(&recorder.drawn[at], 0.75), points(&recorder.drawn[at + 1], 1.0));
        let ends = |values: Vec<f64>| {
            values.into_iter().fold((f64::MAX, f64::MIN), |(least, most), value| (least.min(value), most.max(value)))
        };
        let (left, right) = ends(corners.iter().map(|at| at.x).collect());
        let (top, base) = ends(corners.iter().map(|at| at.y).collect());
        for line in lines.chunks(2) {
            assert!(line.iter().all(|at| left - 1e-9 <= at.x && at.x <= right + 1e-9), "{width} {height}");
            assert!(line.iter().all(|at| top - 1e-9 <= at.y && at.y <= base + 1e-9), "{width} {height}");
            assert!((line[0].x - line[1].x + line[0].y - line[1].y).abs() < 1e-9, "at 45 degrees");
        }
    }
}

#[test]
fn pictures() {
    for (name, by_chance, with_frequency, theme, width, height) in [
        ("health-light", false, true, Theme::Light, 640.0, 190.0),
        ("health-irregular-sun", true, false, Theme::Sun, 520.0, 150.0),
    ] {
        let sender = sender(&table(by_chance, with_frequency));
        let frame = Frame::new(width, height, theme, Size::Full);
        let input = HealthInput { sender: &sender, name: "Q7TST", antenna: Antenna::A };
        let svg = picture(&frame, "Health", &summary(&input), |surface| {
            draw(&input, &frame, surface);
        });
        check(name, &svg);
    }
}
