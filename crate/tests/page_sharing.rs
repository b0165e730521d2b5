//! A page to be shared: what stands in it, that it shows what was shared, and that it stays as it was sent.

#![expect(clippy::unwrap_used, reason = "in a test a panic is the answer")]

mod page;

use farheard::page::{Event, Origin, Patch};
use farheard::share::work_file::WorkFile;
use page::Page;

/// Two days of two antennas told apart by file, with a control beacon in each.
fn table(day: u32, stronger: i32) -> String {
    let mut text =
        "time UTC,sender,sender locator,listener,listener locator,frequency MHz,SNR dB,power dBm\n".to_owned();
    let listeners =
        [("Q1AA", "JO10ej"), ("Q2BB", "IO82ig"), ("Q3CC", "KP20aa"), ("Q4DD", "JM75xx"), ("Q5EE", "JN00aa")];
    for slot in 0..144 {
        let (hour, minute) = (slot / 6, slot % 6 * 10);
        for (at, (listener, place)) in listeners.iter().enumerate() {
            let snr = -20 + i32::try_from(at).unwrap() + slot % 5;
            for (call, from, snr) in
                [("Q7TST", "JN99fl", snr + stronger), ("Q8CTL", "JN99gl", snr), ("Q9OTH", "KO11aa", snr - 8)]
            {
                let at = format!("2031-04-{day:02} {hour:02}:{minute:02}");
                text.extend([
                    &*at,
                    ",",
                    call,
                    ",",
                    from,
                    ",",
                    listener,
                    ",",
                    place,
                    ",14.0971,",
                    &*snr.to_string(),
                    ",23\n",
                ]);
            }
        }
    }
    text
}

fn worked() -> Page {
    let mut page = Page::booted();
    page.give("jn99fl-balcony.csv", table(5, 0), Origin::Person);
    page.act("station", "sends:Q7TST");
    page.give("garden.csv", table(28, 3), Origin::Person);
    page.act("second", "compare");
    page.act("run-set", "0:name:Balcony");
    page.act("run-set", "1:notes:lent by q2bb");
    page.act("run-control", "Q8CTL");
    page.act("share-by", "  A friend ");
    page
}

fn shared_from(page: &mut Page) -> (String, String) {
    page.act("save", "page");
    let found = page.other.iter().find_map(|patch| {
        if let Patch::Page { name, text } = patch { Some((name.clone(), text.clone())) } else { None }
    });
    found.unwrap()
}

fn opened(text: &str) -> Page {
    let mut page = Page::booted();
    page.give("shared page", text, Origin::Shared);
    page
}

#[test]
fn it_shows_what_was_shared() {
    let mut page = worked();
    let (name, text) = shared_from(&mut page);
    assert_eq!(name, "page-Q7TST.html");
    let mut shared = opened(&text);
    assert!(shared.has("answer", "Shared by A friend"), "{}", shared.words("answer"));
    // the view it was shared in
    assert!(shared.html("middle").contains("data-picture=\"intervals\""));
    let unmarked = |words: String| words.replace("Shared by A friend ", "");
    for view in ["compare", "disc", "spots", "sky", "health"] {
        for page in [&mut page, &mut shared] {
            page.act("view", view);
        }
        for region in ["answer", "right"] {
            assert_eq!(unmarked(shared.words(region)), page.words(region), "{view}, {region}");
        }
        // lines are those of the file that stands in the page
        if view != "spots" {
            assert_eq!(shared.words("middle"), page.words("middle"), "{view}");
        }
    }
    let kept = WorkFile::read(text.as_bytes(), 1 << 30).unwrap();
    assert!(!text.contains("Q9OTH"), "stations that have no part in it stay");
    assert_eq!(kept.control.as_deref(), Some("Q8CTL"));
    // shared on from a shared page it is the same, but for the name
    shared.act("share-by", "A friend");
    page.act("view", "health");
    let told = |text: &str| {
        let kept = WorkFile::read(text.as_bytes(), 1 << 30).unwrap();
        let rows =
            kept.files.iter().map(|file| (file.name.clone(), without_lines(str::from_utf8(&file.bytes).unwrap())));
        (rows.collect::<Vec<_>>(), WorkFile { files: Vec::new(), ..kept })
    };
    assert_eq!(told(&shared_from(&mut shared).1), told(&shared_from(&mut page).1));
}

#[test]
fn what_is_kept_back_is_not_in_it_and_comparison_still_holds() {
    let mut page = worked();
    let answer = page.words("answer");
    for what in ["places", "calls", "tested", "notes"] {
        page.act("keep-back", what);
    }
    let (name, text) = shared_from(&mut page);
    assert_eq!(name, "page-TESTED1.html");
    for hidden in [
        "Q1AA", "Q2BB", "Q7TST", "Q8CTL", "Q9OTH", "JN99fl", "JN99FL", "jn99fl", "JO10ej", "balcony", "Balcony",
        "garden", "lent by",
    ] {
        assert!(!text.contains(hidden), "{hidden}");
    }
    let shared = opened(&text);
    let verdict = |words: &str| {
        words.split("dB").next().unwrap().chars().filter(|c| "+-0123456789.,\u{2212}".contains(*c)).collect::<String>()
    };
    assert_eq!(verdict(&shared.words("answer")), verdict(&answer), "{} against {answer}", shared.words("answer"));
}

#[test]
fn it_stays_as_it_was_sent() {
    let mut page = worked();
    let (_, text) = shared_from(&mut page);
    let mut shared = opened(&text);
    assert!(!shared.other.iter().any(|patch| matches!(patch, Patch::Work { .. })), "nothing of it is kept");
    assert!(shared.has("foot", "A shared page; this browser keeps nothing of it."));
    assert!(!shared.html("bar").contains("data-page=\"choose\""));
    let before = shared.words("left");
    for (act, value) in [
        ("run-set", "0:name:Mine"),
        ("run-remove", "1"),
        ("run-single", ""),
        ("station", "sends:Q8CTL"),
        ("home", "AA00aa"),
        ("wish-dates", "month-first"),
        ("role", "0:ignore"),
    ] {
        shared.act(act, value);
        assert!(shared.has("notice", "stays as it was sent"), "{act}: {}", shared.words("notice"));
        shared.act("dismiss", "");
        assert_eq!(shared.words("left"), before, "{act}");
    }
    shared.act("band", "20m");
    assert!(shared.html("notice").is_empty(), "exploring is free");
    shared.give("own.csv", table(6, 0), Origin::Person);
    assert!(shared.has("notice", "other files are not read in it") && shared.words("left") == before);
    shared.act("begin-own", "");
    assert!(shared.html("left").is_empty() && shared.html("bar").contains("data-page=\"choose\""));
    shared.give("own.csv", table(6, 0), Origin::Person);
    assert!(shared.has("left", "own.csv") && !shared.has("answer", "Shared"));
    shared.tell(Event::Settled);
}

/// The file that the page handed over last.
fn saved(page: &mut Page, what: &str) -> (String, Vec<u8>) {
    page.act("save", what);
    let found = page.other.iter().find_map(|patch| {
        if let Patch::Save { name, bytes, .. } = patch { Some((name.clone(), bytes.clone())) } else { None }
    });
    found.unwrap()
}

/// The spots as CSV, but for file and line.
fn spots(page: &mut Page) -> String {
    without_lines(str::from_utf8(&saved(page, "csv").1).unwrap())
}

fn without_lines(csv: &str) -> String {
    csv.lines().map(|line| line.rsplitn(3, ',').last().unwrap().to_owned() + "\n").collect()
}

#[test]
fn a_picture_with_spots_inside_is_the_same_picture_and_opens() {
    let mut page = worked();
    let plain = String::from_utf8(saved(&mut page, "svg").1).unwrap();
    let (name, bytes) = saved(&mut page, "svg-work");
    assert_eq!(name, "disc-with-spots-Q7TST.svg");
    let text = str::from_utf8(&bytes).unwrap();
    let (before, rest) = text.split_once("<metadata id=\"farheard-work\">").unwrap();
    let (_, after) = rest.split_once("</metadata>").unwrap();
    assert_eq!(format!("{before}{after}"), plain);
    // any reader of XML takes it
    let document = roxmltree::Document::parse(text).unwrap();
    let inside = document.descendants().find(|node| node.has_tag_name(("http://www.w3.org/2000/svg", "metadata")));
    assert_eq!(
        WorkFile::read(inside.unwrap().text().unwrap().as_bytes(), 1 << 30),
        WorkFile::read(text.as_bytes(), 1 << 30)
    );
    let mut again = Page::booted();
    again.give("from-a-club.svg", &bytes, Origin::Person);
    assert_eq!(spots(&mut again), spots(&mut page));
    for view in ["compare", "disc"] {
        for page in [&mut page, &mut again] {
            page.act("view", view);
        }
        assert_eq!(again.words("answer"), page.words("answer"));
        assert_eq!(again.words("right"), page.words("right"));
    }
    assert!(!again.has("answer", "Shared"), "in one's own page it is one's own work");
    again.act("run-set", "0:name:Mine");
    assert!(again.has("left", "Mine"));

    // what is kept back is not in the picture either
    for what in ["places", "calls", "tested", "notes"] {
        page.act("keep-back", what);
    }
    let (_, bytes) = saved(&mut page, "svg-work");
    let text = str::from_utf8(&bytes).unwrap();
    for hidden in ["Q1AA", "Q7TST", "Q8CTL", "JN99fl", "JO10ej", "Balcony", "lent by"] {
        assert!(!text.contains(hidden), "{hidden}");
    }
}

#[test]
fn a_page_that_was_shared_opens_in_ones_own_page() {
    use base64::Engine as _;
    let mut page = worked();
    let (_, text) = shared_from(&mut page);
    let block = base64::engine::general_purpose::STANDARD.encode(&text);
    let html = format!(
        "<!doctype html>\n<html><body><script type=\"text/plain\" id=\"shared-work\">{block}</script></body></html>"
    );
    assert_eq!(WorkFile::read(html.as_bytes(), 1 << 30), WorkFile::read(text.as_bytes(), 1 << 30));
    let mut own = Page::booted();
    own.give("page-Q7TST.html", html, Origin::Person);
    assert_eq!(spots(&mut own), spots(&mut page));
    // any other page is told to be one
    own.give("other.html", "<!doctype html><p>spots</p>", Origin::Person);
    assert!(own.has("notice", "web page"), "{}", own.words("notice"));
}
