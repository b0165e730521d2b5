//! Dates and times of day with letters or separators, read from the left.

use super::calendar::{day_number, full_year};
use super::cell;
use super::months::{is_weekday, month};
use super::stamp::{
    ClockPart, DatePart, Form, NAMED, Stamp, Triple, clock_of_digits, clock_part, compact_date, triple,
};
use super::zone::{self, ZoneMark};

/// A text being read from the left.
struct Cursor<'a> {
    text: &'a str,
    at: usize,
}

impl<'a> Cursor<'a> {
    fn peek(&self) -> Option<u8> {
        self.text.as_bytes().get(self.at).copied()
    }

    fn peek_at(&self, ahead: usize) -> Option<u8> {
        self.text.as_bytes().get(self.at + ahead).copied()
    }

    fn eat(&mut self, wanted: &[u8]) -> bool {
        let found = self.peek().is_some_and(|b| wanted.contains(&b));
        self.at += usize::from(found);
        found
    }

    fn skip_blanks(&mut self) -> bool {
        let start = self.at;
        while self.eat(b" ") {}
        self.at > start
    }

    fn rest(&self) -> &'a str {
        self.text.get(self.at..).unwrap_or_default()
    }

    /// A number with how many digits it has; more than nine are no part of a date.
    fn digits(&mut self) -> Option<(u32, usize)> {
        let length = self.rest().bytes().take_while(u8::is_ascii_digit).count();
        let value = self.rest().get(..length).filter(|_| (1..=9).contains(&length))?.parse().ok()?;
        self.at += length;
        Some((value, length))
    }

    /// A word of letters of any script.
    fn word(&mut self) -> Option<&'a str> {
        let rest = self.rest();
        let end = rest.find(|c: char| !c.is_alphabetic()).unwrap_or(rest.len());
        let word = rest.get(..end).filter(|w| !w.is_empty())?;
        self.at += end;
        Some(word)
    }

    /// Runs `read` and comes back to where it was if that gives nothing.
    fn attempt<T>(&mut self, read: impl FnOnce(&mut Self) -> Option<T>) -> Option<T> {
        let start = self.at;
        let result = read(self);
        if result.is_none() {
            self.at = start;
        }
        result
    }

    /// A month name with an optional stop behind.
    fn month(&mut self) -> Option<u32> {
        self.attempt(|c| {
            let found = month(c.word()?)?;
            c.eat(b".");
            Some(found)
        })
    }

    fn skip_weekday(&mut self) {
        self.attempt(|c| {
            let word = c.word()?;
            c.eat(b".");
            c.eat(b",");
            (c.skip_blanks() && is_weekday(word)).then_some(())
        });
    }

    /// What may stand between the parts of a date with a month name: blanks, stops, dashes, `de`, `of`.
    fn skip_joint(&mut self) {
        loop {
            let start = self.at;
            while self.eat(b" .,-/'") {}
            self.attempt(|c| {
                let word = c.word()?;
                (matches!(word, "de" | "del" | "of" | "di" | "do" | "the") && c.peek() == Some(b' ')).then_some(())
            });
            if self.at == start {
                return;
            }
        }
    }

    /// `st`, `nd`, `rd`, `th`, `er`, `e` behind a day.
    fn skip_ordinal(&mut self) {
        self.attempt(|c| matches!(c.word()?, "st" | "nd" | "rd" | "th" | "er" | "e" | "o" | "a").then_some(()));
    }

    fn year(&mut self) -> Option<i32> {
        self.attempt(|c| match c.digits()? {
            (year, 4) => Some(year.cast_signed()),
            (year, 2) if c.peek() != Some(b':') => Some(full_year(year)),
            _ => None,
        })
    }

    /// A date, with its form. `asctime` dates have their year behind the clock: then month and day are given back.
    fn date(&mut self) -> Option<(DatePart, Form)> {
        self.attempt(Self::date_of_numbers).or_else(|| self.attempt(Self::date_with_name))
    }

    fn date_of_numbers(&mut self) -> Option<(DatePart, Form)> {
        let start = self.at;
        let (first, first_digits) = self.digits()?;
        if matches!(first_digits, 6 | 8) {
            let digits = self.text.get(start..self.at)?;
            let open = matches!(self.peek(), None | Some(b' ' | b'T' | b't' | b'_' | b'-' | b',' | b'Z'));
            let date = if first_digits == 8 {
                compact_date(digits)?
            } else {
                let numbers = [first / 10_000, first / 100 % 100, first % 100];
                triple(Triple { numbers, year_last: false, separator: 0 })?
            };
            return open.then_some((date, Form::Compact));
        }
        let separator = self.separator()?;
        let (second, second_digits) = self.digits()?;
        if first_digits == 4 && second_digits == 3 && separator == b'-' {
            // ordinal date of ISO 8601
            let year = first.cast_signed();
            let day = day_number(year, 1, 1).filter(|_| (1..=366).contains(&second))? + second.cast_signed() - 1;
            let exists = day_number(year + 1, 1, 1).is_some_and(|next| day < next);
            return Some((if exists { DatePart::Day(day) } else { DatePart::Impossible }, Form::YearFirst));
        }
        if self.separator()? != separator {
            return None;
        }
        let (third, third_digits) = self.digits()?;
        if separator == b'.' && self.peek() == Some(b'.') {
            self.at += 1; // 2024. 04. 03.
        }
        match (first_digits, second_digits, third_digits) {
            (4, 1..=2, 1..=2) => {
                let day = day_number(first.cast_signed(), second, third);
                Some((day.map_or(DatePart::Impossible, DatePart::Day), Form::YearFirst))
            }
            (1..=2, 1..=2, 4 | 2) if separator != b' ' => {
                let numbers = Triple { numbers: [first, second, third], year_last: third_digits == 4, separator };
                Some((triple(numbers).unwrap_or(DatePart::Impossible), Form::Numbers))
            }
            _ => None,
        }
    }

    /// One of `-` `/` `.` with blanks around it, or blanks alone.
    fn separator(&mut self) -> Option<u8> {
        let blank = self.skip_blanks();
        if let Some(byte @ (b'-' | b'/' | b'.')) = self.peek() {
            self.at += 1;
            self.skip_blanks();
            return Some(byte);
        }
        blank.then_some(b' ')
    }

    fn date_with_name(&mut self) -> Option<(DatePart, Form)> {
        let whole = |year: i32, month: u32, day: u32| {
            Some((day_number(year, month, day).map_or(DatePart::Impossible, DatePart::Day), Form::MonthName))
        };
        if let Some((first, digits)) = self.digits() {
            if digits <= 2 {
                self.skip_ordinal();
            }
            self.skip_joint();
            let month = self.month()?;
            self.skip_joint();
            return if digits == 4 {
                let (day, _) = self.digits().filter(|&(_, n)| n <= 2)?;
                self.eat(b".");
                whole(first.cast_signed(), month, day)
            } else if digits <= 2 {
                let year_at = self.at;
                let year = self.year()?;
                // `24-Apr-03` is of 2003 or of 2024
                let short = Triple {
                    numbers: [first, month, year.rem_euclid(100).cast_unsigned()],
                    year_last: false,
                    separator: NAMED,
                };
                match triple(short).filter(|_| digits == 2 && self.at - year_at == 2) {
                    Some(date) => Some((date, Form::MonthName)),
                    None => whole(year, month, first),
                }
            } else {
                None
            };
        }
        let month = self.month()?;
        self.skip_joint();
        let (day, _) = self.digits().filter(|&(_, n)| n <= 2)?;
        self.skip_ordinal();
        let before_year = self.at;
        self.skip_joint();
        if let Some(year) = self.year() {
            return whole(year, month, day);
        }
        // asctime: the year is the last number of the text
        self.at = before_year;
        let (_, year) = self.text.rsplit_once(' ')?;
        let year: i32 = year.parse().ok().filter(|_| year.len() == 4)?;
        self.text = self.text.get(..self.text.len() - 5)?;
        whole(year, month, day)
    }

    /// What may stand between a date and a time of day.
    fn skip_gap(&mut self) {
        while self.eat(b" ,;_") {}
        if matches!(self.peek(), Some(b'T' | b't' | b':' | b'-')) && self.peek_at(1).is_some_and(|b| b.is_ascii_digit())
        {
            // a dash before a clock, not before an offset
            if self.peek() != Some(b'-')
                || matches!(self.peek_at(3), Some(b':'))
                || self.peek_at(2).is_some_and(|b| b.is_ascii_digit())
            {
                self.at += 1;
            }
        }
        self.attempt(|c| {
            let word = cell::fold(c.word()?);
            c.eat(b".");
            let joins = matches!(
                word.as_str(),
                "at" | "um" | "a" | "as" | "kl" | "klo" | "om" | "o" | "alle" | "ore" | "v" | "las"
            );
            (joins && c.skip_blanks()).then_some(())
        });
    }

    /// A time of day; bare digits only behind a date.
    fn clock(&mut self, behind_date: bool) -> Option<ClockPart> {
        let (hour, digits) = self.digits()?;
        if matches!(digits, 4 | 6) && behind_date {
            let digits = self.text.get(self.at - digits..self.at)?;
            self.skip_fraction();
            return clock_of_digits(digits, 0);
        }
        if digits > 2 {
            return None;
        }
        let blank = self.skip_blanks();
        let (minute, second) = match self.peek()? {
            b':' | b'.' if !blank => {
                let separator = self.peek()?;
                if separator == b'.' && !behind_date {
                    return None;
                }
                self.at += 1;
                let (minute, _) = self.digits().filter(|&(_, n)| n == 2 || n == 1 && separator == b':')?;
                let second = self
                    .attempt(|c| (c.eat(&[separator]) || c.eat(b":")).then(|| c.digits())?.filter(|&(_, n)| n <= 2))
                    .map_or(0, |(second, _)| second);
                self.skip_fraction();
                (minute, second)
            }
            b'h' | b'H' | b'u' | b'U' => {
                self.at += 1;
                if self.peek().is_some_and(|b| b.is_ascii_alphabetic()) {
                    return None; // Uhr, UTC
                }
                self.skip_blanks();
                let minute = self.attempt(|c| c.digits().filter(|&(_, n)| n == 2)).map_or(0, |(minute, _)| minute);
                self.attempt(|c| {
                    c.skip_blanks();
                    matches!(c.word()?, "m" | "min" | "mn").then_some(())
                });
                let second = self
                    .attempt(|c| {
                        c.skip_blanks();
                        let second = c.digits().filter(|&(_, n)| n == 2)?;
                        c.skip_blanks();
                        matches!(c.word()?, "s" | "sec").then_some(second)
                    })
                    .map_or(0, |(second, _)| second);
                (minute, second)
            }
            _ => return None,
        };
        Some(clock_part(hour, minute, second))
    }

    fn skip_fraction(&mut self) {
        self.attempt(|c| {
            (c.eat(b".,") && c.rest().starts_with(|d: char| d.is_ascii_digit())).then_some(()).inspect(|()| {
                while c.peek().is_some_and(|b| b.is_ascii_digit()) {
                    c.at += 1;
                }
            })
        });
    }

    /// `AM`, `p.m.`, `a. m.`: is it after noon?
    fn half_day(&mut self) -> Option<bool> {
        self.attempt(|c| {
            c.skip_blanks();
            let afternoon = c.eat(b"pP");
            if !afternoon && !c.eat(b"aA") {
                return None;
            }
            c.eat(b".");
            c.skip_blanks();
            if !c.eat(b"mM") {
                return None;
            }
            c.eat(b".");
            (!c.rest().starts_with(char::is_alphabetic)).then_some(afternoon)
        })
    }

    /// Words behind a clock that only say that it is one.
    fn skip_clock_word(&mut self) {
        self.attempt(|c| {
            c.skip_blanks();
            matches!(cell::fold(c.word()?).as_str(), "uhr" | "hrs" | "h" | "hours" | "heures" | "horas" | "uur" | "hod")
                .then_some(())
        });
    }
}

/// Cells with letters or separators in them.
pub(super) fn read(text: &str) -> Option<Stamp> {
    if is_minutes_and_tenths(text) {
        return Some(Stamp::new(DatePart::None, ClockPart::Impossible, Form::Minutes));
    }
    let mut cursor = Cursor { text, at: 0 };
    let dated = cursor.date().or_else(|| {
        cursor.skip_weekday();
        cursor.date()
    });
    if dated.is_some() {
        cursor.skip_gap();
    }
    let mut clock = cursor.attempt(|c| c.clock(dated.is_some())).unwrap_or(ClockPart::None);
    let half_day = if clock == ClockPart::None { None } else { cursor.half_day() };
    if let Some(afternoon) = half_day {
        clock = twelve_hours(clock, afternoon);
    }
    if clock != ClockPart::None {
        cursor.skip_clock_word();
    }
    let (date, form) = match dated {
        Some(dated) => dated,
        None if clock != ClockPart::None => {
            // `12:00 03/04/2024`
            cursor
                .attempt(|c| {
                    while c.eat(b" ,") {}
                    c.skip_weekday();
                    c.date()
                })
                .unwrap_or((DatePart::None, Form::Clock))
        }
        None => return None,
    };
    let zone = match zone::read(cursor.rest())? {
        // a date followed by letters is no date
        ZoneMark::Ambiguous if clock == ClockPart::None => return None,
        zone => zone,
    };
    Some(Stamp { date, clock, zone, form, twelve_hours: half_day.is_some() })
}

/// `58:00.0`: what a spreadsheet shows of a date with seconds by default.
fn is_minutes_and_tenths(text: &str) -> bool {
    let mut parts = text.split([':', '.', ',']);
    let mut part = |lengths: std::ops::RangeInclusive<usize>| {
        parts.next().is_some_and(|p| lengths.contains(&p.len()) && p.bytes().all(|b| b.is_ascii_digit()))
    };
    let (minutes, seconds, tenths) = (part(1..=3), part(2..=2), part(1..=1));
    minutes
        && seconds
        && tenths
        && parts.next().is_none()
        && text.find(':') < text.find(['.', ','])
        && text.contains(':')
}

fn twelve_hours(clock: ClockPart, afternoon: bool) -> ClockPart {
    match clock {
        ClockPart::At(second) => match (second / 3600, afternoon) {
            (12, false) => ClockPart::At(second - 12 * 3600),
            (0..=11, true) => ClockPart::At(second + 12 * 3600),
            // 13:05 AM does not exist; 13:05 PM says the same twice
            (13.., false) => ClockPart::Impossible,
            _ => ClockPart::At(second),
        },
        other => other,
    }
}
