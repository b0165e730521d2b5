//! Calls and locators.

use farheard::import::{NoteKind, Reason};

use super::case::{file, hold};

fn rows(cells: &[(&str, &str)]) -> String {
    let mut text = "time UTC;transmitter;locator;receiver\n".to_owned();
    for (n, (call, locator)) in cells.iter().enumerate() {
        let line = format!("2031-04-27 12:{n:02};{call};{locator};Q8STU\n");
        text += &line;
    }
    text
}

#[test]
fn calls() {
    hold(&[
        file(
            "every form of a call",
            rows(&[
                ("q1abc/p", "JO22ob"),
                ("Q2/Q1ABC/M", "JO22ob"),
                ("Q1ABC/QRP", "JO22ob"),
                ("Q1ABC/MM", ""),
                ("Q0A", "JO22ob"),
                ("Q1ABC-11", "JO22ob"),
                (" Q1ABC ", "JO22ob"),
                ("\"Q1ABC\"", "JO22ob"),
                ("\u{ff31}1ABC", "JO22ob"),
            ]),
        )
        .gives(&[
            "12:00 Q1ABC/P JO22ob > Q8STU unknown",
            "12:01 Q2/Q1ABC/M JO22ob > Q8STU unknown",
            "12:02 Q1ABC/QRP JO22ob > Q8STU unknown",
            "12:03 Q1ABC/MM > Q8STU unknown",
            "12:04 Q0A JO22ob > Q8STU unknown",
            "12:05 Q1ABC-11 JO22ob > Q8STU unknown",
            "12:06 Q1ABC JO22ob > Q8STU unknown",
            "12:07 Q1ABC JO22ob > Q8STU unknown",
            "12:08 Q1ABC JO22ob > Q8STU unknown",
        ])
        .says(NoteKind::LocatorMissing)
        .says(NoteKind::CallChanged),
        file(
            "brackets",
            rows(&[("<Q1ABC>", "JO22ob"), ("<...>", "JO22ob"), ("<Q2/Q1ABC>", "JO22ob"), ("< >", ""), ("<>", "")]),
        )
        .gives(&["12:00 Q1ABC JO22ob > Q8STU unknown", "12:02 Q2/Q1ABC JO22ob > Q8STU unknown"])
        .aside(&[(3, Reason::CallUnresolved), (5, Reason::CallUnresolved), (6, Reason::CallUnresolved)])
        .says(NoteKind::CallBracketsRemoved),
        file(
            "what a spreadsheet makes of calls",
            rows(&[
                ("Q1ABC", "JO22ob"),
                ("1E+10", "JO22ob"),
                ("5.00E+05", "JO22ob"),
                ("01/03/2031", "JO22ob"),
                ("3-Mar", "JO22ob"),
                ("#VALUE!", "JO22ob"),
                ("TRUE", "JO22ob"),
            ]),
        )
        .gives(&["12:00 Q1ABC JO22ob > Q8STU unknown"])
        .aside(&[3, 4, 5, 6, 7, 8].map(|line| (line, Reason::CallDamaged))),
        file(
            "a call and a locator in one cell",
            "time UTC;transmitter;receiver\n2031-04-27 12:00;Q1ABC;Q8STU\n2031-04-27 12:02;Q1ABC JO22ob;Q9VW\n",
        )
        .gives(&["12:00 Q1ABC > Q8STU unknown"])
        .aside(&[(3, Reason::NotACall)]),
        file(
            "a row with its cells in other places",
            "time UTC;transmitter;locator;receiver\n2031-04-27 12:00;Q1ABC;JO22ob;Q8STU\n2031-04-27 12:02;JO22ob;Q1ABC;Q8STU\n",
        )
        .gives(&["12:00 Q1ABC JO22ob > Q8STU unknown"])
        .aside(&[(3, Reason::NotACall)]),
    ]);
}

#[test]
fn locators() {
    hold(&[
        file(
            "every length and letter case",
            rows(&[
                ("Q1A", "JO22"),
                ("Q1B", "jo22"),
                ("Q1C", "JO22OB"),
                ("Q1D", "jo22ob12"),
                ("Q1E", "JO22OB12CD"),
                ("Q1F", " JO 22 ob "),
            ]),
        )
        .gives(&[
            "12:00 Q1A JO22 > Q8STU unknown",
            "12:01 Q1B JO22 > Q8STU unknown",
            "12:02 Q1C JO22ob > Q8STU unknown",
            "12:03 Q1D JO22ob12 > Q8STU unknown",
            "12:04 Q1E JO22ob12cd > Q8STU unknown",
            "12:05 Q1F JO22ob > Q8STU unknown",
        ]),
        // a nought for an O, a letter beyond X, a field beyond R: no place may be made of them but the part that is right
        file(
            "damaged",
            rows(&[
                ("Q1A", "J022ob"),
                ("Q1B", "JO22oz"),
                ("Q1C", "SO22ob"),
                ("Q1D", "JO2"),
                ("Q1E", "JO22o"),
                ("Q1F", "AA00aa"),
                ("Q1G", "JO22ob"),
                ("Q1H", "JO22ob"),
                ("Q1I", "JO22ob"),
                ("Q1J", "JO22ob"),
                ("Q1K", "jo"),
            ]),
        )
        .gives(&[
            "12:00 Q1A > Q8STU unknown",
            "12:01 Q1B JO22 > Q8STU unknown",
            "12:02 Q1C > Q8STU unknown",
            "12:03 Q1D JO > Q8STU unknown",
            "12:04 Q1E JO22 > Q8STU unknown",
            "12:05 Q1F AA00aa > Q8STU unknown",
            "12:06 Q1G JO22ob > Q8STU unknown",
            "12:07 Q1H JO22ob > Q8STU unknown",
            "12:08 Q1I JO22ob > Q8STU unknown",
            "12:09 Q1J JO22ob > Q8STU unknown",
            "12:10 Q1K > Q8STU unknown",
        ])
        .gives(&[
            "12:00 Q1A > Q8STU unknown",
            "12:01 Q1B > Q8STU unknown",
            "12:02 Q1C > Q8STU unknown",
            "12:03 Q1D > Q8STU unknown",
            "12:04 Q1E JO22 > Q8STU unknown",
            "12:05 Q1F AA00aa > Q8STU unknown",
            "12:06 Q1G JO22ob > Q8STU unknown",
            "12:07 Q1H JO22ob > Q8STU unknown",
            "12:08 Q1I JO22ob > Q8STU unknown",
            "12:09 Q1J JO22ob > Q8STU unknown",
            "12:10 Q1K > Q8STU unknown",
        ])
        .says(NoteKind::LocatorUnreadable),
        file(
            "words for none",
            rows(&[("Q1A", "n/a"), ("Q1B", "-"), ("Q1C", "unknown"), ("Q1D", "null"), ("Q1E", "JO22ob")]),
        )
        .gives(&[
            "12:00 Q1A > Q8STU unknown",
            "12:01 Q1B > Q8STU unknown",
            "12:02 Q1C > Q8STU unknown",
            "12:03 Q1D > Q8STU unknown",
            "12:04 Q1E JO22ob > Q8STU unknown",
        ])
        .says(NoteKind::LocatorMissing),
    ]);
}
