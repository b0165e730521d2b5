//! What stands around, between and within the rows.

use farheard::import::{ErrorKind, NoteKind, Reason};

use super::case::{file, hold};

const HEAD: &str = "time UTC,transmitter,transmitter locator,receiver,receiver locator,frequency MHz,SNR dB\n";
const A: &str = "2031-04-27 12:00,Q1ABC,JO22ob,Q8STU,BL11bh,14.0971,-21\n";
const B: &str = "2031-04-27 12:02,Q1ABC,JO22ob,Q9VW,JN05qd,7.0401,-3\n";
const AB: [&str; 2] = [
    "12:00 Q1ABC JO22ob > Q8STU BL11bh 20m 14097100 Hz -21 dB",
    "12:02 Q1ABC JO22ob > Q9VW JN05qd 40m 7040100 Hz -3 dB",
];

#[test]
fn lines_around_the_table() {
    let letter: Vec<String> =
        (1..60).map(|n| format!("Line {n} of a letter, with commas, and a time such as 12:{n:02}.\n")).collect();
    let read_me = letter.concat();
    hold(&[
        file("a letter before it", format!("{read_me}\n{HEAD}{A}{B}")).gives(&AB).says(NoteKind::LinesSkipped),
        file("particulars before it", format!("Station,Q1ABC\nAntenna,dipole\nFrom,2031-04-27\n\n{HEAD}{A}{B}")).gives(&AB),
        file("sums below it", format!("{HEAD}{A}{B},,,,,,-12\nTotal,2\n")).gives(&AB).aside(&[
            (4, Reason::NotASpot),
            (5, Reason::NotASpot),
        ]),
        file("a thousandfold header", format!("{HEAD}{A}{HEAD}{B}{HEAD}")).gives(&AB).says(NoteKind::RepeatedHeader),
        file("header cells in other letter case", format!("{HEAD}{A}{}{B}", HEAD.to_uppercase())).gives(&AB),
        file("CR CR LF", format!("{HEAD}{A}{B}").replace('\n', "\r\r\n")).gives(&AB),
        file("the end mark of old systems", format!("{HEAD}{A}{B}\u{1a}")).gives(&AB),
        file("form feeds between pages", format!("{HEAD}{A}\u{c}\n{B}")).gives(&AB),
        file("numbers of rows first", format!("#,{HEAD}1,{A}2,{B}")).gives(&AB),
        // the header stands behind a comment sign; without it nothing would say who transmits
        file(
            "a header in a comment",
            "# time UTC,receiver,receiver locator,transmitter,transmitter locator,frequency MHz,SNR dB\n\
             2031-04-27 12:00,Q8STU,BL11bh,Q1ABC,JO22ob,14.0971,-21\n2031-04-27 12:02,Q9VW,JN05qd,Q1ABC,JO22ob,7.0401,-3\n",
        )
        .gives(&AB),
        file("a unit row", format!("{}UTC,,,,,MHz,dB\n{A}{B}", HEAD.replace(" UTC", "").replace(" MHz", "").replace(" dB", "")))
            .gives(&AB),
        file("units in brackets on lines of their own", {
            let head = HEAD.replace("SNR dB", "\"SNR\n(dB)\"").replace("frequency MHz", "\"frequency\n(MHz)\"");
            format!("{head}{A}{B}")
        })
        .gives(&AB),
        file(
            "a header in two lines",
            ",transmitter,,receiver,,,\ntime UTC,call,locator,call,locator,frequency MHz,SNR dB\n".to_owned() + A + B,
        )
        .gives(&AB),
    ]);
}

#[test]
fn delimiters_and_decimal_commas() {
    let decimal = |text: &str| text.replace("14.0971", "14,0971").replace("7.0401", "7,0401");
    let semicolons = decimal(&format!("{HEAD}{A}{B}").replace(',', ";"));
    let tabs = decimal(&format!("{HEAD}{A}{B}").replace(',', "\t"));
    hold(&[
        file("semicolons, decimal commas, tabs behind cells", semicolons.replace(';', "\t;")).gives(&AB),
        file("tabs and decimal commas", tabs.clone()).gives(&AB),
        file(
            "tabs, every cell in quotes",
            format!("\"{}\"", tabs.trim_end().replace('\t', "\"\t\"").replace('\n', "\"\n\"")),
        )
        .gives(&AB),
        file("notes of nine lines each", {
            let note = |row: &str| row.replace('\n', &format!(",\"{}end\"\n", "so it was\n".repeat(8)));
            format!("{},note\n{}{}", HEAD.trim_end(), note(A), note(B))
        })
        .gives(&AB),
        file("sep line for tabs", format!("sep=\t\n{tabs}")).gives(&AB).says(NoteKind::SepLine),
        file("quoted decimal commas among commas", {
            let text = format!("{HEAD}{A}{B}");
            text.replace("14.0971", "\"14,0971\"").replace("7.0401", "\"7,0401\"")
        })
        .gives(&AB),
        // 14,0971 cut at its comma is 14 MHz and 971 dB: no such row may be read
        file("decimal commas among commas, unquoted", decimal(&format!("{HEAD}{A}{B}")))
            .gives(&[])
            .fails(ErrorKind::NoRows)
            .aside(&[(2, Reason::TooManyColumns), (3, Reason::TooManyColumns)]),
        file("one decimal comma among commas, unquoted", decimal(&format!("{HEAD}{A}")) + B)
            .gives(&AB[1..])
            .aside(&[(2, Reason::TooManyColumns)]),
        file("copied from a web page: tabs and blank lines", tabs.replace('\n', "\n\n \t \n")).gives(&AB),
        file("bars, no outer ones", format!("{HEAD}{A}{B}").replace(',', " | ")).gives(&AB),
        file("a table of a wiki", {
            let row = |text: &str| format!("|| {} ||\n", text.trim_end().replace(',', " || "));
            format!("{}{}{}", row(HEAD), row(A), row(B))
        })
        .gives(&AB),
        file(
            "fixed width with rulers",
            "Time UTC          Transmitter  Loc     Receiver  Loc     MHz      dB\n\
             ----------------  -----------  ------  --------  ------  -------  ---\n\
             2031-04-27 12:00  Q1ABC        JO22ob  Q8STU     BL11bh  14.0971  -21\n\
             2031-04-27 12:02  Q1ABC        JO22ob  Q9VW      JN05qd   7.0401   -3\n\
             ================  ===========  ======  ========  ======  =======  ===\n",
        )
        .gives(&AB),
        file(
            "fixed width, an empty cell and no blank between full ones",
            "date       UTC  tx      txloc rx      rxloc MHz     dB\n\
             2031-04-27 1200 Q1ABC   JO22obQ8STU   BL11bh14.0971 -21\n\
             2031-04-27 1202 Q1ABC   JO22obQ9VW    JN05qd 7.0401  -3\n",
        )
        .gives(&[])
        .fails(ErrorKind::NoRoles),
    ]);
}

#[test]
fn columns_that_look_like_others() {
    hold(&[
        // places in degrees are no levels, powers or drifts
        file(
            "degrees instead of locators",
            "time UTC,tx,tx lat,tx lon,rx,rx lat,rx lon\n\
             2031-04-27 12:00,Q1ABC,52.1,5.2,Q8STU,21.3,-157.9\n2031-04-27 12:02,Q1ABC,52.1,5.2,Q9VW,45.7,-10.6\n",
        )
        .gives(&["12:00 Q1ABC > Q8STU unknown", "12:02 Q1ABC > Q9VW unknown"]),
        file(
            "offset in the passband beside the frequency",
            "time UTC,tx,rx,dial frequency MHz,audio frequency Hz,SNR dB\n\
             2031-04-27 12:00,Q1ABC,Q8STU,14.0956,1500,-21\n2031-04-27 12:02,Q1ABC,Q9VW,14.0956,1432,-3\n",
        )
        .gives(&["12:00 Q1ABC > Q8STU 20m 14095600 Hz -21 dB", "12:02 Q1ABC > Q9VW 20m 14095600 Hz -3 dB"]),
        file(
            "two times",
            "date,time on,time off,transmitter,receiver,frequency MHz\n\
             2031-04-27,1200,1202,Q1ABC,Q8STU,14.0971\n2031-04-27,1202,1204,Q1ABC,Q9VW,7.0401\n",
        )
        .gives(&["12:00 Q1ABC > Q8STU 20m 14097100 Hz", "12:02 Q1ABC > Q9VW 40m 7040100 Hz"]),
        file(
            "noise and level beside the SNR",
            "time UTC,tx,rx,noise dBm,signal dBm,SNR dB\n\
             2031-04-27 12:00,Q1ABC,Q8STU,-120,-110,-21\n2031-04-27 12:02,Q1ABC,Q9VW,-118,-109,-3\n",
        )
        .gives(&["12:00 Q1ABC > Q8STU unknown -21 dB", "12:02 Q1ABC > Q9VW unknown -3 dB"]),
        // the contacts of a log: CALL is the other station, GRIDSQUARE its place
        file(
            "a log of contacts",
            "qso date,time on,call,gridsquare,station callsign,my gridsquare,freq,rst sent,rst rcvd\n\
             20310427,1200,Q8STU,BL11bh,Q1ABC,JO22ob,14.0971,-21,-18\n20310427,1202,Q9VW,JN05qd,Q1ABC,JO22ob,7.0401,-3,599\n",
        )
        .gives(&[
            "12:00 Q8STU BL11bh > Q1ABC JO22ob 20m 14097100 Hz -21 dB",
            "12:02 Q9VW JN05qd > Q1ABC JO22ob 40m 7040100 Hz -3 dB",
        ])
        .gives(&[
            "12:00 Q1ABC JO22ob > Q8STU BL11bh 20m 14097100 Hz -18 dB",
            "12:02 Q1ABC JO22ob > Q9VW JN05qd 40m 7040100 Hz",
        ])
        .says(NoteKind::RolesAssumed),
        file(
            "drift before the level, both small",
            "time UTC,tx,rx,frequency drift Hz/min,SNR dB\n2031-04-27 12:00,Q1ABC,Q8STU,-2,3\n2031-04-27 12:02,Q1ABC,Q9VW,1,2\n",
        )
        .gives(&["12:00 Q1ABC > Q8STU unknown 3 dB", "12:02 Q1ABC > Q9VW unknown 2 dB"]),
    ]);
}

/// A spreadsheet marks text by an apostrophe before it; dumps of databases set texts in two.
#[test]
fn apostrophes_of_spreadsheets() {
    let marked = |row: &str| format!("'{}\n", row.trim().replace(',', ",'"));
    let quoted = |row: &str| format!("'{}'\n", row.trim().replace(',', "','"));
    hold(&[
        file("marked as text", format!("{HEAD}{}{}", marked(A), marked(B))).gives(&AB),
        file("in single quotes", format!("{HEAD}{}{}", quoted(A), quoted(B))).gives(&AB),
    ]);
}
