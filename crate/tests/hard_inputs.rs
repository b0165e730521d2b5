//! Every nasty file of `tests/samples/hard-inputs` is read as its `expected.json` says.
//!
//! An expectation holds if its main answer holds, or one of its `alternatives`, which replaces the keys that it names.

#![expect(clippy::disallowed_methods, reason = "samples are files")]
#![expect(clippy::unwrap_used, reason = "in a test a panic is the answer")]

mod page;

use std::collections::BTreeMap;
use std::path::PathBuf;

use farheard::geography::Geodesic;
use farheard::import::{self, Wishes};
use farheard::model::TableBuilder;
use farheard::page::{Boot, Origin};
use page::Page;
use serde_json::{Map, Value, json};

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../tests/samples/hard-inputs")
}

/// What a readout tells of a file: the readings and the list of spots.
fn readout(name: &str, bytes: &[u8]) -> Value {
    let mut builder = TableBuilder::new();
    let readings = import::read(name, bytes, &Wishes::default(), &mut builder);
    for reading in &readings {
        let parts = reading.spots + reading.duplicates + reading.set_aside.len() as u64;
        assert_eq!(reading.rows, parts, "{name}: rows add up");
    }
    let table = builder.freeze();
    let geodesic = Geodesic::wgs84();
    let spots: Vec<Value> = (0..table.len())
        .map(|row| {
            let stations = table.stations();
            let (tx, rx) = (table.tx(row), table.rx(row));
            let (from, to) = (stations.locator(tx), stations.locator(rx));
            let path = from.zip(to).map(|(from, to)| geodesic.path(from.centre(), to.centre()));
            json!({
                "line": table.line(row),
                "time": table.time(row).iso(),
                "band": table.band(row).name(),
                "tx": stations.call(stations.call_of(tx)),
                "rx": stations.call(stations.call_of(rx)),
                "tx_locator": from.map(|l| l.to_string()),
                "rx_locator": to.map(|l| l.to_string()),
                "freq_hz": table.freq_hz(row),
                "snr_db": table.snr_db(row),
                "drift_hz_min": table.drift_hz_min(row),
                "power_dbm": table.power_dbm(row),
                "distance_km": path.map(|p| p.distance_km),
                "bearing_deg": path.and_then(|p| p.bearing_deg),
            })
        })
        .collect();
    json!({ "files": readings, "spots_list": spots })
}

fn list<'a>(value: &'a Value, key: &str) -> &'a [Value] {
    value.get(key).and_then(Value::as_array).map_or(&[], Vec::as_slice)
}

fn text<'a>(value: &'a Value, key: &str) -> &'a str {
    value.get(key).and_then(Value::as_str).unwrap_or_default()
}

/// Is there a value other than null?
fn some<'a>(value: &'a Value, key: &str) -> Option<&'a Value> {
    value.get(key).filter(|v| !v.is_null())
}

fn number(value: &Value, key: &str) -> u64 {
    value.get(key).and_then(Value::as_u64).unwrap_or(0)
}

fn all<'a>(got: &'a Value, key: &str) -> Vec<&'a Value> {
    list(got, "files").iter().flat_map(|file| list(file, key)).collect()
}

/// Does a number stand in a text by itself?
fn holds_number(text: &str, wanted: &str) -> bool {
    text.split(|c: char| !c.is_ascii_digit()).any(|digits| digits == wanted)
}

/// Does a word stand in a text with no small letter before it?
fn holds_word(text: &str, word: &str) -> bool {
    text.match_indices(word)
        .any(|(at, _)| !text.get(..at).is_some_and(|t| t.ends_with(|c: char| c.is_ascii_lowercase())))
}

/// Is `word` or `word:detail` said, in notes, reasons or errors?
fn said(got: &Value, word: &str) -> bool {
    let (name, detail) = word.split_once(':').unwrap_or((word, ""));
    let hits: Vec<&Value> = all(got, "notes").into_iter().filter(|n| text(n, "kind") == name).collect();
    let aside: Vec<&Value> = all(got, "set_aside").into_iter().filter(|s| text(s, "reason") == name).collect();
    let error = list(got, "files").iter().any(|f| some(f, "error").is_some_and(|e| text(e, "kind") == name));
    if detail.is_empty() {
        return !hits.is_empty() || !aside.is_empty() || error;
    }
    let digits = detail.strip_prefix("line ").unwrap_or(detail);
    if let Ok(n) = digits.parse::<u64>() {
        return hits.iter().any(|h| h["count"] == json!(n) || holds_number(text(h, "text"), digits))
            || aside.iter().any(|s| number(s, "line") == n)
            || !detail.starts_with("line") && aside.len() as u64 == n && n > 0;
    }
    let forms: &[&str] = match detail {
        "day-first" => &["day-first", "day first", "day before month", "day/month", "dmy", "dd/mm"],
        "month-first" => &["month-first", "month first", "month before day", "month/day", "mdy", "mm/dd"],
        "year-first" => &["year-first", "year first", "year before", "ymd"],
        "epoch-ms" => &["epoch-ms", "millisecond"],
        "epoch-s" => &["epoch-s", "seconds since"],
        "spreadsheet-serial" => &["spreadsheet-serial", "serial", "spreadsheet day"],
        "mixed" => &["mixed", "different form"],
        "mi" => &["mi", "mile"],
        other => &[other],
    };
    hits.iter().any(|h| {
        let text = text(h, "text").to_lowercase();
        forms.iter().any(|form| holds_word(&text, &form.to_lowercase()))
    })
}

/// Does one field of a spot fit?
fn field_fits(key: &str, got: &Value, want: &Value) -> bool {
    if let Some(key) = key.strip_suffix("_one_of") {
        return want.as_array().unwrap().iter().any(|want| field_fits(key, got, want));
    }
    let found = &got[key];
    if want.is_null() || found.is_null() {
        return want.is_null() && found.is_null();
    }
    let near = |tolerance: f64| (found.as_f64().unwrap() - want.as_f64().unwrap()).abs() <= tolerance;
    match key {
        "power_dbm" => near(0.05),
        "freq_hz" => near(1.0),
        "snr_db" | "drift_hz_min" => near(1e-6),
        _ if key.ends_with("locator") => found.as_str().unwrap().eq_ignore_ascii_case(want.as_str().unwrap()),
        _ => found == want,
    }
}

fn spot_faults(got: &Value, want: &Value, label: &str) -> Vec<String> {
    let mut faults = Vec::new();
    for (key, want) in want.as_object().unwrap() {
        let untold = want.is_null() && matches!(key.as_str(), "time" | "local_time");
        if untold || matches!(key.as_str(), "local_time" | "note" | "line" | "must_say" | "distance_km" | "bearing_deg")
        {
            continue;
        }
        if !field_fits(key, got, want) {
            let found = &got[key.strip_suffix("_one_of").unwrap_or(key)];
            faults.push(format!("{label}.{key} {found}, expected {want}"));
        }
    }
    faults
}

const KNOWN: [&str; 24] = [
    "spots",
    "set_aside",
    "bands",
    "delimiter",
    "first",
    "error",
    "set_aside_rows",
    "roles",
    "must_say",
    "encoding",
    "container",
    "alternatives",
    "rows",
    "tolerance",
    "snr_values",
    "tx_calls",
    "round_trip",
    "duplicates",
    "delimiters",
    "never_calls",
    "error_one_of",
    "first_alternatives",
    "note",
    "encoding_one_of",
];

fn faults(got: &Value, want: &Value) -> Vec<String> {
    let mut out = Vec::new();
    let files = list(got, "files");
    let spots_list = list(got, "spots_list");
    let total = |key: &str| files.iter().map(|f| number(f, key)).sum::<u64>();
    let errors: Vec<&str> = files.iter().filter_map(|f| some(f, "error")).map(|e| text(e, "kind")).collect();
    let spots = total("spots");
    let allowed: Vec<&str> = match (list(want, "error_one_of"), some(want, "error")) {
        ([], Some(error)) => vec![error.as_str().unwrap()],
        (several, _) => several.iter().map(|e| e.as_str().unwrap()).collect(),
    };
    if !allowed.is_empty() {
        if !errors.iter().any(|e| allowed.contains(e)) {
            out.push(format!("error {errors:?}, expected {allowed:?}"));
        }
    } else if !errors.is_empty() {
        let with_spots = files.iter().any(|f| number(f, "spots") > 0);
        let torn = files.iter().any(|f| some(f, "error").is_some() && number(f, "spots") > 0);
        if files.len() == 1 || torn || !with_spots {
            out.push(format!("error {errors:?}, expected none"));
        }
    }
    if spots != number(want, "spots") {
        out.push(format!("spots {spots}, expected {}", want["spots"]));
    }
    let aside = all(got, "set_aside");
    if aside.len() as u64 != number(want, "set_aside") {
        out.push(format!("set aside {}, expected {}", aside.len(), want["set_aside"]));
    }
    for row in list(want, "set_aside_rows") {
        let reason = some(row, "reason");
        let found =
            aside.iter().any(|s| s["line"] == row["line"] && reason.is_none_or(|reason| s["reason"] == *reason));
        if !found {
            let lines: Vec<_> = aside.iter().map(|s| (&s["line"], &s["reason"])).collect();
            out.push(format!("set aside: not line {} for {} ({lines:?})", row["line"], row["reason"]));
        }
    }
    if let Some(bands) = some(want, "bands") {
        let mut counts: BTreeMap<&str, u64> = BTreeMap::new();
        for spot in spots_list {
            // the expectations use the everyday name
            let name = match text(spot, "band") {
                "2190m" => "2200m",
                name => name,
            };
            *counts.entry(name).or_default() += 1;
        }
        if json!(counts) != *bands {
            out.push(format!("bands {counts:?}, expected {bands}"));
        }
    }
    let giving: Vec<&Value> = match files.iter().filter(|f| number(f, "spots") > 0).collect::<Vec<_>>() {
        none if none.is_empty() => files.iter().collect(),
        some => some,
    };
    let delimiter_of =
        |file: &Value| if text(file, "format") == "adif" { json!("adif") } else { file["delimiter"].clone() };
    match (some(want, "delimiter"), some(want, "delimiters")) {
        (Some(delimiter), None) => {
            let found: Vec<Value> = giving.iter().map(|f| delimiter_of(f)).collect();
            if found.iter().any(|d| d != delimiter) {
                out.push(format!("delimiter {found:?}, expected {delimiter}"));
            }
        }
        (_, Some(members)) => {
            for (member, delimiter) in members.as_object().unwrap() {
                if !files.iter().any(|f| f["delimiter"] == *delimiter && text(f, "name").contains(member.as_str())) {
                    out.push(format!("member {member}: delimiter {delimiter} not met"));
                }
            }
        }
        _ => {}
    }
    let encodings: Vec<&Value> = match (list(want, "encoding_one_of"), some(want, "encoding")) {
        ([], Some(encoding)) => vec![encoding],
        (several, _) => several.iter().collect(),
    };
    if !encodings.is_empty() && !giving.iter().all(|f| encodings.contains(&&f["encoding"])) {
        let found: Vec<_> = giving.iter().map(|f| &f["encoding"]).collect();
        out.push(format!("encoding {found:?}, expected {encodings:?}"));
    }
    if let Some(container) = some(want, "container")
        && !files.iter().any(|f| f["container"] == *container)
    {
        out.push(format!("container not {container}"));
    }
    if let Some(roles) = some(want, "roles")
        && !files.iter().any(|f| f["roles"] == *roles)
    {
        let found: Vec<String> = giving.iter().map(|f| f["roles"].to_string()).collect();
        out.push(format!("roles {found:?}, expected {roles}"));
    }
    for word in list(want, "must_say") {
        if !said(got, word.as_str().unwrap()) {
            let kinds: Vec<_> = all(got, "notes").iter().map(|n| format!("{}:{}", n["kind"], n["count"])).collect();
            out.push(format!("not said: {word} (said: {kinds:?})"));
        }
    }
    if let Some(duplicates) = some(want, "duplicates")
        && json!(total("duplicates")) != *duplicates
    {
        out.push(format!("duplicates {}, expected {duplicates}", total("duplicates")));
    }
    if let (Some(first), true) = (some(want, "first"), number(want, "spots") > 0) {
        let tries: Vec<&Value> = std::iter::once(first).chain(list(want, "first_alternatives")).collect();
        match spots_list.first() {
            None => out.push("no first spot".to_owned()),
            Some(spot) => {
                let found: Vec<Vec<String>> = tries.iter().map(|t| spot_faults(spot, t, "first")).collect();
                if found.iter().all(|f| !f.is_empty()) {
                    out.extend(found.into_iter().min_by_key(Vec::len).unwrap());
                }
            }
        }
    }
    out.extend(row_faults(got, want, spots_list));
    for (key, field) in [("snr_values", "snr_db"), ("tx_calls", "tx")] {
        if let Some(values) = some(want, key).and_then(Value::as_array) {
            let found: Vec<&Value> = spots_list.iter().map(|s| &s[field]).collect();
            let same = found.len() == values.len()
                && found.iter().zip(values).all(|(a, b)| **a == *b || a.as_f64().is_some() && a.as_f64() == b.as_f64());
            if !same {
                out.push(format!("{field} {found:?}, expected {values:?}"));
            }
        }
    }
    for call in list(want, "never_calls") {
        if spots_list.iter().any(|s| s["tx"] == *call || s["rx"] == *call) {
            out.push(format!("call {call} must never be read"));
        }
    }
    for key in want.as_object().unwrap().keys() {
        if !KNOWN.contains(&key.as_str()) {
            out.push(format!("expectation {key} is not known to this test"));
        }
    }
    out
}

fn row_faults(got: &Value, want: &Value, spots_list: &[Value]) -> Vec<String> {
    let mut out = Vec::new();
    let tolerance = |key: &str, default: f64| want["tolerance"].get(key).and_then(Value::as_f64).unwrap_or(default);
    for row in list(want, "rows") {
        let line = &row["line"];
        let Some(spot) = spots_list.iter().find(|s| s["line"] == *line) else {
            out.push(format!("line {line} is no spot"));
            continue;
        };
        out.extend(spot_faults(spot, row, &format!("line {line}")));
        if let Some(right) = row.get("distance_km").and_then(Value::as_f64) {
            let allowed = tolerance("distance_km", 0.02).max(tolerance("distance_percent", 0.6) / 100.0 * right);
            if !spot["distance_km"].as_f64().is_some_and(|d| (d - right).abs() <= allowed) {
                out.push(format!("line {line}: distance {}, expected {right}", spot["distance_km"]));
            }
        }
        if let Some(right) = row.get("bearing_deg").and_then(Value::as_f64) {
            let apart = |b: f64| {
                let apart = (b - right).abs() % 360.0;
                apart.min(360.0 - apart)
            };
            if !spot["bearing_deg"].as_f64().is_some_and(|b| apart(b) <= tolerance("bearing_deg", 0.6)) {
                out.push(format!("line {line}: bearing {}, expected {right}", spot["bearing_deg"]));
            }
        }
        if let Some(words) = row.get("must_say").and_then(Value::as_str)
            && !words.split(" or ").any(|word| said(got, word))
        {
            out.push(format!("not said: {words}"));
        }
    }
    out
}

/// Faults against the nearest of the right answers.
fn judge(got: &Value, want: &Value) -> Vec<String> {
    let mut main = want.as_object().unwrap().clone();
    let alternatives = main.remove("alternatives");
    let mut best = faults(got, &Value::Object(main.clone()));
    for alternative in alternatives.iter().flat_map(|a| a.as_array().unwrap()) {
        let alternative = alternative.as_object().unwrap();
        let mut other: Map<String, Value> = main.clone();
        let differs = |key: &str| alternative.get(key).is_some_and(|v| *v != want[key]);
        // what an alternative does not name may differ, where it follows from another count of spots
        if !alternative.contains_key("set_aside_rows") && differs("set_aside") {
            other.insert("set_aside_rows".to_owned(), json!([]));
        }
        if differs("spots") {
            for key in ["bands", "first", "rows", "snr_values", "tx_calls"] {
                other.insert(key.to_owned(), Value::Null);
            }
            if alternative["spots"] == json!(0) || want["spots"] == json!(0) {
                for key in ["roles", "delimiter", "encoding"] {
                    other.insert(key.to_owned(), Value::Null);
                }
                other.insert("must_say".to_owned(), json!([]));
            }
        }
        if alternative.get("error").is_some_and(Value::is_null) {
            other.remove("error_one_of");
        }
        other.extend(alternative.clone());
        let found = faults(got, &Value::Object(other));
        if found.len() < best.len() {
            best = found;
        }
    }
    best
}

#[test]
fn every_file_is_read_as_expected() {
    let expected: Value = serde_json::from_slice(&std::fs::read(folder().join("expected.json")).unwrap()).unwrap();
    let expected = expected.as_object().unwrap();
    assert_eq!(expected.len(), 72);
    let mut bad = Vec::new();
    for (name, want) in expected {
        let bytes = std::fs::read(folder().join(name)).unwrap();
        let faults = judge(&readout(name, &bytes), want);
        if !faults.is_empty() {
            bad.push(format!("{name}\n    {}", faults.join("\n    ")));
        }
    }
    assert!(bad.is_empty(), "{} of {} files are read wrong:\n{}", bad.len(), expected.len(), bad.join("\n"));
}

/// Sentences are for people: none is empty, none shows control characters, none speaks of a console.
#[test]
fn sentences_are_fit_to_show() {
    let expected: Value = serde_json::from_slice(&std::fs::read(folder().join("expected.json")).unwrap()).unwrap();
    for name in expected.as_object().unwrap().keys() {
        let got = readout(name, &std::fs::read(folder().join(name)).unwrap());
        let errors: Vec<&Value> = list(&got, "files").iter().filter_map(|f| some(f, "error")).collect();
        for said in all(&got, "notes").into_iter().chain(all(&got, "set_aside")).chain(errors) {
            let text = text(said, "text");
            assert!(text.len() > 20 && text.ends_with(['.', ')', '?']), "{name}: {text:?}");
            assert!(
                !text.chars().any(char::is_control) && !text.to_lowercase().contains("console"),
                "{name}: {text:?}"
            );
        }
    }
}

/// Blanks of any kind and number as one.
fn plain(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A page that was given a file, at once or in steps.
fn page_with(name: &str, bytes: &[u8], stepwise: bool) -> Page {
    let mut page = Page::with(Boot { stepwise, ..Boot::default() });
    page.give(name, bytes, Origin::Person);
    assert!(stepwise || page.progress().is_none(), "{name}: steps only where they are asked for");
    page.finish(500);
    page
}

/// The figure after a word.
fn figure_after(words: &str, word: &str) -> Option<u64> {
    let (_, after) = words.split_once(word)?;
    let digits: String = after.trim_start().chars().take_while(|c| c.is_ascii_digit() || *c == '\u{202f}').collect();
    digits.replace('\u{202f}', "").parse().ok()
}

/// The page says of every file what the reading says: sums, errors, notes; the same in steps and at once.
#[test]
fn the_page_says_of_every_file_what_its_reading_says() {
    let expected: Value = serde_json::from_slice(&std::fs::read(folder().join("expected.json")).unwrap()).unwrap();
    let (mut with_spots, mut with_errors, mut with_notes) = (0, 0, 0);
    for name in expected.as_object().unwrap().keys() {
        let bytes = std::fs::read(folder().join(name)).unwrap();
        let got = readout(name, &bytes);
        let files = list(&got, "files");
        let total = |key: &str| files.iter().map(|file| number(file, key)).sum::<u64>();
        let mut page = page_with(name, &bytes, false);
        let mut stepped = page_with(name, &bytes, true);
        let notice = plain(&page.words("notice"));
        for error in files.iter().filter_map(|file| some(file, "error")) {
            with_errors += 1;
            assert!(notice.contains(&plain(text(error, "text"))), "{name}: {} in {notice}", error["text"]);
        }
        let left = plain(&page.words("left"));
        if total("spots") == 0 {
            assert!(left.is_empty() && !notice.is_empty(), "{name}: nothing to show, and a word about it");
        } else {
            with_spots += 1;
            let used = figure_after(&left, "Used").unwrap() + figure_after(&left, "Other stations").unwrap_or(0);
            assert_eq!(used, total("spots"), "{name}: {left}");
            assert_eq!(figure_after(&left, "Repeated"), Some(total("duplicates")), "{name}: {left}");
            assert_eq!(figure_after(&left, "Set aside"), Some(all(&got, "set_aside").len() as u64), "{name}: {left}");
            assert_eq!(figure_after(&left, "Rows read"), Some(total("rows")), "{name}: {left}");
            for page in [&mut page, &mut stepped] {
                page.act("view", "reading");
            }
        }
        for (at, file) in files.iter().enumerate().filter(|_| total("spots") > 0) {
            for page in [&mut page, &mut stepped] {
                page.act("file", &at.to_string());
            }
            let middle = plain(&page.words("middle"));
            let sums = format!(
                "{} rows read = {} used + {} set aside + {} repeated",
                number(file, "rows"),
                number(file, "spots"),
                list(file, "set_aside").len(),
                number(file, "duplicates")
            );
            assert!(middle.replace('\u{202f}', "").contains(&sums), "{name}: {sums} in {middle}");
            let errors = some(file, "error");
            for said in list(file, "notes").iter().chain(errors) {
                with_notes += 1;
                assert!(middle.contains(&plain(text(said, "text"))), "{name}: {} in {middle}", said["text"]);
            }
            assert_eq!(page.regions, stepped.regions, "{name}: in steps and at once");
        }
        assert_eq!(page.regions, stepped.regions, "{name}: in steps and at once");
    }
    assert!(with_spots > 50 && with_errors > 8 && with_notes > 40, "{with_spots}, {with_errors}, {with_notes}");
}
