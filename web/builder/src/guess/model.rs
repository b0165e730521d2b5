//! Guesses symbols from what stood in like places before, and codes them by how good the guesses were.
//!
//! A symbol is a byte of one of several kinds; each kind has a prefix tree ([`super::tree`]), and what is coded are the
//! branches on the way down. Each branch gets a probability, mixed of:
//!
//! - odds: for each of [`ODDS`] contexts the share of ones seen at this node, which adapts fast at first and slower later;
//! - runs: for each of [`RUNS`] contexts the last symbol seen, which speaks for its branch as long as it agrees with the
//!   way so far, as loudly as such runs were right before;
//! - a match: what followed the last time the same few symbols were seen, likewise.
//!
//! The mixture is a weighted sum of logits whose weights learn from every branch, and a last table corrects what the
//! sum gets wrong on average. These are the known methods of context mixing after M. Mahoney, 'Adaptive Weighing of
//! Context Models for Lossless Data Compression' (2005), and his 'Data Compression Explained', from memory; the contexts
//! are our own. The branches are coded by a range coder with carry, after G. N. N. Martin, 'Range encoding' (1979), from
//! memory.
//!
//! More runs, and odds of more contexts, would take another 13 kB off, for twice the work.
//!
//! All arithmetic is on 32-bit integers that wrap, so that `unpackCore` in `web/unpack.js` guesses exactly alike: this
//! file and that function change together.

use anyhow::{Context as _, Result};

use super::kind::{KINDS, Kind};
use super::tree::{Leaf, Tree};

/// Contexts with odds for each branch.
pub(crate) const ODDS: usize = 3;
/// Contexts with runs.
pub(crate) const RUNS: usize = 2;
pub(crate) const CONTEXTS: usize = ODDS + RUNS;
/// How many of the odds and runs there is place for, as powers of two.
const ODDS_BITS: u32 = 21;
const RUNS_BITS: u32 = 19;
/// How many places of earlier symbols are kept to find matches.
const PLACES_BITS: u32 = 18;
/// Bits of a run: the symbol, how often it was right, whether it was ever wrong. The rest tells contexts apart.
const RUN_WIDTH: u32 = 13;
/// Sets of weights of each kind: by how many are trusted, and by the node.
const SETS: usize = 32;
/// Weights in a set: a power of two with place for all inputs.
const WEIGHTS: usize = 16;
/// Tables of correction of each kind: by the node.
const NODES: usize = 32;
/// Steps in a table of correction.
const STEPS: usize = 33;
/// Trusts of each kind and run: by how often it was right, and whether another symbol was seen.
const TRUSTS: usize = 32;
/// Below this a miss teaches the weights nothing.
const LEAST_MISS: i32 = 400;

/// Where the symbols go to or come from.
#[derive(Debug)]
enum Coder<'a> {
    /// Only counts the symbols of each kind.
    Count(Box<[[u32; 256]; KINDS]>),
    Write(Writer),
    Read(Reader<'a>),
}

/// Codes branches: what is not yet settled of the output is one number.
#[derive(Debug)]
struct Writer {
    low: u64,
    range: u32,
    out: Vec<u8>,
}

impl Writer {
    fn bit(&mut self, one: bool, odds: i32) {
        let bound = share(self.range, odds);
        if one {
            self.range = bound;
        } else {
            self.low += u64::from(bound);
            self.range -= bound;
        }
        while self.range < 1 << 24 {
            self.shift();
            self.range <<= 8;
        }
    }

    fn shift(&mut self) {
        if self.low >> 32 > 0 {
            // the carry goes back through all bytes that are full
            for byte in self.out.iter_mut().rev() {
                *byte = byte.wrapping_add(1);
                if *byte != 0 {
                    break;
                }
            }
        }
        self.out.push((self.low >> 24 & 0xFF) as u8);
        self.low = (self.low & 0x00FF_FFFF) << 8;
    }

    fn finish(mut self) -> Vec<u8> {
        for _ in 0..4 {
            self.shift();
        }
        self.out
    }
}

#[derive(Debug)]
struct Reader<'a> {
    range: u32,
    code: u32,
    packed: std::slice::Iter<'a, u8>,
}

impl Reader<'_> {
    fn bit(&mut self, odds: i32) -> Result<bool> {
        let bound = share(self.range, odds);
        let one = self.code < bound;
        if one {
            self.range = bound;
        } else {
            self.code -= bound;
            self.range -= bound;
        }
        while self.range < 1 << 24 {
            self.range <<= 8;
            self.code = self.code << 8 | u32::from(*self.packed.next().context("the packed core ends early")?);
        }
        Ok(one)
    }
}

/// The part of a range that a one gets, of odds out of 65536.
fn share(range: u32, odds: i32) -> u32 {
    ((u64::from(range) * u64::from(odds.unsigned_abs())) >> 16) as u32
}

/// The whole state of guessing.
#[derive(Debug)]
pub(crate) struct Model<'a> {
    coder: Coder<'a>,
    trees: Vec<Tree>,
    /// What the next symbol is guessed from: numbers that are alike in like places. First those of the odds.
    pub contexts: [i32; CONTEXTS],
    /// All symbols so far.
    pub past: Vec<u8>,
    stretch: Vec<i32>,
    squash: Vec<i32>,
    rates: Vec<i32>,
    /// Twelve bits of odds, four of how often they were asked.
    odds: Vec<u16>,
    runs: Vec<i32>,
    weights: Vec<i32>,
    trusts: Vec<i32>,
    corrections: Vec<i32>,
    places: Vec<usize>,
    matched: usize,
    /// How many symbols the match has been right, or 0 for no match.
    match_length: usize,
}

impl<'a> Model<'a> {
    /// A model that only counts symbols, for the trees.
    pub(crate) fn counting() -> Self {
        Self::new(Coder::Count(Box::new([[0; 256]; KINDS])), vec![Tree::default(); KINDS])
    }

    /// A model that packs symbols, with trees for these counts.
    ///
    /// # Errors
    /// None: writing to memory does not fail.
    pub(crate) fn writing(counts: &[[u32; 256]; KINDS]) -> Result<Self> {
        let mut model = Self::new(Coder::Write(Writer { low: 0, range: u32::MAX, out: Vec::new() }), Vec::new());
        model.move_trees(Some(counts))?;
        Ok(model)
    }

    /// A model that unpacks symbols.
    ///
    /// # Errors
    /// If the packed core ends early.
    pub(crate) fn reading(packed: &'a [u8]) -> Result<Self> {
        let mut reader = Reader { range: u32::MAX, code: 0, packed: packed.iter() };
        for _ in 0..4 {
            reader.code = reader.code << 8 | u32::from(*reader.packed.next().context("the packed core ends early")?);
        }
        let mut model = Self::new(Coder::Read(reader), Vec::new());
        model.move_trees(None)?;
        Ok(model)
    }

    fn new(coder: Coder<'a>, trees: Vec<Tree>) -> Self {
        let squash = squash();
        let corrections = (0..KINDS * NODES * STEPS).map(|at| squash[(at % STEPS * 128).min(4095)]).collect();
        Self {
            coder,
            trees,
            contexts: [0; CONTEXTS],
            past: Vec::new(),
            stretch: stretch(&squash),
            squash,
            rates: (0..16).map(|asked| 131_072 / (2 * asked + 3)).collect(),
            odds: vec![1 << 15; 1 << ODDS_BITS],
            runs: vec![0; 1 << RUNS_BITS],
            weights: vec![10_000; KINDS * SETS * WEIGHTS],
            trusts: vec![57_344; KINDS * (RUNS + 1) * TRUSTS],
            corrections,
            places: vec![0; 1 << PLACES_BITS],
            matched: 0,
            match_length: 0,
        }
    }

    /// What was counted.
    pub(crate) fn counts(self) -> Option<Box<[[u32; 256]; KINDS]>> {
        if let Coder::Count(counts) = self.coder { Some(counts) } else { None }
    }

    /// What was written.
    pub(crate) fn packed(self) -> Option<Vec<u8>> {
        if let Coder::Write(writer) = self.coder { Some(writer.finish()) } else { None }
    }

    /// Lengths of the ways down each tree, as symbols themselves.
    fn move_trees(&mut self, counts: Option<&[[u32; 256]; KINDS]>) -> Result<()> {
        let flat = |leaves: usize, depth: u8| {
            let mut lengths = [0; 256];
            lengths[..leaves].fill(depth);
            Tree::of_lengths(&lengths)
        };
        self.trees = vec![flat(16, 4); KINDS];
        self.trees[Kind::Data as usize] = flat(256, 8);
        for kind in 0..Kind::Data as usize {
            let known = counts.map(|counts| Tree::lengths_of(&counts[kind]));
            let mut lengths = [0; 256];
            let mut before = 0;
            for symbol in 0..256 {
                self.contexts = [before; CONTEXTS];
                self.contexts[1] = before & 15;
                self.contexts[2] = i32::try_from(symbol)?;
                let length = self.symbol(Kind::Length, known.map_or(0, |known| known[symbol]))?;
                lengths[symbol] = length;
                before = (before << 4 | i32::from(length)) & 0xFFF;
            }
            self.trees[kind] = Tree::of_lengths(&lengths);
        }
        self.past.clear();
        Ok(())
    }

    /// Looks for where the symbols so far went on before, if there is no match already. The key is alike in like places.
    pub(crate) fn look_back(&mut self, key: i32) {
        let place = &mut self.places[(hashed(key) as u32 >> (32 - PLACES_BITS)) as usize];
        if self.match_length == 0 && *place > 0 {
            self.matched = *place;
            self.match_length = 1;
        }
        *place = self.past.len();
    }

    /// Moves one symbol: writes the one given, or reads one, whatever is given.
    ///
    /// # Errors
    /// If there is none to read.
    pub(crate) fn symbol(&mut self, kind: Kind, given: u8) -> Result<u8> {
        let symbol = if let Coder::Count(counts) = &mut self.coder {
            counts[kind as usize][usize::from(given)] += 1;
            given
        } else {
            self.guessed(kind as usize, given)?
        };
        if self.match_length > 0 {
            if self.past[self.matched] == symbol {
                self.match_length += 1;
                self.matched += 1;
            } else {
                self.match_length = 0;
            }
        }
        self.past.push(symbol);
        Ok(symbol)
    }

    fn guessed(&mut self, kind: usize, given: u8) -> Result<u8> {
        let hashes: [i32; CONTEXTS] = std::array::from_fn(|at| {
            let salt = ((kind * WEIGHTS + at) as i32) << 22;
            hashed(self.contexts[at].wrapping_add(salt))
        });
        let places: [usize; RUNS] = std::array::from_fn(|run| (hashes[ODDS + run] as u32 >> (32 - RUNS_BITS)) as usize);
        let runs: [i32; RUNS] = std::array::from_fn(|run| {
            let (seen, check) = (self.runs[places[run]], hashes[ODDS + run] << RUN_WIDTH);
            if (seen ^ check) as u32 >> RUN_WIDTH == 0 { seen } else { check }
        });
        let tree = &self.trees[kind];
        let trusts = kind * (RUNS + 1) * TRUSTS;
        // what each says, and how well it is trusted: not at all with the first trust of all
        let mut says = [(0, 0); RUNS + 1];
        for (run, &seen) in runs.iter().enumerate() {
            let times = (seen >> 8 & 31) as usize;
            says[run] = (tree.path(seen as u8), if times > 0 { trusts + run * TRUSTS + times } else { 0 });
        }
        says[RUNS].0 = tree.path(self.past.get(self.matched).copied().unwrap_or(0));
        if self.match_length > 0 {
            says[RUNS].1 = trusts + RUNS * TRUSTS + self.match_length.min(TRUSTS - 1);
        }

        let given_path = tree.path(given);
        let (mut node, mut depth) = (0, 0);
        let symbol = loop {
            let one = self.branch(kind, node, &hashes, &mut says, depth, given_path << depth < 0)?;
            match self.trees[kind].next(node, one) {
                Leaf::Node(next) => node = next,
                Leaf::Symbol(symbol) => break symbol,
            }
            depth += 1;
        };
        for (place, seen) in places.into_iter().zip(runs) {
            self.runs[place] = after(seen, i32::from(symbol));
        }
        Ok(symbol)
    }

    /// Moves one branch: mixes the guesses, codes it, and learns from it.
    fn branch(
        &mut self,
        kind: usize,
        node: usize,
        hashes: &[i32; CONTEXTS],
        says: &mut [(i32, usize); RUNS + 1],
        depth: u32,
        given: bool,
    ) -> Result<bool> {
        let trusted = says.iter().filter(|&&(_, trust)| trust > 0).count();
        let set = ((kind * 4 + trusted) * 8 + node.min(7)) * WEIGHTS;
        let places: [usize; ODDS] =
            std::array::from_fn(|at| (hashes[at].wrapping_add(node as i32) & ((1 << ODDS_BITS) - 1)) as usize);
        let asked_odds = places.map(|place| self.odds[place]);
        let mut inputs = [0; CONTEXTS + 1];
        for at in 0..ODDS {
            inputs[at] = self.stretch[usize::from(asked_odds[at] >> 4)];
        }
        for (at, &(path, trust)) in says.iter().enumerate() {
            let trust = self.stretch[(self.trusts[trust] >> 4) as usize];
            inputs[ODDS + at] = if path << depth < 0 { trust } else { -trust };
        }
        let weights = &self.weights[set..=set + CONTEXTS];
        let sum = inputs
            .iter()
            .zip(weights)
            .fold(0_i32, |sum, (input, weight)| sum.wrapping_add(input.wrapping_mul(*weight)));
        let logit = (sum >> 16).clamp(-2047, 2047) + 2047;
        let mixed = self.squash[(logit + 1) as usize];
        let (step, part) = ((kind * NODES + node.min(NODES - 1)) * STEPS + (logit >> 7) as usize, logit & 127);
        let corrected = (self.corrections[step] * (128 - part) + self.corrections[step + 1] * part) >> 7;
        let odds = (mixed + corrected) >> 1;

        let one = match &mut self.coder {
            Coder::Read(reader) => reader.bit(odds)?,
            Coder::Write(writer) => {
                writer.bit(given, odds);
                given
            }
            Coder::Count(_) => given,
        };

        let certain = if one { 65_535 } else { 0 };
        let nearer = &mut self.corrections[step + usize::from(part > 63)];
        *nearer += (certain - *nearer) >> 6;
        let miss = (certain + i32::from(one) - mixed) >> 2;
        if miss.abs() >= LEAST_MISS {
            for (input, weight) in inputs.iter().zip(&mut self.weights[set..]) {
                *weight += (input.wrapping_mul(miss) + 8192) >> 14;
            }
        }
        for (place, odds) in places.into_iter().zip(asked_odds) {
            let (share, asked) = (i32::from(odds >> 4), usize::from(odds & 15));
            let share = share + ((((certain >> 4) - share) * self.rates[asked]) >> 16);
            self.odds[place] = (share << 4) as u16 | (asked + 1).min(15) as u16;
        }
        for (path, trust) in says {
            let right = (*path << depth < 0) == one;
            self.trusts[*trust] += ((if right { 65_535 } else { 0 }) - self.trusts[*trust]) >> 6;
            if !right {
                *trust = 0;
            }
        }
        self.trusts[0] = 1 << 15;
        Ok(one)
    }
}

/// A run after one more symbol.
fn after(run: i32, symbol: i32) -> i32 {
    let right = run >> 8 & 15;
    if right > 0 && run & 255 == symbol {
        if right < 15 { run + 0x100 } else { run }
    } else if right > 2 {
        run & !0xF00 | (right >> 1) << 8 | 0x1000
    } else {
        run & !0x1FFF | if right > 0 { 0x1100 } else { 0x100 } | symbol
    }
}

/// A number spread over all 32 bits.
fn hashed(number: i32) -> i32 {
    let hash = number.wrapping_mul(0x2C1B_3C6D);
    hash ^ (hash as u32 >> 15) as i32
}

/// Odds out of 65536 by logit, in steps of 1/256 from -8: powers of `e^(1/256)` in whole numbers.
fn squash() -> Vec<i32> {
    let mut odds = vec![0; 4096];
    let mut power: u64 = 1 << 20;
    for step in 0..2048 {
        let share = ((power << 16) / (power + (1 << 20))) as i32;
        odds[2048 + step] = share;
        odds[2048 - step] = 65_536 - share;
        power = (power * 65_793) >> 16;
    }
    odds[0] = odds[1];
    odds
}

/// The logit of odds out of 4096.
fn stretch(squash: &[i32]) -> Vec<i32> {
    let mut logit = 0;
    let logits = (0..4096).map(|odds| {
        while logit < 4095 && squash[logit] < odds * 16 + 8 {
            logit += 1;
        }
        logit as i32 - 2048
    });
    logits.collect()
}
