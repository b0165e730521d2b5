//! Sentences for what went wrong: what was expected, what was found, what to do.

use super::fields::cell::quoted;
use super::reading::FileError;
use super::words::{ErrorKind, Reason};

/// One sentence per reason, for rows beyond those that are quoted.
pub(crate) const fn general(reason: Reason) -> &'static str {
    match reason {
        Reason::BadTime => "The time of this row cannot be read or does not exist.",
        Reason::DateAmbiguous => {
            "The date of this row can be read in two ways; choose the order of day and month to read it."
        }
        Reason::ZoneAmbiguous => "The time zone of this row has several meanings; choose the zone to read it.",
        Reason::NoTx => "This row does not say which station transmitted.",
        Reason::NoRx => "This row does not say which station heard it.",
        Reason::NotACall => "Where a call is expected, this row holds something else.",
        Reason::CallDamaged => "A call of this row was changed by a spreadsheet; take it from the original export.",
        Reason::CallUnresolved => "A call of this row was never resolved by the receiver and names no station.",
        Reason::TooManyColumns => "This row has more cells than the header, so its cells stand under wrong headers.",
        Reason::TooFewColumns => "This row lacks a cell, so those behind it stand under wrong headers.",
        Reason::CutLine => "The file ends in the middle of this line; export or download it again.",
        Reason::NotASpot => "This line is no row of the table.",
    }
}

/// The sentence for a row set aside. `cell` is what was found, `column` the name of the column.
pub(crate) fn set_aside(reason: Reason, line: u32, column: &str, cell: &[u8]) -> String {
    let found = quoted(cell);
    match reason {
        Reason::BadTime if cell.is_empty() => {
            format!(
                "Line {line}: a time is expected in {column}, but the cell is empty. Fill it in and read the file again."
            )
        }
        Reason::BadTime if cell.iter().all(|&b| b == b'#') => format!(
            "Line {line}: a time is expected in {column}, but a spreadsheet saved {found} because its column was too narrow. \
             Take the file from the original export."
        ),
        Reason::BadTime => format!(
            "Line {line}: a time that exists is expected in {column}, but {found} is none. Correct it, or take the file from \
             the original export."
        ),
        Reason::DateAmbiguous => format!(
            "Line {line}: {found} in {column} can be read day first or month first, and other rows of the file speak for \
             both. Choose the order of dates to read it."
        ),
        Reason::ZoneAmbiguous => format!(
            "Line {line}: the zone in {found} ({column}) has several meanings. Say how far it is from UTC to read the row."
        ),
        Reason::NoTx => format!(
            "Line {line}: the call of the transmitting station is expected in {column}, but {}. Fill it in to use the row.",
            if cell.is_empty() { "the cell is empty".to_owned() } else { format!("{found} names none") }
        ),
        Reason::NoRx => format!(
            "Line {line}: the call of the station that heard it is expected in {column}, but {}. Fill it in to use the row.",
            if cell.is_empty() { "the cell is empty".to_owned() } else { format!("{found} names none") }
        ),
        Reason::NotACall => {
            format!(
                "Line {line}: a call is expected in {column}, but {found} is none. Correct it, or choose another column."
            )
        }
        Reason::CallDamaged => format!(
            "Line {line}: a call is expected in {column}, but {found} was changed by a spreadsheet (calls such as 1E10 or \
             12MAR become numbers and dates). Take the row from the original export."
        ),
        Reason::CallUnresolved => format!(
            "Line {line}: {found} in {column} is a call that the receiver never resolved; it names no station, so the row \
             cannot be counted."
        ),
        Reason::TooManyColumns => format!(
            "Line {line}: the row has more cells than the header, and from {found} on they stand under wrong headers. Put \
             cells with delimiters in quotes and read the file again."
        ),
        Reason::TooFewColumns => format!(
            "Line {line}: the row has fewer cells than the others, and {found} stands in {column}, where it does not belong. \
             Put an empty cell where one is missing and read the file again."
        ),
        Reason::CutLine => format!(
            "Line {line}: the file ends in the middle of this line, after {found}. Export or download the file again to get the rest."
        ),
        Reason::NotASpot => format!(
            "Line {line}: a row with a time and two calls is expected, but {found} is none (a total or remark, perhaps). \
             Nothing to do if that is so."
        ),
    }
}

/// An error of a whole file.
pub(crate) fn error(kind: ErrorKind, text: impl Into<String>) -> FileError {
    FileError { kind, text: text.into() }
}

/// The sentence for errors that need no particulars.
pub(crate) fn plain_error(kind: ErrorKind) -> FileError {
    let text = match kind {
        ErrorKind::Empty => {
            "The file is empty: it holds no text at all. Export it again, and look whether the download was complete."
        }
        ErrorKind::NoRows => {
            "The file has the columns of a table of spots but no rows. Choose a longer time or another band in the export."
        }
        ErrorKind::NoRoles => {
            "No table of spots was found: a time and the calls of two stations are needed in every row."
        }
        ErrorKind::NoDate => {
            "The file has times of day but no date anywhere. Enter the date of its first row, or export again with dates."
        }
        ErrorKind::NoUsableTime => {
            "No time of the file can be read. A spreadsheet that shows times or dates in short form saves them so, and the rest \
             is lost: export the file again and do not save it from a spreadsheet."
        }
        ErrorKind::Html => {
            "This is a web page, not an export: perhaps a page that asks you to sign in, saved in its place. Open the page in \
             a browser, sign in, and export again."
        }
        ErrorKind::Workbook => {
            "This is a spreadsheet workbook. Open it in the spreadsheet, save the sheet as CSV (or tab-separated text), and \
             open that file here."
        }
        ErrorKind::Binary => {
            "This is no text file. Spots are read from CSV and other delimited text, from ADIF, and from these packed with gzip or zip."
        }
        ErrorKind::Adx => {
            "This is XML, but no records of the ADX form of ADIF can be read in it. Export as ADI (plain ADIF) or as CSV."
        }
        ErrorKind::NoTableInZip => "The archive holds no table of spots.",
        ErrorKind::ZipEncrypted => "The archive has a password. Unpack it first and open the file inside.",
        ErrorKind::TooLarge => {
            "The file is too large to be held in memory. Cut it into pieces, for instance by month, and open one of them."
        }
        ErrorKind::DateOrderMixed => {
            "Dates of this file are in two orders and no row can be read for sure. Choose the order of day and month."
        }
        ErrorKind::Unreadable => {
            "The file cannot be opened. Look whether its name is spelled so, whether it is there, and whether you may read it."
        }
    };
    error(kind, text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sentences_name_line_cell_and_what_to_do() {
        for &reason in Reason::ALL {
            let text = set_aside(reason, 9, "column 1 «time»", b"yester\tday");
            assert!(text.starts_with("Line 9: "), "{text}");
            assert!(text.contains("yester→day"), "{text}");
            assert!(!text.contains('\t'));
            assert!(!general(reason).is_empty());
        }
        for &kind in ErrorKind::ALL {
            assert!(!plain_error(kind).text.to_lowercase().contains("console"));
        }
    }
}
