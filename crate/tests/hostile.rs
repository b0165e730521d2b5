//! Files made to hurt: enormous cells and rows, packing within packing, lengths that lie, letters that turn words round.
//! Each is read to the end, says what it is, and no part of it is taken for more than text.

#![expect(clippy::unwrap_used, reason = "in a test a panic is the answer")]

use std::io::Write as _;

use farheard::import::{self, ErrorKind, Reading, Wishes};
use farheard::model::TableBuilder;
use farheard::page::Origin;
use flate2::Compression;
use flate2::write::GzEncoder;

mod page;
use page::Page;

const HEAD: &str = "utc,sent by,from,power dBm,heard by,at,frequency MHz,SNR dB,remark\n";

fn row(minute: u32, listener: &str, remark: &str) -> String {
    format!("2031-10-11 00:{minute:02},Q6HUT,IN71,23,{listener},JO22,14.0971,-17,{remark}\n")
}

fn read(bytes: &[u8]) -> (Reading, usize) {
    let mut table = TableBuilder::new();
    let mut readings = import::read("hostile.csv", bytes, &Wishes::default(), &mut table);
    assert_eq!(readings.len(), 1);
    (readings.remove(0), table.freeze().len())
}

fn gzip(bytes: &[u8]) -> Vec<u8> {
    let mut packer = GzEncoder::new(Vec::new(), Compression::fast());
    packer.write_all(bytes).unwrap();
    packer.finish().unwrap()
}

#[test]
fn a_cell_of_ten_megabytes_is_a_cell() {
    let large = "x".repeat(10_000_000);
    let (reading, spots) = read([HEAD, &row(0, "Q1ABC", &large), &row(2, "Q2XYZ", "")].concat().as_bytes());
    assert_eq!((reading.rows, spots), (2, 2), "in a column that does not count");
    let (reading, spots) = read([HEAD, &row(0, &large, ""), &row(2, "Q2XYZ", "")].concat().as_bytes());
    assert_eq!((reading.rows, spots, reading.set_aside.len()), (2, 1, 1), "in place of a call");
    let told = reading.set_aside[0].text.len();
    assert!(told < 400, "it is told in {told} bytes");
}

#[test]
fn a_row_of_a_million_cells_is_a_row() {
    let wide = row(2, "Q3LMN", &",".repeat(1_000_000));
    let (reading, spots) = read([HEAD, &row(0, "Q1ABC", ""), &wide, &row(4, "Q2XYZ", "")].concat().as_bytes());
    assert_eq!(reading.rows, 3);
    assert_eq!(reading.set_aside.len() + spots, 3, "all rows are told of");
    assert!(spots >= 2);
    let heads: Vec<String> = (0..1_000_000).map(|at| format!("c{at}")).collect();
    let (reading, spots) =
        read([heads.join(","), "\n".to_owned(), ",".repeat(999_999), "\n".to_owned()].concat().as_bytes());
    assert_eq!(spots, 0);
    assert!(reading.error.is_some());
}

#[test]
fn what_is_packed_again_and_again_is_refused_in_a_sentence() {
    let mut bytes = [HEAD, &row(0, "Q1ABC", ""), &row(2, "Q2XYZ", "")].concat().into_bytes();
    bytes = gzip(&bytes);
    assert_eq!(read(&bytes).1, 2, "once is no matter");
    for times in 2..12 {
        bytes = gzip(&bytes);
        let (reading, spots) = read(&bytes);
        let error = reading.error.unwrap();
        assert_eq!((error.kind, spots), (ErrorKind::Binary, 0), "{times} times");
        assert!(error.text.contains("Unpack it once"), "{}", error.text);
    }
}

/// A gigabyte and more of zeros in a megabyte.
#[test]
fn a_bomb_is_refused_before_memory_runs_out() {
    let zeros = vec![b'0'; 1 << 20];
    let mut packer = GzEncoder::new(Vec::new(), Compression::best());
    for _ in 0..1100 {
        packer.write_all(&zeros).unwrap();
    }
    let bytes = packer.finish().unwrap();
    assert!(bytes.len() < 2_000_000);
    let (reading, spots) = read(&bytes);
    assert_eq!((reading.error.unwrap().kind, spots), (ErrorKind::TooLarge, 0));
}

#[test]
fn lengths_that_lie_lose_no_record_that_tells_the_truth() {
    for lie in ["999999999", "18446744073709551616", "-1", "0", "4294967295", "x"] {
        let good =
            "<CALL:5>Q1ABC<STATION_CALLSIGN:5>Q6HUT<QSO_DATE:8>20311011<TIME_ON:4>0000<BAND:3>20m<MODE:4>WSPR<EOR>\n";
        let text = format!("log <EOH>\n{good}<CALL:{lie}>Q2XYZ <EOR>\n{}", good.replace("Q1ABC", "Q3LMN"));
        let (reading, spots) = read(text.as_bytes());
        assert_eq!(reading.rows, (reading.set_aside.len() + spots) as u64, "{lie}");
        assert!(spots >= 1, "{lie}: {spots}");
    }
}

/// Turned and unseen letters, formulas and markup stand in the page as they are, or as references.
#[test]
fn what_would_turn_run_or_reckon_is_text_in_the_page() {
    let remarks =
        ["\u{202E}evil", "\u{2066}\u{200F}", "=1+1", "<b onmouseover=alert(1)>", "\u{0}\u{7}\u{1B}[31m", "{{7*7}}"];
    for (at, remark) in remarks.iter().enumerate() {
        let mut page = Page::booted();
        let name = format!("{remark}.csv");
        let text = [HEAD, &row(0, "Q1ABC", remark), &row(2, "Q2XYZ", ""), &row(4, remark, "")].concat();
        page.give(&name, text, Origin::Person);
        for view in ["disc", "spots", "compare", "plan"] {
            page.act("view", view);
            for html in page.regions.values() {
                assert!(!html.contains("<b onmouseover"), "{at} in {view}");
            }
        }
    }
}
