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
//! The mixture is the mean of two weighted sums of logits, whose weights are chosen by different things and learn
//! from every branch, and a last table corrects what it gets wrong on average. These are the known methods of
//! context mixing after M. Mahoney, 'Adaptive Weighing of Context Models for Lossless Data Compression' (2005), and
//! his 'Data Compression Explained', from memory; the contexts are our own.
//!
//! A browser exchanges slow code for fast where a function is entered: so what is done for each symbol is a function of its
//! own here and in [`super::walk`], and never inlined.
//!
//! All tables have a power of two for their length, and what looks into them is cut to it: so no look needs a check.

use crate::coder::Coder;
use crate::kind::{KINDS, Kind};
use crate::tree::Tree;

/// Contexts with odds for each branch.
pub(crate) const ODDS: usize = 3;
/// Contexts with runs.
pub(crate) const RUNS: usize = 2;
pub(crate) const CONTEXTS: usize = ODDS + RUNS;
/// What is mixed: odds, runs, the match, and a constant; filled up to whole vectors of four.
const INPUTS: usize = (ODDS + RUNS + 2).next_multiple_of(4);
/// How many slots of odds and how many runs there is place for, as powers of two.
const SLOT_BITS: u32 = 19;
const RUNS_BITS: u32 = 20;
/// How many places of earlier symbols are kept to find matches.
const PLACES_BITS: u32 = 20;
/// How many symbols there is place for.
pub(crate) const MOST_SYMBOLS: usize = 1 << 21;
/// Bits of a run: the symbol, how often it was right, whether it was ever wrong. The rest tells contexts apart.
const RUN_WIDTH: u32 = 13;
/// Odds that were never asked.
const UNKNOWN: u16 = 1 << 15;
/// Sets of weights of each kind: by how many runs are trusted, how many odds were never asked, and by the node.
const SETS: usize = 128;
/// And by the first context.
const CONTEXT_SETS: usize = 256;
/// Tables of correction of each kind: by the node.
const NODES: usize = 32;
/// Steps in a table of correction: as many as there are, and one more, rounded up to a power of two.
const STEPS: usize = 32;
/// Logits between two steps, as a power of two.
const STEP_BITS: u32 = 8;
/// Trusts of each kind and run: by how often it was right, and whether another symbol was seen.
const TRUSTS: usize = 32;

/// What the model has learnt.
#[derive(Debug)]
pub(crate) struct Learnt {
    trees: [Tree; KINDS],
    stretch: [i16; 4096],
    squash: [u16; 4096],
    rates: [i32; 16],
    /// Of a context and the node where three branches begin: what tells it from others, then for each of seven nodes
    /// twelve bits of odds and four of how often they were asked. So a slot is one look into memory, which is what takes
    /// the time here.
    slots: [[u16; 8]; 1 << SLOT_BITS],
    runs: [i32; 1 << RUNS_BITS],
    weights: [[i32; INPUTS]; KINDS * SETS],
    context_weights: [[i32; INPUTS]; KINDS * CONTEXT_SETS],
    trusts: [u16; KINDS * 4 * TRUSTS],
    corrections: [u16; KINDS * NODES * STEPS],
    /// Where the symbols went on when the same few were seen last, and with which symbol, in the lowest byte.
    places: [u32; 1 << PLACES_BITS],
    /// All symbols so far.
    pub past: [u8; MOST_SYMBOLS],
}

impl Learnt {
    /// Room for what will be learnt.
    pub(crate) const NOTHING: Self = Self {
        trees: [Tree::EMPTY; KINDS],
        stretch: [0; 4096],
        squash: [0; 4096],
        rates: [0; 16],
        slots: [[0; 8]; 1 << SLOT_BITS],
        runs: [0; 1 << RUNS_BITS],
        weights: [[0; INPUTS]; KINDS * SETS],
        context_weights: [[0; INPUTS]; KINDS * CONTEXT_SETS],
        trusts: [0; KINDS * 4 * TRUSTS],
        corrections: [0; KINDS * NODES * STEPS],
        places: [0; 1 << PLACES_BITS],
        past: [0; MOST_SYMBOLS],
    };

    fn begin(&mut self) {
        self.squash_and_stretch();
        for (asked, rate) in self.rates.iter_mut().enumerate() {
            *rate = 1_310_720 / (14 * asked as i32 + 30);
        }
        self.slots.fill([0; 8]);
        self.runs.fill(0);
        self.weights.as_flattened_mut().fill(14_000);
        self.context_weights.as_flattened_mut().fill(14_000);
        self.trusts.fill(57_344);
        for (at, correction) in self.corrections.iter_mut().enumerate() {
            *correction = self.squash[((at % STEPS) << STEP_BITS).min(4095)];
        }
        self.places.fill(0);
        self.past.fill(0);
    }

    /// Odds out of 65536 by logit, in steps of 1/256 from -8: powers of `e^(1/256)` in whole numbers. And the logits of
    /// odds out of 4096.
    fn squash_and_stretch(&mut self) {
        let mut power: u64 = 1 << 20;
        for step in 0..2048 {
            let share = ((power << 16) / (power + (1 << 20))) as i32;
            self.squash[2048 + step] = share as u16;
            self.squash[2048 - step] = (65_536 - share) as u16;
            power = (power * 65_793) >> 16;
        }
        self.squash[0] = self.squash[1];
        let mut logit = 0;
        for (odds, stretched) in self.stretch.iter_mut().enumerate() {
            while logit < 4095 && i32::from(self.squash[logit]) < odds as i32 * 16 + 8 {
                logit += 1;
            }
            *stretched = logit as i16 - 2048;
        }
    }
}

/// The whole state of guessing.
#[derive(Debug)]
pub(crate) struct Model<'r, C> {
    pub coder: C,
    learnt: &'r mut Learnt,
    /// What the next symbol is guessed from: numbers that are alike in like places. First those of the odds.
    pub contexts: [i32; CONTEXTS],
    /// How many symbols there were.
    pub count: usize,
    matched: usize,
    /// How many symbols the match has been right, or 0 for no match.
    match_length: usize,
    /// The symbol that it says comes next.
    match_says: u8,
    /// The place that waits to be told which symbol comes next.
    place: usize,
}

impl<'r, C: Coder> Model<'r, C> {
    /// A model that knows nothing but the lengths of the ways down each tree, which come first, as symbols themselves:
    /// those given if it writes.
    pub(crate) fn new(coder: C, learnt: &'r mut Learnt, given: &[[u8; 256]; KINDS]) -> Self {
        learnt.begin();
        for tree in &mut learnt.trees {
            tree.grow_flat(4);
        }
        let mut model = Self {
            coder,
            learnt,
            contexts: [0; CONTEXTS],
            count: 0,
            matched: 0,
            match_length: 0,
            match_says: 0,
            place: 0,
        };
        if !C::COUNTS {
            for (kind, given) in given.iter().enumerate().take(Kind::Length as usize) {
                let mut lengths = [0; 256];
                let mut before = 0;
                for symbol in 0..256 {
                    model.contexts = [before; CONTEXTS];
                    model.contexts[1] = before & 15;
                    model.contexts[2] = symbol as i32;
                    let length = model.symbol(Kind::Length, given[symbol]);
                    lengths[symbol] = length;
                    before = (before << 4 | i32::from(length)) & 0xFFF;
                }
                model.learnt.trees[kind].grow(&lengths);
            }
        }
        model.count = 0;
        model
    }

    /// Forgets all but the trees: what comes now is guessed by what comes now.
    pub(crate) fn begin_anew(&mut self) {
        self.learnt.begin();
        self.contexts = [0; CONTEXTS];
        (self.count, self.matched, self.match_length, self.match_says, self.place) = (0, 0, 0, 0, 0);
    }

    /// The symbol so many before; 0 before the first.
    #[inline]
    pub(crate) fn back(&self, count: usize) -> i32 {
        if count > self.count { 0 } else { self.past(self.count - count) }
    }

    #[inline]
    pub(crate) fn past(&self, at: usize) -> i32 {
        i32::from(self.learnt.past[at & (MOST_SYMBOLS - 1)])
    }

    /// Looks for where the symbols so far went on before, if there is no match already. The key is alike in like places.
    pub(crate) fn look_back(&mut self, key: i32) {
        self.place = (hashed(key).cast_unsigned() >> (32 - PLACES_BITS)) as usize;
        let place = self.learnt.places[self.place];
        if self.match_length == 0 && place > 0 {
            self.matched = (place >> 8) as usize;
            self.match_length = 1;
            self.match_says = place as u8;
        }
    }

    /// Moves one symbol: writes the one given, or reads one, whatever is given.
    pub(crate) fn symbol(&mut self, kind: Kind, given: u8) -> u8 {
        let kind = kind as usize;
        let symbol = if C::COUNTS {
            self.coder.count(kind, given);
            given
        } else {
            self.guessed(kind, given)
        };
        if self.place > 0 {
            self.learnt.places[self.place] = (self.count as u32) << 8 | u32::from(symbol);
            self.place = 0;
        }
        self.learnt.past[self.count & (MOST_SYMBOLS - 1)] = symbol;
        self.count += 1;
        if self.match_length > 0 {
            if self.match_says == symbol {
                self.match_length += 1;
                self.matched += 1;
                self.match_says = self.past(self.matched) as u8;
            } else {
                self.match_length = 0;
            }
        }
        symbol
    }

    /// Moves each branch on the way to the symbol: mixes the guesses, codes it, and learns from it.
    #[inline(never)]
    fn guessed(&mut self, kind: usize, given: u8) -> u8 {
        let learnt = &mut *self.learnt;
        let kind = kind & (KINDS - 1);
        let hashes: [i32; CONTEXTS] =
            core::array::from_fn(|at| hashed(self.contexts[at].wrapping_add(((kind * 16 + at) as i32) << 22)));
        // all looks into memory at once, before any of them is waited for
        let mut slots = slots_of(&mut learnt.slots, hashes);
        let places: [usize; RUNS] =
            core::array::from_fn(|run| (hashes[ODDS + run].cast_unsigned() >> (32 - RUNS_BITS)) as usize);
        let runs: [i32; RUNS] = core::array::from_fn(|run| {
            let (seen, check) = (learnt.runs[places[run]], hashes[ODDS + run] << RUN_WIDTH);
            if (seen ^ check).cast_unsigned() >> RUN_WIDTH == 0 { seen } else { check }
        });
        let context_set = kind * CONTEXT_SETS + hashed(self.contexts[0]) as usize % CONTEXT_SETS;
        let tree = &learnt.trees[kind];
        let first_trust = kind * 4 * TRUSTS;
        // what each says, and how well it is trusted: not at all with the first trust of all
        let mut says = [0; RUNS + 1];
        let mut trusts = [0; RUNS + 1];
        for (run, &seen) in runs.iter().enumerate() {
            let times = (seen >> 8 & 31) as usize;
            says[run] = tree.paths[(seen & 255) as usize];
            trusts[run] = if times > 0 { first_trust + run * TRUSTS + times } else { 0 };
        }
        says[RUNS] = tree.paths[usize::from(self.match_says)];
        if self.match_length > 0 {
            trusts[RUNS] = first_trust + RUNS * TRUSTS + self.match_length.min(TRUSTS - 1);
        }
        let mut given_path = tree.paths[usize::from(given)];
        let mut node = 0;
        let mut below = 1;
        while node < 256 {
            if below > 7 {
                below = 1;
                let salt = (node as i32).wrapping_mul(0x3D4D_51CB);
                slots = slots_of(&mut learnt.slots, hashes.map(|hash| hash.wrapping_add(salt)));
            }
            let trusted = trusts.iter().filter(|&&trust| trust > 0).count();
            let odds: [u16; ODDS] = core::array::from_fn(|at| learnt.slots[slots[at]][below & 7]);
            let unasked = odds.iter().filter(|odds| odds.trailing_zeros() >= 4).count();
            let set = ((kind * 4 + trusted) * 4 + unasked) * 8 + node.min(7);
            let mut inputs = [0; INPUTS];
            for at in 0..ODDS {
                inputs[at] = i32::from(learnt.stretch[usize::from(odds[at] >> 4)]);
            }
            for at in 0..=RUNS {
                let trust = i32::from(
                    learnt.stretch[(learnt.trusts[trusts[at] & (KINDS * 4 * TRUSTS - 1)] >> 4 & 4095) as usize],
                );
                inputs[ODDS + at] = if says[at] < 0 { trust } else { -trust };
            }
            inputs[ODDS + RUNS + 1] = 256;
            let weights = &mut learnt.weights[set & (KINDS * SETS - 1)];
            let context_weights = &mut learnt.context_weights[context_set & (KINDS * CONTEXT_SETS - 1)];
            let sum = (weighted(&inputs, weights) >> 1) + (weighted(&inputs, context_weights) >> 1);
            let logit = (sum >> 16).clamp(-2047, 2047) + 2047;
            let mixed = i32::from(learnt.squash[(logit + 1) as usize & 4095]);
            let step = (kind * NODES + node.min(NODES - 1)) * STEPS + (logit >> STEP_BITS) as usize;
            let part = logit & ((1 << STEP_BITS) - 1);
            let mask = KINDS * NODES * STEPS - 1;
            let [lower, upper] = [step, step + 1].map(|step| i32::from(learnt.corrections[step & mask]));
            let corrected = lower + (((upper - lower) * part) >> STEP_BITS);

            let one = self.coder.bit(given_path < 0, (mixed + corrected) >> 1);

            let certain = if one { 65_535 } else { 0 };
            let nearer = &mut learnt.corrections[(step + (part >> (STEP_BITS - 1)) as usize) & mask];
            *nearer = (i32::from(*nearer) + ((certain - i32::from(*nearer)) >> 5)) as u16;
            let miss = (certain + i32::from(one) - mixed) >> 2;
            for at in 0..INPUTS {
                let by = (inputs[at].wrapping_mul(miss) + 4096) >> 13;
                weights[at] = weights[at].wrapping_add(by);
                context_weights[at] = context_weights[at].wrapping_add(by);
            }
            for at in 0..ODDS {
                let (share, times) = (i32::from(odds[at] >> 4), usize::from(odds[at] & 15));
                let share = share + ((((certain >> 4) - share) * learnt.rates[times]) >> 16);
                learnt.slots[slots[at]][below & 7] = (share << 4) as u16 | (times + 1).min(15) as u16;
            }
            for at in 0..=RUNS {
                let right = (says[at] < 0) == one;
                let trust = &mut learnt.trusts[trusts[at] & (KINDS * 4 * TRUSTS - 1)];
                let sure = if right { 65_535 } else { 0 };
                *trust = (i32::from(*trust) + ((sure - i32::from(*trust)) >> 6)) as u16;
                if !right {
                    trusts[at] = 0;
                }
                says[at] <<= 1;
            }
            learnt.trusts[0] = 1 << 15;
            given_path <<= 1;
            below = 2 * below + usize::from(one);
            node = usize::from(learnt.trees[kind].nodes[node & 255][usize::from(one)]);
        }
        let symbol = !node as u8;
        for (place, seen) in places.into_iter().zip(runs) {
            learnt.runs[place] = after(seen, i32::from(symbol));
        }
        symbol
    }
}

#[inline]
fn weighted(inputs: &[i32; INPUTS], weights: &[i32; INPUTS]) -> i32 {
    let mut sum = 0_i32;
    for at in 0..INPUTS {
        sum = sum.wrapping_add(inputs[at].wrapping_mul(weights[at]));
    }
    sum
}

/// The slots of the contexts with odds.
#[inline]
fn slots_of(slots: &mut [[u16; 8]; 1 << SLOT_BITS], hashes: [i32; CONTEXTS]) -> [usize; ODDS] {
    core::array::from_fn(|at| slot(slots, hashed(hashes[at])))
}

/// The slot of a context: the one that it has, or the less used of two neighbours made empty for it.
#[inline]
fn slot(slots: &mut [[u16; 8]; 1 << SLOT_BITS], hash: i32) -> usize {
    let check = hash as u16 | 1;
    let first = (hash.cast_unsigned() >> (32 - SLOT_BITS)) as usize;
    if slots[first][0] == check {
        return first;
    }
    let second = first ^ 1;
    if slots[second][0] == check {
        return second;
    }
    let place = if slots[second][1] & 15 < slots[first][1] & 15 { second } else { first };
    slots[place] = [check, UNKNOWN, UNKNOWN, UNKNOWN, UNKNOWN, UNKNOWN, UNKNOWN, UNKNOWN];
    place
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
#[inline]
fn hashed(number: i32) -> i32 {
    let hash = number.wrapping_mul(0x2C1B_3C6D);
    hash ^ (hash.cast_unsigned() >> 15).cast_signed()
}
