//! What stands behind instructions, and what they take and leave.
//!
//! After the WebAssembly Core Specification 2.0: chapter 5 'Binary Format', chapter 3 'Validation'.

use crate::Fault;
use crate::kind::Kind;

/// Types of values as the module writes them, and none.
pub(crate) const NO_TYPE: i32 = 0;
const WHOLE_32: i32 = 0x7F;
const WHOLE_64: i32 = 0x7E;
const FRACTION_32: i32 = 0x7D;
const FRACTION_64: i32 = 0x7C;
const VECTOR: i32 = 0x7B;

/// The first instruction that writes to memory.
pub(crate) const FIRST_STORE: i32 = 0x36;

/// Kinds of the numbers behind an instruction. Instructions with operands of other kinds stand apart.
pub(crate) fn operands(code: i32) -> Result<&'static [Kind], Fault> {
    Ok(match code {
        0x0C | 0x0D => &[Kind::Branch],
        0x10 => &[Kind::Call],
        0x11 => &[Kind::Rest, Kind::Rest],
        0x20 => &[Kind::Get],
        0x21 | 0x22 => &[Kind::Set],
        0x28..=0x3E => &[Kind::Align, Kind::Offset],
        0x41 | 0x42 => &[Kind::Number],
        0x02..=0x04 | 0x23..=0x26 | 0x3F | 0x40 | 0xD0 | 0xD2 => &[Kind::Rest],
        0x00 | 0x01 | 0x05 | 0x0B | 0x0F | 0x1A | 0x1B | 0x45..=0xC4 | 0xD1 => &[],
        _ => return Err(Fault::Instruction(code)),
    })
}

/// Numbers behind an instruction of two bytes, by its second.
pub(crate) fn operands_of_second(code: i32) -> Result<u32, Fault> {
    Ok(match code {
        0..=7 => 0,
        9 | 11 | 13 | 15..=17 => 1,
        8 | 10 | 12 | 14 => 2,
        _ => return Err(Fault::Second(code)),
    })
}

/// Kinds of the numbers behind a vector instruction, by what follows the first byte. Those with 16 bytes behind them stand
/// apart.
pub(crate) fn operands_of_vector(code: i32) -> Result<&'static [Kind], Fault> {
    Ok(match code {
        0..=11 | 92 | 93 => &[Kind::Align, Kind::Offset],
        84..=91 => &[Kind::Align, Kind::Offset, Kind::Rest],
        21..=34 => &[Kind::Rest],
        12..=20 | 35..=83 | 94..=255 => &[],
        _ => return Err(Fault::Vector(code)),
    })
}

/// How many values an instruction takes from the stack, and the type of what it leaves there.
pub(crate) fn takes_and_gives(code: i32) -> (u32, i32) {
    match code {
        0x0D | 0x1A | 0x21 | 0x24 => (1, NO_TYPE),
        0x23 | 0x3F | 0x41 => (0, WHOLE_32),
        0x42 => (0, WHOLE_64),
        0x43 => (0, FRACTION_32),
        0x44 => (0, FRACTION_64),
        0x28 | 0x2C..=0x2F | 0x40 | 0x45 | 0x50 | 0x67..=0x69 | 0xA7..=0xAB | 0xBC | 0xC0 | 0xC1 => (1, WHOLE_32),
        0x36..=0x3E => (2, NO_TYPE),
        0x46..=0x66 | 0x6A..=0x78 => (2, WHOLE_32),
        0x29 | 0x30..=0x35 | 0x79..=0x7B | 0xAC..=0xB1 | 0xBD | 0xC2..=0xC4 => (1, WHOLE_64),
        0x7C..=0x8A => (2, WHOLE_64),
        0x2A | 0x8B..=0x91 | 0xB2..=0xB6 | 0xBE => (1, FRACTION_32),
        0x92..=0x98 => (2, FRACTION_32),
        0x2B | 0x99..=0x9F | 0xB7..=0xBB | 0xBF => (1, FRACTION_64),
        0xA0..=0xA6 => (2, FRACTION_64),
        _ => (0, NO_TYPE),
    }
}

/// What the second byte's instruction takes and leaves.
pub(crate) fn second_takes_and_gives(code: i32) -> (u32, i32) {
    match code {
        0..=3 => (1, WHOLE_32),
        4..=7 => (1, WHOLE_64),
        _ => (3, NO_TYPE),
    }
}

/// What a vector instruction takes and leaves; of lanes that are taken out, as if all were 32 bits wide.
pub(crate) fn vector_takes_and_gives(code: i32) -> (u32, i32) {
    match code {
        11 | 88..=91 => (2, NO_TYPE),
        12 => (0, VECTOR),
        0..=10 | 15..=20 | 77 | 92 | 93 => (1, VECTOR),
        21 | 22 | 24 | 25 | 27 | 29 | 83 | 99 | 100 | 131 | 132 | 163 | 164 | 195 | 196 => (1, WHOLE_32),
        _ => (2, VECTOR),
    }
}
