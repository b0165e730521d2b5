//! Angles and Hours in large: what a recorder saw drawn, and regression pictures.

use super::invented_run::{Far, Results, far, shares, table};
use super::pictures::{check, picture};
use farheard::draw::record::{Drawn, Recorder};
use farheard::draw::{Antenna, Theme};
use farheard::figure::angles::{self, AnglesInput, Series};
use farheard::figure::hours::{self, Counted, HoursInput, Key};
use farheard::figure::hours_large::{self, HoursLargeInput};
use farheard::figure::{Frame, Size};
use farheard::geography::Position;
use farheard::model::SpotTable;
use farheard::sky::SunState;
use farheard::study::angles::{ANGLE_CLASSES, AngleCounts};
use farheard::study::openings::openings;
use farheard::study::sunlight::{SunDay, sun_day};
use farheard::study::{BandOpenings, Layer, Tally};
use farheard::time::UtcTime;
use farheard::words::Length;

/// Listeners at all distances, so many spots each; `nearness` above 1 has more of them near.
fn spread(seed: u64, nearness: f64) -> Vec<Far> {
    let mut share = shares(seed);
    let bands = ["80m", "40m", "20m", "20m"];
    (0..60)
        .map(|at| {
            let km = 40.0 + 5_500.0 * share().powf(nearness);
            far(km, 360.0 * share(), [3, 12, 40, 9][at % 4], bands[at % 4])
        })
        .collect()
}

fn counts(table: &SpotTable) -> AngleCounts {
    let run = Results::of(table, None);
    let tally = Tally::of(&run.subject, run.subject.rows());
    farheard::study::angles(&run.subject, &tally, Layer::default()).all
}

fn angles_frame(width: f64, key: Key, theme: Theme, size: Size) -> Frame {
    let frame = Frame::new(width, 1.0, theme, size);
    Frame { height: angles::height(key, &frame), ..frame }
}

/// Heights of filled areas of a colour.
fn filled(recorder: &Recorder, colour: farheard::draw::Colour) -> usize {
    recorder.drawn.iter().filter(|drawn| matches!(drawn, Drawn::Fill { colour: found, .. } if *found == colour)).count()
}

#[test]
fn two_bars_a_class_with_whiskers_where_the_layer_matters() {
    let (table_a, table_b) = (table("JN99fl", &spread(3, 2.0)), table("JN99fl", &spread(4, 1.2)));
    let (a, b) = (counts(&table_a), counts(&table_b));
    let series = [Series::spots("Doublet", Antenna::A, &a), Series::spots("Vertical", Antenna::B, &b)];
    let input = AnglesInput { series: &series, layer: Layer::default(), key: Key::Outside };
    for (width, theme, size) in
        [(700.0, Theme::Light, Size::Full), (358.0, Theme::Light, Size::Phone), (900.0, Theme::Sun, Size::Full)]
    {
        let frame = angles_frame(width, Key::Outside, theme, size);
        let mut recorder = Recorder::new();
        let scene = angles::draw(&input, &frame, &mut recorder);
        assert!(recorder.is_finite());
        assert_eq!(scene.bars.len(), ANGLE_CLASSES);
        let bars = a.classes.iter().filter(|class| class.spots > 0).count();
        assert_eq!(filled(&recorder, frame.palette.a.mark), bars);
        let whiskers = a.classes.iter().chain(&b.classes).filter(|class| class.spots_range.0 < class.spots_range.1);
        let ink = |drawn: &&Drawn| matches!(drawn, Drawn::Stroke { pen, .. } if pen.colour == frame.palette.ink);
        // and the line they stand on; in Sun the lines of the axis are of ink too
        let lines = if theme == Theme::Sun { 5 } else { 1 };
        assert_eq!(recorder.drawn.iter().filter(ink).count(), whiskers.count() + lines);
        let wide = size == Size::Full;
        assert_eq!(recorder.words().contains(&"20\u{2013}30"), wide, "{:?}", recorder.words());
        assert_eq!(recorder.words().contains(&"20\u{2013}"), !wide);
        let middle = &scene.bars[4];
        assert_eq!(scene.hit(middle.x + 1.0, 50.0), Some(4));
        let share = |counts: &AngleCounts| 100.0 * counts.classes[4].spots as f64 / counts.spots as f64;
        let label = format!("20 to 30°. Doublet: {:.0}\u{a0}% (", share(&a));
        assert!(middle.label.starts_with(&label) && middle.label.contains("Vertical: "), "{}", middle.label);
    }
    let said = angles::summary(&input);
    let half = a.half_under_deg.unwrap();
    assert!(said.contains(&format!("half under {half:.0}°")), "{said}");
    // nothing heard: no bars, no whiskers, and it says so
    let none = AngleCounts::default();
    let series = [Series::spots("Doublet", Antenna::A, &none), Series::listeners("listeners", Antenna::A, &none)];
    let input = AnglesInput { series: &series, ..input };
    let mut recorder = Recorder::new();
    angles::draw(&input, &angles_frame(300.0, Key::Inside, Theme::Dark, Size::Full), &mut recorder);
    assert!(recorder.is_finite());
    assert!(angles::summary(&input).contains("Doublet, none"));
}

#[test]
fn angles_pictures() {
    let (table_a, table_b) = (table("JN99fl", &spread(3, 2.0)), table("JN99fl", &spread(4, 1.2)));
    let (a, b) = (counts(&table_a), counts(&table_b));
    let two = [Series::spots("Doublet 12 m", Antenna::A, &a), Series::spots("Vertical 10 m", Antenna::B, &b)];
    let one = [Series::spots("spots", Antenna::A, &a), Series::listeners("listeners", Antenna::A, &a)];
    let kept = |name, series: &[Series; 2], width, key, theme, size| {
        let frame = angles_frame(width, key, theme, size);
        let input = AnglesInput { series, layer: Layer::default(), key };
        let svg = picture(&frame, "Angles", &angles::summary(&input), |surface| {
            angles::draw(&input, &frame, surface);
        });
        check(name, &svg);
    };
    kept("angles-two-light", &two, 680.0, Key::Outside, Theme::Light, Size::Full);
    kept("angles-one-print", &one, 640.0, Key::Inside, Theme::Print, Size::Full);
    kept("angles-two-sun", &two, 700.0, Key::Inside, Theme::Sun, Size::Full);
    kept("angles-two-dark-phone", &two, 358.0, Key::Inside, Theme::Dark, Size::Phone);
}

/// What one picture of the hours needs.
struct Day<'a> {
    run: Results<'a>,
    openings: Vec<BandOpenings>,
    sun: SunDay,
}

impl<'a> Day<'a> {
    fn of(table: &'a SpotTable) -> Self {
        let run = Results::of(table, None);
        let tally = Tally::of(&run.subject, run.subject.rows());
        let openings = openings(&run.subject, run.subject.rows(), &tally, Layer::default());
        let sun = sun_day(run.subject.home_position().unwrap(), UtcTime::parse_iso("2031-05-17").unwrap());
        Self { run, openings, sun }
    }

    fn input(&self) -> HoursLargeInput<'_> {
        let limits = hours::limits(&self.run.hours, Counted::Spots);
        let hours = &self.run.hours;
        let cells = HoursInput { hours, bands: &self.run.bands, limits, counted: Counted::Spots, key: Key::Outside };
        let nearest = self.openings.iter().find(|band| band.band.name() == "20m");
        HoursLargeInput { cells, local: None, sun: Some(&self.sun), nearest, length: Length::Km }
    }
}

/// A run whose 20 m opens late, closes early, and is heard nearer for a while.
fn day_table() -> SpotTable {
    let mut all = spread(5, 1.4);
    all.retain(|far| far.band != "20m");
    all.extend([
        far(1400.0, 80.0, 20, "20m"),
        far(60.0, 20.0, 8, "20m"),
        far(2100.0, 300.0, 14, "20m"),
        far(640.0, 300.0, 9, "20m"),
        far(220.0, 10.0, 2, "20m"),
    ]);
    table("JN99fl", &all)
}

#[test]
fn the_sun_and_the_nearest_listener_stand_under_their_hours() {
    let table = day_table();
    let day = Day::of(&table);
    let local: [String; 24] = std::array::from_fn(|hour| format!("{:02}", (hour + 2) % 24));
    let nearest = day.input().nearest.unwrap();
    for (width, theme, size, local) in [
        (1030.0, Theme::Light, Size::Full, None),
        (358.0, Theme::Dark, Size::Phone, Some(&local)),
        (900.0, Theme::Sun, Size::Full, Some(&local)),
    ] {
        let input = HoursLargeInput { local, ..day.input() };
        let frame = Frame::new(width, 1.0, theme, size);
        let frame = Frame { height: hours_large::height(&input, &frame), ..frame };
        let mut recorder = Recorder::new();
        let scene = hours_large::draw(&input, &frame, &mut recorder);
        assert!(recorder.is_finite());
        let cells = day.run.bands.len() * 24;
        assert_eq!(scene.bars.len(), cells + day.sun.stretches.len() + 24);
        for bar in &scene.bars {
            assert!(bar.x >= 0.0 && bar.x + bar.width <= frame.width + 1e-6, "{bar:?}");
            assert!(bar.y >= 0.0 && bar.y + bar.height <= frame.height + 1e-6, "{bar:?}");
        }
        // all three parts share their columns
        let (cell, hour) = (&scene.bars[7], &scene.bars[cells + day.sun.stretches.len() + 7]);
        assert!((cell.x - hour.x).abs() < 1e-9 && (cell.width - hour.width).abs() < 1e-9);
        let noon = scene.bars[cells..].iter().find(|bar| bar.label.contains("day; highest")).unwrap();
        let dawn = day.sun.stretches.iter().find(|stretch| stretch.state == SunState::Day).unwrap();
        let minute = cell.width / 60.0;
        let left = scene.bars[0].x;
        assert!((noon.x - left - minute * f64::from(dawn.from_min)).abs() < 1e-6);
        if theme != Theme::Sun {
            // hours alike are one area
            let zones: Vec<Option<f64>> = nearest.nearest.iter().map(|of_hour| of_hour.skip_zone_km()).collect();
            let areas = zones.chunk_by(|a, b| a == b).filter(|alike| alike[0].is_some()).count();
            assert_eq!(filled(&recorder, frame.palette.land), areas);
        }
        for (hour, bar) in scene.bars[cells + day.sun.stretches.len()..].iter().enumerate() {
            let of_hour = nearest.nearest[hour];
            let expected = match () {
                () if nearest.spots[hour] == 0 => "band closed",
                () if of_hour.beyond_ring_km.is_none() => "near by only",
                () if of_hour.steep > 0 => "by steep waves",
                () => "nobody nearer heard it",
            };
            assert!(bar.label.contains(expected), "{hour}: {}", bar.label);
        }
        assert_eq!(recorder.words().contains(&"local"), local.is_some());
    }
    let said = hours_large::summary(&day.input());
    assert!(said.contains("Sun at home: 15\u{a0}h of day") && said.contains("20\u{a0}m: a skip zone in"), "{said}");
    // at a pole there is one stretch
    let sun = sun_day(Position { lat_deg: 90.0, lon_deg: 0.0 }, UtcTime::parse_iso("2031-05-17").unwrap());
    assert!(hours_large::summary(&HoursLargeInput { sun: Some(&sun), ..day.input() }).contains("24\u{a0}h of day"));
}

#[test]
fn hours_in_large_pictures() {
    let table = day_table();
    let day = Day::of(&table);
    let local: [String; 24] = std::array::from_fn(|hour| format!("{:02}", (hour + 2) % 24));
    for (name, width, theme, size, local) in [
        ("hours-large-light", 1030.0, Theme::Light, Size::Full, None),
        ("hours-large-print", 680.0, Theme::Print, Size::Full, Some(&local)),
        ("hours-large-sun", 1000.0, Theme::Sun, Size::Full, None),
        ("hours-large-dark-phone", 358.0, Theme::Dark, Size::Phone, Some(&local)),
    ] {
        let input = HoursLargeInput { local, ..day.input() };
        let frame = Frame::new(width, 1.0, theme, size);
        let frame = Frame { height: hours_large::height(&input, &frame), ..frame };
        let svg = picture(&frame, "Hours", &hours_large::summary(&input), |surface| {
            hours_large::draw(&input, &frame, surface);
        });
        check(name, &svg);
    }
}
