//! Dates and spans of time in words, always UTC.

use super::number::NO_BREAK;
use crate::time::UtcTime;

const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

/// `16 January 2031`.
pub fn date(time: UtcTime) -> String {
    let (year, month, day) = time.date();
    format!("{day}{NO_BREAK}{}{NO_BREAK}{year}", month_name(month))
}

/// `16 January`, where the year stands elsewhere.
pub fn day(time: UtcTime) -> String {
    let (_, month, day) = time.date();
    format!("{day}{NO_BREAK}{}", month_name(month))
}

/// The days of a span: `16 January 2031`, `27 and 28 April 2031`, `30 April to 2 May 2031`.
pub fn days(first: UtcTime, last: UtcTime) -> String {
    let ((y1, m1, d1), (y2, m2, d2)) = (first.date(), last.date());
    if (y1, m1, d1) == (y2, m2, d2) {
        return date(first);
    }
    let end = date(last);
    if (y1, m1) == (y2, m2) {
        let joint = if d2 == d1 + 1 { "and" } else { "to" };
        format!("{d1}{NO_BREAK}{joint}{NO_BREAK}{end}")
    } else if y1 == y2 {
        format!("{d1}{NO_BREAK}{} to {end}", month_name(m1))
    } else {
        format!("{} to {end}", date(first))
    }
}

/// How long: `40 minutes`, `24 hours`, `3 days`, counting the slot of the last spot as two minutes.
pub fn duration(first: UtcTime, last: UtcTime) -> String {
    let minutes = (last.unix_s() - first.unix_s()) / 60 + 2;
    let (figure, one, many) = match minutes {
        ..120 => (minutes, "minute", "minutes"),
        120..2910 => ((minutes + 30) / 60, "hour", "hours"),
        _ => ((minutes + 720) / 1440, "day", "days"),
    };
    format!("{figure}{NO_BREAK}{}", if figure == 1 { one } else { many })
}

fn month_name(month: u32) -> &'static str {
    MONTHS.get(month.saturating_sub(1) as usize).copied().unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> UtcTime {
        UtcTime::parse_iso(text).unwrap()
    }

    #[test]
    fn spans_in_words() {
        let plain = |text: String| text.replace(NO_BREAK, " ");
        assert_eq!(plain(days(at("2031-04-27"), at("2031-04-28T23:58"))), "27 and 28 April 2031");
        assert_eq!(plain(days(at("2031-04-30"), at("2031-05-02"))), "30 April to 2 May 2031");
        assert_eq!(plain(days(at("2030-12-31"), at("2031-01-01"))), "31 December 2030 to 1 January 2031");
        assert_eq!(plain(duration(at("2031-04-27"), at("2031-04-27T23:58"))), "24 hours");
        assert_eq!(plain(duration(at("2031-04-27"), at("2031-04-28T23:58"))), "48 hours");
        assert_eq!(plain(duration(at("2031-04-27"), at("2031-04-27T00:00"))), "2 minutes");
        assert_eq!(plain(duration(at("2031-04-27"), at("2031-05-03T23:58"))), "7 days");
    }
}
