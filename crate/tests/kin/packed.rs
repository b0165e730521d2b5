//! Packed files (gzip: RFC 1952, May 1996; zip: PKWARE's APPNOTE 6.3, from memory), and files that are no tables.

use std::io::Write as _;

use farheard::import::{ErrorKind, NoteKind};

use super::case::{file, hold};

const TABLE: &str = "time UTC,transmitter,receiver\n2031-04-27 12:00,Q1ABC,Q8STU\n2031-04-27 12:02,Q1ABC,Q9VW\n";
const TWO: [&str; 2] = ["12:00 Q1ABC > Q8STU unknown", "12:02 Q1ABC > Q9VW unknown"];

fn gzip(bytes: &[u8]) -> Vec<u8> {
    let mut encoder = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::default());
    encoder.write_all(bytes).unwrap();
    encoder.finish().unwrap()
}

fn zip(members: &[(&str, &[u8])]) -> Vec<u8> {
    let mut writer = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    for (name, bytes) in members {
        writer.start_file(*name, zip::write::SimpleFileOptions::default()).unwrap();
        writer.write_all(bytes).unwrap();
    }
    writer.finish().unwrap().into_inner()
}

#[test]
fn packed_files() {
    let packed = gzip(TABLE.as_bytes());
    let noise: Vec<u8> = (0..300_u32).map(|n| (n.wrapping_mul(2654435761) >> 24) as u8).collect();
    hold(&[
        file("bytes behind the last member", [&packed[..], b"\0\0\0\0\0\0\0\0"].concat()).gives(&TWO),
        file("letters behind the last member", [&packed[..], b"and a note"].concat()).gives(&TWO),
        file("packed twice", gzip(&packed)).gives(&TWO).gives(&[]).fails(ErrorKind::Binary),
        file("cut within its head", packed[..7].to_vec()).gives(&[]).says(NoteKind::GzipCut).fails(ErrorKind::Empty),
        file("nothing in it", gzip(b"")).gives(&[]).fails(ErrorKind::Empty),
        file(
            "a table and junk",
            zip(&[
                ("reports/", b""),
                ("reports/april.csv", TABLE.as_bytes()),
                ("picture.png", b"\x89PNG\r\n\x1a\n0000"),
                ("noise.bin", &noise),
                ("read me.txt", b"Taken with the long wire.\n"),
            ]),
        )
        .gives(&TWO)
        .says(NoteKind::ZipMembersLeftOut),
        file(
            "records beside a table",
            zip(&[
                ("a.csv", TABLE.as_bytes()),
                ("b.adi", b"<CALL:4>Q2RS<STATION_CALLSIGN:5>Q8STU<QSO_DATE:8>20310427<TIME_ON:4>1204<SWL:1>Y<EOR>"),
            ]),
        )
        .gives(&[TWO[0], TWO[1], "12:04 Q2RS > Q8STU unknown"]),
        file("the same table twice", zip(&[("a.csv", TABLE.as_bytes()), ("copy of a.csv", TABLE.as_bytes())]))
            .gives(&TWO)
            .says(NoteKind::DuplicatesDropped),
        file("a packed table in it", zip(&[("a.csv.gz", &packed)])).gives(&TWO),
        file("an archive in an archive", zip(&[("inner.zip", &zip(&[("a.csv", TABLE.as_bytes())]))]))
            .gives(&[])
            .fails(ErrorKind::NoTableInZip),
        file("empty", zip(&[])).gives(&[]).fails(ErrorKind::NoTableInZip),
    ]);
}

/// None of these is a table of spots, whatever calls and times stand in them.
#[test]
fn files_that_are_no_tables() {
    let refused = |name: &'static str, text: &str| file(name, text).gives(&[]).fails(ErrorKind::NoRoles);
    hold(&[
        refused(
            "JSON",
            "[{\"time\":\"2031-04-27 12:00\",\"tx\":\"Q1ABC\",\"rx\":\"Q8STU\"},\n {\"time\":\"2031-04-27 12:02\",\"tx\":\"Q1ABC\",\"rx\":\"Q9VW\"}]\n",
        ),
        refused(
            "JSON by the line",
            "{\"time\":\"2031-04-27 12:00\",\"tx\":\"Q1ABC\",\"rx\":\"Q8STU\"}\n{\"time\":\"2031-04-27 12:02\",\"tx\":\"Q1ABC\",\"rx\":\"Q9VW\"}\n",
        ),
        refused("settings", "[station]\ncall = Q1ABC\nlocator = JO22ob\npower = 200\n"),
        refused("a program", "fn main() {\n    let call = \"Q1ABC\";\n    println!(\"{call}\");\n}\n"),
        refused(
            "a letter",
            "Dear Q1ABC,\n\non 27 April 2031 at 12:00 I heard you on 14.0971 MHz in JO22ob.\n\n73, Q8STU\n",
        ),
        refused("a list of calls", "Q1ABC\nQ2RS\nQ8STU\nQ9VW\n"),
        refused(
            "one cell by the line",
            "2031-04-27 12:00\nQ1ABC\nJO22ob\nQ8STU\nBL11bh\n2031-04-27 12:02\nQ1ABC\nJO22ob\nQ9VW\nJN05qd\n",
        ),
        refused("members of a club", "name,call,since\nAda,Q1ABC,2031-04-27\nBen,Q8STU,2030-01-02\n"),
        file("a document", b"%PDF-1.7\n1 0 obj\n".to_vec()).gives(&[]).fails(ErrorKind::Binary),
        file("a web page without its head", "<table><tr><td>Q1ABC</td><td>Q8STU</td></tr></table>")
            .gives(&[])
            .fails(ErrorKind::Html),
        file("blanks only", " \r\n\t\r\n \u{a0}\r\n").gives(&[]).fails(ErrorKind::Empty),
    ]);
}
