//! The coder of branches: a range coder with carry, after G. N. N. Martin, 'Range encoding' (1979), from memory.

#[cfg(not(target_arch = "wasm32"))]
use std::mem;

/// Where branches go to or come from.
pub(crate) trait Coder {
    /// Whether symbols are only counted, and nothing is guessed.
    const COUNTS: bool = false;

    /// Moves one branch: writes the one given, or reads one, whatever is given. The odds of a one are out of 65536.
    fn bit(&mut self, one: bool, odds: i32) -> bool;

    /// Counts a symbol of a kind.
    fn count(&mut self, _kind: usize, _symbol: u8) {}

    /// Whether more was read than there is.
    fn has_ended(&self) -> bool {
        false
    }

    /// What was moved so far is the first half; the second begins anew.
    fn halve(&mut self) {}
}

/// The part of a range that a one gets, of odds out of 65536.
#[inline]
fn share(range: u32, odds: i32) -> u32 {
    ((u64::from(range) * u64::from(odds.unsigned_abs())) >> 16) as u32
}

/// Reads branches.
#[derive(Debug)]
pub(crate) struct Reader<'a> {
    range: u32,
    code: u32,
    at: usize,
    packed: &'a [u8],
    second: &'a [u8],
}

impl<'a> Reader<'a> {
    pub(crate) fn new(packed: &'a [u8], second: &'a [u8]) -> Self {
        let mut reader = Self { range: u32::MAX, code: 0, at: 0, packed, second };
        for _ in 0..4 {
            reader.byte();
        }
        reader
    }

    #[inline]
    fn byte(&mut self) {
        self.code = self.code << 8 | u32::from(self.packed.get(self.at).copied().unwrap_or(0));
        self.at += 1;
    }
}

impl Coder for Reader<'_> {
    #[inline]
    fn bit(&mut self, _: bool, odds: i32) -> bool {
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
            self.byte();
        }
        one
    }

    fn has_ended(&self) -> bool {
        self.at > self.packed.len()
    }

    fn halve(&mut self) {
        *self = Self::new(self.second, &[]);
    }
}

/// Writes branches: what is not yet settled of the output is one number.
#[cfg(not(target_arch = "wasm32"))]
#[derive(Debug)]
pub(crate) struct Writer {
    low: u64,
    range: u32,
    out: Vec<u8>,
    first: Vec<u8>,
}

#[cfg(not(target_arch = "wasm32"))]
impl Writer {
    pub(crate) fn new() -> Self {
        Self { low: 0, range: u32::MAX, out: Vec::new(), first: Vec::new() }
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

    /// Both halves; the first is empty where there is but one.
    pub(crate) fn finish(mut self) -> [Vec<u8>; 2] {
        for _ in 0..4 {
            self.shift();
        }
        [self.first, self.out]
    }
}

#[cfg(not(target_arch = "wasm32"))]
impl Coder for Writer {
    fn bit(&mut self, one: bool, odds: i32) -> bool {
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
        one
    }

    fn halve(&mut self) {
        let [_, first] = mem::replace(self, Self::new()).finish();
        self.first = first;
    }
}

/// Counts the symbols of each kind, for the trees.
#[cfg(not(target_arch = "wasm32"))]
#[derive(Debug)]
pub(crate) struct Counter(pub [[u32; 256]; crate::kind::KINDS]);

#[cfg(not(target_arch = "wasm32"))]
impl Coder for Counter {
    const COUNTS: bool = true;

    fn bit(&mut self, one: bool, _: i32) -> bool {
        one
    }

    fn count(&mut self, kind: usize, symbol: u8) {
        self.0[kind][usize::from(symbol)] += 1;
    }
}
