//! Is a row a header, a row of units, or data?

use crate::import::columns::vocabulary::{self, Header, Meaning};
use crate::import::fields::call::{self, CallCell};
use crate::import::fields::place::{self, PlaceCell};
use crate::import::fields::stamp::{self, Want};
use crate::import::fields::{cell, number};
use crate::import::words::DecimalMark;

/// Is a cell a call, a locator, a time or a number?
pub(super) fn is_data_cell(cell: &[u8]) -> bool {
    let cell = cell::trim(cell);
    if cell.is_empty() || cell.len() > 80 {
        return false;
    }
    let (mut upper, mut plain) = (String::new(), String::new());
    call::read(cell, &mut upper, &mut plain).is_call()
        || matches!(place::read(cell), PlaceCell::Whole(_))
        || number::read_any(cell, DecimalMark::Point, &mut plain).is_some()
        || stamp::read(cell, Want::Whole, 4, &mut plain).is_some()
}

/// Is a row data: a call, and another call, locator, time or number beside it?
pub(super) fn is_data(cells: &[Vec<u8>]) -> bool {
    let (mut upper, mut plain) = (String::new(), String::new());
    let mut calls = 0;
    let mut others = 0;
    for cell in cells.iter().take(64) {
        match call::read(cell, &mut upper, &mut plain) {
            CallCell::Call if call::is_call(upper.as_bytes()) && !matches!(place::read(cell), PlaceCell::Whole(_)) => {
                calls += 1;
            }
            CallCell::Bracketed | CallCell::Unresolved => calls += 1,
            // one of them is enough
            _ if others == 0 => others += usize::from(is_data_cell(cell)),
            _ => {}
        }
        if calls >= 2 || calls >= 1 && others >= 1 {
            return true;
        }
    }
    false
}

/// How many cells of a row are header words (none of them may be data).
pub(super) fn header_words(cells: &[Vec<u8>]) -> usize {
    let filled: Vec<&Vec<u8>> = cells.iter().take(256).filter(|cell| !cell::is_blank(cell)).collect();
    let is_word = |cell: &[u8]| {
        let header: Header = vocabulary::read(&cell::text(cell), "");
        !header.meaning.is_none() && header.meaning != Meaning::OTHER
    };
    // data is the commoner and quicker to tell; `dB 2` is a number by its end and a word all the same
    if filled.iter().any(|cell| is_data_cell(cell) && !is_word(cell)) {
        return 0;
    }
    let words = filled.iter().filter(|cell| cell.len() <= 60 && is_word(cell)).count();
    let filled = filled.len();
    // a title or remark holds a word of the trade, too
    if words * 3 >= filled { words } else { 0 }
}

/// Is a row one of units below the header: `UTC`, `MHz`, `dB`, `dBm`, blanks, dashes?
pub(super) fn is_unit_row(cells: &[Vec<u8>]) -> bool {
    let mut units = 0;
    for cell in cells {
        let text = cell::fold(&cell::text(cell::trim(cell)));
        match text.trim_matches(['(', ')', '[', ']']) {
            "" | "-" | "--" => {}
            "utc"
            | "gmt"
            | "hz"
            | "khz"
            | "mhz"
            | "ghz"
            | "db"
            | "dbm"
            | "dbw"
            | "w"
            | "mw"
            | "kw"
            | "watt"
            | "watts"
            | "km"
            | "mi"
            | "miles"
            | "deg"
            | "degrees"
            | "°"
            | "hz/min"
            | "hz/minute"
            | "call"
            | "locator"
            | "grid"
            | "text"
            | "hh:mm"
            | "yyyy-mm-dd"
            | "yyyy-mm-dd hh:mm"
            | "yyyy-mm-dd hh:mm:ss"
            | "dd.mm.yyyy"
            | "dd/mm/yyyy"
            | "mm/dd/yyyy"
            | "m"
            | "s" => units += 1,
            _ => return false,
        }
    }
    units >= 2
}
