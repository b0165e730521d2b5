//! Dates and spans of time in words, always UTC.
//!
//! The day stands before the month unless [`set_date_order`] says otherwise, as the page does by the person's language.

use std::cell::Cell;

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

/// In which order a date is written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum DateOrder {
    /// `16 January 2031`.
    #[default]
    DayFirst,
    /// `January 16, 2031`.
    MonthFirst,
    /// `2031 January 16`.
    YearFirst,
}

impl DateOrder {
    /// By which part comes first: `month`, `year`, else the day.
    pub fn of(first_part: &str) -> Self {
        match first_part {
            "month" => Self::MonthFirst,
            "year" => Self::YearFirst,
            _ => Self::DayFirst,
        }
    }
}

thread_local! {
    static ORDER: Cell<DateOrder> = const { Cell::new(DateOrder::DayFirst) };
}

/// From here on dates of this thread are written in this order.
pub fn set_date_order(order: DateOrder) {
    ORDER.set(order);
}

/// The same; hands over the order until now.
pub(super) fn replace_date_order(order: DateOrder) -> DateOrder {
    ORDER.replace(order)
}

/// `16 January 2031`.
pub fn date(time: UtcTime) -> String {
    with_year(time.date().0, &day(time))
}

/// A day or several, and their year.
fn with_year(year: i32, days: &str) -> String {
    match ORDER.get() {
        DateOrder::DayFirst => format!("{days}{NO_BREAK}{year}"),
        DateOrder::MonthFirst => format!("{days}, {year}"),
        DateOrder::YearFirst => format!("{year}{NO_BREAK}{days}"),
    }
}

/// A day or several of a month.
fn with_month(month: u32, days: &str) -> String {
    let month = MONTHS.get(month.saturating_sub(1) as usize).copied().unwrap_or_default();
    match ORDER.get() {
        DateOrder::DayFirst => format!("{days}{NO_BREAK}{month}"),
        DateOrder::MonthFirst | DateOrder::YearFirst => format!("{month}{NO_BREAK}{days}"),
    }
}

/// `16 January`, where the year stands elsewhere.
pub fn day(time: UtcTime) -> String {
    let (_, month, day) = time.date();
    with_month(month, &day.to_string())
}

/// The days of a span: `16 January 2031`, `27 and 28 April 2031`, `30 April to 2 May 2031`.
pub fn days(first: UtcTime, last: UtcTime) -> String {
    let ((y1, m1, d1), (y2, m2, d2)) = (first.date(), last.date());
    if (y1, m1, d1) == (y2, m2, d2) {
        return date(first);
    }
    if (y1, m1) == (y2, m2) {
        let joint = if d2 == d1 + 1 { "and" } else { "to" };
        with_year(y1, &with_month(m1, &format!("{d1}{NO_BREAK}{joint}{NO_BREAK}{d2}")))
    } else if y1 == y2 {
        with_year(y1, &format!("{} to {}", day(first), day(last)))
    } else {
        format!("{} to {}", date(first), date(last))
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
        set_date_order(DateOrder::of("month"));
        assert_eq!(plain(date(at("2031-04-27"))), "April 27, 2031");
        assert_eq!(plain(days(at("2031-04-27"), at("2031-04-28T23:58"))), "April 27 and 28, 2031");
        assert_eq!(plain(days(at("2031-04-30"), at("2031-05-02"))), "April 30 to May 2, 2031");
        assert_eq!(plain(days(at("2030-12-31"), at("2031-01-01"))), "December 31, 2030 to January 1, 2031");
        set_date_order(DateOrder::of("year"));
        assert_eq!(plain(days(at("2031-04-27"), at("2031-04-28T23:58"))), "2031 April 27 and 28");
        assert_eq!(plain(days(at("2031-04-30"), at("2031-05-02"))), "2031 April 30 to May 2");
        set_date_order(DateOrder::of("day"));
        assert_eq!(plain(duration(at("2031-04-27"), at("2031-04-27T23:58"))), "24 hours");
        assert_eq!(plain(duration(at("2031-04-27"), at("2031-04-28T23:58"))), "48 hours");
        assert_eq!(plain(duration(at("2031-04-27"), at("2031-04-27T00:00"))), "2 minutes");
        assert_eq!(plain(duration(at("2031-04-27"), at("2031-05-03T23:58"))), "7 days");
    }
}
