//! Times that can be misread.

use farheard::import::{ErrorKind, NoteKind, Reason};

use super::case::{Case, file, hold};

/// A table of one kind of time; every row has another listener.
fn table(header: &str, rows: &[&str]) -> String {
    let mut text = format!("{header};transmitter;receiver\n");
    for (n, row) in rows.iter().enumerate() {
        let line = format!("{row};Q1ABC;Q{n}STU\n");
        text += &line;
    }
    text
}

fn column(name: &'static str, rows: &[&str]) -> Case {
    file(name, table("time", rows))
}

fn apart(name: &'static str, rows: &[&str]) -> Case {
    file(name, table("date;time", rows))
}

const NOON: [&str; 2] = ["12:00 Q1ABC > Q0STU unknown", "12:02 Q1ABC > Q1STU unknown"];

#[test]
fn forms_of_times() {
    hold(&[
        column("points in the small hours", &["27.4.31 00:05 AM", "27.4.31 12:05 a.m.", "27.4.31 1:05 p.m."]).gives(&[
            "00:05 Q1ABC > Q0STU unknown",
            "00:05 Q1ABC > Q1STU unknown",
            "13:05 Q1ABC > Q2STU unknown",
        ]),
        column("noon and midnight of twelve hours", &["4/27/2031 12:00 AM", "4/27/2031 12:00 PM"])
            .gives(&["00:00 Q1ABC > Q0STU unknown", "12:00 Q1ABC > Q1STU unknown"]),
        column("microseconds since 1970", &["1935057600000000", "1935057720000000"])
            .gives(&NOON)
            .says(NoteKind::TimeForm),
        column("nanoseconds since 1970", &["1935057600000000000", "1935057720000000000"])
            .gives(&NOON)
            .says(NoteKind::TimeForm),
        column("seconds with a decimal comma", &["1935057600,5", "1935057720,5"])
            .gives(&["12:00 Q1ABC > Q0STU unknown", "12:02 Q1ABC > Q1STU unknown"])
            .gives(&["12:00:01 Q1ABC > Q0STU unknown", "12:02:01 Q1ABC > Q1STU unknown"]),
        column("day numbers of a spreadsheet", &["47965,5", "47965,50138888889"]).gives(&NOON),
        apart("day numbers beside clocks", &["47965;12:00", "47965;12:02"]).gives(&NOON),
        apart("day numbers beside parts of a day", &["47965;0,5", "47965;0,50138888889"]).gives(&NOON),
        apart("compact dates beside short clocks", &["20310427;5", "20310427;45"])
            .gives(&["00:05 Q1ABC > Q0STU unknown", "00:45 Q1ABC > Q1STU unknown"]),
        apart("a time in the column of dates", &["2031-04-27 00:00:00;12:00", "2031-04-27 00:00:00;12:02"])
            .gives(&NOON),
        apart(
            "a spreadsheet's first day in the column of times",
            &["2031-04-27;1899-12-30 12:00:00", "2031-04-27;1899-12-30 12:02:00"],
        )
        .gives(&NOON),
        column("names of days", &["Sunday, 27 April 2031 12:00", "Sun 27-Apr-31 12:02"]).gives(&NOON),
        column("month names in Spanish", &["27 abr 2031 12:00", "27/abr/2031 12:02"]).gives(&NOON),
        column("Japanese characters", &["2031年4月27日 12時00分", "2031年4月27日 12時02分"]).gives(&NOON),
        column("points between hours and minutes", &["27.04.2031 12.00", "27.04.2031 12.02"]).gives(&NOON),
        column("T and Z without signs", &["20310427T1200Z", "20310427T1202Z"]).gives(&NOON),
        column("a group of day and time with Z", &["271200ZAPR31", "271202ZAPR31"])
            .gives(&[])
            .aside(&[(2, Reason::BadTime), (3, Reason::BadTime)])
            .fails(ErrorKind::NoUsableTime),
    ]);
}

#[test]
fn zones() {
    hold(&[
        column("offsets of every form", &["2031-04-27T14:00:00+02:00", "2031-04-27T07:02:00-0500"])
            .gives(&NOON)
            .says(NoteKind::OffsetsConverted),
        column("UTC and an offset", &["2031-04-27 14:00 UTC+2", "2031-04-27 07:02 GMT-05:00"])
            .gives(&NOON)
            .says(NoteKind::OffsetsConverted),
        column("offsets of half and quarter hours", &["2031-04-27 17:45+05:45", "2031-04-27 21:32 +09:30"])
            .gives(&NOON),
        column("the sign of typesetters", &["2031-04-27 07:00\u{2212}05:00", "2031-04-27 07:02\u{2212}05:00"])
            .gives(&NOON),
        file("a zone in the header", table("Zeit (MESZ)", &["2031-04-27 14:00", "2031-04-27 14:02"])).gives(&NOON),
        file("an offset in the header", table("time UTC+02:00", &["2031-04-27 14:00", "2031-04-27 14:02"]))
            .gives(&NOON),
        // RFC 5322, section 4.3: CST is six hours behind UTC; what was done with it is said
        column("a zone word of the mail standard", &["2031-04-27 06:00 CST", "2031-04-27 06:02 CST"])
            .gives(&NOON)
            .says(NoteKind::OffsetsConverted),
        // India, Ireland and Israel have this one: no hour may be chosen in silence
        column("a zone word of several zones", &["2031-04-27 12:00 IST", "2031-04-27 12:02 IST"])
            .gives(&[])
            .aside(&[(2, Reason::ZoneAmbiguous), (3, Reason::ZoneAmbiguous)])
            .fails(ErrorKind::NoRows),
        file("local by its header", table("Ortszeit", &["2031-04-27 12:00", "2031-04-27 12:02"]))
            .gives(&NOON)
            .says(NoteKind::TimeZoneUnknown),
        file(
            "UTC beside local time",
            table("UTC;local time", &["2031-04-27 12:00;2031-04-27 14:00", "2031-04-27 12:02;2031-04-27 14:02"]),
        )
        .gives(&NOON),
        file(
            "local time beside UTC",
            table("local time;UTC", &["2031-04-27 14:00;2031-04-27 12:00", "2031-04-27 14:02;2031-04-27 12:02"]),
        )
        .gives(&NOON),
    ]);
}

#[test]
fn orders_of_dates() {
    let day = |n: u32| format!("2031-04-{n:02}");
    assert_eq!(day(27), "2031-04-27");
    hold(&[
        column("two-digit years, day first", &["27/04/31 12:00", "27/04/31 12:02"])
            .gives(&NOON)
            .says(NoteKind::DateOrder),
        column("two-digit years, year first", &["31/04/27 12:00", "31/04/27 12:02"]).gives(&NOON),
        column("years of four digits in the middle", &["27 2031 04 12:00", "27 2031 04 12:02"])
            .gives(&[])
            .aside(&[(2, Reason::BadTime), (3, Reason::BadTime)])
            .fails(ErrorKind::NoUsableTime),
        column("no day of the year", &["31/04/2031 12:00", "27/04/2031 12:02"])
            .gives(&["12:02 Q1ABC > Q1STU unknown"])
            .aside(&[(2, Reason::BadTime)]),
        column("no leap year", &["29.02.2031 12:00", "27.04.2031 12:02"])
            .gives(&["12:02 Q1ABC > Q1STU unknown"])
            .aside(&[(2, Reason::BadTime)]),
        // a spreadsheet has turned the days it could, and left the others as text
        column(
            "half turned by a spreadsheet",
            &["2031-12-04 12:00", "27/04/2031 12:00", "2031-11-04 12:02", "28/04/2031 12:02"],
        )
        .gives(&[
            "2031-12-04T12:00 Q1ABC > Q0STU unknown",
            "12:00 Q1ABC > Q1STU unknown",
            "2031-11-04T12:02 Q1ABC > Q2STU unknown",
            "2031-04-28T12:02 Q1ABC > Q3STU unknown",
        ])
        .says(NoteKind::TimeForm),
    ]);
}
