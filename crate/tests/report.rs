//! The report of the sample: read by an independent reader of XML, and held against studies, words and plain recounts.

#![expect(clippy::unwrap_used, clippy::expect_used, reason = "in a test a panic is the answer")]

use std::collections::BTreeMap;

use farheard::figure::disc::{Extent, views};
use farheard::import::{self, Reading, Wishes};
use farheard::model::TableBuilder;
use farheard::share::picture;
use farheard::share::report::{Asked, Pair, report};
use farheard::share::{Privacy, RunNotes, Source};
use farheard::study::compare::{self, Comparison, Settings};
use farheard::study::runs::{Rule, Run, assign};
use farheard::study::{Subject, Tally, bands, bearings, medians, reach, tested};
use farheard::words::calendar::{DateOrder, set_date_order};
use farheard::words::cautions::{CAUTIONS, FIRST};
use farheard::words::headline::{headline, interval, short};
use farheard::words::number::{MISSING, count, difference, level, or_missing, set_decimal_mark};
use farheard::words::verdict::{how_reckoned, part};
use farheard::words::{Length, answer};
use roxmltree::{Document, Node};

const SAMPLE: &str = include_str!("../../sample-files/two-antennas-two-days.csv");
const NASTY: &str = "<script>alert(1)</script>\"'&<img src=x onerror=alert(1)>";
const SVG: &str = "http://www.w3.org/2000/svg";

/// What a report was made of.
struct Made<'a> {
    text: &'a str,
    subject: Subject<'a>,
    found: &'a Comparison,
    tally: Tally,
}

/// The report of a file with its two days as runs of these names.
fn with_report(name: &str, rows: &str, names: [&str; 2], source: Source, paired: bool, look: impl FnOnce(&Made<'_>)) {
    let mut builder = TableBuilder::new();
    let readings: Vec<Reading> = import::read(name, rows.as_bytes(), &Wishes::default(), &mut builder);
    let table = builder.freeze();
    let guess = tested::guess(&table, None).unwrap().tested;
    let subject = Subject::new(&table, &[guess.call], guess.side, None);
    let run = |name: &str, day: &str| Run {
        name: name.to_owned(),
        rule: Rule::parse(&format!("days={day}")).unwrap(),
        feeder_loss_db: 0.5,
        ..Run::default()
    };
    let runs = [run(names[0], "2031-10-11"), run(names[1], "2031-10-13")];
    let sets = assign(&table, subject.rows(), guess.side, &runs, Some(guess.call));
    let side = |at: usize| compare::Side { run: &runs[at], rows: &sets[at] };
    let found = compare::compare(&subject, side(0), side(1), None, Settings::default()).unwrap();
    let told = runs.iter().zip(&sets).map(|(run, rows)| RunNotes {
        run: run.clone(),
        words: [names[0].to_owned(), "6".to_owned(), "25".to_owned(), "by the stream".to_owned()],
        rows: Some(rows.clone()),
        powers: vec![23.0],
        place: subject.home(),
    });
    let tally = Tally::of(&subject, subject.rows());
    let rows = subject.rows().iter().map(|row| u32::try_from(row).unwrap()).collect();
    let leaving = Privacy::default().apply(&subject, rows, source, told.collect());
    let listeners = farheard::study::listeners(&subject, &tally);
    let extent =
        if subject.home().is_some() { views(&listeners, Length::Km).whole } else { Extent::whole_earth(Length::Km) };
    let shown = picture::Asked { extent, length: Length::Km, bands: subject.bands(), of: tally.spots, filters: &[] };
    let pair = Pair { runs: (0, 1), found: &found, settings: Settings::default() };
    let text = report(&leaving, &Asked { shown, pair: paired.then_some(pair), readings: &readings });
    look(&Made { text: &text, subject: subject.clone(), found: &found, tally });
}

fn with_sample(look: impl FnOnce(&Made<'_>)) {
    with_report("two-days.csv", SAMPLE, ["Doublet", "Vertical"], Source::Sample, true, look);
}

/// The page as XML: it is written so that it is well-formed.
fn parsed(text: &str) -> Document<'_> {
    Document::parse(text.trim_start().strip_prefix("<!doctype html>").unwrap()).unwrap()
}

fn words(node: Node<'_, '_>) -> String {
    node.descendants().filter(Node::is_text).filter_map(|node| node.text()).collect()
}

fn section<'a>(page: &'a Document<'_>, place: &str) -> Node<'a, 'a> {
    let found = page.descendants().find(|node| node.has_tag_name("section") && node.attribute("class") == Some(place));
    found.expect(place)
}

/// The rows of the table in a section.
fn table(page: &Document<'_>, place: &str) -> Vec<Vec<String>> {
    let rows = section(page, place).descendants().filter(|node| node.has_tag_name("tr"));
    rows.skip(1).map(|row| row.children().filter(Node::is_element).map(words).collect()).collect()
}

#[test]
fn it_begins_with_the_answer_and_marks_the_sample() {
    with_sample(|made| {
        let page = parsed(made.text);
        let name = made.subject.table().stations().call(made.subject.calls()[0]);
        let reach = reach(&made.subject, &made.tally);
        let said = answer(name, &made.subject, &made.tally, &reach, made.tally.spots, Length::Km);
        let h1 = page.descendants().find(|node| node.has_tag_name("h1")).unwrap();
        assert_eq!(words(h1), said.whole());
        assert!(made.text.contains(&said.evidence));
        let title = words(page.descendants().find(|node| node.has_tag_name("title")).unwrap());
        assert!(title.starts_with("SAMPLE, made up. Farheard report: Q6HUT: Doublet and Vertical, 11"), "{title}");
        assert!(words(page.descendants().find(|node| node.has_tag_name("header")).unwrap()).contains("SAMPLE"));
    });
    with_report("own.csv", SAMPLE, ["A", "B"], Source::Files, true, |made| assert!(!made.text.contains("SAMPLE")));
}

#[test]
fn figures_of_bands_and_sectors_are_those_of_the_studies() {
    with_sample(|made| {
        let page = parsed(made.text);
        let medians = medians(&made.subject, made.subject.rows());
        let km = |km: Option<f64>| or_missing(km, |km| Length::Km.figure(km));
        let of_bands: Vec<Vec<String>> = bands(&made.subject, &made.tally)
            .iter()
            .map(|band| {
                vec![
                    band.band.label(),
                    count(band.spots),
                    count(band.listeners),
                    km(band.median_km),
                    km(band.farthest.map(|farthest| farthest.km)),
                    or_missing(medians.band(band.band).snr_1w_db, level),
                ]
            })
            .collect();
        assert_eq!(of_bands.len(), 7);
        assert_eq!(table(&page, "bands"), of_bands);
        let sectors = bearings(&made.subject, &made.tally);
        let of_sectors = table(&page, "bearings");
        assert_eq!(of_sectors.len(), 16);
        assert_eq!((of_sectors[0][0].as_str(), of_sectors[4][0].as_str()), ("N", "E"));
        for ((row, sector), db) in of_sectors.iter().zip(&sectors).zip(&medians.sector_snr_1w_db) {
            let figures =
                [count(sector.spots), count(sector.listeners), km(sector.farthest_km), or_missing(*db, level)];
            assert_eq!(row[1..], figures, "{}", row[0]);
        }
    });
}

/// From the file's own lines: repeats and rows that are no spot left out by their number only.
#[test]
fn counts_by_hour_are_those_of_the_file() {
    let mut counts: BTreeMap<(usize, u32), usize> = BTreeMap::new();
    let mut seen = std::collections::BTreeSet::new();
    let band = |mhz: f64| match mhz {
        0.0..5.0 => 80,
        5.0..9.0 => 40,
        9.0..12.0 => 30,
        12.0..16.0 => 20,
        16.0..19.0 => 17,
        19.0..23.0 => 15,
        _ => 10,
    };
    for line in SAMPLE.lines().skip(1).filter(|line| line.contains(",Q6HUT,") && seen.insert(*line)) {
        let cells: Vec<&str> = line.split(',').collect();
        let hour = cells[0].split(' ').nth(1).unwrap().split(':').next().unwrap().parse().unwrap();
        *counts.entry((hour, band(cells[6].parse().unwrap()))).or_default() += 1;
    }
    with_sample(|made| {
        let page = parsed(made.text);
        let rows = table(&page, "hours");
        assert_eq!(rows.len(), 24);
        let mut away = 0;
        for (hour, row) in rows.iter().enumerate() {
            assert_eq!(row[0], format!("{hour:02} to {:02}", hour + 1));
            for (cell, band) in row[1..].iter().zip([80, 40, 30, 20, 17, 15, 10]) {
                let plain = counts.get(&(hour, band)).copied().unwrap_or(0);
                away += plain.abs_diff(cell.parse::<usize>().unwrap());
            }
        }
        // the one call that is cut to two characters is set aside
        assert_eq!(away, 1);
        let read = words(section(&page, "read")).replace(['\u{a0}', '\u{202f}'], " ");
        assert!(read.contains("two-days.csv: 5 620 rows read are 5 610 used, 5 set aside and 5 repeated."), "{read}");
    });
}

#[test]
fn the_comparison_is_said_as_everywhere() {
    with_sample(|made| {
        let page = parsed(made.text);
        let settings = Settings::default();
        let (a, b, found) = ("Doublet", "Vertical", made.found);
        let all = words(section(&page, "compare"));
        for said in how_reckoned(&found.all, found, settings).iter().chain(&[
            headline(a, b, found, settings).whole(),
            headline(a, b, found, settings).evidence,
            part(a, b, " over all bands together", &found.all, found.design, settings),
        ]) {
            assert!(all.contains(said.as_str()), "{said}\n{all}");
        }
        let rows = table(&page, "compare");
        assert_eq!(rows.len(), found.bands.len() + 1);
        let parts = found.bands.iter().map(|(band, part)| (band.label(), part));
        for (row, (label, part)) in rows.iter().zip(parts.chain([("All bands".to_owned(), &found.all)])) {
            let expected = [
                label,
                or_missing(part.difference_db, difference),
                interval(part),
                count(part.pairs_used),
                count(part.listeners),
                short(a, b, part, settings),
            ];
            assert_eq!(row[..], expected);
        }
        assert!(rows.iter().any(|row| row[1] != MISSING));
    });
    with_report("one.csv", SAMPLE, ["A", "B"], Source::Files, false, |made| {
        let page = parsed(made.text);
        assert!(!page.descendants().any(|node| node.attribute("class") == Some("compare")));
        assert!(words(section(&page, "sent")).contains("200\u{a0}mW as reported, from IN71"), "{}", made.text);
    });
}

/// Nothing in it asks for anything, runs anything, or would be stopped by its own policy.
#[test]
fn it_holds_no_script_and_asks_for_nothing() {
    with_report(NASTY, SAMPLE, [NASTY, "b\" onload=\"alert(1)"], Source::Files, true, |made| {
        let page = parsed(made.text);
        let elements = || page.descendants().filter(Node::is_element);
        let idle = [
            "html", "head", "meta", "title", "style", "body", "header", "main", "section", "footer", "h1", "h2",
            "small", "p", "b", "span", "ul", "li", "table", "thead", "tbody", "tr", "th", "td", "details", "summary",
            "div", "svg", "g", "path", "circle", "rect", "text", "textPath", "clipPath", "desc",
        ];
        for element in elements() {
            let name = element.tag_name().name();
            assert!(idle.contains(&name), "<{name}>");
            for attribute in element.attributes() {
                let (name, value) = (attribute.name(), attribute.value());
                assert!(!name.starts_with("on") && !["style", "src", "action", "srcset"].contains(&name), "{name}");
                assert!(name != "href" || value.starts_with('#'), "{value}");
                let own = value.replace("url(#", "");
                assert!(!own.contains("url("), "{value}");
            }
        }
        let policy = elements().find(|node| node.attribute("http-equiv") == Some("Content-Security-Policy")).unwrap();
        assert!(policy.attribute("content").unwrap().starts_with("default-src 'none'; style-src 'unsafe-inline'"));
        // the policy holds from before the first thing that it rules
        let style = elements().find(|node| node.has_tag_name("style")).unwrap();
        assert!(policy.id().get() < style.id().get());
        assert!(!words(style).contains("url(") && !words(style).contains("@import"));
        let addresses = made.text.matches("//").count();
        assert_eq!(addresses, made.text.matches(&format!("xmlns=\"{SVG}\"")).count());
        // what was typed is there, as words
        assert!(words(section(&page, "sent")).contains(NASTY) && words(section(&page, "read")).contains(NASTY));
        assert!(!made.text.contains("<script") && !made.text.contains("<img"));
    });
}

#[test]
fn whoever_does_not_see_it_finds_heads_and_names() {
    with_sample(|made| {
        let page = parsed(made.text);
        let named = |name: &'static str| page.descendants().filter(move |node| node.has_tag_name(name));
        let heads: Vec<String> = named("h2").map(|node| words(node.first_child().unwrap()).trim().to_owned()).collect();
        let expected =
            ["Disc", "Bearings", "Bands", "Hours", "Compare", "How it was sent", "How it was read", "Cautions"];
        assert_eq!(heads, expected);
        assert!(named("h1").count() == 1 && named("main").count() == 1);
        assert!(named("th").count() > 40 && named("th").all(|node| node.attribute("scope").is_some()));
        let pictures: Vec<Node<'_, '_>> = page.descendants().filter(|it| it.attribute("role") == Some("img")).collect();
        assert_eq!(pictures.len(), 3);
        let ids: Vec<&str> = page.descendants().filter_map(|node| node.attribute("id")).collect();
        for picture in &pictures {
            let by = picture.attribute("aria-labelledby").unwrap().split(' ');
            for id in by {
                assert_eq!(ids.iter().filter(|other| **other == id).count(), 1, "{id}");
            }
            let said = words(picture.descendants().find(|node| node.has_tag_name((SVG, "desc"))).unwrap());
            assert!(said.len() > 60 && said.ends_with('.'), "{said}");
        }
        let others = page.descendants().filter(|node| node.has_tag_name((SVG, "svg")));
        assert!(others.into_iter().all(|node| node.attribute("role") == Some("img")));
    });
}

#[test]
fn the_same_spots_give_the_same_bytes_whatever_the_screen_shows() {
    let made = || {
        let mut text = String::new();
        with_sample(|made| made.text.clone_into(&mut text));
        text
    };
    let first = made();
    set_decimal_mark(',');
    set_date_order(DateOrder::MonthFirst);
    let elsewhere = made();
    assert_eq!(difference(1.25), "+1,2", "the person's own mark stays theirs");
    set_decimal_mark('.');
    set_date_order(DateOrder::DayFirst);
    assert_eq!(first, elsewhere);
    assert!(first.contains("11\u{a0}October\u{a0}2031, 00:00 to"));
}

/// Without the place of the antenna there is neither Disc nor bearing, and everything else is there.
#[test]
fn spots_without_places_have_a_report_too() {
    let mut text = String::from("utc,sender,power dBm,listener,frequency MHz,SNR dB\n");
    for (day, slot) in [11, 13].iter().flat_map(|day| (0..60).map(move |slot| (day, slot))) {
        let row = format!(
            "2031-10-{day} {:02}:{:02},Q7TST,23,Q{}ABC,7.0401,-{}\n",
            slot / 30,
            slot % 30 * 2,
            slot % 3,
            9 + slot % 3
        );
        text += &row;
    }
    with_report("bare.csv", &text, ["A", "B"], Source::Files, true, |made| {
        let page = parsed(made.text);
        assert!(!page.descendants().any(|node| matches!(node.attribute("class"), Some("disc" | "bearings"))));
        assert_eq!(table(&page, "bands"), [["40\u{a0}m", "120", "3", MISSING, MISSING, "\u{2212}3"]]);
        assert!(words(section(&page, "sent")).contains("place unknown"));
    });
}

/// README says the same, word for word.
#[test]
fn cautions_are_those_of_the_readme() {
    let readme = include_str!("../../README.md");
    assert!(readme.contains(FIRST));
    for (head, text) in CAUTIONS {
        assert!(readme.contains(&format!("**{head}**: {text}")), "{head}");
    }
}
