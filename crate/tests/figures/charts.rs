//! Bearings, hours and timeline, as a recorder saw them drawn.

use super::invented_run::{ONE_RUN, Results, table};
use farheard::draw::record::{Drawn, Recorder};
use farheard::draw::{Antenna, Theme, Verb};
use farheard::figure::bearings::{self, BearingsInput};
use farheard::figure::hours::{self, Counted, HoursInput, Key, limits};
use farheard::figure::timeline::{self, TimelineInput};
use farheard::figure::{Frame, Size};
use farheard::study::{self, Filter, Tally};
use farheard::words::Length;

fn strip(height: f64) -> Frame {
    Frame::new(392.0, height, Theme::Light, Size::Full)
}

/// Heights of the filled rectangles of a colour, left to right.
fn heights(recorder: &Recorder, colour: farheard::draw::Colour) -> Vec<f64> {
    recorder
        .drawn
        .iter()
        .filter_map(|drawn| match drawn {
            Drawn::Fill { outline, colour: found, .. } if *found == colour => {
                let ys: Vec<f64> = outline
                    .verbs()
                    .iter()
                    .filter_map(|verb| match verb {
                        Verb::Move(p) | Verb::Line(p) => Some(p.y),
                        _ => None,
                    })
                    .collect();
                let (low, high) =
                    (ys.iter().copied().fold(f64::INFINITY, f64::min), ys.iter().copied().fold(0.0, f64::max));
                Some(high - low)
            }
            _ => None,
        })
        .collect()
}

#[test]
fn bars_are_as_long_as_the_farthest_is_far() {
    let table = table("JN99fl", &ONE_RUN);
    let run = Results::of(&table, None);
    let frame = strip(100.0);
    let input = BearingsInput { sectors: &run.sectors, extent_km: 20_000.0, antenna: Antenna::A, length: Length::Km };
    let mut recorder = Recorder::new();
    let scene = bearings::draw(&input, &frame, &mut recorder);
    assert_eq!(scene.bars.len(), 16);
    let far: Vec<f64> = run.sectors.iter().filter_map(|sector| sector.farthest_km).collect();
    let bars = heights(&recorder, frame.palette.a.mark);
    assert_eq!(bars.len(), far.len());
    let per_km = bars.iter().copied().fold(0.0, f64::max) / far.iter().copied().fold(0.0, f64::max);
    for (bar, km) in bars.iter().zip(&far) {
        // the shortest bar is a pixel
        assert!((bar - (km * per_km).max(1.0)).abs() < 1e-6);
    }
    for sector in &run.sectors {
        assert!(recorder.words().contains(&sector.listeners.to_string().as_str()));
    }
    for letters in ["N", "NE", "E", "SE", "S", "SW", "W", "NW"] {
        assert!(recorder.words().contains(&letters));
    }
    assert!(bearings::summary(&input).contains("northeast"), "{}", bearings::summary(&input));
    let middle = &scene.bars[2];
    assert_eq!(scene.hit(middle.x + 1.0, 50.0), Some(2));
}

#[test]
fn bars_beyond_the_disc_end_in_an_arrow() {
    let table = table("JN99fl", &ONE_RUN);
    let run = Results::of(&table, None);
    let frame = strip(100.0);
    let arrows = |extent_km| {
        let mut recorder = Recorder::new();
        let input = BearingsInput { sectors: &run.sectors, extent_km, antenna: Antenna::A, length: Length::Km };
        bearings::draw(&input, &frame, &mut recorder);
        let ink = |drawn: &&Drawn| matches!(drawn, Drawn::Stroke { pen, .. } if pen.colour == frame.palette.ink);
        let strokes = recorder.drawn.iter().filter(ink).count();
        assert!(recorder.is_finite());
        strokes - 1 // the axis
    };
    assert_eq!(arrows(20_000.0), 0);
    assert_eq!(arrows(2000.0), 2);
}

#[test]
fn cells_are_tinted_where_there_are_spots() {
    let table = table("JN99fl", &ONE_RUN);
    let run = Results::of(&table, None);
    for counted in [Counted::Spots, Counted::Listeners] {
        let values = |band: &study::BandHours| match counted {
            Counted::Spots => band.spots,
            Counted::Listeners => band.listeners,
        };
        let limits = limits(&run.hours, counted);
        assert!(limits.windows(2).all(|pair| pair[0] < pair[1]), "{limits:?}");
        let filled = run.hours.iter().flat_map(values).filter(|&value| value > 0).count();
        for (theme, width) in [(Theme::Light, 392.0), (Theme::Light, 900.0), (Theme::Sun, 520.0), (Theme::Dark, 200.0)]
        {
            let frame = Frame::new(width, 200.0, theme, Size::Full);
            let input = HoursInput { hours: &run.hours, bands: &run.bands, limits, counted, key: Key::Outside };
            let mut recorder = Recorder::new();
            let scene = hours::draw(&input, &frame, &mut recorder);
            assert_eq!(scene.bars.len(), run.bands.len() * 24);
            let fills = recorder.drawn.iter().filter(|drawn| matches!(drawn, Drawn::Fill { .. })).count();
            assert_eq!(fills, filled, "{theme:?} {width}");
            assert!(recorder.is_finite());
            // counts are written where there is room for them, and only there
            let words = recorder.words().len() - run.bands.len();
            assert_eq!(words, if width > 600.0 { 24 + filled } else { 8 });
        }
    }
    assert_eq!(limits(&[], Counted::Spots), [1, 2, 3, 4, 5]);
}

#[test]
fn a_step_begins_at_its_limit() {
    let table = table("JN99fl", &ONE_RUN);
    let mut hours = Results::of(&table, None).hours;
    hours.truncate(1);
    hours[0].spots = [0; 24];
    hours[0].spots[..10].copy_from_slice(&[0, 1, 19, 20, 39, 40, 59, 60, 89, 119]);
    let limits = limits(&hours, Counted::Spots);
    assert_eq!(limits, [1, 20, 40, 60, 80]);
    let frame = strip(60.0);
    let bands = [hours[0].band];
    let input = HoursInput { hours: &hours, bands: &bands, limits, counted: Counted::Spots, key: Key::Outside };
    let mut recorder = Recorder::new();
    hours::draw(&input, &frame, &mut recorder);
    let ramp = frame.palette.hour_ramp();
    let steps: Vec<usize> = recorder
        .drawn
        .iter()
        .filter_map(|drawn| match drawn {
            Drawn::Fill { colour, .. } => ramp.iter().position(|step| step == colour),
            _ => None,
        })
        .collect();
    assert_eq!(steps, [0, 0, 1, 1, 2, 2, 3, 4, 4]);
    assert!(hours::summary(&input).contains("09 to 10 UTC"), "{}", hours::summary(&input));
}

#[test]
fn the_strip_keeps_all_and_fills_what_is_shown() {
    let table = table("JN99fl", &ONE_RUN);
    let run = Results::of(&table, None);
    let all = run.timeline.as_ref().unwrap();
    let filter = Filter { bands: Some([run.bands[0]].into()), ..Filter::default() };
    let rows = filter.rows(&run.subject);
    let shown = study::timeline(&run.subject, &rows, 24).unwrap();
    assert_eq!(shown.spots.iter().sum::<usize>(), Tally::of(&run.subject, &rows).spots);
    let frame = strip(56.0);
    let draw = |shown| {
        let mut recorder = Recorder::new();
        let input = TimelineInput { all, shown, handles: Some((all.start, all.end())), antenna: Antenna::A };
        let scene = timeline::draw(&input, &frame, &mut recorder);
        assert!(recorder.is_finite());
        (recorder, scene)
    };
    let (recorder, scene) = draw(None);
    let solid = heights(&recorder, frame.palette.soft);
    assert_eq!(solid.len(), all.spots.iter().filter(|&&spots| spots > 0).count());
    assert_eq!(scene.bars.bars.len(), all.spots.len());
    let (recorder, _) = draw(Some(&shown));
    assert_eq!(heights(&recorder, frame.palette.soft), Vec::<f64>::new());
    let filled = heights(&recorder, frame.palette.a.ink);
    assert_eq!(filled.len(), shown.spots.iter().filter(|&&spots| spots > 0).count());
    // places and instants are one scale
    for time in [all.start, all.start.plus_s(3600 * 7).unwrap(), all.end()] {
        assert_eq!(scene.time_at(scene.x_of(time)), time);
    }
    assert_eq!(scene.time_at(-1e9), all.start);
    assert_eq!(scene.time_at(1e9), all.end());
    assert!(recorder.words().contains(&"12:00"), "{:?}", recorder.words());
    assert!(recorder.words().contains(&"24:00"), "{:?}", recorder.words());
}
