//! The disc, as a recorder saw it drawn: places, counts, and what may never happen.

use super::invented_run::{Far, ONE_RUN, Results, far, shares, table};
use farheard::draw::record::{Drawn, Recorder};
use farheard::draw::{Antenna, Outline, Palette, Point, Theme, Verb};
use farheard::figure::disc::{DiscInput, Extent, Haste, Scene, Step, ViewKind, Zoom, draw, hit, step, summary, views};
use farheard::figure::{Frame, Size};
use farheard::geography::{Geodesic, Locator, OPPOSITE_KM, land};
use farheard::sky::SunPlace;
use farheard::sky::sun::SUNSET_DEG;
use farheard::time::UtcTime;
use farheard::words::Length;
use farheard::words::number::{NO_BREAK, THIN};

fn input<'a>(run: &'a Results<'a>, extent: Extent) -> DiscInput<'a> {
    DiscInput {
        subject: &run.subject,
        listeners: &run.listeners,
        sectors: &run.sectors,
        bands: &run.bands,
        land: None,
        night: None,
        extent,
        zoom: Zoom::default(),
        antenna: Antenna::A,
        length: Length::Km,
        pinned: None,
        focused: None,
        haste: Haste::None,
    }
}

fn desk() -> Frame {
    Frame::new(700.0, 656.0, Theme::Light, Size::Full)
}

fn drawn(input: &DiscInput<'_>, frame: &Frame) -> (Recorder, Scene) {
    let mut recorder = Recorder::new();
    let scene = draw(input, frame, &mut recorder);
    (recorder, scene)
}

fn plain(words: &str) -> String {
    words.replace([THIN, NO_BREAK], " ")
}

#[test]
fn marks_stand_at_their_distance_and_bearing() {
    let apart = [far(250.0, 10.0, 1, "40m"), far(900.0, 100.0, 5, "40m"), far(1999.0, 305.0, 200, "20m")];
    let table = table("JN99fl", &apart);
    let run = Results::of(&table, None);
    let extent = Extent::holding(2000.0, Length::Km);
    let (recorder, scene) = drawn(&input(&run, extent), &desk());
    assert_eq!(scene.marks.len(), 3);
    for far in &run.listeners {
        let path = far.far.unwrap().path;
        let mark = scene.mark_of(far.call).unwrap();
        let wanted =
            scene.centre.toward(path.bearing_deg.unwrap(), path.distance_km / extent.rim_km * scene.map_radius);
        assert!(wanted.distance(Point::new(mark.x, mark.y)) < 1e-6, "{:?}", mark.listeners);
        let circle = recorder.group("Listeners").into_iter().any(|drawn| {
            matches!(drawn, Drawn::Circle { centre, radius, fill: Some(_), pen: Some(_) }
                if centre.distance(wanted) < 1e-6 && (radius - mark.radius).abs() < 1e-9)
        });
        assert!(circle, "{:?} is not drawn where it is", mark.listeners);
    }
    let mut radii: Vec<f64> = scene.marks.iter().map(|mark| mark.radius).collect();
    radii.sort_by(f64::total_cmp);
    assert_eq!(radii, [3.0, 4.2, 7.4]);
}

#[test]
fn petals_count_what_the_sectors_count() {
    let table = table("JN99fl", &ONE_RUN);
    let run = Results::of(&table, None);
    let (recorder, _) = drawn(&input(&run, Extent::holding(2000.0, Length::Km)), &desk());
    let petals = recorder.group("Listeners by bearing");
    let counts: Vec<usize> = petals
        .iter()
        .filter_map(|drawn| match drawn {
            Drawn::Text { words, .. } => words.parse().ok(),
            _ => None,
        })
        .collect();
    let wanted: Vec<usize> = run.sectors.iter().map(|sector| sector.listeners).filter(|&count| count > 0).collect();
    assert_eq!(counts, wanted);
    assert_eq!(counts.iter().sum::<usize>(), ONE_RUN.len());
    let shapes = petals.iter().filter(|drawn| matches!(drawn, Drawn::Fill { .. })).count();
    assert_eq!(shapes, wanted.len(), "an empty sector has no petal");
}

#[test]
fn rings_are_even_and_written_in_round_numbers() {
    let table = table("JN99fl", &ONE_RUN);
    let run = Results::of(&table, None);
    for length in [Length::Km, Length::Miles] {
        for extent in Extent::all(length) {
            let input = DiscInput { length, ..input(&run, extent) };
            let (recorder, scene) = drawn(&input, &desk());
            let ring_colour = desk().palette.ring;
            let rings: Vec<f64> = recorder
                .drawn
                .iter()
                .filter_map(|drawn| match drawn {
                    Drawn::Circle { radius, pen: Some(pen), .. } if pen.colour == ring_colour => Some(*radius),
                    _ => None,
                })
                .collect();
            let ring_px = extent.ring_km * scene.px_per_km;
            for (at, radius) in rings.iter().enumerate() {
                assert!((radius - ring_px * (at as f64 + 1.0)).abs() < 1e-6);
            }
            // the fourth ring is the map's edge, or lies just inside it where the edge is the point opposite
            assert!(rings.len() == 3 || rings.len() == 4 && extent.is_whole_earth(), "{rings:?}");
            let labels: Vec<String> = recorder
                .group("Rings")
                .iter()
                .filter_map(|drawn| match drawn {
                    Drawn::Text { words, .. } => Some(words.clone()),
                    _ => None,
                })
                .collect();
            assert_eq!(labels, [length.text(4.0 * extent.ring_km), length.figure(2.0 * extent.ring_km)]);
        }
    }
}

#[test]
fn no_picture_holds_a_number_that_is_none() {
    let trying: [(&str, Vec<Far>); 6] = [
        ("JN99fl", vec![far(0.0, 0.0, 3, "40m"), far(0.0, 0.0, 1, "20m")]),
        ("JN99fl", vec![far(OPPOSITE_KM, 0.0, 3, "40m"), far(20_003.0, 77.0, 1, "20m"), far(19_950.0, 7.0, 1, "20m")]),
        ("RR99", ONE_RUN.to_vec()),
        ("AA00", ONE_RUN.to_vec()),
        ("JJ00aa00aa", vec![far(1e-4, 200.0, 1, "40m")]),
        ("JN99fl", vec![far(350.0, 350.0, 1, "40m")]),
    ];
    let zooms = [
        Zoom::default(),
        Zoom { factor: 3.0, east_km: 0.0, north_km: 0.0 },
        Zoom { factor: 4.0, east_km: -1200.0, north_km: 700.0 },
        Zoom { factor: 64.0, east_km: 900.0, north_km: -900.0 },
    ];
    for (home, fars) in &trying {
        let table = table(home, fars);
        for without_home in [false, true] {
            let run = Results::of(&table, without_home.then(|| Locator::parse("JN99").unwrap()));
            for extent in [Extent::holding(500.0, Length::Km), Extent::whole_earth(Length::Miles)] {
                for size in [Size::Full, Size::Phone, Size::Mini] {
                    for zoom in zooms {
                        let pinned = run.listeners.first().map(|far| far.call);
                        let input = DiscInput { zoom, pinned, focused: pinned, ..input(&run, extent) };
                        let frame = Frame::new(358.0, 350.0, Theme::Sun, size);
                        let (recorder, scene) = drawn(&input, &frame);
                        assert!(recorder.is_finite(), "{home} {size:?} {zoom:?}");
                        assert!(scene.marks.iter().all(|mark| (mark.x + mark.y + mark.radius).is_finite()));
                        assert!(!summary(&input).contains("NaN"));
                    }
                }
            }
        }
    }
    // and frames with hardly any room
    let table = table("JN99fl", &ONE_RUN);
    let run = Results::of(&table, None);
    for (width, height) in [(0.0, 0.0), (1.0, 700.0), (40.0, 30.0)] {
        let frame = Frame::new(width, height, Theme::Light, Size::Full);
        assert!(drawn(&input(&run, Extent::holding(2000.0, Length::Km)), &frame).0.is_finite());
    }
}

#[test]
fn groups_and_clips_end_where_they_began() {
    let table = table("JN99fl", &ONE_RUN);
    let run = Results::of(&table, None);
    let (recorder, _) = drawn(&input(&run, Extent::holding(2000.0, Length::Km)), &desk());
    let mut open = Vec::new();
    for drawn in &recorder.drawn {
        match drawn {
            Drawn::OpenGroup(_) => open.push("group"),
            Drawn::PushClip { .. } => open.push("clip"),
            Drawn::CloseGroup => assert_eq!(open.pop(), Some("group")),
            Drawn::PopClip => assert_eq!(open.pop(), Some("clip")),
            _ => {}
        }
    }
    assert_eq!(open, Vec::<&str>::new());
}

/// Listeners in dense neighbourhoods all over the world, on the way outward from home and at the point opposite.
fn crowd(seed: u64, count: usize) -> Vec<Far> {
    let mut share = shares(seed);
    let middles: Vec<(f64, f64, f64)> = (0..12)
        .map(|_| (share() * 19_000.0, share() * 360.0, 100.0 + share() * 900.0))
        .chain([(0.0, 0.0, 300.0)])
        .collect();
    (0..count)
        .map(|_| {
            let (km, bearing, spread) = middles[(share() * 13.0) as usize % 13];
            let spots = [1, 1, 4, 20, 130][(share() * 5.0) as usize % 5];
            let off = spread * (share() + share() - 1.0);
            far((km + off).abs().min(20_000.0), bearing + (share() - 0.5) * spread / 60.0, spots, "40m")
        })
        .collect()
}

#[test]
fn counted_marks_keep_apart_and_off_home_and_lose_nobody() {
    for (seed, count) in [(1, 40), (2, 200), (3, 900), (4, 3000)] {
        let table = table("RE78jt", &crowd(seed, count));
        let run = Results::of(&table, None);
        for (size, width) in [(Size::Full, 700.0), (Size::Phone, 358.0), (Size::Mini, 190.0)] {
            for theme in [Theme::Light, Theme::Sun] {
                let earth = Extent::whole_earth(Length::Km);
                let near = Extent::holding(8000.0, Length::Km);
                for (extent, haste) in [(earth, Haste::None), (near, Haste::None), (near, Haste::Ground)] {
                    let frame = Frame::new(width, width, theme, size);
                    let input = DiscInput { haste, ..input(&run, extent) };
                    let (recorder, scene) = drawn(&input, &frame);
                    let counted: Vec<_> = scene.marks.iter().filter(|mark| mark.listeners.len() >= 4).collect();
                    let on_map = |x: f64, y: f64| scene.centre.distance(Point::new(x, y)) <= scene.map_radius;
                    for (at, a) in counted.iter().enumerate() {
                        let here = Point::new(a.x, a.y);
                        for b in &counted[..at] {
                            let apart = here.distance(Point::new(b.x, b.y));
                            assert!(apart > a.radius + b.radius, "{seed} {size:?} {theme:?}: {a:?} {b:?}");
                        }
                        if on_map(a.x, a.y) {
                            let clear = here.distance(scene.home) - a.radius;
                            assert!(clear >= 9.0 - 1e-6, "{seed} {size:?}: {clear} px to home");
                        }
                    }
                    // every listener is in exactly one mark
                    let mut calls: Vec<_> = scene.marks.iter().flat_map(|mark| mark.listeners.clone()).collect();
                    calls.sort_unstable();
                    let mut wanted: Vec<_> = run.listeners.iter().map(|far| far.call).collect();
                    wanted.sort_unstable();
                    assert_eq!(calls, wanted);
                    assert_eq!(scene.stops.len(), wanted.len());
                    assert!(scene.marks.iter().all(|mark| !matches!(mark.listeners.len(), 0 | 2 | 3)));
                    // single marks are at most 6 px off, and the counts are written
                    for mark in scene.marks.iter().filter(|mark| mark.listeners.len() == 1) {
                        let path = run.subject.path(mark.listeners[0]).unwrap().path;
                        let bearing = path.bearing_deg.unwrap_or(180.0);
                        let true_place = scene.home.toward(bearing, path.distance_km * scene.px_per_km);
                        if on_map(true_place.x, true_place.y) {
                            let off = true_place.distance(Point::new(mark.x, mark.y));
                            assert!(off <= 6.0 + 1e-6, "{off} px off: {:?}", mark.listeners);
                        } else {
                            let off = (scene.centre.bearing_of(Point::new(mark.x, mark.y)) - bearing).rem_euclid(360.0);
                            let arc = off.min(360.0 - off).to_radians() * scene.map_radius;
                            assert!(arc <= 6.5, "{arc} px along the margin: {:?}", mark.listeners);
                        }
                    }
                    let words: Vec<String> = recorder
                        .group("Listeners")
                        .iter()
                        .filter_map(|drawn| match drawn {
                            Drawn::Text { words, .. } => Some(words.replace(THIN, "")),
                            _ => None,
                        })
                        .collect();
                    let mut counts: Vec<usize> = words.iter().map(|word| word.parse().unwrap()).collect();
                    let mut members: Vec<usize> = counted.iter().map(|mark| mark.listeners.len()).collect();
                    counts.sort_unstable();
                    members.sort_unstable();
                    assert_eq!(counts, members);
                }
            }
        }
    }
}

#[test]
fn those_beyond_stand_in_the_margin_at_their_bearing() {
    let table = table("JN99fl", &ONE_RUN);
    let run = Results::of(&table, None);
    let extent = Extent::holding(2000.0, Length::Km);
    let (recorder, scene) = drawn(&input(&run, extent), &desk());
    for (name, bearing) in [("Q13A", 306.0), ("Q14A", 51.0)] {
        let mark = scene.mark_of(run.call(name)).unwrap();
        let at = Point::new(mark.x, mark.y);
        assert!((scene.centre.bearing_of(at) - bearing).abs() < 0.1);
        assert!(scene.centre.distance(at) > scene.map_radius + mark.radius);
    }
    let words: Vec<String> = recorder.words().into_iter().map(plain).collect();
    assert!(words.contains(&"Q14A 9 240 km".to_owned()), "{words:?}");
    assert!(words.contains(&"beyond 2 000 km: bearing true, distance written".to_owned()));
    // on the whole earth nobody is beyond
    let (recorder, scene) = drawn(&input(&run, Extent::whole_earth(Length::Km)), &desk());
    assert!(scene.marks.iter().all(|mark| { scene.centre.distance(Point::new(mark.x, mark.y)) <= scene.map_radius }));
    assert!(!recorder.words().iter().any(|words| words.contains("beyond")));
}

#[test]
fn views_open_on_far_contacts_that_are_more_than_chance() {
    let near: Vec<Far> = (0..30).map(|at| far(500.0 + 40.0 * f64::from(at), 12.0 * f64::from(at), 10, "40m")).collect();
    let view = |more: &[Far]| {
        let table = table("JN99fl", &[near.as_slice(), more].concat());
        let run = Results::of(&table, None);
        views(&run.listeners, Length::Km)
    };
    let none = view(&[]);
    assert_eq!(none.whole, none.near);
    let twice = view(&[far(7716.0, 306.0, 2, "40m")]);
    assert_eq!((twice.near.rim_km, twice.whole.rim_km), (2000.0, 8000.0));
    assert_eq!(twice.opens_on, ViewKind::NearView);
    let thrice = view(&[far(7716.0, 306.0, 2, "40m"), far(15_000.0, 306.0, 1, "40m")]);
    assert_eq!(thrice.whole, Extent { rim_km: 8000.0, ring_km: 2000.0 }, "heard once does not widen the whole reach");
    assert_eq!(thrice.opens_on, ViewKind::WholeReach);
    assert!(views(&[], Length::Km).whole.rim_km > 0.0);
}

#[test]
fn a_filter_does_not_recolour() {
    let table = table("JN99fl", &ONE_RUN);
    let run = Results::of(&table, None);
    let extent = Extent::holding(2000.0, Length::Km);
    let ramp = Palette::of(Theme::Light).ramp(Antenna::A, run.bands.len());
    let some = &run.listeners[3..5];
    let (recorder, _) = drawn(&DiscInput { listeners: some, ..input(&run, extent) }, &desk());
    let fills: Vec<_> = recorder
        .group("Listeners")
        .into_iter()
        .filter_map(|drawn| match drawn {
            Drawn::Circle { fill, .. } => *fill,
            _ => None,
        })
        .collect();
    for far in some {
        let place = run.bands.iter().position(|&band| band == far.main_band).unwrap();
        assert!(fills.contains(&ramp[place]));
    }
}

#[test]
fn the_pointer_finds_marks_and_the_keyboard_walks_them_all() {
    let table = table("JN99fl", &ONE_RUN);
    let run = Results::of(&table, None);
    let (_, scene) = drawn(&input(&run, Extent::whole_earth(Length::Km)), &desk());
    assert!(scene.marks.iter().any(|mark| mark.listeners.len() >= 4), "the near ones are gathered");
    for (at, mark) in scene.marks.iter().enumerate() {
        let found = hit(&scene, mark.x, mark.y, 0.0).map(|hit| &scene.marks[hit].listeners);
        assert_eq!(found, Some(&scene.marks[at].listeners));
    }
    assert_eq!(hit(&scene, -50.0, -50.0, 14.0), None);
    let mut walked = Vec::new();
    let mut at = step(&scene, None, Step::Outward);
    while let Some(call) = at.filter(|call| walked.last() != Some(call)) {
        walked.push(call);
        at = step(&scene, Some(call), Step::Outward);
    }
    assert_eq!(walked.len(), run.listeners.len());
    assert_eq!(walked.first(), run.listeners.last().map(|far| &far.call));
    assert_eq!(step(&scene, None, Step::Last), walked.last().copied());
    let mut around = vec![walked[0]];
    loop {
        let next = step(&scene, around.last().copied(), Step::Clockwise).unwrap();
        assert_eq!(step(&scene, Some(next), Step::Counterclockwise), around.last().copied());
        if next == around[0] {
            break;
        }
        around.push(next);
    }
    assert_eq!(around.len(), run.listeners.len());
}

#[test]
fn zoom_keeps_the_place_under_the_pointer() {
    let table = table("JN99fl", &ONE_RUN);
    let run = Results::of(&table, None);
    let extent = Extent::holding(2000.0, Length::Km);
    let (_, mut scene) = drawn(&input(&run, extent), &desk());
    let (x, y) = (scene.centre.x - 60.0, scene.centre.y - 80.0);
    let mut zoom = Zoom::default();
    for _ in 0..4 {
        let before = scene.place_at(x, y).unwrap();
        zoom = zoom.about(&scene, x, y, 1.5);
        scene = drawn(&DiscInput { zoom, ..input(&run, extent) }, &desk()).1;
        let after = scene.place_at(x, y).unwrap();
        assert!((before.0 - after.0).abs() < 1e-6 && (before.1 - after.1).abs() < 1e-6, "{before:?} {after:?}");
    }
    let dragged = zoom.moved(&scene, 1e5, -1e5);
    let (recorder, far_scene) = drawn(&DiscInput { zoom: dragged, ..input(&run, extent) }, &desk());
    let edge_km = (dragged.east_km.hypot(dragged.north_km)) + extent.rim_km / dragged.factor;
    assert!(edge_km <= extent.rim_km + 1e-6, "the edge of the extent never comes into sight");
    assert!(recorder.words().iter().any(|words| words.contains("in sight")));
    assert_eq!(zoom.about(&far_scene, x, y, 1e-3), Zoom::default());
}

#[test]
fn land_is_filled_where_land_is() {
    let table = table("JN99fl", &ONE_RUN);
    let run = Results::of(&table, None);
    let extent = Extent::holding(2000.0, Length::Km);
    let land = land(run.subject.home_position().unwrap(), extent.rim_km);
    let (recorder, _) = drawn(&DiscInput { land: Some(&land), ..input(&run, extent) }, &desk());
    let group = recorder.group("Land");
    assert!(matches!(group.as_slice(), [Drawn::Fill { .. }, Drawn::Stroke { .. }]));
    assert!(recorder.is_finite());
}

/// Does a place lie within an odd number of the parts of a shape of straight sides?
fn holds(outline: &Outline, place: Point) -> bool {
    let mut inside = false;
    let mut cross = |from: Point, to: Point| {
        if (from.y > place.y) != (to.y > place.y) {
            let x = from.x + (place.y - from.y) / (to.y - from.y) * (to.x - from.x);
            inside ^= x > place.x;
        }
    };
    let (mut start, mut here) = (Point::default(), Point::default());
    for &verb in outline.verbs() {
        match verb {
            Verb::Move(to) => (start, here) = (to, to),
            Verb::Line(to) => {
                cross(here, to);
                here = to;
            }
            Verb::Close => cross(here, start),
            other => panic!("{other:?}"),
        }
    }
    inside
}

/// The sun's place is held against published tables in `published_sky.rs`.
#[test]
fn the_shade_lies_where_the_sun_is_down() {
    let geodesic = Geodesic::wgs84();
    for (home, extent) in [
        ("JN99fl", Extent::holding(4000.0, Length::Km)),
        ("RE78jt", Extent::whole_earth(Length::Km)),
        ("KQ40aa", Extent::holding(8000.0, Length::Km)),
    ] {
        let table = table(home, &ONE_RUN);
        let run = Results::of(&table, None);
        let mut seen = [0, 0];
        for (month, hour) in [(1, 6), (3, 18), (6, 0), (6, 12), (12, 12)] {
            let night = UtcTime::from_calendar(2031, month, 21, hour, 30, 0).unwrap();
            let (recorder, scene) = drawn(&DiscInput { night: Some(night), ..input(&run, extent) }, &desk());
            let group = recorder.group("Night");
            let [Drawn::Fill { outline, .. }] = group.as_slice() else { panic!("{group:?}") };
            let sun = SunPlace::at(night);
            for (bearing, share) in
                (0..72).flat_map(|at| [0.1, 0.35, 0.6, 0.85].map(|share| (f64::from(at) * 5.0, share)))
            {
                let place = geodesic.destination(run.subject.home_position().unwrap(), bearing, share * extent.rim_km);
                let elevation = sun.elevation_deg(place);
                // not at the very edge, which is drawn to a tenth of a pixel
                if (elevation - SUNSET_DEG).abs() > 0.6 {
                    let down = elevation < SUNSET_DEG;
                    let at = scene.centre.toward(bearing, share * extent.rim_km * scene.px_per_km);
                    assert_eq!(holds(outline, at), down, "{home} {night:?} {bearing} {share}: {elevation}");
                    seen[usize::from(down)] += 1;
                }
            }
        }
        assert!(seen[0] > 300 && seen[1] > 300, "{seen:?}");
    }
}
