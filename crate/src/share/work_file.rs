//! A work file: everything that a person loaded, corrected, named and noted, in one file to go on with.
//!
//! It is JSON, usually packed with gzip; any program that reads JSON reads it. The files stand in it as they came, so
//! that nothing is lost that a later correction may want. Version 1:
//!
//! | name | value |
//! |---|---|
//! | `format` | always `Farheard work file`, and first |
//! | `version` | 1; a reader refuses a greater one, since it would lose what it does not know |
//! | `made by` | program and version |
//! | `sample` | true if the data are the made-up sample |
//! | `shared by` | who made a page to be shared, if they said so; absent in a person's own work |
//! | `tested` | `call`, and `side`: `sends` or `hears` |
//! | `home` | locator that a person gave for the tested antenna; absent where the data tell it |
//! | `runs` | list of: `name`, `rule` (as the command line takes it, but for the file), `file`, `true power dBm`, `feeder loss dB`, `antenna`, `height m`, `direction deg`, `notes` (texts as typed), `line`, `length m`, `MHz`, `SWR` (of the feeder); what is absent was not said |
//! | `told apart by` | `call`, `power`, `file` or `gap`, where the page proposed the runs |
//! | `pair` | places of A and B in `runs`, from 0 |
//! | `control` | call of the beacon whose antenna did not change; absent if there is none |
//! | `too small dB`, `day to day dB`, `layer km` | what a verdict assumes |
//! | `floor dB` | the decoding floor, where not all spots that tell it are in the files; else absent |
//! | `view` | what is shown and filtered, as the page's address says it |
//! | `listeners` | calls that are filtered for |
//! | `pinned` | calls that are pinned |
//! | `read` | `rows`, `spots`, `repeated`, `set aside`: what the files gave when this was written |
//! | `first UTC`, `last UTC` | times of the tested antenna's first and last spot then |
//! | `files` | list of: `name`; `corrections`, a map of words and values; `text`, or `bytes` where it is no UTF-8: a text whose letters U+0000 to U+00FF stand for the bytes |

use std::sync::Arc;

use super::json::{Json, NoJson};
use crate::geography::Locator;
use crate::import::{SoFar, Unpacked, Wishes, unpack_gzip};
use crate::model::Side;
use crate::study::Layer;
use crate::study::compare::Settings;
use crate::study::feeder::Line;
use crate::study::propose::Mark;
use crate::study::runs::{Rule, Run};
use crate::time::UtcTime;
use crate::words::number::count;

const FORMAT: &str = "Farheard work file";
/// The version written, and the greatest that is read.
pub const VERSION: u32 = 1;
/// Begins a work file within a picture.
const METADATA: &str = "<metadata id=\"farheard-work\">";
/// So much of a file's beginning tells whether it is one.
const BEGINNING: usize = 400;

/// Everything to go on with.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct WorkFile {
    /// Are the data the made-up sample?
    pub sample: bool,
    /// Who shares it: nothing in a person's own work, an empty name for somebody who did not say.
    pub shared_by: Option<String>,
    /// Call of the tested station, and the side of the path it is on.
    pub tested: Option<(String, Side)>,
    /// Locator that a person gave for it.
    pub home: Option<Locator>,
    /// The runs.
    pub runs: Vec<KeptRun>,
    /// What told them apart, where the page proposed them.
    pub why: Option<Mark>,
    /// Places of A and B.
    pub pair: (usize, usize),
    /// Call of the control beacon.
    pub control: Option<String>,
    /// What a verdict assumes.
    pub settings: Settings,
    /// What is shown and filtered, in the words of the page's address.
    pub view: String,
    /// Calls that are filtered for.
    pub listeners: Vec<String>,
    /// Calls that are pinned.
    pub pinned: Vec<String>,
    /// What the files gave when this was written.
    pub read: SoFar,
    /// Times of the tested antenna's first and last spot then.
    pub span: Option<(UtcTime, UtcTime)>,
    /// The files, in order.
    pub files: Vec<KeptFile>,
}

/// A file as it came, and how it is read.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct KeptFile {
    /// Its name.
    pub name: String,
    /// Its bytes; none in a head without contents.
    pub bytes: Arc<Vec<u8>>,
    /// How it was corrected.
    pub wishes: Wishes,
}

/// A run, and what a person says of it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct KeptRun {
    /// Name, rule, true power and feeder loss.
    pub run: Run,
    /// Antenna, height, direction and notes, as typed.
    pub words: [String; 4],
    /// Kind of its feeder.
    pub line: Option<Line>,
    /// Its length in m, the frequency its loss is for in MHz, and its standing wave ratio.
    pub feeder: [Option<f64>; 3],
}

/// Why a work file is not opened.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Refusal {
    /// It is of this version, which a newer program wrote.
    Newer(u32),
    /// It is cut: it ends too early.
    Cut,
    /// At this byte of the unpacked text it is none any more.
    Damaged(usize),
    /// Unpacked it is more than can be held.
    TooLarge,
}

impl Refusal {
    /// What the file is, and what to do.
    pub fn words(self) -> (&'static str, String) {
        match self {
            Self::Newer(version) => (
                "a work file of a newer Farheard",
                format!(
                    "It has form {version}; this one knows forms up to {VERSION}. Open it with the one that wrote it, or a \
                     newer one."
                ),
            ),
            Self::Cut => {
                ("a work file that ends too early", "It was cut on its way: copy or download it again.".to_owned())
            }
            Self::Damaged(at) => (
                "a damaged work file",
                format!("It is wrong from byte {} of its text on: take it again from where it came.", count(at)),
            ),
            Self::TooLarge => (
                "a work file that is too large",
                "Unpacked it is more than 1\u{a0}GB: open its files in parts.".to_owned(),
            ),
        }
    }
}

const WORDS: [&str; 4] = ["antenna", "height m", "direction deg", "notes"];
const FEEDER: [&str; 3] = ["length m", "MHz", "SWR"];
const MARKS: [(Mark, &str); 4] =
    [(Mark::Call, "call"), (Mark::Power, "power"), (Mark::File, "file"), (Mark::Gap, "gap")];
const SIDES: [(Side, &str); 2] = [(Side::Sends, "sends"), (Side::Hears, "hears")];

/// Are these bytes a work file, packed or not, of whatever version?
pub fn is_one(bytes: &[u8]) -> bool {
    let beginning = bytes.get(..bytes.len().min(4 * BEGINNING)).unwrap_or_default();
    let unpacked = unpack_gzip(beginning, 64 * BEGINNING).map(|unpacked| unpacked.bytes);
    let text = unpacked.as_deref().unwrap_or(beginning);
    let text = text.strip_prefix("\u{feff}".as_bytes()).unwrap_or(text);
    let text = text.get(..text.len().min(BEGINNING)).unwrap_or_default().trim_ascii_start();
    text.starts_with(b"{") && memchr::memmem::find(text, FORMAT.as_bytes()).is_some() || within(bytes).is_some()
}

/// A picture with a work file inside, as metadata that programs for pictures pass over.
pub fn in_picture(svg: &str, text: &str) -> String {
    let (before, end) = svg.rsplit_once("</svg>").unwrap_or((svg, ""));
    let inside = text.replace('&', "&amp;").replace('<', "&lt;");
    [before, METADATA, &inside, "</metadata></svg>", end].concat()
}

/// The work file within one of our pictures or shared pages.
fn within(bytes: &[u8]) -> Option<Vec<u8>> {
    let part = |begin: &str, end: &str| {
        let from = memchr::memmem::rfind(bytes, begin.as_bytes())? + begin.len();
        let rest = bytes.get(from..)?;
        rest.get(..memchr::memmem::find(rest, end.as_bytes())?)
    };
    let is =
        |beginning: &str| bytes.get(..beginning.len()).is_some_and(|it| it.eq_ignore_ascii_case(beginning.as_bytes()));
    if is("<svg") {
        let inside = str::from_utf8(part(METADATA, "</metadata>")?).ok()?;
        Some(inside.replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&").into_bytes())
    } else if is("<!doctype html") {
        // what the page itself says of this block comes before it
        Some(of_base64(part("id=\"shared-work\">", "</script>")?))
    } else {
        None
    }
}

/// Base 64 (RFC 4648, section 4); what is none of its letters is passed over.
fn of_base64(text: &[u8]) -> Vec<u8> {
    let (mut out, mut bits, mut held) = (Vec::new(), 0_u32, 0);
    for letter in text {
        let value = match letter {
            b'A'..=b'Z' => letter - b'A',
            b'a'..=b'z' => letter - b'a' + 26,
            b'0'..=b'9' => letter - b'0' + 52,
            b'+' => 62,
            b'/' => 63,
            _ => continue,
        };
        bits = bits << 6 | u32::from(value);
        held += 6;
        if held >= 8 {
            held -= 8;
            out.push((bits >> held & 0xFF) as u8);
        }
    }
    out
}

impl WorkFile {
    /// The whole of it, not packed. The same work always gives the same text.
    pub fn text(&self) -> String {
        self.written(true)
    }

    /// The same without what stands in the files: for a store that has these already.
    pub fn head(&self) -> String {
        self.written(false)
    }

    fn written(&self, contents: bool) -> String {
        let mut all = Members::default();
        all.text("format", FORMAT);
        all.number("version", Some(f64::from(VERSION)));
        all.text("made by", concat!("Farheard ", env!("CARGO_PKG_VERSION")));
        if self.sample {
            all.add("sample", Json::Bool(true));
        }
        all.0.extend(self.shared_by.clone().map(|by| ("shared by".to_owned(), Json::Text(by))));
        if let Some((call, side)) = &self.tested {
            let mut tested = Members::default();
            tested.text("call", call);
            tested.text("side", word(&SIDES, *side));
            all.add("tested", Json::Map(tested.0));
        }
        all.text("home", &self.home.map_or_else(String::new, |home| home.to_string()));
        all.list("runs", self.runs.iter().map(KeptRun::written).collect());
        all.text("told apart by", self.why.map_or("", |why| word(&MARKS, why)));
        all.list("pair", [self.pair.0, self.pair.1].map(|place| Json::Number(place as f64)).into());
        all.0.extend(self.control.clone().map(|call| ("control".to_owned(), Json::Text(call))));
        all.number("too small dB", Some(self.settings.too_small_db));
        all.number("day to day dB", Some(self.settings.day_to_day_db));
        all.number("layer km", Some(self.settings.layer.height_km()));
        all.number("floor dB", self.settings.floor_db);
        all.text("view", &self.view);
        let texts = |list: &[String]| list.iter().cloned().map(Json::Text).collect();
        all.list("listeners", texts(&self.listeners));
        all.list("pinned", texts(&self.pinned));
        let mut read = Members::default();
        for (name, figure) in of_reading(&self.read) {
            read.number(name, Some(figure as f64));
        }
        all.add("read", Json::Map(read.0));
        all.text("first UTC", &self.span.map_or_else(String::new, |(first, _)| first.iso()));
        all.text("last UTC", &self.span.map_or_else(String::new, |(_, last)| last.iso()));
        all.list("files", self.files.iter().map(|file| file.written(contents)).collect());
        let mut out = String::new();
        Json::Map(all.0).write(&mut out);
        out.push('\n');
        out
    }

    /// Opens a work file, packed or not.
    ///
    /// # Errors
    /// If it is of a newer version, cut, damaged or too large. What is missing in it is left as by default.
    pub fn read(bytes: &[u8], most: usize) -> Result<Self, Refusal> {
        let inner = within(bytes);
        let bytes = inner.as_deref().unwrap_or(bytes);
        let unpacked = unpack_gzip(bytes, most);
        if unpacked.as_ref().is_some_and(|unpacked| unpacked.too_large) || bytes.len() > most {
            return Err(Refusal::TooLarge);
        }
        let cut = unpacked.as_ref().is_some_and(|unpacked| unpacked.cut || unpacked.bad_checksum);
        let bytes = unpacked.as_ref().map_or(bytes, |Unpacked { bytes, .. }| bytes);
        let bytes = bytes.strip_prefix("\u{feff}".as_bytes()).unwrap_or(bytes);
        let text = str::from_utf8(bytes).map_err(|error| Refusal::Damaged(error.valid_up_to()))?;
        let json = Json::read(text)
            .map_err(|NoJson(at)| if at >= text.trim_end().len() { Refusal::Cut } else { Refusal::Damaged(at) });
        // a packed file whose check sum is wrong may be wrong anywhere
        if cut { Err(json.err().unwrap_or(Refusal::Damaged(0))) } else { Self::of(&json?) }
    }

    /// Both in one: files that are in both once, the runs of both each kept to the files or the time that it had.
    /// View, station, control and pins are this one's.
    #[must_use]
    pub fn merged(&self, other: &Self) -> Self {
        let mut all =
            Self { why: None, read: SoFar::default(), span: None, sample: self.sample | other.sample, ..self.clone() };
        let mut renamed = Vec::new();
        for file in &other.files {
            let same = |known: &&KeptFile| known.bytes == file.bytes && known.wishes == file.wishes;
            if let Some(known) = self.files.iter().find(same) {
                renamed.push((&file.name, known.name.clone()));
                continue;
            }
            let taken = |name: &str| all.files.iter().any(|known| known.name == name);
            let name = free_name(&file.name, taken);
            renamed.push((&file.name, name.clone()));
            all.files.push(KeptFile { name, ..file.clone() });
        }
        let lacks = |own: &Self, files: &Self| {
            let in_own = |file: &KeptFile| own.files.iter().any(|known| known.bytes == file.bytes);
            files.files.iter().any(|file| !in_own(file))
        };
        let apart = lacks(self, other) && lacks(other, self);
        if apart {
            all.runs = self.runs.iter().map(|run| self.bound(run, other)).collect();
        }
        let own = all.runs.len();
        for run in &other.runs {
            let mut run = if apart { other.bound(run, self) } else { run.clone() };
            if let Some(file) = &mut run.run.rule.file
                && let Some((_, name)) = renamed.iter().find(|(old, _)| *old == file)
            {
                file.clone_from(name);
            }
            if let Some(known) = all.runs.iter_mut().find(|known| known.run.rule == run.run.rule) {
                known.take_words(&run);
            } else {
                let taken = |name: &str| all.runs.iter().any(|known| known.run.name == name);
                run.run.name = free_name(&run.run.name, taken);
                all.runs.push(run);
            }
        }
        if own < 2 && all.runs.len() > own {
            all.pair = (0, own);
        }
        all.control = self.control.clone().or_else(|| other.control.clone());
        all
    }

    /// A run of this, kept to the spots that it has here when those of another are added.
    fn bound(&self, run: &KeptRun, other: &Self) -> KeptRun {
        let mut run = run.clone();
        let rule = &mut run.run.rule;
        let call = |of: &Self| of.tested.as_ref().map(|(call, _)| call.clone());
        if call(self) != call(other) {
            rule.call = rule.call.take().or_else(|| call(self));
        } else if let [file] = self.files.as_slice() {
            rule.file = rule.file.take().or_else(|| Some(file.name.clone()));
        } else if let (Some((first, last)), Some((theirs, end))) = (self.span, other.span)
            && (last < theirs || end < first)
            && rule.file.is_none()
        {
            rule.from = rule.from.or(Some(first));
            rule.to = rule.to.or(UtcTime::from_unix_s(last.unix_s() + 1));
        }
        run
    }

    fn of(json: &Json) -> Result<Self, Refusal> {
        let version = whole(json.at("version")).unwrap_or(0);
        if version > u64::from(VERSION) {
            return Err(Refusal::Newer(u32::try_from(version).unwrap_or(u32::MAX)));
        }
        if json.at("format").text() != Some(FORMAT) || version == 0 {
            return Err(Refusal::Damaged(0));
        }
        let text = |name: &str| json.at(name).text().unwrap_or_default();
        let texts = |name: &str| json.at(name).list().iter().filter_map(Json::text).map(str::to_owned).collect();
        let tested = json.at("tested");
        let side = SIDES.iter().find(|(_, word)| tested.at("side").text() == Some(word));
        let place = |at: usize| json.at("pair").list().get(at).and_then(whole).and_then(|n| usize::try_from(n).ok());
        let usual = Settings::default();
        let db =
            |name: &str, usual: f64| json.at(name).number().filter(|db| (0.0..=20.0).contains(db)).unwrap_or(usual);
        let figure = |at: usize| whole(json.at("read").at(of_reading(&SoFar::default())[at].0)).unwrap_or(0);
        Ok(Self {
            sample: *json.at("sample") == Json::Bool(true),
            shared_by: json.at("shared by").text().map(str::to_owned),
            tested: tested.at("call").text().zip(side).map(|(call, (side, _))| (call.to_owned(), *side)),
            home: Locator::parse(text("home")).ok(),
            runs: json.at("runs").list().iter().map(KeptRun::of).collect(),
            why: MARKS.iter().find(|(_, word)| text("told apart by") == *word).map(|(why, _)| *why),
            pair: place(0).zip(place(1)).unwrap_or((0, 1)),
            control: json.at("control").text().map(str::to_owned),
            settings: Settings {
                too_small_db: db("too small dB", usual.too_small_db),
                day_to_day_db: db("day to day dB", usual.day_to_day_db),
                layer: json.at("layer km").number().and_then(Layer::at).unwrap_or(usual.layer),
                floor_db: json.at("floor dB").number(),
            },
            view: text("view").to_owned(),
            listeners: texts("listeners"),
            pinned: texts("pinned"),
            read: SoFar { rows: figure(0), spots: figure(1), duplicates: figure(2), set_aside: figure(3) },
            span: UtcTime::parse_iso(text("first UTC")).zip(UtcTime::parse_iso(text("last UTC"))),
            files: json.at("files").list().iter().map(KeptFile::of).collect(),
        })
    }
}

impl KeptRun {
    fn written(&self) -> Json {
        let Self { run, words, line, feeder } = self;
        let mut all = Members::default();
        all.text("name", &run.name);
        all.text("rule", &Rule { file: None, ..run.rule.clone() }.to_string());
        all.text("file", run.rule.file.as_deref().unwrap_or_default());
        all.number("true power dBm", run.true_power_dbm);
        all.number("feeder loss dB", Some(run.feeder_loss_db).filter(|db| *db > 0.0));
        for (name, value) in WORDS.iter().zip(words) {
            all.text(name, value);
        }
        all.text("line", line.map_or("", Line::name));
        for (name, value) in FEEDER.iter().zip(feeder) {
            all.number(name, *value);
        }
        Json::Map(all.0)
    }

    /// Takes over what is said of the same run elsewhere: nothing that was written is lost.
    fn take_words(&mut self, other: &Self) {
        let [.., notes] = &mut self.words;
        let name = &other.run.name;
        if *name != self.run.name && !name.is_empty() {
            join(notes, name);
        }
        for (own, other) in self.words.iter_mut().zip(&other.words) {
            join(own, other);
        }
        self.run.true_power_dbm = self.run.true_power_dbm.or(other.run.true_power_dbm);
        if self.run.feeder_loss_db == 0.0 {
            self.run.feeder_loss_db = other.run.feeder_loss_db;
        }
        self.line = self.line.or(other.line);
        for (own, other) in self.feeder.iter_mut().zip(other.feeder) {
            *own = own.or(other);
        }
    }

    fn of(json: &Json) -> Self {
        let text = |name: &str| json.at(name).text().unwrap_or_default().to_owned();
        let mut rule = Rule::parse(&text("rule")).unwrap_or_default();
        rule.file = Some(text("file")).filter(|file| !file.is_empty());
        let run = Run {
            name: text("name"),
            rule,
            true_power_dbm: json.at("true power dBm").number(),
            feeder_loss_db: json.at("feeder loss dB").number().filter(|db| (0.0..=60.0).contains(db)).unwrap_or(0.0),
        };
        let feeder = FEEDER.map(|name| json.at(name).number());
        Self { run, words: WORDS.map(text), line: Line::from_name(&text("line")), feeder }
    }
}

impl KeptFile {
    fn written(&self, contents: bool) -> Json {
        let mut all = Members::default();
        all.text("name", &self.name);
        let corrections: Vec<(String, Json)> =
            self.wishes.words().into_iter().map(|(word, value)| (word.to_owned(), Json::Text(value))).collect();
        if !corrections.is_empty() {
            all.add("corrections", Json::Map(corrections));
        }
        if contents {
            match str::from_utf8(&self.bytes) {
                Ok(text) => all.add("text", Json::Text(text.to_owned())),
                Err(_) => all.add("bytes", Json::Text(self.bytes.iter().copied().map(char::from).collect())),
            }
        }
        Json::Map(all.0)
    }

    fn of(json: &Json) -> Self {
        let mut wishes = Wishes::default();
        for (word, value) in json.at("corrections").members() {
            // what is not understood is as if it had not been corrected; the sums of the reading then tell
            value.text().and_then(|value| wishes.take(word, value));
        }
        let bytes = match (json.at("text").text(), json.at("bytes").text()) {
            (Some(text), _) => text.as_bytes().to_vec(),
            (None, Some(bytes)) => {
                bytes.chars().map(|letter| u8::try_from(u32::from(letter)).unwrap_or(b'?')).collect()
            }
            (None, None) => Vec::new(),
        };
        Self { name: json.at("name").text().unwrap_or_default().to_owned(), bytes: Arc::new(bytes), wishes }
    }
}

/// Members of a map being written: what is empty is left out.
#[derive(Default)]
struct Members(Vec<(String, Json)>);

impl Members {
    fn add(&mut self, name: &str, value: Json) {
        self.0.push((name.to_owned(), value));
    }

    fn text(&mut self, name: &str, text: &str) {
        if !text.is_empty() {
            self.add(name, Json::Text(text.to_owned()));
        }
    }

    fn number(&mut self, name: &str, number: Option<f64>) {
        if let Some(number) = number {
            self.add(name, Json::Number(number));
        }
    }

    fn list(&mut self, name: &str, list: Vec<Json>) {
        if !list.is_empty() {
            self.add(name, Json::List(list));
        }
    }
}

/// Adds words, unless they stand there already.
fn join(own: &mut String, other: &str) {
    if own.is_empty() {
        other.clone_into(own);
    } else if !own.contains(other) {
        own.extend(["; ", other]);
    }
}

/// The name itself, or with the first number from 2 on that no other has; of a file it stands before the ending.
fn free_name(name: &str, taken: impl Fn(&str) -> bool) -> String {
    let mut free = name.to_owned();
    for n in 2.. {
        if !taken(&free) {
            break;
        }
        free = match name.rsplit_once('.') {
            Some((stem, ending)) if !ending.contains(' ') => format!("{stem} ({n}).{ending}"),
            _ => format!("{name} ({n})"),
        };
    }
    free
}

fn word<T: Copy + PartialEq>(words: &[(T, &'static str)], of: T) -> &'static str {
    words.iter().find(|(known, _)| *known == of).map_or("", |(_, word)| word)
}

fn of_reading(read: &SoFar) -> [(&'static str, u64); 4] {
    [("rows", read.rows), ("spots", read.spots), ("repeated", read.duplicates), ("set aside", read.set_aside)]
}

/// A whole number from 0 on.
fn whole(json: &Json) -> Option<u64> {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "it is whole, and in the range")]
    json.number().filter(|n| n.fract() == 0.0 && (0.0..9e15).contains(n)).map(|n| n as u64)
}
