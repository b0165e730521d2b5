//! Sessions that are given broken work files, pictures and addresses, and are used at random: the core never panics, and
//! what files and addresses say stays text on the page.
//!
//! Every case comes from its number alone: `FARHEARD_FUZZ_SEED=number cargo test -p farheard --test fuzz_page` begins
//! with it, `FARHEARD_FUZZ_MINUTES=60` makes the run longer.

#![expect(clippy::disallowed_methods, reason = "kept work is files, and the length of the run is set from outside")]
#![expect(clippy::unwrap_used, clippy::panic, reason = "in a test a panic is the answer")]
#![expect(clippy::print_stderr, reason = "a run that is ended from within has no other way to say what hung")]
#![allow(dead_code, reason = "modules that other tests use too")]

#[path = "../fuzz/cases.rs"]
mod cases;
#[path = "../fuzz/chance.rs"]
mod chance;
#[path = "../fuzz/damage.rs"]
mod damage;
#[path = "../fuzz/makers.rs"]
mod makers;
#[path = "../page/mod.rs"]
mod page;
#[path = "../fuzz/pieces.rs"]
mod pieces;

use chance::Chance;
use farheard::page::{Boot, Event, Origin, Picture};
use makers::Samples;
use page::Page;

/// Cases of every run.
const CASES: u64 = 400;
/// Cases that once failed: health reckoned for files that had made room was drawn.
const FAILED: [u64; 3] = [70_000_589, 70_001_605, 70_006_444];
/// Steps of a case, at most.
const STEPS: usize = 40;

/// What would do something if it were markup, a script, or a style.
const PAYLOADS: &[&str] = &[
    "<img src=x onerror=alert(1)>",
    "\"><script>alert(1)</script>",
    "' onclick='alert(1)",
    "</title><svg onload=alert(1)>",
    "=HYPERLINK(\"x\")",
    "\u{202E}evil\u{202C}",
    "%3Cimg%3E",
    "{{7*7}}",
    "]]><xss>",
    "\0\u{1}\u{7f}",
];

/// Words of an address, and values that trouble them.
const ADDRESS: &[&str] = &[
    "run=Loop~power=20~23~1.2",
    "run=A~2031-10-11..2031-10-12",
    "run=~~~",
    "pair=0,1",
    "pair=1,0",
    "pair=99999999999999999999,0",
    "control=Q4MIL",
    "control=",
    "small=1",
    "small=1e400",
    "days=-1",
    "view=compare",
    "view=health",
    "band=20m",
    "band=%",
    "from=2031-10-11T00:00Z",
    "hours=3-5",
    "min-km=1e9",
    "bearing=350-10",
    "zoom=nan",
    "station=hears:Q1AA",
    "unit=mi",
    "%zz",
    "&&==",
];

/// Fewer stations than any other file here has.
const FEW: &str =
    "utc,sent by,from,heard by,at\n2031-10-11 00:00,Q7TST,IN71,Q1ABC,JO22\n2031-10-11 00:02,Q7TST,IN71,Q2XYZ,JO22\n";

/// Work that was kept, and the sample.
struct Bases {
    kept: Vec<(&'static str, Vec<u8>)>,
    sample: Vec<u8>,
    samples: Samples,
}

impl Bases {
    fn read() -> Self {
        let place = |name: &str| format!("{}/tests/kept/{name}", env!("CARGO_MANIFEST_DIR"));
        let kept = ["1-work.json", "1-picture.svg"].map(|name| (name, std::fs::read(place(name)).unwrap()));
        let sample = format!("{}/../sample-files/two-antennas-two-days.csv", env!("CARGO_MANIFEST_DIR"));
        let sample = std::fs::read(sample).unwrap();
        // a day of it is enough to see everything
        let length = sample.iter().enumerate().filter(|(_, byte)| **byte == b'\n').nth(700).map_or(0, |(at, _)| at + 1);
        Self { kept: kept.to_vec(), sample: sample[..length].to_vec(), samples: Samples::read() }
    }
}

#[test]
fn whatever_is_opened_and_done_the_core_goes_on() {
    let bases = Bases::read();
    cases::every(&FAILED, CASES, |number| case(&bases, number));
}

/// A work file or picture with one thing or several changed in it.
fn broken(bases: &Bases, chance: &mut Chance) -> (String, Vec<u8>) {
    let (name, bytes) = chance.of_list(&bases.kept);
    let mut bytes = bytes.clone();
    for _ in 0..=chance.below(3) {
        match chance.below(4) {
            0 => damage::once(&mut bytes, &bases.samples, chance),
            1 => numbers(&mut bytes, chance),
            2 => texts(&mut bytes, chance),
            _ => damage::bits(&mut bytes, chance),
        }
    }
    (format!("{}{name}", if chance.one_in(4) { *chance.of_list(PAYLOADS) } else { "" }), bytes)
}

/// A number becomes another one.
fn numbers(bytes: &mut Vec<u8>, chance: &mut Chance) {
    let from = chance.below(bytes.len());
    let Some(at) = bytes.iter().skip(from).position(u8::is_ascii_digit).map(|at| from + at) else { return };
    let length = bytes.iter().skip(at).take_while(|byte| byte.is_ascii_digit()).count();
    let other =
        *chance.of_list(&["0", "-1", "1e999", "4294967296", "18446744073709551616", "0.5", "null", "\"7\"", "[]"]);
    bytes.splice(at..at + length, other.bytes());
}

/// A text becomes one that would do something.
fn texts(bytes: &mut Vec<u8>, chance: &mut Chance) {
    let from = chance.below(bytes.len());
    let Some(at) = bytes.iter().skip(from).position(|&byte| byte == b'"').map(|at| from + at + 1) else { return };
    let payload = chance.of_list(PAYLOADS).replace('"', "\\\"");
    bytes.splice(at..at, payload.bytes());
}

fn address(chance: &mut Chance) -> String {
    let mut words = Vec::new();
    for _ in 0..chance.below(6) {
        let word = *chance.of_list(ADDRESS);
        words.push(if chance.one_in(3) { format!("{word}{}", chance.of_list(PAYLOADS)) } else { word.to_owned() });
    }
    words.join("&")
}

/// Attributes of the controls that the page shows: what is done, and with what.
fn controls(page: &Page) -> Vec<(String, String)> {
    let mut found = Vec::new();
    for html in page.regions.values() {
        for tag in html.split('<').filter(|tag| tag.contains("data-act=\"")) {
            let of = |name: &str| {
                let (_, rest) = tag.split_once(&format!("{name}=\""))?;
                rest.split_once('"').map(|(value, _)| value.to_owned())
            };
            if let Some(act) = of("data-act") {
                found.push((act, of("data-value").unwrap_or_default()));
            }
        }
    }
    found
}

/// What came from outside is text: no element or attribute of it is in the markup.
fn check_inert(page: &Page) {
    for (region, html) in &page.regions {
        for bad in ["<img", "<script", "onerror=alert(1)>", "onclick='alert", "<svg onload", "<xss"] {
            assert!(!html.contains(bad), "{bad} in {region}");
        }
    }
}

fn case(bases: &Bases, number: u64) {
    let mut chance = Chance::of(number);
    let chance = &mut chance;
    let (stepwise, draws) = (chance.one_in(2), chance.one_in(2));
    let mut page = Page::with(Boot {
        stepwise,
        settings: address(chance),
        kept: if chance.one_in(3) { scrap(bases, chance) } else { String::new() },
        ..Boot::default()
    });
    if chance.one_in(2) {
        page.give("sample.csv", &bases.sample, Origin::Person);
    }
    if draws {
        for picture in Picture::ALL {
            page.tell(Event::Size { picture, width: 700.0, height: 400.0, ratio: 1.0 });
        }
    }
    let mut reading = false;
    let mut steps = 0;
    while steps < STEPS {
        steps += 1;
        match chance.below(14) {
            12 => {
                let picture = *chance.of_list(&Picture::ALL);
                let width = *chance.of_list(&[0.0, 1.0, 390.0, 900.0]);
                page.tell(Event::Size { picture, width, height: 400.0, ratio: 1.0 });
            }
            // another file, whole, that asks what is to become of it
            13 => page.give("few.csv", FEW, Origin::Person),
            0 => {
                let (name, bytes) = broken(bases, chance);
                let origin = *chance.of_list(&[Origin::Person, Origin::Shared, Origin::Again, Origin::Sample]);
                let work = if chance.one_in(3) { scrap(bases, chance) } else { String::new() };
                page.tell(Event::File { name, bytes });
                page.tell(Event::FilesDone { origin, work });
            }
            1 => page.tell(Event::Settings { text: address(chance) }),
            2 => page.tell(Event::Step { to: chance.below(9) }),
            _ => {
                let controls = controls(&page);
                if controls.is_empty() {
                    page.give("sample.csv", &bases.sample, Origin::Person);
                    continue;
                }
                let (act, mut value) = chance.of_list(&controls).clone();
                if value.is_empty() || chance.one_in(4) {
                    value = match chance.below(4) {
                        0 => (*chance.of_list(PAYLOADS)).to_owned(),
                        1 => address(chance),
                        2 => (*chance.of_list(&["1", "-5", "1e300", "NaN", "2031-10-11", "Q6HUT", "0,1", "9:x"]))
                            .to_owned(),
                        _ => value,
                    };
                }
                page.act(&act, &value);
            }
        }
        if draws {
            page.draw();
        }
        check_inert(&page);
        reading |= page.progress().is_some();
        assert!(stepwise || !reading, "a session that reads at once asks for no step");
        // a page asks for one step after the other, and other things happen in between
        if reading && !chance.one_in(4) {
            let bytes = *chance.of_list(&[1, 1000, 1 << 20]);
            reading = page.step(bytes);
            check_inert(&page);
        }
    }
}

fn scrap(bases: &Bases, chance: &mut Chance) -> String {
    String::from_utf8_lossy(&broken(bases, chance).1).into_owned()
}
