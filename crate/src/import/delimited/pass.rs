//! One pass over all rows with a plan: rows to spots. It can rest between any two rows and go on later.
//!
//! The common row costs no allocation: cells are lent, stations and times are looked up by their bytes, numbers are
//! read by the short forms first. Only rows that fail take the long way, where it is asked what they are.

use farheard_scan::plain::{Counts, NOWHERE, Plain, Shape};

use super::cells::Cells;
use super::header::header_words;
use super::lines::RowKind;
use super::parts::{Ahead, Onward, Parts, Share};
use super::plan::{Place, Plan};
use super::rows::{Cut, Row, Rows};
use super::times::{TimeReader, Timed};
use super::values::{Value, Values};
use crate::import::account::{Account, AtFault};
use crate::import::columns::decide::Basis;
use crate::import::columns::evidence::OrderTally;
use crate::import::fields::call::{self, CallCell};
use crate::import::fields::place::{self, PlaceCell};
use crate::import::fields::stamp::{self, DatePart, Want};
use crate::import::fields::{cell, level, number};
use crate::import::stations::{End, Found, StationReader};
use crate::import::wishes::Wishes;
use crate::import::words::{DecimalMark, Delimiter, Reason, Role};
use crate::model::{Added, Band, Spot, TableBuilder, single};
use crate::time::UtcTime;

/// What a pass brought.
#[derive(Debug)]
pub(crate) struct Pass {
    pub(crate) account: Account,
    /// Cells filled and fitting, per column.
    pub(crate) filled: Vec<u64>,
    pub(crate) fitting: Vec<u64>,
    /// Where a header with other columns begins a table of its own.
    pub(crate) next_table: Option<Place>,
    /// Do the cells speak against the plan, so that it should be made anew?
    pub(crate) doubts: Doubts,
}

/// What speaks against a plan after all rows were seen.
#[derive(Debug, Default)]
pub(crate) struct Doubts {
    pub(crate) order: OrderTally,
    pub(crate) long_clocks: u64,
    pub(crate) power_levels: u64,
    pub(crate) power_others: u64,
}

/// Columns by role; a place that no row has where there is none.
#[derive(Clone, Copy, Debug)]
struct At {
    time: usize,
    date: usize,
    time_of_day: usize,
    tx: usize,
    rx: usize,
    tx_loc: usize,
    rx_loc: usize,
    freq: usize,
    band: usize,
    snr: usize,
    drift: usize,
    power: usize,
}

impl At {
    fn of(plan: &Plan) -> Self {
        let column = |role: Role| plan.assignment.column(role).unwrap_or(NOWHERE);
        Self {
            time: column(Role::Time),
            date: column(Role::Date),
            time_of_day: column(Role::TimeOfDay),
            tx: column(Role::Tx),
            rx: column(Role::Rx),
            tx_loc: column(Role::TxLoc),
            rx_loc: column(Role::RxLoc),
            freq: column(Role::Freq),
            band: column(Role::Band),
            snr: column(Role::Snr),
            drift: column(Role::Drift),
            power: column(Role::Power),
        }
    }
}

struct Reader<'a> {
    text: &'a [u8],
    plan: &'a Plan,
    at: At,
    /// Last column that means something.
    last_role: usize,
    header: Vec<Vec<u8>>,
    times: TimeReader,
    stations: StationReader,
    plain_rows: PlainRows,
    values: Values<'a>,
    plain: String,
    pass: Pass,
    short_rows: u64,
    /// Rows without an empty cell.
    full_rows: u64,
    keep: Keep,
    /// Is the file known to end too early?
    cut: bool,
}

/// Rows that the person wants in spite of their fault.
#[derive(Clone, Copy, Debug)]
struct Keep {
    cut: bool,
    wide: bool,
    short: bool,
}

/// A row whose time and stations are known.
#[derive(Clone, Copy, Debug)]
struct Known {
    time: UtcTime,
    tx: Found,
    rx: Found,
    offset: bool,
}

/// A pass that rests between two rows: all that it knows so far.
#[derive(Debug)]
pub(crate) struct Resting {
    /// Where the next row begins.
    pub(crate) next: Place,
    pub(crate) pass: Pass,
    pub(crate) parts: Parts,
    times: TimeReader,
    stations: StationReader,
    plain_rows: PlainRows,
    short_rows: u64,
    full_rows: u64,
}

/// Rows that are read the quick way.
#[derive(Debug, Default)]
struct PlainRows {
    /// Nothing where the table can have none.
    reader: Option<Plain>,
    /// How often in a row there was none.
    missed: u32,
    /// So many rows are read the long way before it is tried again.
    wait: u32,
}

/// After so many misses in a row the quick way is tried more rarely.
const MANY_MISSES: u32 = 32;

impl PlainRows {
    fn of(plan: &Plan, wishes: &Wishes, times: &TimeReader) -> Self {
        let rules = &plan.rules;
        let Cut::Char { delimiter, outer: false } = plan.cut else { return Self::default() };
        let quick = plan.named >= plan.width
            && wishes.date.is_none()
            && times.is_utc()
            && !rules.twelve_hours
            && !rules.reports
            && rules.freq.basis != Basis::Mixed;
        #[cfg(test)]
        let quick = quick && !tests::LONG_WAY.get();
        if !quick {
            return Self::default();
        }
        let at = At::of(plan);
        let shape = Shape {
            delimiter,
            width: plan.width,
            time: at.time,
            date: at.date,
            time_of_day: at.time_of_day,
            tx: at.tx,
            tx_loc: at.tx_loc,
            rx: at.rx,
            rx_loc: at.rx_loc,
            freq: at.freq,
            freq_power: level::power_of_ten(rules.freq.unit),
            freq_mark: if rules.freq.mark == DecimalMark::Comma { b',' } else { b'.' },
            band: at.band,
            snr: at.snr,
            drift: at.drift,
            power: at.power,
            no_band: Band::UNKNOWN.number(),
        };
        Self { reader: Plain::new(shape), missed: 0, wait: 0 }
    }
}

impl Resting {
    /// Before the first row of the plan's table.
    pub(crate) fn before(plan: &Plan, wishes: &Wishes) -> Self {
        let times = TimeReader::new(&plan.rules, wishes.date);
        Self {
            plain_rows: PlainRows::of(plan, wishes, &times),
            next: plan.body,
            pass: Pass {
                account: Account { lines_skipped: plan.skipped, ..Account::default() },
                filled: vec![0; plan.width],
                fitting: vec![0; plan.width],
                next_table: None,
                doubts: Doubts::default(),
            },
            parts: Parts::default(),
            times,
            stations: StationReader::default(),
            short_rows: 0,
            full_rows: 0,
        }
    }

    /// See [`super::Steps::share`].
    pub(crate) fn share(&mut self, text: &[u8], plan: &Plan, own: usize, most: usize) -> Option<Share> {
        let plain = self.plain_rows.reader.as_ref().filter(|_| self.next.at > plan.body.at)?;
        self.parts.cut(text, self.next.at, plain, own, most)
    }

    /// Reads on for about so many bytes, into the table of spots. Is the plan's table read to its end?
    pub(crate) fn go_on(
        mut self,
        text: &[u8],
        plan: &Plan,
        cut: bool,
        wishes: &Wishes,
        table: &mut TableBuilder,
        bytes: usize,
    ) -> (Self, bool) {
        let mut parts = std::mem::take(&mut self.parts);
        let (mut reader, next) = Reader::wake(self, text, plan, cut, wishes);
        let mut rows = Rows::new(text, next.at, next.line, &plan.cut, plan.width);
        let until = next.at.saturating_add(bytes.max(1));
        let mut cells = Cells::default();
        let mut ended = true;
        loop {
            let place = Place { at: rows.place(), line: rows.line() };
            if place.at >= until {
                ended = false;
                break;
            }
            let until = match parts.onward(place.at) {
                Onward::Rows(next) => until.min(next),
                Onward::Wait => {
                    ended = false;
                    break;
                }
                Onward::Piece(mut ahead) => {
                    if reader.take_over(&mut ahead, &mut rows, table).is_none() {
                        parts.give_up();
                    }
                    continue;
                }
            };
            if reader.plain_rows(&mut rows, until, table) {
                continue;
            }
            let Some(row) = rows.next(&mut cells) else { break };
            if row.bad_quote {
                let account = &mut reader.pass.account;
                if account.bad_quotes == 0 {
                    account.first_bad_quote = row.line;
                }
                account.bad_quotes += 1;
            }
            match row.kind {
                RowKind::Cells => {
                    if reader.row(&row, &cells, table) == Next::NewTable {
                        reader.pass.next_table = Some(place);
                        break;
                    }
                }
                RowKind::Blank => {}
                RowKind::Comment | RowKind::Rule => reader.pass.account.lines_skipped += 1,
            }
        }
        (Self { parts, ..reader.rest(Place { at: rows.place(), line: rows.line() }) }, ended)
    }

    /// What the pass brought, after its last row.
    pub(crate) fn finish(self) -> Pass {
        let mut pass = self.pass;
        for filled in &mut pass.filled {
            *filled += self.full_rows;
        }
        pass.doubts.order = self.times.tally;
        pass.doubts.long_clocks = self.times.long_clocks;
        pass
    }
}

impl<'a> Reader<'a> {
    fn wake(resting: Resting, text: &'a [u8], plan: &'a Plan, cut: bool, wishes: &Wishes) -> (Self, Place) {
        let asked = |reason: Reason| wishes.use_set_aside.as_ref().is_some_and(|reasons| reasons.contains(&reason));
        let Resting { next, pass, times, stations, plain_rows, short_rows, full_rows, parts: _ } = resting;
        let reader = Self {
            text,
            plan,
            at: At::of(plan),
            last_role: (0..plan.width).rfind(|&c| plan.assignment.role(c) != Role::Ignore).unwrap_or(0),
            header: plan.header.iter().flat_map(|(_, cells)| cells.iter().map(|c| c.clone().into_bytes())).collect(),
            times,
            stations,
            plain_rows,
            values: Values::new(&plan.rules),
            plain: String::new(),
            pass,
            short_rows,
            full_rows,
            keep: Keep {
                cut: asked(Reason::CutLine),
                wide: asked(Reason::TooManyColumns),
                short: asked(Reason::TooFewColumns),
            },
            cut,
        };
        (reader, next)
    }

    fn rest(self, next: Place) -> Resting {
        let Self { times, stations, plain_rows, pass, short_rows, full_rows, .. } = self;
        Resting { next, pass, parts: Parts::default(), times, stations, plain_rows, short_rows, full_rows }
    }
}

/// What to do after a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Next {
    Go,
    NewTable,
}

impl Reader<'_> {
    /// Reads the plain rows that stand next, if any do.
    #[inline]
    fn plain_rows(&mut self, rows: &mut Rows<'_>, until: usize, table: &mut TableBuilder) -> bool {
        let PlainRows { reader: Some(reader), missed, wait } = &mut self.plain_rows else { return false };
        if *wait > 0 {
            *wait -= 1;
            return false;
        }
        let (text, (pairs, standing)) = (self.text, self.stations.known());
        let (at, line) = (rows.place(), rows.line());
        let mut counts = Counts::default();
        let stopped = table.push_rows(|spots, seen, lines| {
            reader.read(text, at, line, until, pairs, standing, spots, seen, lines, &mut counts)
        });
        if stopped.rows == 0 {
            *missed += 1;
            if *missed > MANY_MISSES {
                *wait = MANY_MISSES;
            }
            return false;
        }
        *missed = 0;
        if reader.take_own_time() {
            self.times.forget();
        }
        rows.go_to(stopped.at, line.saturating_add(u32::try_from(stopped.rows).unwrap_or(u32::MAX)));
        self.count_plain(&counts);
        true
    }

    /// Takes plain rows over that were read ahead. Nothing, with nothing done, if they do not hold together.
    fn take_over(&mut self, ahead: &mut Ahead<'_>, rows: &mut Rows<'_>, table: &mut TableBuilder) -> Option<()> {
        let piece = ahead.piece()?.clone();
        for [call, place] in ahead.new_stations(self.text) {
            ahead.ids.push(self.stations.read(End::Hears, call, place, table).station?.0);
        }
        let line = rows.line();
        let repeats = table
            .push_rows(|spots, seen, lines| ahead.stretch.add(ahead.number, ahead.ids, line, spots, seen, lines))?;
        let mut counts = piece.counts;
        counts.repeats += repeats;
        #[cfg(test)]
        super::parts::tests::TAKEN_OVER.set(super::parts::tests::TAKEN_OVER.get() + counts.rows);
        self.times.forget();
        rows.go_to(ahead.from + piece.place.end, line.saturating_add(u32::try_from(counts.rows).unwrap_or(u32::MAX)));
        self.count_plain(&counts);
        Some(())
    }

    fn count_plain(&mut self, counts: &Counts) {
        #[cfg(test)]
        tests::QUICK_ROWS.set(tests::QUICK_ROWS.get() + counts.rows);
        let (at, pass) = (self.at, &mut self.pass);
        pass.account.rows += counts.rows;
        pass.account.spots += counts.rows - counts.repeats;
        pass.account.duplicates += counts.repeats;
        pass.account.band_disagrees += counts.bands_disagree;
        pass.doubts.power_levels += counts.levels;
        pass.doubts.power_others += counts.others;
        let fitting = [
            (at.freq, counts.freq),
            (at.band, counts.band),
            (at.snr, counts.snr),
            (at.drift, counts.drift),
            (at.power, counts.power),
            (at.tx_loc, counts.placed[0]),
            (at.rx_loc, counts.placed[1]),
        ];
        for (column, count) in fitting {
            if let Some(fitting) = pass.fitting.get_mut(column) {
                *fitting += count;
            }
        }
        for (column, missing) in [at.tx_loc, at.rx_loc].into_iter().zip(counts.unplaced) {
            if column != NOWHERE {
                pass.account.locator_missing += missing;
            }
        }
        for (filled, more) in pass.filled.iter_mut().zip(counts.filled) {
            *filled += more;
        }
        self.full_rows += counts.full;
    }

    /// What a row that was read the long way tells about its like.
    fn learn(&mut self, cells: &Cells, spot: &Spot, named: Option<Band>, power: Option<bool>) {
        let Some(plain) = &mut self.plain_rows.reader else { return };
        let text = self.text;
        if self.at.band != NOWHERE {
            plain.learn_band(cells.get(text, self.at.band), named.map(Band::number));
        }
        if let Some(is_level) = power {
            plain.learn_power(cells.get(text, self.at.power), single(spot.power_dbm), is_level);
        }
        if spot.freq_hz.is_some()
            && let Some((low, high)) = level::edges_of(spot.band)
        {
            plain.learn_edges(low, high, spot.band.number());
        }
    }

    /// The time that a row was read to have the long way; `counted` before it.
    fn learn_time(&mut self, cells: &Cells, timed: &Timed, counted: (u32, u64)) {
        let Some(plain) = &mut self.plain_rows.reader else { return };
        let Ok(time) = timed.time else { return };
        let (first, second) = match self.at {
            At { time, .. } if time != NOWHERE => (cells.get(self.text, time), &[][..]),
            // what is counted of every row must be read in every row
            _ if self.times.counted() != counted => return,
            At { date, time_of_day, .. } => (cells.get(self.text, date), cells.get(self.text, time_of_day)),
        };
        if !timed.offset {
            plain.learn_time(first, second, time.second());
        }
    }

    fn time(&mut self, cells: &Cells) -> Timed {
        if self.at.time != NOWHERE {
            self.times.whole(cells.get(self.text, self.at.time))
        } else if self.at.date != NOWHERE {
            self.times.apart(cells.get(self.text, self.at.date), cells.get(self.text, self.at.time_of_day))
        } else {
            self.times.running(cells.get(self.text, self.at.time_of_day))
        }
    }

    fn row(&mut self, row: &Row, cells: &Cells, table: &mut TableBuilder) -> Next {
        let text = self.text;
        let counted = self.times.counted();
        let timed = self.time(cells);
        self.learn_time(cells, &timed, counted);
        let tx = self.stations.read(End::Sends, cells.get(text, self.at.tx), cells.get(text, self.at.tx_loc), table);
        let rx = self.stations.read(End::Hears, cells.get(text, self.at.rx), cells.get(text, self.at.rx_loc), table);
        let short = cells.len() < self.plan.width;
        self.short_rows += u64::from(short);
        if let (Ok(time), Some(_), Some(_)) = (timed.time, tx.station, rx.station) {
            if let Some(at) = self
                .is_turned(&tx, self.at.tx, self.at.tx_loc, cells)
                .or_else(|| self.is_turned(&rx, self.at.rx, self.at.rx_loc, cells))
            {
                self.set_aside(Reason::NotACall, row, at, cells);
                return Next::Go;
            }
            let known = Known { time, tx, rx, offset: timed.offset };
            let wide = cells.len() > self.plan.named && !self.keep.wide;
            let lacking = cells.len() < self.plan.usual && !self.keep.short;
            let doubtful = wide || lacking || !row.ended && !self.keep.cut;
            let fault = if doubtful { self.doubtful(row, cells, &known) } else { None };
            match fault {
                None => self.spot(row, cells, &known, table),
                Some((reason, at)) => self.set_aside(reason, row, at, cells),
            }
            return Next::Go;
        }
        self.failed(row, cells, timed, tx, rx)
    }

    /// Where a call looks like a locator and the cell of the locator holds a call, the two have changed places:
    /// the place of that call.
    fn is_turned(&mut self, found: &Found, call: usize, place: usize, cells: &Cells) -> Option<usize> {
        if place == NOWHERE || found.place != PlaceCell::Unreadable {
            return None;
        }
        let whole = matches!(place::read(cells.get(self.text, call)), PlaceCell::Whole(_));
        let mut upper = String::new();
        (whole && call::read(cells.get(self.text, place), &mut upper, &mut self.plain).is_call()).then_some(call)
    }

    /// A row that is wider than the table or the last without line end: is it to be set aside?
    fn doubtful(&mut self, row: &Row, cells: &Cells, known: &Known) -> Option<(Reason, usize)> {
        let width = self.plan.width;
        if row.ended && cells.len() < self.plan.usual && !self.keep.short {
            // its last cells may be missing, not one before them
            return self.first_moved(cells, known).map(|at| (Reason::TooFewColumns, at));
        }
        let surplus = (width..cells.len()).any(|at| !cell::is_blank(cells.get(self.text, at)));
        // a delimiter at the end of every row is a habit, in a single row a cell was pushed there
        if surplus || cells.len() > width && cells.len() != self.plan.usual {
            // surplus cells belong to a remark at the end, if all others are where they belong
            let remark = self.plan.assignment.role(width - 1) == Role::Ignore;
            let misfit = self.first_misfit(cells, known);
            if surplus && !remark || misfit.is_some() {
                return Some((Reason::TooManyColumns, misfit.unwrap_or(width)));
            }
        }
        // every row is wider than the header: has a number been cut in two, and all behind it been pushed along?
        if self.plan.named < width && !self.keep.wide {
            let number = |at: &usize| {
                let value = cell::trim(cells.get(self.text, *at));
                self.plan.assignment.role(*at) == Role::Ignore
                    && !value.is_empty()
                    && value.iter().all(|b| b.is_ascii_digit() || matches!(b, b'-' | b'+' | b'.'))
            };
            let pushed = (self.plan.named..width).find(number);
            if let Some(at) = pushed.or_else(|| self.first_misfit(cells, known)) {
                return Some((Reason::TooManyColumns, at));
            }
        }
        if !row.ended && !self.keep.cut {
            let last = cells.len().saturating_sub(1);
            let rarely_short = self.short_rows * 20 <= self.pass.account.rows + 20;
            let short = cells.len() < width && cells.len() <= self.last_role && rarely_short;
            let broken =
                last <= self.last_role && !cell::is_blank(cells.get(self.text, last)) && !self.fits(last, cells);
            if self.cut || short || broken {
                return Some((Reason::CutLine, last));
            }
        }
        None
    }

    /// In a row that lacks cells: the first one that does not belong where it stands.
    fn first_moved(&mut self, cells: &Cells, known: &Known) -> Option<usize> {
        let text = self.text;
        let places = [self.at.tx, self.at.rx].into_iter().find(|&at| {
            let usual = &self.plan.columns[at].evidence;
            usual.locators * 4 < usual.calls && matches!(place::read(cells.get(text, at)), PlaceCell::Whole(_))
        });
        let at = self.at.drift;
        places.or_else(|| self.first_misfit(cells, known)).or_else(|| {
            (at < cells.len() && self.values.drift(cells.get(text, at)).is_some_and(|drift| drift.abs() > 9.0))
                .then_some(at)
        })
    }

    /// The first cell that does not fit its role, read strictly.
    fn first_misfit(&mut self, cells: &Cells, known: &Known) -> Option<usize> {
        let loose = |found: &Found| !matches!(found.call, CallCell::Call | CallCell::Bracketed | CallCell::Changed);
        if loose(&known.tx) {
            return Some(self.at.tx);
        }
        if loose(&known.rx) {
            return Some(self.at.rx);
        }
        (0..self.plan.width).find(|&at| !cell::is_blank(cells.get(self.text, at)) && !self.fits(at, cells))
    }

    /// Does a cell make sense for its role?
    fn fits(&mut self, at: usize, cells: &Cells) -> bool {
        let value = cells.get(self.text, at);
        let rules = &self.plan.rules;
        match self.plan.assignment.role(at) {
            Role::TxLoc | Role::RxLoc => {
                matches!(place::read(value), PlaceCell::Whole(_) | PlaceCell::Missing)
            }
            Role::Freq => match self.values.frequency(value) {
                Value::Known(hz) => !rules.freq_in_band || level::band_of(hz).edges_hz().is_some(),
                Value::Empty => true,
                Value::Unreadable => cell::is_missing_word(value),
            },
            Role::Snr | Role::Drift => {
                level::snr_db(value, rules.snr_mark, &mut self.plain).is_some_and(|db| db.abs() <= 60.0)
                    || cell::is_missing_word(value)
            }
            Role::Power => {
                number::read_any(cell::trim(value), rules.power_mark, &mut self.plain).is_some()
                    || cell::is_missing_word(value)
            }
            Role::Azimuth | Role::Distance => {
                number::read_any(cell::trim(value), DecimalMark::Point, &mut self.plain).is_some()
                    || cell::is_missing_word(value)
            }
            _ => true,
        }
    }

    /// A row without time or without one of the stations: what is it?
    fn failed(&mut self, row: &Row, cells: &Cells, timed: Timed, tx: Found, rx: Found) -> Next {
        let text = self.text;
        let filled = cells.iter(text).filter(|c| !cell::is_blank(c)).count();
        if filled == 0 {
            return Next::Go;
        }
        let nothing = timed.time.is_err() && tx.station.is_none() && rx.station.is_none();
        if nothing {
            if self.is_header_again(cells) {
                self.pass.account.repeated_headers += 1;
                return Next::Go;
            }
            let first = cells.get(text, 0);
            // a comment in quotes, and the row count below a database's table
            let comment = filled == 1 && matches!(cell::trim(first).first(), Some(b'#')) && cell::trim(first).len() > 1;
            let drawn = self.plan.delimiter == Delimiter::Char(b'|') || self.plan.delimiter == Delimiter::Aligned;
            if comment && !cell::trim(first).iter().all(|&b| b == b'#')
                || drawn && is_row_count(&text[row.start..row.end])
            {
                self.pass.account.lines_skipped += 1;
                return Next::Go;
            }
            if let Cut::Char { outer: true, delimiter } = self.plan.cut
                && !text[row.start..row.end].contains(&delimiter)
            {
                self.pass.account.lines_skipped += 1;
                return Next::Go;
            }
            let owned: Vec<Vec<u8>> = cells.iter(text).map(<[u8]>::to_vec).take(256).collect();
            if header_words(&owned) >= 3 || is_header_otherwise(&text[row.start..row.end]) {
                return Next::NewTable;
            }
        }
        let short = cells.len() < self.plan.width && cells.len() <= self.last_role;
        let (reason, at) = if !row.ended && (short || self.cut) {
            (Reason::CutLine, cells.len().saturating_sub(1))
        } else if nothing && !has_trace(tx) && !has_trace(rx) {
            (Reason::NotASpot, 0)
        } else if cells.len() > self.plan.width
            && !self.keep.wide
            && (tx.call == CallCell::Other || rx.call == CallCell::Other)
        {
            let known = if tx.call == CallCell::Other { self.at.tx } else { self.at.rx };
            (Reason::TooManyColumns, known)
        } else if let Err(reason) = timed.time {
            (reason, if self.at.time == NOWHERE { self.at.time_of_day } else { self.at.time })
        } else if tx.station.is_none() {
            (reason_of(tx.call, Reason::NoTx), self.at.tx)
        } else {
            (reason_of(rx.call, Reason::NoRx), self.at.rx)
        };
        self.set_aside(reason, row, at, cells);
        Next::Go
    }

    fn is_header_again(&self, cells: &Cells) -> bool {
        let unnamed = self.plan.unnamed;
        !self.header.is_empty()
            && self.header.len() == unnamed + cells.len()
            && cells
                .iter(self.text)
                .zip(&self.header[unnamed..])
                .all(|(cell, header)| cell::trim(cell).eq_ignore_ascii_case(header))
    }

    fn set_aside(&mut self, reason: Reason, row: &Row, at: usize, cells: &Cells) {
        let raw = &self.text[row.start..row.end];
        let mut at = at;
        // of a date and a time of day the one that is wrong is quoted
        if reason == Reason::BadTime && self.at.time == NOWHERE && self.at.date != NOWHERE {
            let date = cells.get(self.text, self.at.date);
            let bad = |cell: &[u8], plain: &mut String| {
                stamp::read(cell, Want::Date, 4, plain)
                    .is_none_or(|s| matches!(s.date, DatePart::None | DatePart::Impossible))
            };
            if bad(date, &mut self.plain) {
                at = self.at.date;
            }
        }
        let found = if reason == Reason::NotASpot { raw } else { cell::trim(cells.get(self.text, at)) };
        let name = match self.header.get(at) {
            Some(header) if !header.is_empty() => format!("column {} {}", at + 1, cell::quoted(header)),
            _ => format!("column {}", at.saturating_add(1)),
        };
        let number = (reason != Reason::NotASpot && at < cells.len()).then_some(at);
        self.pass.account.set_aside(reason, row.line, &AtFault { column: &name, number, cell: found }, raw);
        // its other cells are not what kept the row out
        for column in 0..self.plan.width.min(cells.len()) {
            let filled = u64::from(!cell::is_blank(cells.get(self.text, column)));
            self.pass.filled[column] += filled;
            if number.is_some() && column != at {
                self.pass.fitting[column] += filled;
            }
        }
    }

    fn spot(&mut self, row: &Row, cells: &Cells, known: &Known, table: &mut TableBuilder) {
        let (Some(tx), Some(rx)) = (known.tx.station, known.rx.station) else { return };
        self.count_station(&known.tx, self.at.tx_loc);
        self.count_station(&known.rx, self.at.rx_loc);
        self.pass.account.offsets += u64::from(known.offset);
        let text = self.text;
        let mut freq_hz = None;
        let mut band = Band::UNKNOWN;
        if self.at.freq != NOWHERE {
            match self.values.frequency(cells.get(text, self.at.freq)) {
                Value::Known(hz) => {
                    self.pass.account.freq_in_units += u64::from(self.values.is_in_other_unit);
                    freq_hz = Some(hz);
                    band = self.values.band_of(hz);
                    self.fits_at(self.at.freq);
                }
                Value::Empty => {}
                Value::Unreadable => self.pass.account.freq_unreadable += 1,
            }
        }
        let named = if self.at.band == NOWHERE { None } else { self.values.band(cells.get(text, self.at.band)) };
        if let Some(named) = named {
            self.fits_at(self.at.band);
            if freq_hz.is_none() {
                band = named;
            } else if named != band {
                self.pass.account.band_disagrees += 1;
            }
        }
        let mut snr = Value::Empty;
        if self.at.snr != NOWHERE {
            snr = self.values.snr(cells.get(text, self.at.snr));
            match snr {
                Value::Known(_) => self.fits_at(self.at.snr),
                Value::Empty => {}
                Value::Unreadable => self.pass.account.snr_unreadable += 1,
            }
        }
        let snr_db = snr.known();
        let mut drift_hz_min = None;
        if self.at.drift != NOWHERE {
            drift_hz_min = self.values.drift(cells.get(text, self.at.drift));
            if drift_hz_min.is_some() {
                self.fits_at(self.at.drift);
            }
        }
        let mut power = Value::Empty;
        let mut power_read = None;
        if self.at.power != NOWHERE {
            let (value, is_level) = self.values.power(cells.get(text, self.at.power));
            power = value;
            power_read = (power != Value::Unreadable).then_some(is_level);
            match power {
                Value::Known(_) => self.fits_at(self.at.power),
                Value::Empty => {}
                Value::Unreadable => self.pass.account.power_unreadable += 1,
            }
            if is_level {
                self.pass.doubts.power_levels += 1;
            } else {
                self.pass.doubts.power_others += 1;
            }
        }
        let power_dbm = power.known();
        let spot = Spot { time: known.time, tx, rx, freq_hz, band, snr_db, drift_hz_min, power_dbm, line: row.line };
        self.learn(cells, &spot, named, power_read);
        let account = &mut self.pass.account;
        account.rows += 1;
        match table.push(spot) {
            Added::Kept => account.spots += 1,
            Added::Repeated => account.duplicates += 1,
        }
        if cells.some_empty() || cells.len() < self.plan.width {
            for (at, filled) in self.pass.filled.iter_mut().enumerate().take(cells.len()) {
                *filled += u64::from(!cells.get(text, at).is_empty());
            }
        } else {
            self.full_rows += 1;
        }
    }

    #[inline]
    fn fits_at(&mut self, column: usize) {
        if let Some(fitting) = self.pass.fitting.get_mut(column) {
            *fitting += 1;
        }
    }

    #[inline]
    fn count_station(&mut self, found: &Found, place_column: usize) {
        let account = &mut self.pass.account;
        match found.call {
            CallCell::Bracketed => account.brackets += 1,
            CallCell::Changed => account.calls_changed += 1,
            _ => {}
        }
        if place_column == NOWHERE {
            return;
        }
        match found.place {
            PlaceCell::Whole(_) => self.fits_at(place_column),
            PlaceCell::Shortened(_) => account.locator_shortened += 1,
            PlaceCell::Missing => account.locator_missing += 1,
            PlaceCell::Unreadable => account.locator_unreadable += 1,
        }
    }
}

/// Is there something in the cell that a call left behind?
fn has_trace(found: Found) -> bool {
    matches!(found.call, CallCell::Damaged | CallCell::Unresolved)
}

fn reason_of(call: CallCell, empty: Reason) -> Reason {
    match call {
        CallCell::Empty => empty,
        CallCell::Unresolved => Reason::CallUnresolved,
        CallCell::Damaged => Reason::CallDamaged,
        _ => Reason::NotACall,
    }
}

/// Is a line a header if it is cut at another delimiter?
pub(crate) fn is_header_otherwise(line: &[u8]) -> bool {
    line.len() < 4096
        && [b',', b';', b'\t', b'|'].iter().any(|delimiter| {
            let cells: Vec<Vec<u8>> = line.split(|b| b == delimiter).map(<[u8]>::to_vec).collect();
            cells.len() >= 4 && header_words(&cells) >= 4
        })
}

/// `(7 rows)`, `7 rows in set`, `7 rows selected.`: what database clients write below a table.
fn is_row_count(line: &[u8]) -> bool {
    let text = cell::fold(&cell::text(&line[..line.len().min(80)]));
    let words: Vec<&str> = text.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).collect();
    match words[..] {
        [number, rows, ..] => {
            number.bytes().all(|b| b.is_ascii_digit())
                && matches!(
                    rows,
                    "row"
                        | "rows"
                        | "record"
                        | "records"
                        | "zeile"
                        | "zeilen"
                        | "ligne"
                        | "lignes"
                        | "fila"
                        | "filas"
                        | "rij"
                        | "rijen"
                        | "rader"
                        | "wierszy"
                        | "wiersze"
                )
        }
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use std::cell::Cell;
    use std::fmt::Write as _;

    use crate::import::made::{is_odd, random, table_with_odd_cells};
    use crate::import::reading::Reading;
    use crate::import::{Wishes, read};
    use crate::model::{SpotTable, TableBuilder};

    thread_local! {
        /// Are all rows read the long way?
        pub(super) static LONG_WAY: Cell<bool> = const { Cell::new(false) };
        /// How many rows were read the quick way.
        pub(super) static QUICK_ROWS: Cell<u64> = const { Cell::new(0) };
    }

    fn both_ways(text: &str) -> [(Reading, SpotTable); 2] {
        [true, false].map(|long| {
            LONG_WAY.set(long);
            let mut builder = TableBuilder::new();
            let reading = read("a.csv", text.as_bytes(), &Wishes::default(), &mut builder).remove(0);
            LONG_WAY.set(false);
            (reading, builder.freeze())
        })
    }

    /// Both ways give the same rows, counts, notes and columns. How many rows were quick?
    fn check(text: &str) -> u64 {
        QUICK_ROWS.set(0);
        let [(long, long_table), (quick, table)] = both_ways(text);
        assert_eq!((long.rows, long.spots, long.duplicates), (quick.rows, quick.spots, quick.duplicates), "{text}");
        assert_eq!(long.set_aside, quick.set_aside, "{text}");
        assert_eq!(long.notes, quick.notes, "{text}");
        assert_eq!(long.columns, quick.columns, "{text}");
        assert_eq!(long_table.len(), table.len());
        for row in 0..table.len() {
            let of = |table: &SpotTable| {
                let station =
                    |id| (table.stations().call(table.stations().call_of(id)).to_owned(), table.stations().locator(id));
                (
                    (table.time(row), station(table.tx(row)), station(table.rx(row)), table.line(row), table.file(row)),
                    (
                        table.freq_hz(row),
                        table.band(row),
                        table.snr_db(row),
                        table.drift_hz_min(row),
                        table.power_dbm(row),
                    ),
                )
            };
            assert_eq!(of(&long_table), of(&table), "row {row} of {text}");
        }
        QUICK_ROWS.get()
    }

    /// Tables of plain rows with every kind of odd cell among them.
    #[test]
    fn the_quick_way_reads_what_the_long_way_reads() {
        let mut next = random();
        for round in 0..72 {
            let text = table_with_odd_cells(&mut next, round);
            let quick = check(&text);
            assert!(is_odd(round) || quick > 5, "{quick} quick rows of {text}");
        }
    }

    #[test]
    fn date_and_time_of_day_apart() {
        let mut next = random();
        let dates: [fn(usize) -> String; 3] =
            [|day| format!("2031-02-{day:02}"), |day| format!("{day:02}.02.2031"), |day| format!("02/{day:02}/31")];
        for date in dates {
            for sorted in [true, false] {
                let mut text = "date,time,sender,listener,listener locator,MHz,SNR\n".to_owned();
                for row in 0..400 {
                    let slot = if sorted { row / 7 } else { next(100) };
                    let (day, hour, minute) = (slot / 20 + 3, slot % 20, slot * 2 % 60);
                    let line = writeln!(
                        text,
                        "{},{hour:02}:{minute:02},Q7TST,Q{}AA,JO10,14.0971,-{}",
                        date(day),
                        next(9),
                        next(25)
                    );
                    assert!(line.is_ok());
                }
                let quick = check(&text);
                // what tells an order of dates is counted of every row
                assert!(quick > 100 || !text.contains("2031-02"), "{quick} quick rows of {text}");
            }
        }
    }
}
