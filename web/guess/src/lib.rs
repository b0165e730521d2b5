//! The core, packed by guessing: each symbol of the wasm module is coded by how likely it was where it stands.
//!
//! | file | what |
//! |---|---|
//! | `walk` | the way through a module, and what each symbol is guessed from |
//! | `instructions` | what stands behind instructions, and what they take and leave |
//! | `model` | the guesses, and what they are mixed by |
//! | `coder` | the coder of branches |
//! | `tree` | prefix trees of the symbols of a kind |
//! | `kind` | kinds of symbols |
//! | `check_sums` | 16 kB of the module that nobody can guess and anybody can reckon |
//! | `seam` | what the page calls |
//!
//! Form: six 32-bit numbers, low byte first: the length of the module; where the tables for check sums stand in it, and
//! how many bytes of them (0 for none, and they are not coded); the function that the second half begins with, where it
//! stands in the module, and how many bytes the coded first half has. Then the coded branches: first the lengths of the
//! ways down the tree of every kind but the last two, 256 symbols each, then the module's symbols in their order. Those
//! are its bytes, without the size before each function, which is known once the function is.
//!
//! The second half is guessed by nothing in the first but the trees and what functions take and give, which stands before
//! the first function: so two workers unpack a half each, in half the time, for half a percent more of weight.
//!
//! The builder packs with it and, compiled to a small module of its own, the page unpacks with it: one code, so both
//! guess alike. That module weighs, too: so nothing here allocates, formats or panics where it is compiled for the page.

#![cfg_attr(target_arch = "wasm32", no_std)]
#![allow(
    clippy::cast_possible_truncation,
    clippy::cast_possible_wrap,
    clippy::cast_sign_loss,
    clippy::large_stack_arrays,
    clippy::needless_range_loop,
    reason = "the arithmetic is that of 32-bit integers which wrap; loops over \
              several arrays of one length become vectors; the large arrays are constants that statics begin with"
)]

mod check_sums;
mod coder;
mod instructions;
mod kind;
mod model;
#[cfg(target_arch = "wasm32")]
mod seam;
mod tree;
mod walk;

use coder::Reader;
use kind::KINDS;
use model::{Learnt, MOST_SYMBOLS, Model};
use walk::{Kept, walk};

#[cfg(not(target_arch = "wasm32"))]
pub use packing::{pack, unpack, unpack_by_halves};

/// Most bytes a packed module may have: the page's unpacker has room for them.
const MOST_PACKED: usize = 1 << 19;
/// Bytes before the coded branches.
const HEADER: usize = 24;

/// Why a module cannot be packed or unpacked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fault {
    /// It ends early, or its sections do not fit together.
    Ended,
    /// An instruction that is not known here.
    Instruction(i32),
    /// An instruction of two bytes, 0xFC first, that is not known here.
    Second(i32),
    /// A vector instruction, 0xFD first, that is not known here.
    Vector(i32),
    /// It imports something that is no function.
    Import,
    /// It is larger than there is room for.
    TooLarge,
}

#[cfg(not(target_arch = "wasm32"))]
impl std::fmt::Display for Fault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Ended => f.write_str("the module ends early"),
            Self::Instruction(code) => write!(f, "instruction {code:#04X} is not known to web/guess"),
            Self::Second(code) => write!(f, "instruction 0xFC {code} is not known to web/guess"),
            Self::Vector(code) => write!(f, "instruction 0xFD {code} is not known to web/guess"),
            Self::Import => f.write_str("the module imports something that is no function"),
            Self::TooLarge => f.write_str("the module is larger than web/guess has room for"),
        }
    }
}

#[cfg(not(target_arch = "wasm32"))]
impl std::error::Error for Fault {}

/// What stands before the coded branches.
#[derive(Debug, Clone, Copy)]
struct Header {
    /// How many bytes the module has.
    length: usize,
    /// Where the tables for check sums stand, and how many bytes of them.
    table: usize,
    table_length: usize,
    /// Which function the second half begins with, and where in the module; one that there is not for none.
    function: usize,
    offset: usize,
}

/// What is to be unpacked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Half {
    First,
    Second,
    Both,
}

/// Room for all that is kept while a module is packed or unpacked.
#[derive(Debug)]
struct Room {
    learnt: Learnt,
    kept: Kept,
}

impl Room {
    const EMPTY: Self = Self { learnt: Learnt::NOTHING, kept: Kept::NOTHING };
}

/// Unpacks a module or a half of it, to where it stands in the module; gives where that ends.
fn unpack_into(packed: &[u8], half: Half, module: &mut [u8; MOST_SYMBOLS], room: &mut Room) -> Result<usize, Fault> {
    let (header, branches) = packed.split_first_chunk::<HEADER>().ok_or(Fault::Ended)?;
    let number = |at: usize| u32::from_le_bytes([header[at], header[at + 1], header[at + 2], header[at + 3]]) as usize;
    let header = Header {
        length: number(0),
        table: number(4),
        table_length: number(8),
        function: number(12),
        offset: number(16),
    };
    if header.length > MOST_SYMBOLS || header.table_length > check_sums::BYTES {
        return Err(Fault::TooLarge);
    }
    let (first, second) = branches.split_at_checked(number(20)).ok_or(Fault::Ended)?;
    let model = Model::new(Reader::new(first, second), &mut room.learnt, &[[0; 256]; KINDS]);
    walk(model, &mut room.kept, &[], module, header, half).map(|(_, end)| end)
}

#[cfg(not(target_arch = "wasm32"))]
mod packing {
    use std::mem;
    use std::sync::{Mutex, MutexGuard, PoisonError};

    use super::{
        Fault, Half, Header, KINDS, MOST_PACKED, MOST_SYMBOLS, Model, Room, check_sums, tree, unpack_into, walk,
    };
    use crate::coder::{Counter, Writer};
    use crate::walk::CODE_SECTION;

    /// Too large for a stack, and made of nothing but zeros at first.
    static ROOM: Mutex<Room> = Mutex::new(Room::EMPTY);
    static MODULE: Mutex<[u8; MOST_SYMBOLS]> = Mutex::new([0; MOST_SYMBOLS]);

    /// What a packer left behind that panicked is as good as what any other did: all is set anew.
    fn locked<T>(room: &Mutex<T>) -> MutexGuard<'_, T> {
        room.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Packs a module.
    ///
    /// # Errors
    /// If it holds what is not known here.
    pub fn pack(module: &[u8]) -> Result<Vec<u8>, Fault> {
        if module.len() > MOST_SYMBOLS {
            return Err(Fault::TooLarge);
        }
        let table = check_sums::place(module);
        let (function, offset) = middle(module, table.len()).unwrap_or((u32::MAX as usize, 0));
        let header = Header { length: module.len(), table: table.start, table_length: table.len(), function, offset };
        let (mut room, mut out) = (locked(&ROOM), locked(&MODULE));
        let room = &mut *room;
        let mut lengths = [[0; 256]; KINDS];
        let counting = Model::new(Counter([[0; 256]; KINDS]), &mut room.learnt, &lengths);
        let (Counter(counts), _) = walk(counting, &mut room.kept, module, &mut out, header, Half::Both)?;
        for (lengths, counts) in lengths.iter_mut().zip(&counts) {
            *lengths = tree::lengths_of(counts);
        }
        let writing = Model::new(Writer::new(), &mut room.learnt, &lengths);
        let (writer, _) = walk(writing, &mut room.kept, module, &mut out, header, Half::Both)?;
        let [mut first, mut second] = writer.finish();
        if first.is_empty() {
            mem::swap(&mut first, &mut second);
        }
        let mut packed = Vec::new();
        for number in [header.length, header.table, header.table_length, header.function, header.offset, first.len()] {
            packed.extend((number as u32).to_le_bytes());
        }
        packed.extend(first);
        packed.extend(second);
        if packed.len() > MOST_PACKED { Err(Fault::TooLarge) } else { Ok(packed) }
    }

    /// The module of its packed form: to check that nothing is lost.
    ///
    /// # Errors
    /// If the packed form ends early.
    pub fn unpack(packed: &[u8]) -> Result<Vec<u8>, Fault> {
        let (mut room, mut module) = (locked(&ROOM), locked(&MODULE));
        let length = unpack_into(packed, Half::Both, &mut module, &mut room)?;
        Ok(module[..length].to_vec())
    }

    /// The same, each half by itself, as two workers of the page unpack it.
    ///
    /// # Errors
    /// If the packed form ends early.
    pub fn unpack_by_halves(packed: &[u8]) -> Result<Vec<u8>, Fault> {
        let (mut room, mut module) = (locked(&ROOM), locked(&MODULE));
        let middle = unpack_into(packed, Half::First, &mut module, &mut room)?;
        let mut whole = module[..middle].to_vec();
        if middle < whole_length(packed) {
            let end = unpack_into(packed, Half::Second, &mut module, &mut room)?;
            whole.extend(module.get(middle..end).ok_or(Fault::Ended)?);
        }
        Ok(whole)
    }

    fn whole_length(packed: &[u8]) -> usize {
        packed.first_chunk().map_or(0, |length| u32::from_le_bytes(*length) as usize)
    }

    /// The function that begins the second half of a module, and where it stands: such that both take as long, and bytes of
    /// data, in the second, take longer than instructions. None in a module that ends before, or has no such function.
    fn middle(module: &[u8], not_coded: usize) -> Option<(usize, usize)> {
        let number = |at: &mut usize| -> Option<usize> {
            let mut value = 0;
            for shift in (0..35).step_by(7) {
                let byte = module.get(*at).copied()?;
                *at += 1;
                value |= usize::from(byte & 127) << shift;
                if byte < 128 {
                    break;
                }
            }
            Some(value)
        };
        let mut at = 8;
        loop {
            let id = number(&mut at)?;
            let end = number(&mut at)? + at;
            if id == CODE_SECTION as usize {
                break;
            }
            at = end;
        }
        for function in 0..number(&mut at)? {
            if at >= (module.len() - not_coded) * 27 / 50 {
                return Some((function, at));
            }
            at = number(&mut at)? + at;
        }
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A module of a type, two functions with an instruction of every kind of operand, and data.
    fn module() -> Vec<u8> {
        let body: &[u8] = &[
            1, 2, 0x7F, // two locals
            0x02, 0x40, 0x03, 0x40, 0x0C, 1, 0x0B, 0x0E, 2, 0, 1, 0, 0x0B, // blocks and branches
            0x41, 1, 0x04, 0x7F, 0x41, 1, 0x05, 0x41, 2, 0x0B, 0x1A, // both ways of a condition
            0x10, 0x80, 1, 0x11, 3, 0, 0x20, 0, 0x21, 1, 0x22, 0, 0x23, 0, 0x24, 0, // calls and variables
            0x28, 2, 0x90, 0x7F, 0x3F, 0, 0x41, 0xC0, 0xBB, 0x78, 0x42, 0x7F, // memory and whole numbers
            0x43, 1, 2, 3, 4, 0x44, 1, 2, 3, 4, 5, 6, 7, 8, 0x6A, 0xFC, 10, 0, 0, 0xFC, 2, 0xFD, 0, 4,
            8, // vectors: read, lane, written, and of 16 bytes
            0xFD, 21, 15, 0xFD, 84, 0, 1, 7, 0xFD, 11, 4, 0x80, 1, 0xFD, 0xE4, 1, //
            0xFD, 12, 0, 1, 2, 3, 4, 5, 6, 7, 128, 129, 130, 131, 132, 133, 255, 255, 0x0B,
        ];
        let mut module = b"\0asm\x01\0\0\0".to_vec();
        module.extend([1, 5, 1, 0x60, 1, 0x7F, 0, 3, 3, 2, 0, 0]);
        let size = u8::try_from(body.len()).unwrap();
        let section = 2 * size + 3;
        module.extend([10, section & 0x7F | 0x80, section >> 7, 2]);
        for _ in 0..2 {
            module.push(size);
            module.extend(body);
        }
        module.extend([0, 3, 1, b'x', 9]);
        module
    }

    #[test]
    fn what_is_packed_comes_back() {
        let module = module();
        let packed = pack(&module).unwrap();
        assert_eq!(unpack(&packed).unwrap(), module);
        assert_eq!(unpack_by_halves(&packed).unwrap(), module);
        assert!(packed[12] == 1, "the second of two functions begins the second half");
        assert_eq!(unpack(&packed[..packed.len() - 9]), Err(Fault::Ended));
        assert_eq!(unpack(&packed[..20]), Err(Fault::Ended));
        assert_eq!(unpack(&packed[..8]), Err(Fault::Ended));
    }

    #[test]
    fn what_is_damaged_neither_hangs_nor_panics() {
        let module = module();
        let packed = pack(&module).unwrap();
        for at in 0..packed.len() {
            for flipped in [1, 0x10, 0x80, 0xFF] {
                let mut damaged = packed.clone();
                damaged[at] ^= flipped;
                // another module may come of it, or none, but none that is longer than said
                for unpack in [unpack, unpack_by_halves] {
                    let module = unpack(&damaged);
                    assert!(module.is_err() || module.is_ok_and(|module| module.len() <= MOST_SYMBOLS));
                }
            }
        }
    }

    #[test]
    fn tables_for_check_sums_are_not_coded() {
        let mut module = b"\0asm\x01\0\0\0".to_vec();
        let sums = check_sums::check_sums();
        // RFC 1952, 8: the sum of a byte of 1 is 0x77073096 in the table that its code makes
        assert_eq!(sums.get(1), Some(&0x7707_3096));
        module.extend([11, 0x80, 0x80, 1]);
        module.extend(sums.iter().flat_map(|sum| sum.to_le_bytes()));
        let packed = pack(&module).unwrap();
        assert_eq!(unpack(&packed).unwrap(), module);
        assert!(packed.len() < 1000, "{} bytes", packed.len());
    }

    #[test]
    fn what_is_not_known_is_said() {
        let mut module = module();
        assert_eq!(pack(&module[..30]), Err(Fault::Ended));
        assert_eq!(pack(&vec![0; MOST_SYMBOLS + 1]), Err(Fault::TooLarge));
        let at = module.iter().position(|&byte| byte == 0x6A).unwrap();
        module[at] = 0xFE;
        assert_eq!(pack(&module), Err(Fault::Instruction(0xFE)));
        assert!(Fault::Instruction(0xFE).to_string().contains("0xFE"));
    }
}
