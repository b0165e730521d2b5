//! Zip archives after PKWARE's APPNOTE.
//!
//! Stored and deflated members are read. Left out by name are the side files that systems put into archives.
//! A workbook is a zip archive too and is told apart by its members.

use std::io::{Cursor, Read};

use zip::ZipArchive;

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
const MOST_MEMBERS: usize = 10_000;

/// Does a file begin as zip archives do (the second form is that of an empty one)?
pub(crate) fn is_zip(bytes: &[u8]) -> bool {
    matches!(bytes, [b'P', b'K', 3, 4, ..] | [b'P', b'K', 5, 6, ..] | [b'P', b'K', 7, 8, ..])
}

/// Unpacks all members, together at most `most` bytes.
pub(crate) fn unpack(bytes: &[u8], most: usize) -> Contents {
    let mut contents = Contents::default();
    let Ok(mut archive) = ZipArchive::new(Cursor::new(bytes)) else {
        return Contents::refused(Fault::Damaged);
    };
    let mut left = most;
    for index in 0..archive.len().min(MOST_MEMBERS) {
        let Ok(entry) = archive.by_index_data(index) else { continue };
        let name = shown(&entry.name().unwrap_or_default());
        let (encrypted, directory) = (entry.encrypted(), entry.is_dir());
        if is_workbook_part(&name) {
            return Contents::refused(Fault::Workbook);
        }
        if directory {
            continue;
        }
        let mut leave_out = |why| contents.left_out.push(LeftOut { name: name.clone(), why });
        if encrypted {
            contents.encrypted = true;
            leave_out("has a password");
        } else if is_side_file(&name) {
            leave_out("a side file of the system");
        } else if let Ok(file) = archive.by_index(index) {
            let mut bytes = Vec::new();
            let read = file.take(left as u64 + 1).read_to_end(&mut bytes);
            if bytes.len() > left {
                return Contents::refused(Fault::TooLarge);
            }
            if read.is_err() {
                leave_out("damaged");
            } else if name == "mimetype" && bytes.starts_with(b"application/vnd.oasis.opendocument.spreadsheet") {
                return Contents::refused(Fault::Workbook);
            } else {
                left -= bytes.len();
                contents.members.push(Member { name, bytes });
            }
        } else {
            leave_out("packed in a way that is not read here");
        }
    }
    contents
}

/// A member's name as it can be shown: its control characters, which a broken archive may hold, made visible.
fn shown(name: &str) -> String {
    name.chars().take(200).map(|c| if c.is_control() { '\u{FFFD}' } else { c }).collect()
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
    use super::*;

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
