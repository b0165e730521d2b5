//! Pictures of two antennas compared, and of the next test: what a recorder saw drawn, and regression pictures.

use super::invented_run::{ONE_RUN, Results, table};
use super::pictures::{check, disc_input, picture};
use farheard::draw::glyph::Glyph;
use farheard::draw::record::{Drawn, Recorder};
use farheard::draw::{Antenna, Theme};
use farheard::figure::by_listener::{self, ByListenerInput};
use farheard::figure::decibels::DecibelAxis;
use farheard::figure::disc::{self, DiscInput, Extent, Showing};
use farheard::figure::intervals::{self, IntervalDress, IntervalLook, IntervalRow, IntervalsInput};
use farheard::figure::plan::battery::{self, BatteryInput};
use farheard::figure::plan::order::{self, OrderInput};
use farheard::figure::{Frame, Size};
use farheard::model::CallId;
use farheard::study::Listener;
use farheard::study::compare::ListenerDifference;
use farheard::study::plan::is_b;
use farheard::time::UtcTime;
use farheard::words::Length;

const A: &str = "Doublet 12 m";
const B: &str = "Vertical 10 m";

fn row(label: &str, look: IntervalLook, low: f64, high: f64) -> IntervalRow {
    let middle = f64::midpoint(low, high);
    let mut row = IntervalRow {
        label: label.to_owned(),
        difference_db: Some(middle),
        low_db: Some(low),
        high_db: Some(high),
        look,
        pairs_only: None,
        more_hours: None,
        figures: Vec::new(),
    };
    row.figures = vec![farheard::words::number::difference(middle), row.interval_words(), "396".to_owned()];
    row
}

/// One row of every verdict, as in the plate of the four.
fn verdicts() -> Vec<IntervalRow> {
    let mut rows = vec![
        row("80\u{a0}m", IntervalLook::BStronger, 0.1, 0.7),
        row("40\u{a0}m", IntervalLook::BStronger, 3.4, 4.4),
        row("30\u{a0}m", IntervalLook::AStronger, -5.1, -4.1),
        row("20\u{a0}m", IntervalLook::NoDifference, -0.6, 1.2),
        row("17\u{a0}m", IntervalLook::NotEnough, -2.2, 31.0),
        row("15\u{a0}m", IntervalLook::PaleA, -2.6, -0.4),
        row("12\u{a0}m", IntervalLook::PaleB, 0.2, 2.4),
        row("10\u{a0}m", IntervalLook::NotEnough, 0.0, 0.0),
    ];
    rows[4].more_hours = Some(9.2);
    rows[7] = IntervalRow {
        difference_db: None,
        low_db: None,
        high_db: None,
        figures: ["\u{2013}", "\u{2013}", "0"].map(str::to_owned).to_vec(),
        ..rows[7].clone()
    };
    rows
}

const COLUMNS: [&str; 3] = ["dB", "95\u{a0}% interval", "pairs"];

fn intervals_input(rows: &[IntervalRow], dress: IntervalDress) -> IntervalsInput<'_> {
    IntervalsInput { rows, a: A, b: B, too_small_db: 1.5, row_px: 44.0, axis: None, columns: &COLUMNS, dress }
}

fn intervals_frame(input: &IntervalsInput<'_>, width: f64, theme: Theme, size: Size) -> Frame {
    let frame = Frame::new(width, 1.0, theme, size);
    Frame { height: intervals::height(input.rows.len(), input.row_px, input.dress, frame.text_px), ..frame }
}

#[test]
fn each_verdict_has_its_mark_and_its_line() {
    let rows = verdicts();
    let input = intervals_input(&rows, IntervalDress::Table);
    let frame = intervals_frame(&input, 700.0, Theme::Light, Size::Full);
    let mut recorder = Recorder::new();
    let scene = intervals::draw(&input, &frame, &mut recorder);
    assert!(recorder.is_finite());
    assert_eq!(scene.bars.len(), rows.len());
    assert_eq!(scene.hit(350.0, 28.0 + 44.0 * 2.5), Some(2));
    let words = recorder.words();
    for expected in ["Doublet 12 m stronger", "Vertical 10 m stronger", "0", "+6", "\u{2212}6", "+3.9", "80\u{a0}m"] {
        assert!(words.contains(&expected), "{expected} in {words:?}");
    }
    let fills = |colour| {
        let of = |drawn: &&Drawn| matches!(drawn, Drawn::Fill { colour: found, .. } | Drawn::Circle { fill: Some(found), .. } if *found == colour);
        recorder.drawn.iter().filter(of).count()
    };
    let strokes = |colour, width: f64| {
        let of = |drawn: &&Drawn| matches!(drawn, Drawn::Stroke { pen, .. } if pen.colour == colour && (pen.width - width).abs() < 1e-9);
        recorder.drawn.iter().filter(of).count()
    };
    let palette = &frame.palette;
    assert_eq!(fills(palette.a.mark), 1, "one solid circle of A");
    assert_eq!(strokes(palette.b.mark, 1.75), 2, "two hollow triangles of B");
    assert_eq!((strokes(palette.a.mark, 2.5), strokes(palette.b.mark, 2.5)), (1, 2));
    assert_eq!(fills(palette.ink), 1, "one square of ink");
    assert_eq!(fills(palette.soft), 1, "one arrowhead");
    let label = &scene.bars[1].label;
    assert_eq!(label, "40\u{a0}m: Vertical 10 m stronger by 3.9\u{a0}dB, 95\u{a0}% interval +3.4 to +4.4\u{a0}dB");
    assert!(scene.bars[0].label.contains("a trace stronger"), "{}", scene.bars[0].label);
    assert!(scene.bars[4].label.contains("about 9.2\u{a0}h more"), "{}", scene.bars[4].label);
    assert!(scene.bars[5].label.contains("may be chance") && !scene.bars[5].label.contains(A));
    assert_eq!(scene.bars[7].label, "10\u{a0}m: no pairs safe from the floor");
    let summary = intervals::summary(&input);
    assert!(summary.contains("30\u{a0}m \u{2212}4.6") && summary.contains("not enough to tell: 17"), "{summary}");
}

/// Exchanging the antennas turns the plot about its zero line.
#[test]
fn exchanged_antennas_give_the_mirror_image() {
    let rows = [row("40\u{a0}m", IntervalLook::BStronger, 3.4, 4.4)];
    let exchanged = [row("40\u{a0}m", IntervalLook::AStronger, -4.4, -3.4)];
    let line = |rows: &[IntervalRow]| {
        let input = IntervalsInput { columns: &[], ..intervals_input(rows, IntervalDress::Column) };
        let frame = intervals_frame(&input, 400.0, Theme::Light, Size::Full);
        let mut recorder = Recorder::new();
        intervals::draw(&input, &frame, &mut recorder);
        let x = recorder.drawn.iter().find_map(|drawn| match drawn {
            Drawn::Stroke { outline, pen } if (pen.width - 2.5).abs() < 1e-9 => match outline.verbs() {
                [farheard::draw::Verb::Move(from), farheard::draw::Verb::Line(to)] => Some((from.x, to.x)),
                _ => None,
            },
            _ => None,
        });
        x.unwrap()
    };
    let ((low, high), (other_low, other_high)) = (line(&rows), line(&exchanged));
    assert!((low + other_high - 400.0).abs() < 1e-9 && (high + other_low - 400.0).abs() < 1e-9);
    assert!(low > 200.0 && low < high);
}

#[test]
fn without_a_winner_no_name_takes_a_colour() {
    let rows = [row("40\u{a0}m", IntervalLook::NotEnough, -3.0, 13.0)];
    assert_eq!(intervals::axis(&rows), DecibelAxis { step_db: 4.0, lines: 4 });
    let input = intervals_input(&rows, IntervalDress::Table);
    let frame = intervals_frame(&input, 700.0, Theme::Light, Size::Full);
    let svg = picture(&frame, "Difference", &intervals::summary(&input), |surface| {
        intervals::draw(&input, &frame, surface);
    });
    for colours in [frame.palette.a, frame.palette.b] {
        assert!(!svg.contains(&colours.ink.css()) && !svg.contains(&colours.mark.css()));
    }
}

#[test]
fn intervals_pictures() {
    let rows = verdicts();
    for (name, dress, theme, width, size) in [
        ("intervals-light", IntervalDress::Table, Theme::Light, 700.0, Size::Full),
        ("intervals-dark", IntervalDress::Table, Theme::Dark, 700.0, Size::Full),
        ("intervals-sun", IntervalDress::Table, Theme::Sun, 760.0, Size::Full),
        ("intervals-phone", IntervalDress::Stacked, Theme::Light, 358.0, Size::Phone),
    ] {
        let row_px = if dress == IntervalDress::Stacked { 58.0 } else { 44.0 };
        let input = IntervalsInput { row_px, ..intervals_input(&rows, dress) };
        let frame = intervals_frame(&input, width, theme, size);
        let svg = picture(&frame, "Difference by band", &intervals::summary(&input), |surface| {
            intervals::draw(&input, &frame, surface);
        });
        check(name, &svg);
    }
    let mut days: Vec<IntervalRow> = [("80\u{a0}m", -6.0, 9.8), ("40\u{a0}m", -2.8, 13.2), ("30\u{a0}m", -9.4, 6.6)]
        .map(|(label, low, high)| row(label, IntervalLook::NotEnough, low, high))
        .to_vec();
    for row in &mut days {
        row.pairs_only = row.difference_db.map(|db| (db - 1.1, db + 1.1));
        row.figures.remove(0);
    }
    let input = IntervalsInput { columns: &COLUMNS[1..], row_px: 40.0, ..intervals_input(&days, IntervalDress::Table) };
    let frame = intervals_frame(&input, 700.0, Theme::Light, Size::Full);
    let svg = picture(&frame, "Difference by band", &intervals::summary(&input), |surface| {
        intervals::draw(&input, &frame, surface);
    });
    check("intervals-cannot-tell", &svg);
    let further = [
        row("80\u{a0}m", IntervalLook::Further(Glyph::Diamond), -15.3, -13.1),
        row("40\u{a0}m", IntervalLook::Further(Glyph::Diamond), -10.5, -8.7),
        row("30\u{a0}m", IntervalLook::NotEnough, -2.0, 3.8),
    ];
    let axis = Some(DecibelAxis { step_db: 6.0, lines: 3 });
    let shared = IntervalsInput { axis, columns: &COLUMNS[..1], ..intervals_input(&further, IntervalDress::Column) };
    let frame = intervals_frame(&shared, 330.0, Theme::Light, Size::Full);
    let svg = picture(&frame, "Whip 2 m", &intervals::summary(&shared), |surface| {
        intervals::draw(&shared, &frame, surface);
    });
    check("intervals-column", &svg);
}

fn difference_at(listener: &Listener, at: usize) -> ListenerDifference {
    let db = [4.2, -2.6, 1.1, -0.4, 2.9, -3.8, 0.6][at % 7];
    ListenerDifference {
        call: listener.call,
        bearing_deg: listener.far.and_then(|far| far.path.bearing_deg),
        distance_km: listener.far.map(|far| far.path.distance_km),
        bands: 1,
        pairs: listener.spots,
        blocks: listener.spots.min(24),
        difference_db: db,
        low_db: Some(db - 1.0),
        high_db: Some(db + 1.0),
        probability: 0.01,
        holds_together: db.abs() > 1.0 && listener.spots > 20,
    }
}

fn differences(run: &Results<'_>) -> Vec<ListenerDifference> {
    run.listeners.iter().enumerate().map(|(at, listener)| difference_at(listener, at)).collect()
}

#[test]
fn listeners_stand_at_their_bearing_and_above_or_below_zero() {
    let table = table("JN99fl", &ONE_RUN);
    let run = Results::of(&table, None);
    let mut listeners = differences(&run);
    listeners[0].bearing_deg = None;
    let input = ByListenerInput {
        subject: &run.subject,
        listeners: &listeners,
        a: A,
        b: B,
        too_small_db: 1.5,
        length: Length::Km,
        focused: Some(listeners[2].call),
    };
    let frame = Frame::new(700.0, 290.0, Theme::Light, Size::Full);
    let mut recorder = Recorder::new();
    let scene = by_listener::draw(&input, &frame, &mut recorder);
    assert!(recorder.is_finite());
    assert_eq!(scene.points.len(), listeners.len() - 1);
    assert!(scene.points.windows(2).all(|pair| pair[0].x <= pair[1].x));
    let point = |call: CallId| scene.points.iter().position(|point| point.call == call);
    let zero = f64::midpoint(8.0, 290.0 - 24.0);
    for one in &listeners[1..] {
        let at = point(one.call).unwrap();
        let found = &scene.points[at];
        assert_eq!(found.y < zero, one.difference_db > 0.0);
        let name = if one.difference_db > 0.0 { B } else { A };
        assert!(found.label.contains(name), "{}", found.label);
        assert_eq!(found.label.contains("chance"), !one.holds_together);
        let nearest = scene.hit(found.x, found.y, 0.0).unwrap();
        assert!((scene.points[nearest].x - found.x).abs() < 12.0);
    }
    assert_eq!(point(listeners[0].call), None);
    let sentence = by_listener::summary(&input);
    assert!(sentence.contains("not drawn: 1") && sentence.contains(&format!("of {}", listeners.len())), "{sentence}");
    let svg = picture(&frame, "Difference by listener", &sentence, |surface| {
        by_listener::draw(&input, &frame, surface);
    });
    check("by-listener-light", &svg);
    let none = ByListenerInput { listeners: &[], ..input };
    assert!(by_listener::summary(&none).contains("no listener"));
}

#[test]
fn a_pair_of_discs_shows_antennas_not_bands() {
    let table = table("JN99fl", &ONE_RUN);
    let run = Results::of(&table, None);
    let extent = Extent::holding(2000.0, Length::Km);
    let frame = Frame::new(272.0, 272.0, Theme::Light, Size::Mini);
    let only = [run.call("Q3A"), run.call("Q12A")];
    let both = differences(&run);
    let some = &both[2..];
    for (name, antenna, showing) in [
        ("disc-pair-a", Antenna::A, Showing::Antenna { only: &[] }),
        ("disc-pair-b", Antenna::B, Showing::Antenna { only: &only }),
        ("disc-differences", Antenna::A, Showing::Differences { differences: some, a: A, b: B }),
    ] {
        let input = DiscInput { antenna, ..disc_input(&run, extent) };
        let mut recorder = Recorder::new();
        let scene = disc::draw_as(&input, &showing, &frame, &mut recorder);
        assert!(recorder.is_finite());
        assert_eq!(scene.stops.len(), run.listeners.len());
        let marks = recorder.group("Listeners");
        let ramp = frame.palette.ramp(antenna, run.bands.len());
        for drawn in &marks {
            if let Drawn::Fill { colour, .. } | Drawn::Circle { fill: Some(colour), .. } = drawn {
                assert!(!ramp.contains(colour), "no colour of a band in {name}");
            }
        }
        let dotted = |drawn: &&&Drawn| matches!(drawn, Drawn::Circle { fill: None, pen: Some(_), .. });
        let lone = if matches!(showing, Showing::Antenna { only } if !only.is_empty()) { 2 } else { 0 };
        assert_eq!(marks.iter().filter(dotted).count(), lone);
        let labels = disc::labels(&scene, &input, &showing);
        let of = |call| scene.marks.iter().position(|mark| mark.listeners.contains(&call)).unwrap();
        let label = |call| &labels[of(call)];
        match showing {
            Showing::Differences { .. } => {
                assert!(label(some[0].call).contains("stronger by"), "{}", label(some[0].call));
                assert!(label(both[0].call).contains("no pair"), "{}", label(both[0].call));
            }
            _ => assert_eq!(label(only[0]).contains("this one only"), lone > 0),
        }
        let svg = picture(&frame, name, &disc::summary_as(&input, &showing), |surface| {
            disc::draw_as(&input, &showing, &frame, surface);
        });
        check(name, &svg);
    }
}

#[test]
fn the_order_of_a_test_and_its_night() {
    let turns: Vec<Antenna> = (0..66).map(|turn| if is_b(turn) { Antenna::B } else { Antenna::A }).collect();
    let start = UtcTime::parse_iso("2031-01-16T18:00Z").unwrap();
    let dark = [(start.plus_s(900).unwrap(), start.plus_s(11 * 3600).unwrap())];
    let input = OrderInput { turns: &turns, lettered: 18, start, turn_s: 600, ahead_s: 0, dark: &dark, a: A, b: B };
    for (name, theme, width, size, lettered) in
        [("order-light", Theme::Light, 1088.0, Size::Full, 18), ("order-phone-sun", Theme::Sun, 358.0, Size::Phone, 6)]
    {
        let input = OrderInput { lettered, ..input };
        let frame = Frame::new(width, 1.0, theme, size);
        let frame = Frame { height: order::height(frame.text_px), ..frame };
        let mut recorder = Recorder::new();
        let scene = order::draw(&input, &frame, &mut recorder);
        assert!(recorder.is_finite());
        assert_eq!(scene.bars.len(), lettered);
        let letters: String = recorder.words().into_iter().filter(|words| ["A", "B"].contains(words)).collect();
        assert_eq!(letters, "ABBABAABBAABABBABA".chars().take(lettered).collect::<String>());
        assert_eq!(scene.bars[1].label, "18:10 to 18:20: Vertical 10 m");
        let svg = picture(&frame, "Order", &order::summary(&input), |surface| {
            order::draw(&input, &frame, surface);
        });
        check(name, &svg);
    }
    let sentence = order::summary(&input);
    assert!(sentence.contains("ends at 05:00; 66\u{a0}turns, 33 each"), "{sentence}");
    let local = OrderInput { ahead_s: 3600, ..input };
    assert!(order::summary(&local).contains("From 19:00"));
    let empty = OrderInput { turns: &[], dark: &[], ..input };
    let mut recorder = Recorder::new();
    assert!(order::draw(&empty, &Frame::new(300.0, 132.0, Theme::Light, Size::Full), &mut recorder).bars.is_empty());
    assert!(recorder.is_finite());
}

#[test]
fn the_battery_lasts_as_reckoned_by_hand() {
    // 11 h at 0.36 A take 3.96 Ah of 12
    let input = BatteryInput { capacity_ah: 12.0, mean_a: 0.36, plan_hours: 11.0, floor_percent: 20.0 };
    assert!((input.percent_left(11.0) - 67.0).abs() < 1e-9);
    assert!((input.floor_hours().unwrap() - 9.6 / 0.36).abs() < 1e-9);
    let frame = Frame::new(510.0, 140.0, Theme::Light, Size::Full);
    let mut recorder = Recorder::new();
    battery::draw(&input, &frame, &mut recorder);
    assert!(recorder.is_finite());
    assert!(recorder.words().contains(&"the plan ends, 67\u{a0}% left"));
    assert!(recorder.words().contains(&"20: do not go below"));
    let svg = picture(&frame, "Battery", &battery::summary(&input), |surface| battery::draw(&input, &frame, surface));
    check("battery-light", &svg);
    // 12 Ah last 6 h at 2 A
    let mut recorder = Recorder::new();
    battery::draw(&BatteryInput { mean_a: 2.0, ..input }, &frame, &mut recorder);
    assert!(recorder.words().contains(&"the plan ends, empty since 6\u{a0}h"));
    for odd in [
        BatteryInput { mean_a: 0.0, ..input },
        BatteryInput { capacity_ah: 0.0, ..input },
        BatteryInput { plan_hours: 90.0, ..input },
        BatteryInput { mean_a: f64::NAN, ..input },
    ] {
        let mut recorder = Recorder::new();
        battery::draw(&odd, &frame, &mut recorder);
        assert!(recorder.is_finite(), "{odd:?}");
    }
}
