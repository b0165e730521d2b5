//! What is kept back is in no file: bytes are searched for every hidden call, locator, note and file name.

#![expect(clippy::unwrap_used, reason = "in a test a panic is the answer")]

use farheard::figure::disc::Extent;
use farheard::geography::{Geodesic, Locator};
use farheard::import::{self, Reading, Wishes};
use farheard::model::{Band, Side, SpotTable, TableBuilder};
use farheard::share::picture::{self, Asked};
use farheard::share::report::{self, Pair};
use farheard::share::shared::{self, Sharing};
use farheard::share::tables::{self, Kind, Looked};
use farheard::share::{Leaving, Privacy, RunNotes, Source, adif, csv, map};
use farheard::study::runs::{Rule, Run};
use farheard::study::{Layer, Subject, compare};
use farheard::words::{Length, number::set_decimal_mark};

const HEAD: &str = "time UTC,sender,sender locator,listener,listener locator,frequency MHz,SNR dB,power dBm\n";

/// Two forms of the tested call, one of them at the far end; listeners with locators of 4, 6 and 8 characters.
fn table() -> SpotTable {
    read().0
}

/// The same with how its files were read.
fn read() -> (SpotTable, Vec<Reading>) {
    let mut text = HEAD.to_owned();
    let rows = [
        ("00", "Q7TST", "JN99fl", "Q1AA", "JO10ej"),
        ("02", "Q7TST", "JN99fl", "Q2BB/P", "IO82ig44"),
        ("04", "Q7TST/P", "JN99fm", "Q1AA", "JO10ek"),
        ("06", "Q7TST", "JN99fl", "Q3CC", "KP20"),
        ("08", "Q7TST", "JN99fl", "Q7TST-2", "JN99gl"),
        ("10", "Q7TST", "JN99fl", "Q4DD", ""),
        ("12", "Q8OTH", "JO65ha", "Q1AA", "JO10ej"),
    ];
    for (minute, tx, from, rx, at) in rows {
        let row = format!("2031-04-27 12:{minute},{tx},{from},{rx},{at},14.0971,-21,23\n");
        text += &row;
    }
    let (mut builder, mut readings) = (TableBuilder::new(), Vec::new());
    for (day, name) in ["q7tst-balcony.csv", "JN99FL.csv", "garden.csv"].iter().enumerate() {
        let text = text.replace("04-27", &format!("04-{}", 27 + day));
        readings.extend(import::read(name, text.as_bytes(), &Wishes::default(), &mut builder));
    }
    (builder.freeze(), readings)
}

fn subject(table: &SpotTable) -> Subject<'_> {
    let calls: Vec<_> = ["Q7TST", "Q7TST/P"].iter().map(|call| table.stations().find_call(call).unwrap()).collect();
    Subject::new(table, &calls, Side::Sends, None)
}

fn told(table: &SpotTable) -> Vec<RunNotes> {
    // of a call and a file that no spot has
    let rule =
        Rule { call: Some("Q7TST/M".to_owned()), file: Some("balcony of Q2BB.csv".to_owned()), ..Rule::default() };
    let run = |name: &str, words: [&str; 4]| RunNotes {
        run: Run { name: name.to_owned(), rule: rule.clone(), ..Run::default() },
        words: words.map(str::to_owned),
        rows: Some(subject(table).rows().clone()),
        powers: vec![23.0],
        place: Locator::parse("JN99fm").ok(),
    };
    vec![
        run("Loop of Q7TST", ["wire loop", "6", "", "lent by q2bb/p, at jn99FL in the attic"]),
        run("Upright", ["whip", "", "", "near the fence"]),
    ]
}

fn leaving(table: &SpotTable, privacy: Privacy, source: Source) -> Leaving<'_> {
    let subject = subject(table);
    let rows = subject.rows().iter().map(|row| u32::try_from(row).unwrap()).collect();
    privacy.apply(&subject, rows, source, told(table))
}

/// All files that leave, with their names.
fn files(leaving: &Leaving<'_>) -> Vec<(String, String)> {
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    let mut files = spots(leaving);
    for paths in [false, true] {
        files.push((leaving.file_name("map", "geojson"), text(map::geojson(leaving, paths))));
        files.push((leaving.file_name("map", "kml"), text(map::kml(leaving, paths))));
    }
    files.push((leaving.file_name("disc", "svg"), drawn(leaving)));
    files.push((leaving.file_name("page", "html"), shared::work(leaving, &Sharing::default()).text()));
    let subject = leaving.subject();
    let runs: Vec<&RunNotes> = leaving.runs().iter().collect();
    let rows = leaving.row_set();
    let side = |at: usize| compare::Side { run: &runs[at].run, rows: &rows };
    let found = compare::compare(&subject, side(0), side(1), None, compare::Settings::default()).unwrap();
    let (pair, readings) = (Pair { runs: (0, 1), found: &found, settings: compare::Settings::default() }, read().1);
    let whole = shown(leaving, |&shown| {
        report::report(leaving, &report::Asked { shown, pair: Some(pair), readings: &readings })
    });
    files.push((leaving.file_name("report", "html"), whole));
    let looked = Looked { layer: Layer::default(), pair: Some((0, 1)), against: vec![(1, &found)] };
    for (kind, word) in Kind::ALL {
        let table = tables::table(kind, leaving, &looked);
        files.push((leaving.file_name(word, "csv"), text(csv::table(&table, leaving.source()))));
    }
    files
}

fn drawn(leaving: &Leaving<'_>) -> String {
    shown(leaving, |asked| picture::disc(leaving, asked))
}

/// Something made of how they are shown.
fn shown(leaving: &Leaving<'_>, make: impl FnOnce(&Asked<'_>) -> String) -> String {
    let length = Length::Km;
    let filters = ["over 10 km".to_owned()];
    let bands: Vec<Band> = leaving.subject().bands().to_vec();
    make(&Asked { extent: Extent::whole_earth(length), length, bands: &bands, of: 21, filters: &filters })
}

/// Those that hold each spot.
fn spots(leaving: &Leaving<'_>) -> Vec<(String, String)> {
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    vec![
        (leaving.file_name("spots", "csv"), text(csv::spots(leaving))),
        (leaving.file_name("spots", "adi"), text(adif::spots(leaving))),
    ]
}

/// Every mix of what can be kept back.
fn mixes() -> impl Iterator<Item = Privacy> {
    (0..16_u8).map(|mix| Privacy {
        short_locators: mix & 1 > 0,
        number_calls: mix & 2 > 0,
        hide_tested: mix & 4 > 0,
        no_notes: mix & 8 > 0,
    })
}

const TESTED: [&str; 4] = ["Q7TST", "Q7TST/P", "Q7TST/M", "Q7TST-2"];
const FAR: [&str; 5] = ["Q1AA", "Q2BB", "Q3CC", "Q4DD", "Q8OTH"];
const LONG: [&str; 6] = ["JN99FL", "JN99FM", "JN99GL", "JO10EJ", "JO10EK", "IO82IG"];
const WORDS: [&str; 8] = ["BALCONY", "GARDEN", "LOOP", "UPRIGHT", "WHIP", "ATTIC", "FENCE", ".CSV\r"];

#[test]
fn nothing_that_is_kept_back_is_in_any_file_or_its_name() {
    let table = table();
    for privacy in mixes() {
        let leaving = leaving(&table, privacy, Source::Files);
        for (name, text) in files(&leaving).into_iter().chain([("runs".to_owned(), format!("{:?}", leaving.runs()))]) {
            let all = format!("{name}\n{text}").to_uppercase();
            let mut hidden: Vec<&&str> = Vec::new();
            hidden.extend(TESTED.iter().filter(|_| privacy.hide_tested));
            hidden.extend(FAR.iter().filter(|_| privacy.number_calls));
            hidden.extend(LONG.iter().filter(|_| privacy.short_locators));
            hidden.extend(WORDS.iter().filter(|_| privacy.no_notes));
            let found: Vec<_> = hidden.iter().filter(|word| all.contains(**word)).collect();
            assert!(found.is_empty(), "{privacy:?}: {found:?} in {name}\n{text}");
        }
    }
    // and what is not kept back is there: the search can find
    let open = files(&leaving(&table, Privacy::default(), Source::Files));
    for word in TESTED.iter().filter(|call| !call.ends_with("/M")).chain(FAR.iter().take(4)) {
        assert!(open.iter().take(2).all(|(_, text)| text.contains(*word)), "{word}");
    }
    assert!(open[0].1.to_uppercase().contains("BALCONY") && open[0].1.to_uppercase().contains("JO10EK"));
}

#[test]
fn words_that_hold_something_hidden_are_kept_back_and_others_leave() {
    let table = table();
    let runs = |privacy| leaving(&table, privacy, Source::Files).runs().to_vec();
    let kept = runs(Privacy { hide_tested: true, ..Privacy::default() });
    assert_eq!((kept[0].run.name.as_str(), kept[0].words[0].as_str()), ("A", "wire loop"));
    assert_eq!(kept[0].words[3], "lent by q2bb/p, at jn99FL in the attic");
    assert_eq!(kept[1].run.name, "Upright");
    for privacy in
        [Privacy { number_calls: true, ..Privacy::default() }, Privacy { short_locators: true, ..Privacy::default() }]
    {
        let kept = runs(privacy);
        assert_eq!((kept[0].words[3].as_str(), kept[1].words[3].as_str()), ("", "near the fence"));
    }
    let csv = |privacy| String::from_utf8(csv::spots(&leaving(&table, privacy, Source::Files))).unwrap();
    let hidden = csv(Privacy { hide_tested: true, ..Privacy::default() });
    assert!(!hidden.contains("balcony") && hidden.contains("garden.csv") && hidden.contains("JN99FL.csv"));
    let short = csv(Privacy { short_locators: true, ..Privacy::default() });
    assert!(short.contains("q7tst-balcony.csv") && !short.contains("JN99FL.csv"));
}

/// A distance to the tenth of a kilometre from several places would tell the place again.
#[test]
fn distances_are_those_of_the_shortened_locators() {
    let table = table();
    let privacy = Privacy { short_locators: true, ..Privacy::default() };
    let leaving = leaving(&table, privacy, Source::Files);
    let text = String::from_utf8(csv::spots(&leaving)).unwrap();
    let mut reader = csv_reader(&text);
    let mut rows = 0;
    for record in reader.records().map(Result::unwrap) {
        let locators = [&record[4], &record[6]].map(|cell| Locator::parse(cell).ok());
        assert!(locators.iter().flatten().all(|locator| locator.len() <= 4), "{record:?}");
        // the place of a call is the one that most of its reports give: here each has one field only
        let [Some(home), Some(far)] = locators else { continue };
        let path = Geodesic::wgs84().path(home.centre(), far.centre());
        assert_eq!(record[10], format!("{:.1}", path.distance_km));
        rows += 1;
    }
    assert!(rows >= 12, "{rows}");
}

fn csv_reader(text: &str) -> ::csv::Reader<&[u8]> {
    ::csv::ReaderBuilder::new().from_reader(text.as_bytes())
}

/// Each call has one number throughout, and files without calls open again with as many stations.
#[test]
fn numbered_calls_are_read_again_as_the_same_spots() {
    let table = table();
    let open = leaving(&table, Privacy::default(), Source::Files);
    let closed = leaving(&table, Privacy { short_locators: false, ..Privacy::ALL }, Source::Files);
    for ((_, open), (name, closed)) in spots(&open).into_iter().zip(spots(&closed)) {
        let read = |text: &str| {
            let mut builder = TableBuilder::new();
            let readings = import::read("x", text.as_bytes(), &Wishes::default(), &mut builder);
            assert!(readings[0].set_aside.is_empty(), "{:?}", readings[0].set_aside);
            builder.freeze()
        };
        let (before, after) = (read(&open), read(&closed));
        assert_eq!(before.len(), after.len(), "{name}");
        let mut pairs: Vec<(String, String)> = Vec::new();
        for row in 0..before.len() {
            for id in [(before.tx(row), after.tx(row)), (before.rx(row), after.rx(row))] {
                let call = |table: &SpotTable, id| table.stations().call(table.stations().call_of(id)).to_owned();
                assert_eq!(before.stations().locator(id.0), after.stations().locator(id.1));
                let pair = (call(&before, id.0), call(&after, id.1));
                if !pairs.contains(&pair) {
                    pairs.push(pair);
                }
            }
        }
        pairs.sort();
        let expected = [
            ("Q1AA", "LISTENER1"),
            ("Q2BB/P", "LISTENER2"),
            ("Q3CC", "LISTENER3"),
            ("Q4DD", "LISTENER4"),
            ("Q7TST", "TESTED1"),
            ("Q7TST-2", "TESTED3"),
            ("Q7TST/P", "TESTED2"),
        ];
        let told: Vec<(&str, &str)> = pairs.iter().map(|(a, b)| (a.as_str(), b.as_str())).collect();
        assert_eq!(told, expected, "{name}");
    }
}

/// What the preview says is what the spots' file holds.
#[test]
fn the_preview_lists_what_leaves() {
    let table = table();
    for privacy in mixes() {
        for take in [1, 4, 17] {
            let subject = subject(&table);
            let rows = subject.rows().iter().take(take).map(|row| u32::try_from(row).unwrap()).collect();
            let leaving = privacy.apply(&subject, rows, Source::Files, told(&table));
            let leaves = leaving.leaves();
            let text = String::from_utf8(csv::spots(&leaving)).unwrap();
            let records: Vec<_> = csv_reader(&text).into_records().map(Result::unwrap).collect();
            let distinct = |cells: Vec<String>| {
                let mut cells: Vec<String> = cells.into_iter().filter(|cell| !cell.is_empty()).collect();
                cells.sort();
                cells.dedup();
                cells
            };
            let column = |at: usize| records.iter().map(|record| record[at].to_owned()).collect::<Vec<_>>();
            assert_eq!(leaves.spots, records.len());
            let mut tested = leaves.tested.clone();
            tested.sort();
            assert_eq!(tested, distinct(column(3)));
            assert_eq!(leaves.far, distinct(column(5)).len());
            assert_eq!(leaves.numbered, column(5)[0].starts_with("LISTENER"));
            let times = distinct(column(0));
            let span = leaves.span.map(|(first, last)| (first.iso(), last.iso()));
            assert_eq!(span, times.first().cloned().zip(times.last().cloned()));
            let mut files = leaves.files.clone();
            files.sort();
            assert_eq!(files, distinct(column(12)));
            let mut places: Vec<String> = records
                .iter()
                .flat_map(|r| [(&r[3], &r[4]), (&r[5], &r[6])].map(|(c, l)| format!("{c} {l}")))
                .collect();
            places.sort();
            places.dedup();
            let mut locators = [0; 5];
            for length in places.iter().filter_map(|place| Some(place.split_once(' ')?.1.len())).filter(|&n| n > 0) {
                locators[length / 2 - 1] += 1;
            }
            assert_eq!(leaves.locators, locators, "{privacy:?}");
            let words = leaving.runs().iter().flat_map(|told| &told.words).filter(|words| !words.is_empty()).count();
            assert_eq!(leaves.notes, words);
            assert_eq!(leaves.notes == 0, privacy.no_notes);
        }
    }
}

#[test]
fn the_sample_is_marked_whatever_is_kept_back() {
    let table = table();
    for privacy in mixes() {
        for (name, text) in files(&leaving(&table, privacy, Source::Sample)) {
            assert!(name.starts_with("SAMPLE-"), "{name}");
            if name.contains("-page-") {
                assert!(text.contains("\"sample\":true"), "{text}");
                continue;
            }
            // every row of a table, record and mark says so by itself
            let is_row = |line: &&str| match name.rsplit('.').next() {
                Some("csv") => !text.starts_with(*line),
                Some("adi") => line.contains("<CALL:"),
                Some("svg" | "html") => line.contains("made up"),
                Some("geojson") => line.contains("\"Feature\""),
                _ => line.contains("<Placemark>"),
            };
            let rows: Vec<&str> = text.lines().filter(is_row).collect();
            assert!(rows.iter().all(|row| row.contains("SAMPLE")), "{name}\n{text}");
            assert!(!rows.is_empty() || name.contains("silences") || name.contains("listener"), "{name}\n{text}");
        }
    }
}

/// The preview names the files whose spots leave, and the report no others.
#[test]
fn the_report_names_the_files_that_the_preview_names() {
    let (table, readings) = read();
    let subject = subject(&table);
    let rows = subject.rows().iter().filter(|&row| table.file(row).index() == 1).map(|row| u32::try_from(row).unwrap());
    let leaving = Privacy::default().apply(&subject, rows.collect(), Source::Files, told(&table));
    let text =
        shown(&leaving, |&shown| report::report(&leaving, &report::Asked { shown, pair: None, readings: &readings }));
    let named: Vec<&str> =
        table.files().iter().map(String::as_str).filter(|name| text.contains(&format!("<b>{name}:</b>"))).collect();
    assert_eq!(named, leaving.leaves().files);
    assert!(named == ["JN99FL.csv"] && text.contains("<b>File 1:</b>") && !text.contains("garden"), "{named:?}");
}

/// Figures on paper have the decimal mark of a language, files the point: whoever opens them may speak another.
#[test]
fn a_picture_says_what_it_was_made_of_in_any_language() {
    let table = table();
    let text = drawn(&leaving(&table, Privacy::default(), Source::Files));
    let plain = text.replace(['\u{a0}', '\u{202f}'], " ");
    for words in [
        "Q7TST, filtered: 18 spots from 5 listeners on 20 m, farthest",
        "2031-04-27 12:00 to 2031-04-29 12:10 UTC. 18 of 21 spots.",
        "Only over 10 km.",
        "Rings and bearings are true from JN99fl. Farheard ",
    ] {
        assert!(plain.contains(words), "{words}: {plain}");
    }
    assert!(!text.contains("SAMPLE"));
    set_decimal_mark(',');
    let elsewhere = drawn(&leaving(&table, Privacy::default(), Source::Files));
    set_decimal_mark('.');
    assert_eq!(elsewhere, text);
}
