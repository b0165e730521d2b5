//! Parts of a large table that other workers read.
//!
//! The text is cut at line ends; what goes out is a part with what is known of its rows so far, what comes back are its
//! plain rows ([`farheard_scan::stretch`]). They are taken over piece by piece, in the order of the file, and only where
//! a piece begins just where a row does as this reader found it: whatever stands between the pieces, and a part whose
//! beginning lies within a quoted cell, is read here. So the result is the same for any number of workers.

use std::collections::VecDeque;

use farheard_scan::memo::{Pair, Pairs};
use farheard_scan::plain::{Plain, Standing};
use farheard_scan::spots::Seen;
use farheard_scan::stretch::{Back, Errand, Ids, Piece, Place, Stretch};
use memchr::{memchr, memchr_iter, memrchr};

use crate::import::fields::{call, place};
use crate::import::stations;

/// A part ends early where more rows than this, and more than one of so many, are not plain: there is little to gain.
const MANY_ODD: usize = 64;
const ROWS_AN_ODD: usize = 16;

/// A part for another worker.
#[derive(Debug)]
pub(crate) struct Share {
    /// Where it begins in the text; it is known by this.
    pub(crate) place: Place,
    /// What goes before its text.
    pub(crate) head: Vec<u8>,
}

/// Parts that are read elsewhere, in order.
#[derive(Debug, Default)]
pub(crate) struct Parts(VecDeque<Part>);

#[derive(Debug)]
struct Part {
    from: usize,
    to: usize,
    /// Nothing as long as it is read.
    stretch: Option<Back>,
    /// The next piece, and the numbers of the stations met up to it.
    piece: usize,
    ids: Ids,
}

/// How to go on at a place.
#[derive(Debug)]
pub(crate) enum Onward<'p> {
    /// By rows, as far as this place.
    Rows(usize),
    /// Not before the part that begins here is back.
    Wait,
    /// With this piece.
    Piece(Ahead<'p>),
}

/// A piece of rows that were read ahead.
#[derive(Debug)]
pub(crate) struct Ahead<'p> {
    pub(crate) stretch: &'p Back,
    pub(crate) number: usize,
    /// Where its part begins.
    pub(crate) from: usize,
    /// Numbers of the stations met before it; those that it meets are to be added.
    pub(crate) ids: &'p mut Ids,
}

impl Ahead<'_> {
    pub(crate) fn piece(&self) -> Option<&Piece> {
        self.stretch.pieces.get(self.number)
    }

    /// Call and locator of the stations that this piece is the first to meet.
    pub(crate) fn new_stations<'t>(&self, text: &'t [u8]) -> Vec<[&'t [u8]; 2]> {
        let until = self.piece().map_or(0, |piece| piece.stations);
        let cell = |place: &Place| text.get(self.from + place.start..self.from + place.end).unwrap_or_default();
        let stations = self.stretch.stations.get(self.ids.len()..until).unwrap_or_default();
        stations.iter().map(|[call, place]| [cell(call), cell(place)]).collect()
    }
}

impl Parts {
    /// Cuts a part of at most so many bytes out of what is left of a text from `at` on, `own` bytes behind the one before. None
    /// where too little is left.
    pub(crate) fn cut(&mut self, text: &[u8], at: usize, plain: &Plain, own: usize, most: usize) -> Option<Share> {
        let head = Errand::head(plain);
        let near = self.0.back().map_or(at, |part| part.to).max(at) + own;
        let from = near + memchr(b'\n', text.get(near..)?)? + 1;
        let rest = text.get(from..)?;
        let size = most.checked_sub(head.len())?;
        let to = from + if rest.len() > size { memrchr(b'\n', rest.get(..size)?)? + 1 } else { rest.len() };
        if rest.is_empty() || rest.len() < own / 2 {
            return None;
        }
        self.0.push_back(Part { from, to, stretch: None, piece: 0, ids: Ids::default() });
        Some(Share { place: from..to, head })
    }

    /// A part is back; without its plain rows it is read here.
    pub(crate) fn take(&mut self, from: usize, stretch: Option<Back>) {
        let Some(at) = self.0.iter().position(|part| part.from == from) else { return };
        match stretch {
            Some(stretch) => self.0[at].stretch = Some(stretch),
            None => drop(self.0.remove(at)),
        }
    }

    /// How to go on at the beginning of a row.
    pub(crate) fn onward(&mut self, at: usize) -> Onward<'_> {
        loop {
            let Some(part) = self.0.front() else { return Onward::Rows(usize::MAX) };
            let next = match &part.stretch {
                None => Some(part.from),
                Some(stretch) => stretch.pieces.get(part.piece).map(|piece| part.from + piece.place.start),
            };
            match next {
                Some(next) if at < next => return Onward::Rows(next),
                Some(next) if at == next => break,
                // all of it was taken over, or its pieces begin where no row does
                _ => self.0.pop_front(),
            };
        }
        match self.0.front_mut() {
            Some(Part { from, stretch: Some(stretch), piece, ids, .. }) => {
                *piece += 1;
                Onward::Piece(Ahead { stretch, number: *piece - 1, from: *from, ids })
            }
            _ => Onward::Wait,
        }
    }

    /// The part in hand does not fit.
    pub(crate) fn give_up(&mut self) {
        self.0.pop_front();
    }

    /// The part without which nothing is to be read at a place.
    pub(crate) fn waits(&self, at: usize) -> Option<usize> {
        self.0.front().filter(|part| part.from == at && part.stretch.is_none()).map(|part| part.from)
    }
}

/// Whether two cells tell a place; nothing if no plain row may have them.
fn plain(call: &[u8], locator: &[u8]) -> Option<bool> {
    let call = call::read(call, &mut String::new(), &mut String::new());
    stations::has_place(call, place::read(locator))
}

/// Stations of a part.
#[derive(Debug, Default)]
struct Met {
    pairs: Pairs,
    standing: Vec<Standing>,
    /// Of each pair: nothing if no plain row may have it, else whether it has a locator.
    plain: Vec<Option<bool>>,
}

impl Met {
    /// The number of a pair of cells; nothing if no plain row may have it.
    fn number(&mut self, text: &[u8], [call, locator]: &[Place; 2]) -> Option<usize> {
        let (call, locator) = (text.get(call.clone())?, text.get(locator.clone())?);
        let pair = Pair::of(call, locator)?;
        let number = self.pairs.find(&pair).unwrap_or_else(|| {
            self.pairs.enter(pair);
            self.standing.push(Standing::Odd);
            self.plain.push(plain(call, locator));
            self.plain.len() - 1
        });
        self.plain[number].map(|_| number)
    }

    /// Lets a pair be met: as the station of this number.
    fn meet(&mut self, number: usize, station: usize) {
        let station = u32::try_from(station).unwrap_or(u32::MAX);
        self.standing[number] = stations::standing(station, self.plain[number] == Some(true));
    }
}

/// Where the line of a row that is not plain ends, its quotes closed.
fn end_of_row(text: &[u8], at: usize) -> Option<usize> {
    let mut end = at;
    loop {
        end += memchr(b'\n', text.get(end..)?)? + 1;
        if memchr_iter(b'"', text.get(at..end)?).count().is_multiple_of(2) {
            return Some(end);
        }
    }
}

/// A part being read ahead.
#[derive(Debug)]
struct Reader<'t> {
    plain: Plain,
    text: &'t [u8],
    at: usize,
    met: Met,
    seen: Seen,
    stretch: Stretch,
    piece: Piece,
}

impl Reader<'_> {
    /// Reads plain rows as far as a place. Was there any?
    fn rows(&mut self, until: usize) -> bool {
        let Self { plain, text, at, met, seen, stretch: Stretch { spots, lines, .. }, piece } = self;
        let line = u32::try_from(piece.counts.rows).unwrap_or(u32::MAX);
        let (pairs, standing) = (&met.pairs, met.standing.as_slice());
        let stopped = plain.read(text, *at, line, until, pairs, standing, spots, seen, lines, &mut piece.counts);
        *at = stopped.at;
        stopped.rows > 0
    }

    /// Reads a row that is plain once its stations are met. Is it?
    fn row_of_new_stations(&mut self) -> bool {
        let Some(cells) = self.plain.stations(self.text, self.at) else { return false };
        let mut pairs = [0; 2];
        for (pair, cells) in pairs.iter_mut().zip(&cells) {
            let Some(number) = self.met.number(self.text, cells) else { return false };
            *pair = number;
        }
        let known = self.stretch.stations.len();
        for (pair, cells) in pairs.into_iter().zip(cells) {
            if self.met.standing[pair] == Standing::Odd {
                self.met.meet(pair, self.stretch.stations.len());
                self.stretch.stations.push(cells);
            }
        }
        if self.stretch.stations.len() == known {
            return false;
        }
        self.plain.forget_stations();
        if self.rows(self.at + 1) {
            return true;
        }
        // something else is odd: who reads the row the long way may not meet them either
        self.plain.forget_stations();
        self.stretch.stations.truncate(known);
        for pair in pairs {
            let standing = &mut self.met.standing[pair];
            if matches!(*standing, Standing::Placed(id) | Standing::Unplaced(id) if id as usize >= known) {
                *standing = Standing::Odd;
            }
        }
        false
    }

    fn end_piece(&mut self) {
        let mut piece = std::mem::take(&mut self.piece);
        if piece.counts.rows > 0 {
            piece.place.end = self.at;
            piece.spots = self.stretch.spots.len();
            piece.stations = self.stretch.stations.len();
            self.stretch.pieces.push(piece);
        }
    }
}

/// Reads the plain rows of a part.
pub(crate) fn read_ahead(errand: Errand<'_>) -> Stretch {
    let Errand { plain, text } = errand;
    let (stretch, piece) = (Stretch::default(), Piece::default());
    let mut reader = Reader { plain, text, at: 0, met: Met::default(), seen: Seen::default(), stretch, piece };
    let mut odd = 0;
    loop {
        if reader.rows(text.len()) | reader.row_of_new_stations() {
            continue;
        }
        reader.end_piece();
        odd += 1;
        let spots = reader.stretch.spots.len();
        let Some(end) = end_of_row(text, reader.at).filter(|_| odd < MANY_ODD + spots / ROWS_AN_ODD) else {
            return reader.stretch;
        };
        reader.at = end;
        reader.piece.place = end..end;
    }
}

#[cfg(test)]
pub(super) mod tests {
    use std::cell::Cell;
    use std::sync::Arc;

    use crate::import::job::read_ahead;
    use crate::import::made::{random, table_with_odd_cells};
    use crate::import::reading::Reading;
    use crate::import::{Job, Wishes};
    use crate::model::{SpotTable, TableBuilder};

    thread_local! {
        /// How many rows were taken over.
        pub(in crate::import) static TAKEN_OVER: Cell<u64> = const { Cell::new(0) };
    }

    /// What must be the same: what is said of the file, and each row with its numbers of stations.
    fn all_of(reading: &Reading, table: &SpotTable) -> String {
        let rows = (0..table.len()).map(|row| {
            let tells = [table.freq_hz(row), table.snr_db(row), table.drift_hz_min(row), table.power_dbm(row)];
            let (tx, rx) = (table.tx(row), table.rx(row));
            format!("{:?} {tx:?} {rx:?} {:?} {tells:?} {}", table.time(row), table.band(row), table.line(row))
        });
        let stations = (0..table.stations().calls()).map(|at| {
            let call = crate::model::CallId(u32::try_from(at).unwrap());
            format!("{} {:?}", table.stations().call(call), table.place(call))
        });
        format!("{reading:?}\n{}\n{}", rows.collect::<Vec<_>>().join("\n"), stations.collect::<Vec<_>>().join("\n"))
    }

    /// Reads a text in steps, with at most so many parts of so many bytes away at a time; every `lost`th is lost. Gives how
    /// many parts there were.
    fn read(text: &Arc<Vec<u8>>, step: usize, most: usize, size: usize, lost: usize) -> (String, usize) {
        let mut table = TableBuilder::new();
        let mut job = Job::new("a.csv", Arc::clone(text), Wishes::default());
        let (mut away, mut parts): (Vec<(usize, Vec<u8>)>, usize) = (Vec::new(), 0);
        while !job.step(step, &mut table) {
            if let Some(wanted) = job.waits() {
                let at = away.iter().position(|&(from, _)| from == wanted);
                let (from, bytes) = away.remove(at.expect("what it waits for is being read"));
                job.take(from, bytes);
                continue;
            }
            while away.len() < most
                && let Some((from, head, text)) = job.share(parts % 3 * step, size)
            {
                parts += 1;
                let bytes = read_ahead(&[&head, text].concat());
                assert!(!bytes.is_empty());
                away.push((from, if parts % lost == 0 { Vec::new() } else { bytes }));
            }
        }
        let reading = job.into_readings().remove(0);
        (all_of(&reading, &table.freeze()), parts)
    }

    #[test]
    fn any_number_of_workers_gives_the_same() {
        let mut next = random();
        TAKEN_OVER.set(0);
        for round in 0..72 {
            let text = Arc::new(table_with_odd_cells(&mut next, round).into_bytes());
            let step = [1000, 300, 5000][round % 3];
            let (alone, _) = read(&text, step, 0, 1, 1);
            for most in [1, 2 + round % 7] {
                let size = 2000 + [100, 900, 3000][next(3)];
                let (shared, parts) = read(&text, step, most, size, [3, 1000][round / 3 % 2]);
                assert!(shared == alone, "{most} parts of {size}, {}", String::from_utf8_lossy(&text));
                assert!(parts > 0 || text.len() < 2 * step + 600, "no part of {} bytes", text.len());
            }
        }
        assert!(TAKEN_OVER.get() > 2_000, "{} rows", TAKEN_OVER.get());
    }

    /// Lines within quoted cells that look like rows: whatever is cut there is not taken over.
    #[test]
    fn a_cut_within_a_quoted_cell_is_no_row() {
        let mut text = "utc,sender,listener,listener locator,MHz,SNR,remark\n".to_owned();
        for row in 0..60 {
            let line = |remark: &str| {
                format!("2031-01-16 00:{row:02},Q7TST,Q{}AA,JO10,14.0971,-{},{remark}\n", row % 9, row % 30)
            };
            text += &line("");
            text += &line(&format!("\"{}\"", line("b").repeat(5)));
        }
        let text = Arc::new(text.into_bytes());
        let (alone, _) = read(&text, 700, 0, 1, 1);
        for size in [1500, 2000, 3000, 9000] {
            let (shared, parts) = read(&text, 700, 100, size, 1000);
            assert!(shared == alone && parts > 0, "{parts} parts of {size}");
        }
    }
}
