//! The work as a whole: saved and opened again, brought back after a restart, put together with another, refused.

#![expect(clippy::unwrap_used, clippy::panic, reason = "in a test a panic is the answer")]
#![expect(clippy::disallowed_methods, reason = "tests read files")]

mod page;

use farheard::page::{Boot, Event, Keeping, Origin, Patch};
use farheard::share::work_file::{self, Refusal, WorkFile};
use page::Page;

const HEAD: &str = "time UTC,sender,sender locator,listener,listener locator,frequency MHz,SNR dB,power dBm\n";

/// A run of a day: every ten minutes four listeners on two bands.
fn table(call: &str, day: u32, power: i32, stronger: i32) -> String {
    table_of(144, call, day, power, stronger)
}

fn table_of(slots: i32, call: &str, day: u32, power: i32, stronger: i32) -> String {
    let mut text = HEAD.to_owned();
    let listeners = [("Q1AA", "JO10ej"), ("Q2BB", "IO82ig"), ("Q3CC", "KP20aa"), ("Q4DD", "JM75xx")];
    for slot in 0..slots {
        let (hour, minute) = (slot / 6, slot % 6 * 10);
        let mhz = if slot % 2 == 0 { "14.0971" } else { "7.0401" };
        for (at, (listener, place)) in listeners.iter().enumerate() {
            let snr = -24 + stronger + i32::try_from(at).unwrap() + slot % 5;
            let row = format!(
                "2031-04-{day:02} {hour:02}:{minute:02},{call},JN99fl,{listener},{place},{mhz},{snr},{power}\n"
            );
            text += &row;
        }
    }
    text
}

/// Everything that shows what is loaded: each view's markup, and the spots shown as CSV.
fn all_of(page: &mut Page) -> Vec<(String, String)> {
    let mut all = Vec::new();
    page.act("save", "csv");
    let Some(Patch::Save { bytes, .. }) = page.other.iter().find(|patch| matches!(patch, Patch::Save { .. })) else {
        panic!("no spots")
    };
    all.push(("csv".to_owned(), String::from_utf8(bytes.clone()).unwrap()));
    // how it was read before a correction is told only until it is closed
    for view in ["disc", "spots", "compare", "plan", "sky", "health"] {
        page.act("view", view);
        for region in ["answer", "left", "middle", "right"] {
            all.push((format!("{view}, {region}"), page.html(region).to_owned()));
        }
    }
    all
}

fn assert_same(one: &mut Page, other: &mut Page) {
    for ((what, one), (_, other)) in all_of(one).into_iter().zip(all_of(other)) {
        assert_eq!(one, other, "{what}");
    }
}

/// Two files compared, one of them corrected, named, noted, filtered and pinned.
fn worked() -> Page {
    worked_on(144)
}

fn worked_on(slots: i32) -> Page {
    let mut page = Page::booted();
    // this day could be a month
    let first = table_of(slots, "Q7TST", 5, 23, 0).replace("2031-04-05", "05/04/2031");
    page.give("balcony.csv", first, Origin::Person);
    page.act("view", "reading");
    page.act("wish-dates", "day-first");
    page.give("garden.csv", table_of(slots, "Q7TST", 28, 23, 3), Origin::Person);
    page.act("second", "compare");
    page.act("run-set", "0:name:Balcony \u{201c}whip\u{201d}");
    page.act("run-set", "0:notes:left of the door,\nwet: \\ 3 m");
    page.act("view", "disc");
    page.act("band", "20m");
    page.act("pin", "Q2BB");
    page
}

fn opened(name: &str, bytes: impl AsRef<[u8]>) -> Page {
    let mut page = Page::booted();
    page.give(name, bytes, Origin::Person);
    page
}

#[test]
fn a_work_file_brings_everything_back() {
    let mut page = worked();
    let text = page.work_file();
    let kept = WorkFile::read(text.as_bytes(), 1 << 30).unwrap();
    assert!(work_file::is_one(text.as_bytes()));
    assert_eq!(kept.files.len(), 2);
    assert_eq!(kept.runs[0].run.name, "Balcony \u{201c}whip\u{201d}");
    assert_eq!(kept.runs[0].words[3], "left of the door,\nwet: \\ 3 m");
    assert_eq!((kept.pinned.as_slice(), kept.text()), (&["Q2BB".to_owned()][..], text.clone()));
    let mut again = opened("work-Q7TST.json.gz", &text);
    assert!(again.html("notice").is_empty(), "{}", again.words("notice"));
    assert_eq!(again.work_file(), text);
    assert_same(&mut page, &mut again);
    assert!(again.has("left", "Balcony \u{201c}whip\u{201d}"));
}

#[test]
fn a_file_that_is_no_text_comes_back_byte_for_byte() {
    let mut utf16: Vec<u8> = vec![0xFF, 0xFE];
    utf16.extend(table("Q7TST", 28, 23, 0).encode_utf16().flat_map(u16::to_le_bytes));
    let mut page = opened("wide.csv", &utf16);
    let text = page.work_file();
    assert_eq!(*WorkFile::read(text.as_bytes(), 1 << 30).unwrap().files[0].bytes, utf16);
    assert_same(&mut page, &mut opened("work.json", &text));
}

#[test]
fn what_the_page_was_told_brings_everything_back_after_a_restart() {
    let mut page = Page::booted();
    let first = table("Q7TST", 5, 23, 0).replace("2031-04-05", "05/04/2031");
    page.give("balcony.csv", &first, Origin::Person);
    let told = |page: &Page| {
        page.other.iter().find_map(|patch| {
            if let Patch::Work { files, text, fresh, own } = patch {
                Some((files.clone(), text.clone(), *fresh, *own))
            } else {
                None
            }
        })
    };
    let (files, _, fresh, own) = told(&page).unwrap();
    assert_eq!((files, fresh, own), (vec![0], true, false));
    page.act("view", "reading");
    page.act("wish-dates", "day-first");
    let (_, _, fresh, own) = told(&page).unwrap();
    assert!(!fresh && own, "a correction is a person's own doing");
    page.act("run-set", "0:name:Balcony");
    page.act("run-set", "0:antenna:whip");
    let (files, text, ..) = told(&page).unwrap();
    assert_eq!(files, [0]);
    assert!(!text.contains("Q1AA"), "the files are not told again: {text}");

    let mut again = Page::booted();
    again.tell(Event::File { name: "balcony.csv".to_owned(), bytes: first.into_bytes() });
    // a file that waited for a decision
    again.tell(Event::File { name: "second.csv".to_owned(), bytes: table("Q7TST", 28, 23, 3).into_bytes() });
    again.tell(Event::FilesDone { origin: Origin::Again, work: text });
    assert!(again.has("notice", "second.csv"), "it is asked about again: {}", again.words("notice"));
    again.act("second", "leave");
    assert_same(&mut page, &mut again);

    // a text that is none leaves the files
    let mut odd = Page::booted();
    odd.tell(Event::File { name: "balcony.csv".to_owned(), bytes: table("Q7TST", 28, 23, 3).into_bytes() });
    odd.tell(Event::FilesDone { origin: Origin::Again, work: "{\"format\":".to_owned() });
    assert!(odd.has("answer", "576\u{a0}spots"));
}

#[test]
fn an_address_that_asks_for_another_view_is_followed_when_the_work_comes_back() {
    let mut page = worked();
    let text = page.work_file();
    let head = WorkFile::read(text.as_bytes(), 1 << 30).unwrap();
    let come_back = |settings: &str| {
        let mut again = Page::with(Boot { settings: settings.to_owned(), ..Boot::default() });
        for file in &head.files {
            again.tell(Event::File { name: file.name.clone(), bytes: file.bytes.to_vec() });
        }
        again.tell(Event::FilesDone { origin: Origin::Again, work: head.head() });
        again
    };
    assert_same(&mut page, &mut come_back(&head.view));
    assert_same(&mut page, &mut come_back(""));
    let mut bookmarked = come_back("bands=40m&view=spots");
    assert!(bookmarked.html("middle").contains("id=\"spots-table\""), "{}", bookmarked.words("middle"));
    assert!(bookmarked.work_file().contains("bands=40m"));
}

#[test]
fn work_files_that_cannot_be_opened_say_why_and_change_nothing() {
    let mut page = worked();
    let text = page.work_file();
    let before = all_of(&mut page);
    let newer = text.replacen("\"version\":1", "\"version\":2", 1);
    assert_eq!(WorkFile::read(newer.as_bytes(), 1 << 30), Err(Refusal::Newer(2)));
    let cut = text.get(..text.len() / 2).unwrap();
    let damaged = text.replacen("\"runs\":[", "\"runs\":[}", 1);
    for (bytes, words) in [
        (newer.as_str(), "work file of a newer Farheard. It has form 2; this one knows forms up to 1."),
        (cut, "work file that ends too early."),
        (damaged.as_str(), "damaged work file. It is wrong from byte"),
    ] {
        page.give("odd.json", bytes, Origin::Person);
        assert!(page.has("notice", words), "{}", page.words("notice"));
        assert!(page.has("notice", "What is loaded stays as it is."));
        page.act("dismiss", "");
        assert_eq!(all_of(&mut page), before);
    }
    assert_eq!(WorkFile::read(text.as_bytes(), 1000), Err(Refusal::TooLarge));
}

#[test]
fn two_work_files_are_put_together() {
    let named = |call: &str, day, name: &str| {
        let mut page = opened(&format!("{name}.csv"), table(call, day, 23, 0));
        page.act("run-set", &format!("0:name:{name}"));
        page.act("run-set", &format!("0:notes:notes on {name}"));
        page
    };
    let (mut dipole, mut loop_) = (named("Q7TST", 5, "Dipole"), named("Q7TST", 28, "Loop"));
    let (one, other) = (dipole.work_file(), loop_.work_file());
    dipole.give("work.json.gz", &other, Origin::Person);
    assert!(dipole.has("notice", "Open it") && dipole.has("notice", "Put together with Dipole"));
    assert!(dipole.has("answer", "576\u{a0}spots"), "nothing changes before the decision");
    dipole.act("second", "merge");
    assert!(dipole.has("left", "Dipole") && dipole.has("left", "Loop"), "{}", dipole.words("left"));
    let both = WorkFile::read(dipole.work_file().as_bytes(), 1 << 30).unwrap();
    assert_eq!((both.files.len(), both.runs.len(), both.pair, both.read.spots), (2, 2, (0, 1), 1152));
    assert_eq!(both.runs[1].words[3], "notes on Loop");
    dipole.act("view", "compare");
    assert!(dipole.has("answer", "Dipole") && dipole.has("answer", "Loop"), "{}", dipole.words("answer"));

    // both dropped at once come to the same
    let mut at_once = Page::booted();
    for (name, text) in [("a.json", &one), ("b.json", &other)] {
        at_once.tell(Event::File { name: name.to_owned(), bytes: text.clone().into_bytes() });
    }
    at_once.tell(Event::FilesDone { origin: Origin::Person, work: String::new() });
    let same = WorkFile::read(at_once.work_file().as_bytes(), 1 << 30).unwrap();
    assert_eq!((same.runs, same.files), (both.runs, both.files));

    // the same work noted on two machines is one run with both notes
    let mut here = WorkFile::read(one.as_bytes(), 1 << 30).unwrap();
    let mut there = here.clone();
    there.runs[0].words[3] = "rain".to_owned();
    there.runs[0].run.name = "Inverted V".to_owned();
    here = here.merged(&there);
    assert_eq!((here.files.len(), here.runs.len()), (1, 1));
    assert_eq!(here.runs[0].words[3], "notes on Dipole; Inverted V; rain");

    // another station keeps its call, a file of the same name gets another one
    let mut elsewhere = named("Q9NEW", 28, "Dipole");
    let theirs = WorkFile::read(elsewhere.work_file().as_bytes(), 1 << 30).unwrap();
    let merged = WorkFile::read(one.as_bytes(), 1 << 30).unwrap().merged(&theirs);
    let names: Vec<&str> = merged.files.iter().map(|file| file.name.as_str()).collect();
    assert_eq!(names, ["Dipole.csv", "Dipole (2).csv"]);
    let runs: Vec<_> = merged.runs.iter().map(|run| (run.run.name.as_str(), run.run.rule.call.as_deref())).collect();
    assert_eq!(runs, [("Dipole", Some("Q7TST")), ("Dipole (2)", Some("Q9NEW"))]);
}

#[test]
fn a_work_file_of_the_sample_stays_marked() {
    let mut page = Page::booted();
    page.give("made-up.csv", table("Q7TST", 28, 23, 0), Origin::Sample);
    page.act("save", "work");
    let Some(Patch::WorkFile { name, text }) = page.other.iter().find(|patch| matches!(patch, Patch::WorkFile { .. }))
    else {
        panic!("none taken")
    };
    assert_eq!(name, "SAMPLE-work-Q7TST.json.gz");
    let again = opened("renamed.json", text);
    assert!(again.has("answer", "SAMPLE"));
    assert!(
        page.other.iter().all(|patch| !matches!(patch, Patch::Work { .. })),
        "what the page brings itself need not be kept"
    );
}

#[test]
fn the_foot_says_where_it_is_kept() {
    let with = |keeping| Page::with(Boot { keeping, ..Boot::default() });
    let mut page = with(Keeping::Always);
    page.give("a.csv", table("Q7TST", 28, 23, 0), Origin::Person);
    assert!(page.has("foot", "In this browser only. Last work file: never"), "{}", page.words("foot"));
    page.tell(Event::Kept { why: "full".to_owned() });
    assert!(page.has("notice", "no room left") && page.has("notice", "Take a work file"));
    assert!(page.has("foot", "In this page only: this browser has no room to keep it."));
    page.act("dismiss", "");
    page.tell(Event::Kept { why: "full".to_owned() });
    assert!(page.html("notice").is_empty(), "said once");
    page.tell(Event::Kept { why: String::new() });
    assert!(page.has("foot", "In this browser only."));
    page.tell(Event::Kept { why: "large".to_owned() });
    assert!(page.has("notice", "too large to be kept") && !page.has("notice", "Take a work file"));
    page.tell(Event::Kept { why: String::new() });
    page.act("keep", "forget");
    assert!(page.has("notice", "Forget everything that this browser keeps"));
    assert!(!page.other.contains(&Patch::Keep { text: None }), "not before it was agreed to");
    page.act("keep", "forget-all");
    assert!(page.other.contains(&Patch::Keep { text: None }));
    assert!(page.has("foot", "nothing is kept when it is closed"));

    let mut page = with(Keeping::NotYet);
    page.act("keep", "ask");
    assert!(page.has("notice", "such a page could read your spots and notes"));
    assert!(page.other.iter().all(|patch| !matches!(patch, Patch::Keep { .. })));
    page.act("keep", "yes");
    assert!(page.other.iter().any(|patch| matches!(patch, Patch::Keep { text: Some(_) })));
    assert!(with(Keeping::Never).has("foot", "this browser keeps nothing"));
    // a web host's store is its own: nothing to warn of
    let mut hosted = Page::with(Boot { keeping: Keeping::NotYet, hosted: true, ..Boot::default() });
    hosted.act("keep", "ask");
    assert!(hosted.html("notice").is_empty() && hosted.has("foot", "In this browser only."));
}

/// Work files and pictures as each version wrote them. They open for good, and give what they gave: see
/// `kept/README.md`.
#[test]
fn files_of_every_version_open_for_good() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/kept");
    if std::env::var_os("FARHEARD_KEPT").is_some() {
        let mut page = worked_on(12);
        let text = page.work_file();
        page.act("save", "svg-work");
        let Some(Patch::Save { bytes, .. }) = page.other.iter().find(|patch| matches!(patch, Patch::Save { .. }))
        else {
            panic!("no picture")
        };
        for (name, content) in [("1-work.json", text.as_bytes()), ("1-picture.svg", bytes)] {
            // what stands there is what an earlier version wrote
            if !folder.join(name).exists() {
                std::fs::write(folder.join(name), content).unwrap();
                std::fs::write(folder.join(format!("{name}.shows")), shows(&mut opened(name, content))).unwrap();
            }
        }
    }
    let mut names: Vec<String> = std::fs::read_dir(&folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| folder.join(format!("{name}.shows")).exists())
        .collect();
    names.sort();
    assert!(names.len() >= 2 * usize::try_from(work_file::VERSION).unwrap(), "{names:?}");
    for name in names {
        let mut page = opened(&name, std::fs::read(folder.join(&name)).unwrap());
        let expected = std::fs::read_to_string(folder.join(format!("{name}.shows"))).unwrap();
        assert_eq!(shows(&mut page), expected, "{name}");
    }
}

/// What must never change: runs with their words and counts, the filter and the pin, and every spot.
fn shows(page: &mut Page) -> String {
    let text = page.work_file();
    let kept = WorkFile::read(text.as_bytes(), 1 << 30).unwrap();
    let mut out = String::new();
    for run in &kept.runs {
        let line = format!("{} | {} | {:?}\n", run.run.name, run.run.rule, run.words);
        out += &line;
    }
    let line = format!("{} | {:?} | {:?} | {:?}\n", kept.view, kept.pinned, kept.pair, kept.read);
    out += &line;
    page.act("clear", "");
    page.act("save", "csv");
    let Some(Patch::Save { bytes, .. }) = page.other.iter().find(|patch| matches!(patch, Patch::Save { .. })) else {
        panic!("no spots")
    };
    out + str::from_utf8(bytes).unwrap()
}

/// The command line reads a work file as the page does: files, corrections, runs and the two compared.
#[test]
fn the_readout_opens_a_work_file() {
    use farheard::share::readout::{Input, Readout, Request};
    let mut page = worked();
    let text = page.work_file();
    let of = |name: &str, bytes: &[u8]| {
        let input = Input { name: name.to_owned(), bytes: bytes.to_vec() };
        serde_json::from_str::<serde_json::Value>(&Readout::of(&[input], Request::default()).json()).unwrap()
    };
    let document = of("work.json", text.as_bytes());
    assert_eq!(document["spots"], 1152);
    assert_eq!(document["first_utc"], "2031-04-05T00:00:00Z", "read with the correction of its dates");
    assert_eq!(document["runs"][0]["name"], "Balcony \u{201c}whip\u{201d}");
    assert_eq!(
        (&document["compare"]["a"], &document["compare"]["b"]),
        (&document["runs"][0]["name"], &document["runs"][1]["name"])
    );
    let newer = of("work.json", text.replacen("\"version\":1", "\"version\":2", 1).as_bytes());
    assert_eq!(newer["spots"], 0);
    assert!(newer["files"][0]["error"]["text"].as_str().unwrap().contains("a work file of a newer Farheard"));
}
