//! Tables that leave, over the sample: read by the csv crate, and held against plain recounts of the spots' own file.

#![expect(clippy::unwrap_used, reason = "in a test a panic is the answer")]

use std::collections::{BTreeMap, BTreeSet};

use farheard::import::{self, Wishes};
use farheard::model::TableBuilder;
use farheard::share::tables::{self, Kind, Looked};
use farheard::share::{Leaving, Privacy, RunNotes, Source, csv};
use farheard::study::runs::{Rule, Run, assign};
use farheard::study::{Layer, Subject, compare, tested};
use farheard::time::UtcTime;
use farheard::words::number::set_decimal_mark;

type Rows = Vec<BTreeMap<String, String>>;

fn parsed(text: &[u8]) -> Rows {
    let mut reader = ::csv::ReaderBuilder::new().from_reader(text);
    let heads: Vec<String> = reader.headers().unwrap().iter().map(str::to_owned).collect();
    assert_eq!(heads.iter().collect::<BTreeSet<_>>().len(), heads.len(), "{heads:?}");
    let row = |record: ::csv::StringRecord| heads.iter().cloned().zip(record.iter().map(str::to_owned)).collect();
    reader.records().map(|record| row(record.unwrap())).collect()
}

/// Every table of the sample, its two days being two runs, and the spots.
fn all(with: impl FnOnce(&Leaving<'_>, BTreeMap<&'static str, Rows>, Rows)) {
    // a person's own decimal mark is none of the files' business
    set_decimal_mark(',');
    let mut builder = TableBuilder::new();
    let sample = include_bytes!("../../sample-files/two-antennas-two-days.csv");
    import::read("sample.csv", sample, &Wishes::default(), &mut builder);
    let table = builder.freeze();
    let guess = tested::guess(&table, None).unwrap().tested;
    let subject = Subject::new(&table, &[guess.call], guess.side, None);
    let run = |name: &str, day: &str| Run {
        name: name.to_owned(),
        rule: Rule::parse(&format!("days={day}")).unwrap(),
        ..Run::default()
    };
    let runs = [run("=Doublet", "2031-10-11"), run("Vertical", "2031-10-13")];
    let sets = assign(&table, subject.rows(), guess.side, &runs, Some(guess.call));
    let side = |at: usize| compare::Side { run: &runs[at], rows: &sets[at] };
    let found = compare::compare(&subject, side(0), side(1), None, compare::Settings::default()).unwrap();
    let told = runs.iter().zip(&sets).map(|(run, rows)| RunNotes {
        run: run.clone(),
        words: ["wire, 20 m".to_owned(), "6".to_owned(), "-3".to_owned(), "@home".to_owned()],
        rows: Some(rows.clone()),
        ..RunNotes::default()
    });
    let rows = subject.rows().iter().map(|row| u32::try_from(row).unwrap()).collect();
    let leaving = Privacy::default().apply(&subject, rows, Source::Files, told.collect());
    let looked = Looked { layer: Layer::default(), pair: Some((0, 1)), against: vec![(1, &found)] };
    let tables = Kind::ALL.into_iter().map(|(kind, word)| {
        let text = csv::table(&tables::table(kind, &leaving, &looked), leaving.source());
        (word, parsed(&text))
    });
    let tables = tables.collect();
    with(&leaving, tables, parsed(&csv::spots(&leaving)));
}

fn count(rows: &Rows, fits: impl Fn(&BTreeMap<String, String>) -> bool) -> String {
    rows.iter().filter(|row| fits(row)).count().to_string()
}

fn distinct(rows: &Rows, fits: impl Fn(&BTreeMap<String, String>) -> bool, head: &str) -> String {
    rows.iter().filter(|row| fits(row)).map(|row| &row[head]).collect::<BTreeSet<_>>().len().to_string()
}

/// A number in its shortest digits.
fn shortest(value: f64) -> String {
    value.to_string()
}

#[test]
fn counts_are_those_of_the_spots() {
    all(|_, tables, spots| {
        assert!(tables.iter().all(|(word, rows)| !rows.is_empty() || *word == "silences"), "{:?}", tables.keys());
        let bands = &tables["bands"];
        assert_eq!(bands.len().to_string(), distinct(&spots, |_| true, "band"));
        for row in bands {
            let here = |spot: &BTreeMap<String, String>| spot["band"] == row["band"];
            assert_eq!(row["spots"], count(&spots, here));
            assert_eq!(row["listeners"], distinct(&spots, here, "listener"));
            let km = spots.iter().filter(|spot| here(spot)).filter_map(|spot| spot["distance km"].parse::<f64>().ok());
            assert_eq!(row["farthest km"], shortest(km.fold(0.0, f64::max)));
        }
        for row in &tables["listeners"] {
            let here = |spot: &BTreeMap<String, String>| spot["listener"] == row["call"];
            assert_eq!(row["spots"], count(&spots, here));
            let of: Vec<&BTreeMap<String, String>> = spots.iter().filter(|spot| here(spot)).collect();
            let snr = of.iter().filter_map(|spot| spot["SNR dB"].parse::<f64>().ok());
            assert_eq!(row["best SNR dB"], shortest(snr.fold(f64::MIN, f64::max)));
            for head in ["distance km", "bearing deg"] {
                assert_eq!(row[head], shortest(of[0][head].parse().unwrap()));
            }
            assert_eq!(Some(&row["first UTC"]), of.iter().map(|spot| &spot["time UTC"]).min());
            assert_eq!(Some(&row["last UTC"]), of.iter().map(|spot| &spot["time UTC"]).max());
            let all: BTreeSet<&str> = of.iter().map(|spot| spot["band"].as_str()).collect();
            assert_eq!(row["bands"].split(' ').collect::<BTreeSet<_>>(), all);
        }
        assert_eq!(tables["listeners"].len().to_string(), distinct(&spots, |_| true, "listener"));
        for row in &tables["hours"] {
            let hour: usize = row["UTC hour"].parse().unwrap();
            let here = |spot: &BTreeMap<String, String>| {
                spot["band"] == row["band"] && spot["time UTC"].get(11..13).unwrap().parse() == Ok(hour)
            };
            assert_eq!(row["spots"], count(&spots, here));
            assert_eq!(row["listeners"], distinct(&spots, here, "listener"));
        }
        for row in &tables["days"] {
            let day = row["first UTC"].get(..10).unwrap();
            let here =
                |spot: &BTreeMap<String, String>| spot["band"] == row["band"] && spot["time UTC"].starts_with(day);
            assert_eq!(row["spots"], count(&spots, here));
        }
        for row in &tables["bearings"] {
            let (from, to): (f64, f64) = (row["from deg"].parse().unwrap(), row["to deg"].parse().unwrap());
            let here = |spot: &BTreeMap<String, String>| {
                let bearing: f64 = spot["bearing deg"].parse().unwrap();
                if from > to { bearing >= from || bearing < to } else { (from..to).contains(&bearing) }
            };
            assert_eq!(row["spots"], count(&spots, here), "{row:?}");
        }
        for row in &tables["runs"] {
            let day = row["first UTC"].get(..10).unwrap();
            assert_eq!(row["spots"], count(&spots, |spot| spot["time UTC"].starts_with(day)));
        }
        let sum = |rows: &Rows, heads: &[&str]| -> usize {
            rows.iter().flat_map(|row| heads.iter().map(|head| row[*head].parse::<usize>().unwrap())).sum()
        };
        let sun = ["all by day", "an end in twilight", "day and night", "all by night"];
        assert_eq!(sum(&tables["sun"], &sun), 2 * spots.len(), "once in all, once in its band");
        assert_eq!(sum(&tables["angles"], &["spots"]), 2 * spots.len());
        assert_eq!(sum(&tables["hops"], &["spots"]), 2 * spots.len());
    });
}

#[test]
fn differences_are_those_of_the_comparison() {
    all(|_, tables, _| {
        let of: Rows = tables["differences"].clone();
        let kinds: BTreeSet<&str> = of.iter().map(|row| row["kind"].as_str()).collect();
        assert_eq!(kinds.len(), 8, "{kinds:?}");
        // the scenario of sample-files/README.md: the vertical is weaker on the low bands
        let band = |name: &str| of.iter().find(|row| row["kind"] == "band" && row["part"] == name).unwrap();
        let db: f64 = band("40m")["B above A dB"].parse().unwrap();
        assert!(db < 0.0, "{db}");
        assert_eq!(of.iter().filter(|row| row["kind"] == "bearing deg").count(), 16);
        let pairs = |kind: &str| -> usize {
            of.iter().filter(|row| row["kind"] == kind).map(|row| row["pairs"].parse::<usize>().unwrap()).sum()
        };
        let by_listener: usize =
            tables["differences-by-listener"].iter().map(|row| row["pairs"].parse::<usize>().unwrap()).sum();
        assert_eq!(pairs("all"), by_listener);
        assert!(of.iter().all(|row| row["A"] == "'=Doublet" && row["B"] == "Vertical"));
    });
}

/// Numbers have a point and no other mark, times are ISO 8601, and no text is a formula.
#[test]
fn cells_are_numbers_times_or_safe_text() {
    all(|_, tables, _| {
        let mut negative = 0;
        for (word, rows) in &tables {
            for (head, cell) in rows.iter().flatten().filter(|(_, cell)| !cell.is_empty()) {
                // as typed by a person, whatever the head
                if *word == "runs" && ["antenna", "height m", "direction deg", "notes"].contains(&head.as_str()) {
                    assert!(!cell.starts_with(['=', '+', '-', '@']), "{cell}");
                    continue;
                }
                let unit = head.rsplit(' ').next().unwrap();
                if unit == "UTC" {
                    // ISO 8601-1:2019, 5.4.2: extended form, UTC by Z
                    let time = UtcTime::parse_iso(cell.strip_suffix('Z').unwrap()).unwrap();
                    assert_eq!(time.iso(), *cell);
                } else if ["dB", "km", "deg", "W", "spots", "%", "listeners", "dBm", "hour", "hours", "pairs"]
                    .contains(&unit)
                    && !head.starts_with("holds")
                {
                    let value: f64 = cell.parse().unwrap_or_else(|_| panic!("{word}: {head}: {cell}"));
                    assert!(value.is_finite() && cell.len() < 12, "{word}: {head}: {cell}");
                    negative += usize::from(value < 0.0);
                } else {
                    let number = cell.parse::<f64>().is_ok();
                    assert!(number || !cell.starts_with(['=', '+', '-', '@', '\t', '\r']), "{word}: {head}: {cell}");
                }
            }
        }
        assert!(negative > 50, "{negative}");
        let run = &tables["runs"][0];
        assert_eq!((run["direction deg"].as_str(), run["notes"].as_str()), ("'-3", "'@home"));
        assert_eq!(run["antenna"], "wire, 20 m");
    });
}
