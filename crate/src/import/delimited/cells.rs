//! The cells of one row.

use crate::import::fields::cell::is_blank;

/// More cells than this are counted but not kept: no table of spots is as wide.
pub(crate) const MOST_CELLS: usize = 1024;

/// The cells of one row, lent from the text or, where quotes were doubled, from a side buffer.
#[derive(Debug, Default)]
pub(crate) struct Cells {
    spans: Vec<Span>,
    side: Vec<u8>,
    /// How many cells the row has, kept or not.
    total: usize,
    /// Is one of the kept cells empty?
    some_empty: bool,
}

/// Where a cell stands. Texts are shorter than 2^31 bytes; the highest bit of `start` says 'in the side buffer'.
#[derive(Clone, Copy, Debug)]
struct Span {
    start: u32,
    end: u32,
}

const ASIDE: u32 = 1 << 31;

impl Cells {
    #[inline]
    pub(super) fn clear(&mut self) {
        self.spans.clear();
        self.side.clear();
        self.total = 0;
        self.some_empty = false;
    }

    #[inline]
    #[expect(
        clippy::cast_possible_truncation,
        reason = "texts are bounded far below 2^31 bytes; see unpack::MOST_BYTES"
    )]
    pub(super) fn push(&mut self, start: usize, end: usize) {
        self.total += 1;
        self.some_empty |= start == end;
        if self.spans.len() < MOST_CELLS {
            self.spans.push(Span { start: start as u32, end: end as u32 });
        }
    }

    /// Pushes a quoted cell whose doubled quotes are made single.
    pub(super) fn push_unescaped(&mut self, raw: &[u8]) {
        let start = self.side.len();
        let mut at = 0;
        while let Some(quote) = memchr::memchr(b'"', &raw[at..]) {
            self.side.extend_from_slice(&raw[at..=at + quote]);
            at += quote + 1;
            at += usize::from(raw.get(at) == Some(&b'"'));
        }
        self.side.extend_from_slice(&raw[at..]);
        self.push(start, self.side.len());
        if self.spans.len() == self.total
            && let Some(last) = self.spans.last_mut()
        {
            last.start |= ASIDE;
        }
    }

    pub(super) fn drop_outer(&mut self, text: &[u8]) {
        let blank = |span: &Span| span.start & ASIDE == 0 && is_blank(&text[span.start as usize..span.end as usize]);
        if self.spans.len() > 1 && self.spans.first().is_some_and(blank) {
            self.spans.remove(0);
            self.total -= 1;
        }
        if self.spans.len() > 1 && self.spans.len() == self.total && self.spans.last().is_some_and(blank) {
            self.spans.pop();
            self.total -= 1;
        }
    }

    /// How many cells the row has.
    #[inline]
    pub(crate) fn len(&self) -> usize {
        self.total
    }

    /// May one of the cells be empty?
    #[inline]
    pub(crate) fn some_empty(&self) -> bool {
        self.some_empty
    }

    /// A cell as it stands, without its quotes; empty beyond the last.
    #[inline]
    pub(crate) fn get<'a>(&'a self, text: &'a [u8], at: usize) -> &'a [u8] {
        match self.spans.get(at) {
            Some(span) if span.start & ASIDE == 0 => &text[span.start as usize..span.end as usize],
            Some(span) => &self.side[(span.start & !ASIDE) as usize..span.end as usize],
            None => &[],
        }
    }

    /// All kept cells.
    pub(crate) fn iter<'a>(&'a self, text: &'a [u8]) -> impl Iterator<Item = &'a [u8]> {
        (0..self.spans.len()).map(|at| self.get(text, at))
    }
}
