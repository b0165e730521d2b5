//! Angles and hours in large, without a browser: every figure held against the study, called directly on the same rows.

#![allow(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    clippy::panic,
    reason = "samples are files, and a test may stop at the first surprise"
)]

mod page;

use farheard::import::{self, Wishes};
use farheard::model::{Band, Side, SpotTable, TableBuilder};
use farheard::page::{Boot, Event, Origin, Picture, ZoneChange};
use farheard::study::angles::{ANGLE_EDGES_DEG, HopClass, Layer, PathAngle, angles};
use farheard::study::health::health;
use farheard::study::openings::openings;
use farheard::study::sunlight::sunlight;
use farheard::study::{Subject, Tally, places, places_by_band, tested};
use farheard::words::angles::{hops, range};
use farheard::words::number::{MISSING, NO_BREAK, count, decimals, level, or_missing};
use farheard::words::places as words;

use page::Page;

const FILE: &str = "two-antennas-two-days.csv";

fn bytes() -> Vec<u8> {
    std::fs::read(std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../sample-files").join(FILE)).unwrap()
}

fn table() -> SpotTable {
    let mut builder = TableBuilder::new();
    import::read(FILE, &bytes(), &Wishes::default(), &mut builder);
    builder.freeze()
}

fn shown() -> Page {
    let mut page = Page::booted();
    page.give(FILE, bytes(), Origin::Person);
    page.act("run-single", "");
    page.act("view", "sky");
    page
}

/// The words of a table's row, by what stands in its head.
fn row(html: &str, head: &str) -> Vec<String> {
    let (_, rest) =
        html.split_once(&format!("<th scope=\"row\">{head}</th>")).unwrap_or_else(|| panic!("no row {head}"));
    let row = rest.split("</tr>").next().unwrap();
    row.split("<td>").skip(1).map(|cell| cell.split("</td>").next().unwrap().to_owned()).collect()
}

#[test]
fn angles_are_those_of_the_study_for_any_band_and_layer() {
    let table = table();
    let tested = tested::guess(&table, None).unwrap().tested;
    let subject = Subject::new(&table, &[tested.call], tested.side, None);
    let tally = Tally::of(&subject, subject.rows());
    let mut page = shown();
    page.act("twin", "angles");
    for (km, band) in [(300.0, None), (110.0, None), (400.0, Band::from_name("20m")), (250.0, Band::from_name("80m"))] {
        page.act("sky-layer", &decimals(km, 0));
        page.act("sky-band", band.map_or("all", Band::name));
        let found = angles(&subject, &tally, Layer::at(km).unwrap());
        let counts = match band {
            None => &found.all,
            Some(band) => &found.bands.iter().find(|(of, _)| *of == band).unwrap().1,
        };
        for (class, own) in counts.classes.iter().enumerate() {
            let cells = row(page.html("middle"), &range((ANGLE_EDGES_DEG[class], ANGLE_EDGES_DEG[class + 1])));
            assert_eq!(cells[0], count(own.spots));
            assert_eq!(cells[1], format!("{} to {}", count(own.spots_range.0), count(own.spots_range.1)));
            assert_eq!(cells[2], count(own.listeners));
        }
        for class in HopClass::ALL {
            let cells = row(page.html("middle"), hops(class));
            assert_eq!(cells[1], count(counts.hops[class.index()].listeners), "{km} {band:?} {class:?}");
            let percent = 100.0 * counts.hops[class.index()].spots as f64 / counts.spots as f64;
            assert_eq!(cells[0], decimals(percent, 0));
        }
        let half = decimals(counts.half_under_deg.unwrap(), 0);
        assert!(page.has("answer", &format!("angles under {half}{NO_BREAK}degrees")), "{}", page.words("answer"));
    }
    assert!(page.has("middle", "This cannot say at which angle a signal left."));
    assert!(page.has("middle", "the long way round would be"));
}

#[test]
fn hours_are_those_of_the_study() {
    let table = table();
    let tested = tested::guess(&table, None).unwrap().tested;
    let subject = Subject::new(&table, &[tested.call], Side::Sends, None);
    let tally = Tally::of(&subject, subject.rows());
    let found = openings(&subject, subject.rows(), &tally, Layer::default());
    let sends = &health(&subject, subject.rows()).unwrap().senders[0].sends;
    assert!(sends.iter().all(|of| of.expected.is_some()), "the sample has a cycle");
    let mut page = shown();
    page.act("twin", "hours-large");
    for word in ["listeners", "level", "sends", "spots"] {
        page.act("sky-counts", word);
        for hour in [0, 7, 23] {
            let cells = row(page.html("middle"), &format!("{hour:02}"));
            assert_eq!(cells.len(), found.len());
            for (cell, band) in cells.iter().zip(&found) {
                let wanted = match word {
                    "listeners" => count(band.listeners[hour]),
                    "level" => or_missing(band.median_snr_1w_db[hour], level),
                    "sends" => {
                        let of = sends.iter().find(|of| of.band == band.band).unwrap();
                        or_missing(of.hours[hour].share(), |share| decimals(100.0 * share, 0))
                    }
                    _ => count(band.spots[hour]),
                };
                assert_eq!(*cell, wanted, "{word} {hour} {:?}", band.band);
            }
        }
    }
    let last = found.last().unwrap();
    let days = row(page.html("middle"), &last.band.label());
    let day = last.days.first().unwrap();
    assert_eq!(days[0], format!("{}\u{2013}{}", day.first.clock(), day.last.clock()));
    assert!(!days.contains(&MISSING.to_owned()));
}

#[test]
fn places_are_those_of_the_study() {
    let table = table();
    let tested = tested::guess(&table, None).unwrap().tested;
    let subject = Subject::new(&table, &[tested.call], tested.side, None);
    let tally = Tally::of(&subject, subject.rows());
    let found = places(&subject, &tally);
    let mut page = shown();
    assert!(page.has("middle", &words::places(&found, Side::Sends)));
    // other tables have rows of these names too
    let (_, reached) = page.html("middle").split_once("id=\"places-head\"").unwrap();
    let cells = row(reached, "All");
    assert_eq!(cells[0], count(found.countries_sure()));
    assert_eq!(cells[2], count(found.continents_sure()));
    for country in found.countries.iter().take(5) {
        assert_eq!(row(reached, country.place.name())[0], count(country.sure));
    }
    let (band, on_band) = &places_by_band(&subject, &tally)[3];
    assert_eq!(row(reached, &band.label())[0], count(on_band.countries_sure()));
    // the card of a listener names its country
    page.act("view", "disc");
    let call = tally.far.iter().max_by_key(|far| far.spots()).unwrap().call;
    page.act("pin", table.stations().call(call));
    let place = words::place(subject.place(call).unwrap());
    assert!(page.has("middle", &place), "{place}: {}", page.words("middle"));
    let km = subject.path(call).unwrap().path.distance_km;
    let likely = PathAngle::of(km, Layer::default()).unwrap();
    let ray = format!("ray {}", farheard::words::Length::Km.text(likely.slant_km));
    assert!(page.has("middle", &ray), "{ray}: {}", page.words("middle"));
}

#[test]
fn the_sun_along_paths_is_that_of_the_study() {
    let table = table();
    let tested = tested::guess(&table, None).unwrap().tested;
    let subject = Subject::new(&table, &[tested.call], tested.side, None);
    let found = sunlight(&subject, subject.rows(), Layer::default());
    let page = shown();
    let (_, part) = page.html("middle").split_once("id=\"sun-head\"").unwrap();
    for (name, of) in found.bands.iter().map(|(band, of)| (band.label(), of)).chain([("All".to_owned(), &found.all)]) {
        let cells = row(part, &name);
        assert_eq!(cells.len(), 4);
        for (cell, spots) in cells.iter().zip(of.path) {
            assert!(cell.starts_with(&format!("{} (", count(spots))), "{name}: {cells:?}");
        }
    }
}

#[test]
fn two_runs_stand_beside_each_other_and_esc_goes_back() {
    let mut page = Page::booted();
    page.give(FILE, bytes(), Origin::Person);
    page.act("view", "sky");
    page.act("sky-band", "10m");
    let answer = page.words("answer");
    assert!(answer.contains("s spots fit lower angles on 10") && answer.contains("the two runs share the assumption"));
    for (picture, parts) in [(Picture::Angles, 9), (Picture::HoursLarge, 7 * 24)] {
        page.tell(Event::Size { picture, width: 900.0, height: 400.0, ratio: 1.0 });
        let Some(farheard::page::Patch::Svg { text, .. }) = page.session.svg(picture) else { panic!("{picture:?}") };
        assert!(text.contains("</svg>") && text.len() > 100 * parts / 3, "{picture:?}: {}", text.len());
    }
    page.tell(Event::Key { picture: Picture::Angles, key: "End".to_owned() });
    assert!(page.said.last().unwrap().starts_with("60 to 90°. "), "{:?}", page.said.last());
    page.act("escape", "");
    assert!(page.html("middle").contains("picture-disc"));
    // filters act here too, and too few spots say nothing
    page.act("view", "sky");
    page.act("min-km", "15000");
    assert!(page.has("answer", "Too few spots on 10"), "{}", page.words("answer"));
}

/// Sends of Q7TST every ten minutes on two bands for two days, but for five hours of the second; of three listeners one
/// drifts by itself.
fn with_a_silence() -> String {
    let mut text = String::from("utc,sender,sender locator,power dBm,listener,listener locator,frequency MHz,SNR dB\n");
    for minute in (0..2880).step_by(10) {
        if (1740..2040).contains(&minute) {
            continue;
        }
        for (band, mhz) in [7.0401, 14.0971].into_iter().enumerate() {
            for (at, (call, locator)) in
                [("Q1AA", "JO10ej"), ("Q2BB", "IO82ig"), ("Q3CC", "KP20bb")].into_iter().enumerate()
            {
                let at_minute = minute + 2 * i32::try_from(band).unwrap();
                let drift = if at == 2 { f64::from(minute) / 60.0 * 0.5e-6 } else { 0.0 };
                let row = format!(
                    "2031-01-{:02} {:02}:{:02},Q7TST,JN99fl,23,{call},{locator},{:.6},-{}\n",
                    16 + at_minute / 1440,
                    at_minute / 60 % 24,
                    at_minute % 60,
                    mhz + drift,
                    10 + 2 * at
                );
                text += &row;
            }
        }
    }
    text
}

#[test]
fn health_names_the_silence_and_says_what_is_not_known() {
    let mut page = Page::booted();
    page.give("t.csv", with_a_silence(), Origin::Person);
    page.act("run-single", "");
    page.act("view", "health");
    let answer = page.words("answer");
    assert!(answer.contains("Q7TST was silent for 5") && answer.contains("nobody can tell"), "{answer}");
    let words = page.words("middle");
    assert!(
        words.contains("Sends heard") && words.contains("January 04:54") && words.contains("Q3CC by +0.5"),
        "{words}"
    );
    let cells = row(page.html("middle"), &Band::from_name("40m").unwrap().label());
    assert_eq!(cells[0], "288", "sends expected");
    assert!(["257", "258"].contains(&cells[1].as_str()), "sends heard: {cells:?}");
    page.tell(Event::Size { picture: Picture::Health, width: 900.0, height: 280.0, ratio: 1.0 });
    let Some(farheard::page::Patch::Svg { text, .. }) = page.session.svg(Picture::Health) else { panic!() };
    assert!(text.contains("5\u{a0}h"));
    // filters are of listeners, not of the beacon
    page.act("min-km", "15000");
    assert_eq!(page.words("middle"), words);
    page.act("escape", "");
    assert!(page.html("middle").contains("picture-disc"));
    // an antenna that hears has no sends
    page.act("station", "hears:Q1AA");
    page.act("view", "health");
    assert!(page.has("middle", "This antenna receives."));
}

#[test]
fn the_table_of_health_holds_what_its_picture_shows() {
    let table = table();
    let tested = tested::guess(&table, None).unwrap().tested;
    let subject = Subject::new(&table, &[tested.call], tested.side, None);
    let found = health(&subject, subject.rows()).unwrap();
    let sender = &found.senders[0];
    let mut page = shown();
    page.act("view", "health");
    page.act("twin", "health");
    let html = page.html("middle");
    assert!(html.contains("aria-pressed=\"true\">Table") && !html.contains("<canvas"));
    let of_band = farheard::figure::health::HealthInput { sender, name: "", antenna: farheard::draw::Antenna::A };
    let of_band = of_band.drift().unwrap();
    assert_eq!(of_band.step_s, sender.course.step_s);
    assert!(html.contains(&format!("<th scope=\"col\">Hz, {}</th>", of_band.band.label())));
    let mut heard = 0;
    for (at, step) in (0..).zip(&sender.course.steps) {
        let from = sender.course.start.plus_s(at * sender.course.step_s).unwrap();
        let offset = of_band.steps.iter().find(|it| it.start == from).map(|it| it.offset_hz);
        let head = format!("{} {}", farheard::words::calendar::day(from), from.clock());
        let expected = if step.expected > 0 { count(step.expected) } else { MISSING.to_owned() };
        let wanted = [
            expected,
            count(step.heard),
            or_missing(step.share(), |share| decimals(100.0 * share, 0)),
            or_missing(offset, farheard::words::number::difference),
        ];
        assert_eq!(row(html, &head), wanted, "{head}");
        heard += step.heard;
    }
    assert!(heard > 0 && !of_band.steps.is_empty());
    page.act("twin", "health");
    assert!(page.html("middle").contains("picture-health"));
}

#[test]
fn what_is_shown_follows_clock_and_station() {
    let changes = vec![ZoneChange { from_unix_s: 0, ahead_min: 120 }];
    let mut page = Page::with(Boot { zone_changes: changes, ..Boot::default() });
    // two stations with as many spots each
    let text = with_a_silence();
    let other = text.lines().skip(1).map(|row| row.replace("Q7TST", "Q8TST") + "\n").collect::<String>();
    page.give("t.csv", text + &other, Origin::Person);
    page.act("run-single", "");
    page.act("view", "health");
    assert!(page.has("answer", "Q7TST"), "{}", page.words("answer"));
    page.act("station", "sends:Q8TST");
    page.act("view", "health");
    let answer = page.words("answer");
    assert!(answer.contains("Q8TST") && !answer.contains("Q7TST"), "{answer}");

    page.act("view", "sky");
    page.tell(Event::Size { picture: Picture::HoursLarge, width: 1100.0, height: 300.0, ratio: 1.0 });
    let local = |page: &mut Page| match page.session.svg(Picture::HoursLarge) {
        Some(farheard::page::Patch::Svg { text, .. }) => text.contains(">local<"),
        other => panic!("{other:?}"),
    };
    assert!(!local(&mut page));
    page.act("zone", "local");
    assert!(local(&mut page), "the hours of the local clock stand under those of UTC");
    page.act("zone", "utc");
    assert!(!local(&mut page));
}

/// A handle that is dragged changes only what is watched: what else was shown stays until it is let go.
#[test]
fn nothing_goes_blank_while_a_filter_is_dragged() {
    for (view, holds) in [("sky", "data-picture=\"angles\""), ("plan", "<td"), ("health", "data-picture=\"health\"")] {
        let mut page = shown();
        for picture in Picture::ALL {
            page.tell(Event::Size { picture, width: 700.0, height: 400.0, ratio: 1.0 });
        }
        page.act("view", view);
        page.draw();
        let cells = |page: &Page| page.html("middle").matches("<td").count();
        let before = cells(&page);
        assert!(page.html("middle").contains(holds), "{view}: {}", page.words("middle"));
        for km in ["900", "1000", "1100"] {
            let (act, value) = ("min-km".to_owned(), km.to_owned());
            page.tell(Event::Act { act, value, shift: false, passing: true });
            page.draw();
            assert!(page.html("middle").contains(holds), "{view}: {}", page.words("middle"));
            assert_eq!(cells(&page), before, "{view}");
        }
        page.tell(Event::Settled);
        page.draw();
        assert!(page.html("middle").contains(holds), "{view}: {}", page.words("middle"));
    }
}
