//! Zip archives after PKWARE's APPNOTE.
//!
//! Stored and deflated members are read. Left out by name are the side files that systems put into archives.
//! A workbook is a zip archive too and is told apart by its members.

use std::borrow::Cow;

use flate2::Crc;
use rawzip::{CompressionMethod, ZipArchive, ZipFileHeaderRecord, ZipSliceArchive};

use super::inflate::{Stop, inflate};
use crate::import::code_page::IBM437;

/// A member that may hold a table.
#[derive(Debug)]
pub(crate) struct Member {
    pub(crate) name: String,
    pub(crate) bytes: Vec<u8>,
}

/// A member that is not read, and why.
#[derive(Debug)]
pub(crate) struct LeftOut {
    pub(crate) name: String,
    pub(crate) why: &'static str,
}

/// What an archive holds.
#[derive(Debug, Default)]
pub(crate) struct Contents {
    pub(crate) members: Vec<Member>,
    pub(crate) left_out: Vec<LeftOut>,
    /// Are there members with a password?
    pub(crate) encrypted: bool,
    /// Why it is not read at all.
    pub(crate) fault: Option<Fault>,
}

/// Why an archive is not read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Fault {
    /// Unpacked it would be more than the limit.
    TooLarge,
    /// It is a spreadsheet workbook.
    Workbook,
    /// Its table of contents cannot be read.
    Damaged,
}

impl Contents {
    fn refused(fault: Fault) -> Self {
        Self { fault: Some(fault), ..Self::default() }
    }
}

/// More members than this are not looked at.
const MOST_MEMBERS: u64 = 10_000;

/// Does a file begin as zip archives do (the second form is that of an empty one)?
pub(crate) fn is_zip(bytes: &[u8]) -> bool {
    matches!(bytes, [b'P', b'K', 3, 4, ..] | [b'P', b'K', 5, 6, ..] | [b'P', b'K', 7, 8, ..])
}

/// Unpacks all members, together at most `most` bytes.
pub(crate) fn unpack(bytes: &[u8], most: usize) -> Contents {
    let mut contents = Contents::default();
    let archive = ZipArchive::from_slice(bytes).ok();
    let Some((archive, (entries, replaced))) = archive.as_ref().and_then(|archive| Some((archive, listed(archive)?)))
    else {
        return Contents::refused(Fault::Damaged);
    };
    let why = "a later one has its name";
    contents.left_out.extend(replaced.into_iter().map(|name| LeftOut { name, why }));
    let mut left = most;
    for entry in entries {
        let raw_name = entry.file_path();
        let name = shown(raw_name.as_ref());
        if is_workbook_part(&name) {
            return Contents::refused(Fault::Workbook);
        }
        if matches!(raw_name.as_ref().last(), Some(b'/' | b'\\')) {
            continue;
        }
        let mut leave_out = |why| contents.left_out.push(LeftOut { name: name.clone(), why });
        if entry.flags().is_encrypted() {
            contents.encrypted = true;
            leave_out("has a password");
        } else if is_side_file(&name) {
            leave_out("a side file of the system");
        } else {
            match unpacked(archive, &entry, left) {
                Err(Failure::TooLarge) => return Contents::refused(Fault::TooLarge),
                Err(Failure::Damaged) => leave_out("damaged"),
                Err(Failure::Method) => leave_out("packed in a way that is not read here"),
                Ok(bytes)
                    if name == "mimetype" && bytes.starts_with(b"application/vnd.oasis.opendocument.spreadsheet") =>
                {
                    return Contents::refused(Fault::Workbook);
                }
                Ok(bytes) => {
                    left -= bytes.len();
                    contents.members.push(Member { name, bytes });
                }
            }
        }
    }
    contents
}

/// An archive's table of contents (APPNOTE 4.3.12), or `None` where it cannot be read.
///
/// Of members with one name the last one counts: so archives replace what they held before. Beside the list, the names
/// of those replaced.
fn listed<'a>(archive: &'a ZipSliceArchive<&[u8]>) -> Option<(Vec<ZipFileHeaderRecord<'a>>, Vec<String>)> {
    let mut found: Vec<ZipFileHeaderRecord<'a>> = Vec::new();
    let mut replaced = Vec::new();
    let mut records = archive.entries();
    // what stands behind as many as there should be is none of them
    for _ in 0..archive.entries_hint().min(MOST_MEMBERS) {
        let record = records.next_entry().ok()??;
        match found.iter_mut().find(|it| it.file_path() == record.file_path()) {
            Some(former) => {
                replaced.push(shown(record.file_path().as_ref()));
                *former = record;
            }
            None => found.push(record),
        }
    }
    Some((found, replaced))
}

/// Why a member is not read.
enum Failure {
    Damaged,
    Method,
    TooLarge,
}

/// What a member holds, at most `most` bytes, its check sum compared.
fn unpacked(
    archive: &ZipSliceArchive<&[u8]>,
    record: &ZipFileHeaderRecord<'_>,
    most: usize,
) -> Result<Vec<u8>, Failure> {
    let method = record.compression_method();
    if method != CompressionMethod::STORE && method != CompressionMethod::DEFLATE {
        return Err(Failure::Method);
    }
    // sizes are those of the table of contents: before the data they may be missing, and then follow it (4.3.9)
    let entry = archive.get_entry(record.wayfinder()).map_err(|_| Failure::Damaged)?;
    let packed = entry.data();
    let mut bytes = Vec::new();
    if method == CompressionMethod::DEFLATE {
        inflate(packed, &mut bytes, most).map_err(|stop| match stop {
            Stop::Cut => Failure::Damaged,
            Stop::TooLarge => Failure::TooLarge,
        })?;
    } else if packed.len() > most {
        return Err(Failure::TooLarge);
    } else {
        bytes.extend_from_slice(packed);
    }
    let mut sum = Crc::new();
    sum.update(&bytes);
    if sum.sum() == record.crc32() { Ok(bytes) } else { Err(Failure::Damaged) }
}

/// A member's name as it can be shown: its control characters, which a broken archive may hold, made visible.
/// UTF-8 is read as such whether the archive says so or not: many packers write it and do not say so.
fn shown(name: &[u8]) -> String {
    let name = if str::from_utf8(name).is_ok() { Cow::Borrowed(name) } else { IBM437.decode(name).0 };
    String::from_utf8_lossy(&name).chars().take(200).map(|c| if c.is_control() { '\u{FFFD}' } else { c }).collect()
}

/// Parts that only workbooks have.
fn is_workbook_part(name: &str) -> bool {
    name == "[Content_Types].xml" || name.starts_with("xl/") || name == "Index/Document.iwa"
}

/// Files that systems put beside the user's own.
fn is_side_file(name: &str) -> bool {
    let last = name.rsplit(['/', '\\']).next().unwrap_or(name);
    name.starts_with("__MACOSX/")
        || last.starts_with("._")
        || matches!(last, ".DS_Store" | "Thumbs.db" | "thumbs.db" | "desktop.ini" | "Desktop.ini" | ".directory")
}

#[cfg(test)]
mod tests {
    use std::io::{Cursor, Read as _, Write as _};

    use flate2::Compression;
    use flate2::write::DeflateEncoder;

    use super::*;

    const TEXT: &[u8] = b"time,tx,rx\n2031-04-27 12:00,Q1ABC,Q2DEF\n2031-04-27 12:02,Q1ABC,Q2DEF\n";
    const STORED: u16 = 0;
    const DEFLATED: u16 = 8;

    /// A member to be written byte by byte, so that it can be wrong.
    #[derive(Clone)]
    struct Made {
        name: Vec<u8>,
        flags: u16,
        method: u16,
        packed: Vec<u8>,
        length: usize,
        sum: u32,
    }

    fn member(name: &str, method: u16, content: &[u8]) -> Made {
        let mut sum = Crc::new();
        sum.update(content);
        let packed = if method == DEFLATED { deflated(content) } else { content.to_vec() };
        Made { name: name.into(), flags: 0, method, packed, length: content.len(), sum: sum.sum() }
    }

    fn deflated(content: &[u8]) -> Vec<u8> {
        let mut encoder = DeflateEncoder::new(Vec::new(), Compression::default());
        encoder.write_all(content).unwrap();
        encoder.finish().unwrap()
    }

    fn little(values: &[(usize, u64)]) -> Vec<u8> {
        values.iter().flat_map(|&(width, value)| value.to_le_bytes().into_iter().take(width)).collect()
    }

    /// What both headers of a member have in common (APPNOTE 4.3.7 and 4.3.12).
    fn common(made: &Made, sum: u32, sizes: [u64; 2], extra: usize) -> Vec<u8> {
        let (flags, method, sum) = (made.flags.into(), made.method.into(), sum.into());
        let (name, extra) = (made.name.len() as u64, extra as u64);
        little(&[
            (2, 45),
            (2, flags),
            (2, method),
            (4, 0),
            (4, sum),
            (4, sizes[0]),
            (4, sizes[1]),
            (2, name),
            (2, extra),
        ])
    }

    /// An archive; with `zip64` sizes and places stand where those beyond 4 GB would (APPNOTE 4.5.3, 4.3.14, 4.3.15).
    /// With flag 8 check sum and sizes follow the data (4.3.9).
    fn archive(members: &[Made], zip64: bool) -> Vec<u8> {
        let (mut bytes, mut directory) = (Vec::new(), Vec::new());
        for made in members {
            let (place, sizes) = (bytes.len() as u64, [made.packed.len() as u64, made.length as u64]);
            let later = made.flags & 8 != 0;
            bytes.extend(b"PK\x03\x04");
            bytes.extend(common(made, if later { 0 } else { made.sum }, if later { [0, 0] } else { sizes }, 0));
            bytes.extend(&made.name);
            bytes.extend(&made.packed);
            if later {
                bytes.extend(b"PK\x07\x08");
                bytes.extend(little(&[(4, made.sum.into()), (4, sizes[0]), (4, sizes[1])]));
            }
            let extra =
                if zip64 { little(&[(2, 1), (2, 24), (8, sizes[1]), (8, sizes[0]), (8, place)]) } else { vec![] };
            let beyond = u64::from(u32::MAX);
            directory.extend(b"PK\x01\x02\x2d\0");
            directory.extend(common(made, made.sum, if zip64 { [beyond, beyond] } else { sizes }, extra.len()));
            directory.extend(little(&[(2, 0), (2, 0), (2, 0), (4, 0), (4, if zip64 { beyond } else { place })]));
            directory.extend(&made.name);
            directory.extend(&extra);
        }
        let (place, size, count) = (bytes.len() as u64, directory.len() as u64, members.len() as u64);
        bytes.extend(directory);
        if zip64 {
            let end = bytes.len() as u64;
            bytes.extend(b"PK\x06\x06");
            bytes.extend(little(&[(8, 44), (2, 45), (2, 45), (8, 0), (8, count), (8, count), (8, size), (8, place)]));
            bytes.extend(b"PK\x06\x07");
            bytes.extend(little(&[(4, 0), (8, end), (4, 1)]));
            bytes.extend(b"PK\x05\x06");
            bytes.extend([0; 4]);
            bytes.extend([0xFF; 12]);
            bytes.extend([0; 2]);
        } else {
            bytes.extend(b"PK\x05\x06");
            bytes.extend(little(&[(4, 0), (2, count), (2, count), (4, size), (4, place), (2, 0)]));
        }
        bytes
    }

    fn read(contents: &Contents) -> Vec<(&str, &[u8])> {
        contents.members.iter().map(|it| (it.name.as_str(), &it.bytes[..])).collect()
    }

    fn left_out(contents: &Contents) -> Vec<(&str, &str)> {
        contents.left_out.iter().map(|it| (it.name.as_str(), it.why)).collect()
    }

    #[test]
    fn stored_and_deflated_members_in_every_form() {
        let mut members = [member("a.csv", DEFLATED, TEXT), member("b/c.txt", STORED, b"note\n"), member("d", 8, b"")];
        let wanted = [("a.csv", TEXT), ("b/c.txt", &b"note\n"[..]), ("d", b"")];
        for flags in [0, 8] {
            for made in &mut members {
                made.flags = flags;
            }
            for zip64 in [false, true] {
                let bytes = archive(&members, zip64);
                let contents = unpack(&bytes, 1000);
                assert_eq!(read(&contents), wanted, "flags {flags}, zip64 {zip64}");
                assert!(contents.left_out.is_empty() && contents.fault.is_none());
                let mut other = zip::ZipArchive::new(Cursor::new(&bytes)).unwrap();
                for (name, content) in wanted {
                    let mut read = Vec::new();
                    other.by_name(name).unwrap().read_to_end(&mut read).unwrap();
                    assert_eq!(read, content, "the maker of this test is wrong");
                }
            }
        }
    }

    #[test]
    fn what_another_packer_makes_is_read() {
        let mut writer = zip::ZipWriter::new(Cursor::new(Vec::new()));
        let options = zip::write::SimpleFileOptions::default();
        let stored = options.compression_method(zip::CompressionMethod::Stored);
        writer.add_directory("deep", options).unwrap();
        for (name, options) in [("deep/a.csv", options), ("b.csv", options.large_file(true)), ("ä.csv", stored)] {
            writer.start_file(name, options).unwrap();
            writer.write_all(TEXT).unwrap();
        }
        writer.set_comment("a comment PK behind all").unwrap();
        let bytes = writer.finish().unwrap().into_inner();
        assert_eq!(read(&unpack(&bytes, 1000)), [("deep/a.csv", TEXT), ("b.csv", TEXT), ("ä.csv", TEXT)]);
    }

    #[test]
    fn names_are_read_as_utf8_or_as_code_page_437() {
        let mut members: Vec<Made> = (0x80..=0xFF_u8).map(|_| member("", STORED, TEXT)).collect();
        for (made, byte) in members.iter_mut().zip(0x80..=0xFF_u8) {
            made.name = vec![b'a', byte];
        }
        let mut utf8 = member("größe.csv", STORED, TEXT);
        members.push(utf8.clone());
        (utf8.name, utf8.flags) = ("größer.csv".into(), 1 << 11);
        members.push(utf8);
        members.push(member("bell\u{7}.csv", STORED, TEXT));
        let bytes = archive(&members, false);
        let contents = unpack(&bytes, 100_000);
        let other = zip::ZipArchive::new(Cursor::new(&bytes)).unwrap();
        for (index, member) in contents.members.iter().enumerate().take(130) {
            assert_eq!(member.name, other.by_index_data(index).unwrap().name().unwrap());
        }
        assert_eq!(contents.members[0x84 - 0x80].name, "aä");
        assert_eq!(contents.members[128].name, "größe.csv");
        assert_eq!(contents.members[130].name, "bell\u{FFFD}.csv");
    }

    #[test]
    fn what_is_not_read_is_left_out_with_words() {
        let whole = member("whole.csv", DEFLATED, TEXT);
        let named = |name: &str| Made { name: name.into(), ..whole.clone() };
        let members = [
            Made { flags: 1, ..named("secret.csv") },
            Made { sum: whole.sum ^ 1, ..named("wrong sum.csv") },
            Made { sum: 7, ..member("stored wrong.csv", STORED, TEXT) },
            Made { packed: whole.packed[..20].to_vec(), ..named("cut.csv") },
            Made { method: 14, ..named("other.csv") },
            named("__MACOSX/._a.csv"),
            named("folder/"),
            named("folder\\"),
            whole.clone(),
        ];
        let contents = unpack(&archive(&members, false), 1000);
        assert_eq!(
            left_out(&contents),
            [
                ("secret.csv", "has a password"),
                ("wrong sum.csv", "damaged"),
                ("stored wrong.csv", "damaged"),
                ("cut.csv", "damaged"),
                ("other.csv", "packed in a way that is not read here"),
                ("__MACOSX/._a.csv", "a side file of the system"),
            ]
        );
        assert!(contents.encrypted && contents.fault.is_none());
        assert_eq!(read(&contents), [("whole.csv", TEXT)]);

        let mut headless = archive(&[whole], false);
        headless[2] = 0;
        assert_eq!(left_out(&unpack(&headless, 1000)), [("whole.csv", "damaged")]);
    }

    #[test]
    fn of_members_with_one_name_the_last_is_read() {
        let members = [member("a", STORED, b"old"), member("b", STORED, b"b"), member("a", STORED, b"new")];
        assert_eq!(read(&unpack(&archive(&members, false), 9)), [("a", &b"new"[..]), ("b", b"b")]);
    }

    #[test]
    fn more_than_the_limit_is_refused() {
        for method in [STORED, DEFLATED] {
            let bytes = archive(&[member("a", method, &[b'x'; 600]), member("b", method, &[b'y'; 400])], false);
            assert_eq!(unpack(&bytes, 1000).members.len(), 2);
            assert_eq!(unpack(&bytes, 999).fault, Some(Fault::TooLarge));
        }
        // whatever it says of its size
        let bomb = Made { length: 1, ..member("bomb", DEFLATED, &vec![b'x'; 40 << 20]) };
        assert_eq!(unpack(&archive(&[bomb], false), 1 << 20).fault, Some(Fault::TooLarge));
    }

    #[test]
    fn workbooks_are_told_by_their_members() {
        for name in ["[Content_Types].xml", "xl/workbook.xml", "Index/Document.iwa"] {
            let members = [member("a.csv", STORED, TEXT), member(name, STORED, TEXT)];
            assert_eq!(unpack(&archive(&members, false), 1000).fault, Some(Fault::Workbook));
        }
        let kind = member("mimetype", STORED, b"application/vnd.oasis.opendocument.spreadsheet");
        assert_eq!(unpack(&archive(&[kind], false), 1000).fault, Some(Fault::Workbook));
    }

    #[test]
    fn every_cut_and_every_broken_byte_gives_an_answer() {
        let members = [member("a.csv", DEFLATED, TEXT), Made { flags: 8, ..member("b.csv", STORED, TEXT) }];
        for zip64 in [false, true] {
            let whole = archive(&members, zip64);
            for end in 0..whole.len() {
                assert_eq!(unpack(&whole[..end], 1000).fault, Some(Fault::Damaged), "{end}");
            }
            for at in 0..whole.len() {
                for bits in [1, 0x80, 0xFF] {
                    let mut broken = whole.clone();
                    broken[at] ^= bits;
                    // whatever is read has the right check sum
                    for member in unpack(&broken, 1000).members {
                        assert_eq!(member.bytes, TEXT, "{at}");
                    }
                }
            }
        }
        assert_eq!(unpack(&archive(&[], false), 0).fault, None);
    }

    #[test]
    fn broken_archives_give_an_answer() {
        assert!(unpack(b"PK\x03\x04 and nothing that follows", 1000).fault == Some(Fault::Damaged));
        assert!(unpack(b"", 1000).fault == Some(Fault::Damaged));
    }

    #[test]
    fn side_files_by_name() {
        for name in ["__MACOSX/heard/._april.csv", "heard/._april.csv", "heard/.DS_Store", "Thumbs.db"] {
            assert!(is_side_file(name), "{name}");
        }
        assert!(!is_side_file("heard/april.csv"));
        assert!(is_workbook_part("xl/worksheets/sheet1.xml"));
    }
}
