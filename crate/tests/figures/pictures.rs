//! Regression pictures: every figure as SVG text against the one kept in `tests/pictures`.
//!
//! `FARHEARD_PICTURES=write cargo test -p farheard --test figures` writes them anew; look at them, then commit.

use std::path::PathBuf;

use super::invented_run::{Far, ONE_RUN, Results, far, shares, table};
use farheard::draw::{Antenna, Surface, Theme};
use farheard::figure::bearings::{self, BearingsInput};
use farheard::figure::disc::{self, DiscInput, Extent, Haste, Zoom};
use farheard::figure::hours::{self, Counted, HoursInput, Key};
use farheard::figure::legend::{self, LegendInput};
use farheard::figure::timeline::{self, TimelineInput};
use farheard::figure::{Frame, Size, to_svg};
use farheard::geography::DiscLand;
use farheard::study::{self, Filter};
use farheard::time::UtcTime;
use farheard::words::Length;

/// Compares with the kept picture, or writes it if told to.
#[expect(clippy::disallowed_methods, reason = "a test has files and an environment; the core has not")]
pub(crate) fn check(name: &str, svg: &str) {
    let path: PathBuf =
        [env!("CARGO_MANIFEST_DIR"), "..", "tests", "pictures", &format!("{name}.svg")].iter().collect();
    assert!(svg.len() < 60_000, "{name} is {} bytes: too large to keep", svg.len());
    if std::env::var("FARHEARD_PICTURES").is_ok_and(|value| value == "write") {
        std::fs::write(&path, svg).unwrap();
        return;
    }
    let kept = std::fs::read_to_string(&path).unwrap_or_else(|error| {
        panic!("{}: {error}\nFARHEARD_PICTURES=write writes it; look at it before you commit it", path.display())
    });
    let kept = kept.replace("\r\n", "\n");
    if kept == svg {
        return;
    }
    // names of parts change with anything else, and would hide it
    let (kept, svg) = (without_names(&kept), without_names(svg));
    let mut lines = kept.lines().zip(svg.lines()).enumerate().filter(|(_, (old, new))| old != new);
    let first = lines.next().map_or_else(
        || {
            format!(
                "one goes on after the other ends: {} lines kept, {} drawn",
                kept.lines().count(),
                svg.lines().count()
            )
        },
        |(at, (old, new))| {
            let same = old.chars().zip(new.chars()).take_while(|(old, new)| old == new).count();
            let part = |line: &str| line.chars().skip(same.saturating_sub(40)).take(120).collect::<String>();
            format!("line {}\n  kept:  {}\n  drawn: {}", at + 1, part(old), part(new))
        },
    );
    let more = lines.count();
    panic!("{name} differs, first in {first}\n{more} more lines differ. If it is meant: FARHEARD_PICTURES=write");
}

/// The picture without the beginning that the names of its parts share: `f`, eight digits and a dash.
fn without_names(svg: &str) -> String {
    match svg.split_once("aria-labelledby=\"").and_then(|(_, rest)| rest.get(..10)) {
        Some(names) => svg.replace(names, ""),
        None => svg.to_owned(),
    }
}

pub(crate) fn picture(frame: &Frame, title: &str, description: &str, draw: impl FnOnce(&mut dyn Surface)) -> String {
    let svg = to_svg(frame, title, description, draw);
    assert!(svg.starts_with("<svg ") && svg.ends_with("</svg>\n"));
    assert_eq!(svg.matches("<g").count(), svg.matches("</g>").count());
    assert!(!svg.contains("NaN") && !svg.contains("inf"));
    svg
}

pub(crate) fn disc_input<'a>(run: &'a Results<'a>, extent: Extent) -> DiscInput<'a> {
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

fn disc_picture(input: &DiscInput<'_>, frame: &Frame) -> String {
    picture(frame, "Disc", &disc::summary(input), |surface| {
        disc::draw(input, frame, surface);
    })
}

#[test]
fn disc_near_view() {
    let table = table("JN99fl", &ONE_RUN);
    let run = Results::of(&table, None);
    let input = disc_input(&run, Extent::holding(2000.0, Length::Km));
    let input = DiscInput { pinned: Some(run.call("Q13A")), focused: Some(run.call("Q1A")), ..input };
    let frame = Frame::new(700.0, 656.0, Theme::Light, Size::Full);
    let keys = LegendInput { bands: &run.bands, shown: &run.bands[1..], antenna: Antenna::A };
    let with_keys = picture(&frame, "Disc", &disc::summary(&input), |surface| {
        disc::draw(&input, &frame, surface);
        legend::draw(&keys, &frame, surface);
    });
    check("disc-near-light", &with_keys);
    check("disc-near-sun", &disc_picture(&input, &Frame::new(640.0, 640.0, Theme::Sun, Size::Full)));
    let miles = DiscInput { length: Length::Miles, extent: Extent::holding(1500.0, Length::Miles), ..input };
    check("disc-near-miles-phone", &disc_picture(&miles, &Frame::new(358.0, 350.0, Theme::Light, Size::Phone)));
    let zoom = Zoom { factor: 3.0, east_km: -700.0, north_km: 300.0 };
    let moved = DiscInput { zoom, ..input };
    check("disc-moved-dark", &disc_picture(&moved, &Frame::new(500.0, 480.0, Theme::Dark, Size::Full)));
}

#[test]
fn disc_with_land() {
    let table = table("JN99fl", &ONE_RUN);
    let run = Results::of(&table, None);
    let extent = Extent::holding(1000.0, Length::Km);
    // an invented island with a lake, and a land that goes on beyond the edge
    let island = vec![[-300.0, 100.0], [-80.0, 420.0], [260.0, 330.0], [180.0, -60.0], [-120.0, -180.0]];
    let lake = vec![[-60.0, 160.0], [60.0, 260.0], [110.0, 120.0]];
    let beyond = vec![[300.0, -1200.0], [420.0, -500.0], [900.0, -250.0], [1300.0, -300.0], [1200.0, -1300.0]];
    let shore = |ring: &Vec<[f64; 2]>| ring.iter().chain(ring.first()).copied().collect();
    let coast = vec![shore(&island), shore(&lake), beyond[..4].to_vec()];
    let land = DiscLand { fill: vec![island, lake, beyond], coast };
    let input = DiscInput { land: Some(&land), antenna: Antenna::B, ..disc_input(&run, extent) };
    check("disc-land-mini-print", &disc_picture(&input, &Frame::new(190.0, 186.0, Theme::Print, Size::Mini)));
}

#[test]
fn disc_by_night() {
    let table = table("JN99fl", &ONE_RUN);
    let run = Results::of(&table, None);
    let night = UtcTime::from_calendar(2031, 1, 16, 6, 30, 0);
    let input = DiscInput { night, ..disc_input(&run, Extent::holding(4000.0, Length::Km)) };
    for (name, theme) in [("light", Theme::Light), ("dark", Theme::Dark), ("sun", Theme::Sun)] {
        check(&format!("disc-night-{name}"), &disc_picture(&input, &Frame::new(420.0, 420.0, theme, Size::Full)));
    }
}

#[test]
fn disc_whole_reach() {
    let mut share = shares(11);
    let crowd: Vec<Far> = (0..160)
        .map(|at| {
            let (km, bearing) =
                [(2300.0, 270.0), (2400.0, 150.0), (9000.0, 330.0), (13_000.0, 60.0), (18_500.0, 325.0)][at % 5];
            let spots = [1, 5, 30, 150][at % 4];
            let band = ["80m", "40m", "30m", "20m", "17m", "15m", "12m", "10m"][at % 8];
            far(km + 1400.0 * (share() - 0.5), bearing + 12.0 * (share() - 0.5), spots, band)
        })
        .collect();
    let table = table("RE78jt", &crowd);
    let run = Results::of(&table, None);
    let input = disc_input(&run, Extent::whole_earth(Length::Km));
    check("disc-whole-light", &disc_picture(&input, &Frame::new(700.0, 650.0, Theme::Light, Size::Full)));
}

#[test]
fn disc_without_a_home() {
    let bare = {
        let mut builder = farheard::model::TableBuilder::new();
        builder.begin_file("bare.csv");
        builder.station("Q7TST", None);
        builder.freeze()
    };
    let run = Results::of(&bare, None);
    assert_eq!(run.subject.home(), None);
    let input = disc_input(&run, Extent::holding(2000.0, Length::Km));
    check("disc-empty", &disc_picture(&input, &Frame::new(400.0, 400.0, Theme::Light, Size::Full)));
}

#[test]
fn charts() {
    let table = table("JN99fl", &ONE_RUN);
    let run = Results::of(&table, None);
    let frame = Frame::new(392.0, 100.0, Theme::Light, Size::Full);
    let input = BearingsInput { sectors: &run.sectors, extent_km: 2000.0, antenna: Antenna::A, length: Length::Km };
    let svg = picture(&frame, "Bearings", &bearings::summary(&input), |surface| {
        bearings::draw(&input, &frame, surface);
    });
    check("bearings-light", &svg);

    let limits = hours::limits(&run.hours, Counted::Spots);
    let key = Key::Inside;
    let input = HoursInput { hours: &run.hours, bands: &run.bands, limits, counted: Counted::Spots, key };
    for (name, theme, width) in [("hours-counts-print", Theme::Print, 680.0), ("hours-sun", Theme::Sun, 520.0)] {
        let frame = Frame::new(width, hours::height(run.bands.len(), key, frame.text_px), theme, Size::Full);
        let svg = picture(&frame, "Hours", &hours::summary(&input), |surface| {
            hours::draw(&input, &frame, surface);
        });
        check(name, &svg);
    }

    let all = run.timeline.as_ref().unwrap();
    let filter = Filter { bands: Some([run.bands[0]].into()), ..Filter::default() };
    let shown = study::timeline(&run.subject, &filter.rows(&run.subject), 24);
    let frame = Frame::new(392.0, 56.0, Theme::Light, Size::Full);
    let handles = Some((all.start, all.end()));
    let input = TimelineInput { all, shown: shown.as_ref(), handles, antenna: Antenna::A };
    let svg = picture(&frame, "Time", &timeline::summary(&input), |surface| {
        timeline::draw(&input, &frame, surface);
    });
    check("timeline-filtered-light", &svg);
}
