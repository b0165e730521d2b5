//! Whole files, made of pieces and of the hard inputs.

use std::io::Write as _;
use std::path::PathBuf;

use farheard::import::{
    DateOrder, DecimalMark, Delimiter, Encoding, FreqUnit, HeaderWish, PowerUnit, Reason, Report, Role, Wishes,
};

use super::chance::Chance;
use super::damage;
use super::pieces::{CELLS, FIELDS, HEADERS, SCRAPS};

/// Largest file.
pub(crate) const LARGEST: usize = 1 << 20;

/// The hard inputs.
#[derive(Debug)]
pub(crate) struct Samples(Vec<Vec<u8>>);

impl Samples {
    pub(crate) fn read() -> Self {
        let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../tests/samples/hard-inputs");
        let mut paths: Vec<_> = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
        paths.sort();
        paths.retain(|path| !matches!(path.extension().and_then(|e| e.to_str()), Some("md" | "json")));
        assert!(paths.len() >= 72);
        Self(paths.iter().map(|path| std::fs::read(path).unwrap()).collect())
    }

    pub(crate) fn any(&self, chance: &mut Chance) -> &[u8] {
        chance.of_list::<Vec<u8>>(&self.0)
    }
}

/// One file: mostly small, now and then up to a megabyte.
pub(crate) fn file(samples: &Samples, chance: &mut Chance) -> Vec<u8> {
    let mut bytes = match chance.below(16) {
        0 => random(chance),
        1 => scraps(chance),
        2..=4 => table(chance),
        5 => adif(chance),
        6 => adx(chance),
        7 => samples.any(chance).to_vec(),
        _ => excerpt(samples.any(chance), chance),
    };
    for _ in 0..[0, 1, 1, 2, 3, 8][chance.below(6)] {
        damage::once(&mut bytes, samples, chance);
    }
    if chance.one_in(4000) && !bytes.is_empty() {
        let size = chance.below(LARGEST);
        bytes = bytes.iter().copied().cycle().take(size).collect();
        damage::once(&mut bytes, samples, chance);
    }
    if chance.one_in(12) {
        bytes = if chance.one_in(2) { gzip(&bytes, chance) } else { zip(&bytes, samples, chance) };
        if chance.one_in(2) {
            damage::bits(&mut bytes, chance);
        }
        if chance.one_in(3) {
            bytes.truncate(chance.below(bytes.len() + 1));
        }
    }
    bytes.truncate(LARGEST);
    bytes
}

/// The first lines of a file and some others: what decides is mostly there, and a case costs a millisecond only.
fn excerpt(bytes: &[u8], chance: &mut Chance) -> Vec<u8> {
    let lines: Vec<&[u8]> = bytes.split_inclusive(|b| *b == b'\n').collect();
    let (first, others) = lines.split_at(lines.len().min(1 + chance.below(3)));
    let (from, to) = chance.span(others.len());
    [first.concat(), others[from..to.min(from + 3)].concat()].concat()
}

fn random(chance: &mut Chance) -> Vec<u8> {
    let length = chance.below(600);
    if chance.one_in(2) {
        return (0..length).map(|_| chance.byte()).collect();
    }
    // text-like bytes reach further than those that are seen to be binary at once
    let alphabet: &[u8] = b"0123456789QABCJOGzk,;\t|\"-. :/\n\r<>\xe9\x00\xff";
    (0..length).map(|_| *chance.of_list(alphabet)).collect()
}

fn scraps(chance: &mut Chance) -> Vec<u8> {
    (0..chance.below(80)).flat_map(|_| chance.of_list(SCRAPS).bytes()).collect()
}

/// A table of random columns with random cells.
fn table(chance: &mut Chance) -> Vec<u8> {
    let delimiter = *chance.of_list(&[",", ";", "\t", "|", " ", "  ", ":", "~"]);
    let end = *chance.of_list(&["\n", "\n", "\r\n", "\r", "\n\n"]);
    // time and calls are nearly always there, else nothing much happens
    let mut columns: Vec<usize> = if chance.one_in(8) { Vec::new() } else { vec![0, 3, 3, 4, 4, 5, 6] };
    for _ in 0..chance.below(6) {
        columns.push(chance.below(CELLS.len()));
    }
    for at in (1..columns.len()).rev() {
        columns.swap(at, chance.below(at + 1));
    }
    let mut text = String::new();
    if !chance.one_in(4) {
        let head: Vec<&str> = columns.iter().map(|_| *chance.of_list(HEADERS)).collect();
        text += &head.join(delimiter);
        text += end;
    }
    let habit: Vec<usize> = columns.iter().map(|&column| chance.below(CELLS[column].len())).collect();
    for _ in 0..chance.below(9) {
        for (at, &column) in columns.iter().enumerate() {
            if at > 0 {
                text += delimiter;
            }
            let cells = CELLS[column];
            let cell = if chance.one_in(3) { *chance.of_list(cells) } else { cells[habit[at]] };
            if cell.contains(delimiter) || cell.contains(['"', '\n']) {
                let piece = format!("\"{}\"", cell.replace('"', "\"\""));
                text += &piece;
            } else {
                text += cell;
            }
        }
        text += end;
    }
    text.into_bytes()
}

fn adif(chance: &mut Chance) -> Vec<u8> {
    let mut text = String::new();
    if chance.one_in(2) {
        text += *chance.of_list(&["log\n<ADIF_VER:5>3.1.4 <EOH>\n", "<EOH>", "log\n<ADIF_VER:5>3.1.4\n", "log <eoh"]);
    }
    for _ in 0..chance.below(5) {
        for _ in 0..chance.below(14) {
            let &(name, value) = chance.of_list(FIELDS);
            let length = if chance.one_in(8) { chance.below(12) } else { value.len() };
            let kind = *chance.of_list(&["", "", "", ":S", ":N", ":"]);
            let piece = format!("<{name}:{length}{kind}>{value}{}", chance.of_list(&["", " ", "\n"]));
            text += &piece;
        }
        text += *chance.of_list(&["<EOR>\n", "<eor>", "<EOR>\n", "\n"]);
    }
    text.into_bytes()
}

fn adx(chance: &mut Chance) -> Vec<u8> {
    let mut text = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<ADX><HEADER/><RECORDS>\n".to_owned();
    for _ in 0..chance.below(5) {
        text += "<RECORD>";
        for _ in 0..chance.below(12) {
            let &(name, value) = chance.of_list(FIELDS);
            let value = if chance.one_in(8) { value.to_owned() } else { value.replace('<', "&lt;") };
            let end = if chance.one_in(20) { chance.of_list(FIELDS).0 } else { name };
            let piece = format!("<{name}>{value}</{end}>");
            text += &piece;
        }
        text += if chance.one_in(12) { "\n" } else { "</RECORD>\n" };
    }
    text += "</RECORDS></ADX>\n";
    text.into_bytes()
}

/// Packed, as one member or two.
fn gzip(bytes: &[u8], chance: &mut Chance) -> Vec<u8> {
    let middle = if chance.one_in(2) { bytes.len() } else { chance.below(bytes.len() + 1) };
    let mut packed = Vec::new();
    for part in [&bytes[..middle], &bytes[middle..]] {
        let mut encoder = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
        encoder.write_all(part).unwrap();
        packed.extend(encoder.finish().unwrap());
    }
    packed
}

fn zip(bytes: &[u8], samples: &Samples, chance: &mut Chance) -> Vec<u8> {
    let mut writer = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    for (at, name) in ["a.csv", "deep/b.txt", "__MACOSX/._a.csv", "../c", "d.zip"].into_iter().enumerate() {
        if at > 0 && chance.one_in(2) {
            continue;
        }
        writer.start_file(name, zip::write::SimpleFileOptions::default()).unwrap();
        writer.write_all(if at == 0 { bytes } else { samples.any(chance) }).unwrap();
    }
    writer.finish().unwrap().into_inner()
}

/// Mostly none; sometimes some at random.
pub(crate) fn wishes(chance: &mut Chance) -> Wishes {
    let mut wishes = Wishes::default();
    if !chance.one_in(4) {
        return wishes;
    }
    if chance.one_in(2) {
        let roles = (0..chance.below(12)).map(|_| (!chance.one_in(3)).then(|| *chance.of_list(Role::ALL)));
        wishes.roles = Some(roles.collect());
    }
    if chance.one_in(3) {
        wishes.delimiter = Some(*chance.of_list(&[
            Delimiter::Char(b','),
            Delimiter::Char(b' '),
            Delimiter::Aligned,
            Delimiter::Char(b'1'),
        ]));
    }
    if chance.one_in(3) {
        let line = u32::try_from(chance.below(12)).unwrap();
        wishes.header = Some(if line == 0 { HeaderWish::Absent } else { HeaderWish::Line(line - 1) });
    }
    if chance.one_in(4) {
        wishes.encoding = Some(*chance.of_list(&[Encoding::Utf8, Encoding::Utf16Le, Encoding::Utf16Be]));
    }
    if chance.one_in(3) {
        wishes.date_order = Some(*chance.of_list(DateOrder::ALL));
    }
    if chance.one_in(3) {
        wishes.utc_offset_s = Some(*chance.of_list(&[0, 3600, -12_600, i32::MAX, i32::MIN]));
    }
    if chance.one_in(3) {
        wishes.freq_unit = Some(*chance.of_list(FreqUnit::ALL));
        wishes.power_unit = Some(*chance.of_list(PowerUnit::ALL));
        wishes.decimal_mark = Some(*chance.of_list(DecimalMark::ALL));
    }
    if chance.one_in(3) {
        wishes.date = Some(*chance.of_list(&[(2031, 4, 27), (2031, 13, 40), (i32::MAX, 12, 31), (0, 0, 0)]));
    }
    if chance.one_in(3) {
        wishes.use_set_aside = Some(Reason::ALL.to_vec());
    }
    if chance.one_in(3) {
        wishes.report = Some(*chance.of_list(Report::ALL));
    }
    wishes
}
