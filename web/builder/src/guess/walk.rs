//! The way through a wasm module, symbol by symbol, and what each symbol is guessed from.
//!
//! Layout after the WebAssembly Core Specification 2.0, chapter 5 'Binary Format'; what instructions take and leave
//! after its chapter 3 'Validation'. The walk keeps the operand stack as far as it helps: the type of each value and
//! which instruction it came from. A wrong guess about either costs room, never truth.

use std::ops::Range;

use anyhow::{Context as _, Result, bail, ensure};

use super::check_sums::check_sums;
use super::kind::Kind;
use super::model::Model;

/// The id of the section that holds the functions.
const CODE_SECTION: u8 = 10;

/// Types of values as the module writes them, and none.
const NO_TYPE: i32 = 0;
const WHOLE_32: i32 = 0x7F;
const WHOLE_64: i32 = 0x7E;
const FRACTION_32: i32 = 0x7D;
const FRACTION_64: i32 = 0x7C;

/// A number of two, spread over all bits.
fn mix(one: i32, other: i32) -> i32 {
    let hash = (one ^ other.wrapping_mul(0x9E37_79B1_u32.cast_signed())).wrapping_mul(0x85EB_CA6B_u32.cast_signed());
    hash ^ (hash.cast_unsigned() >> 15).cast_signed()
}

/// A number that differs where one of these does: cheaper than [`mix`], and good enough for what is mixed again.
fn all(numbers: &[i32]) -> i32 {
    const FACTORS: [i32; 6] = [
        0x9E37_79B1_u32.cast_signed(),
        0x85EB_CA6B_u32.cast_signed(),
        0xC2B2_AE35_u32.cast_signed(),
        0x27D4_EB2F,
        0x1656_67B1,
        0x5851_F42D,
    ];
    numbers.iter().zip(FACTORS).fold(0, |sum: i32, (&number, factor)| sum.wrapping_add(number.wrapping_mul(factor)))
}

/// A value on the operand stack.
#[derive(Debug, Default, Clone, Copy)]
struct Value {
    kind: i32,
    /// The instruction that made it, and what that was made of.
    origin: i32,
}

/// A block that is open.
#[derive(Debug, Clone, Copy)]
struct Block {
    code: i32,
    /// Where its operands begin on the stack.
    floor: usize,
    result: i32,
}

/// What a function takes and gives.
#[derive(Debug, Default, Clone)]
struct Shape {
    takes: Vec<i32>,
    gives: i32,
}

/// The walk.
#[derive(Debug)]
struct Walk<'m, 'g> {
    model: &'g mut Model<'m>,
    /// What is packed; empty where it is unpacked.
    module: &'g [u8],
    at: usize,
    out: Vec<u8>,
    length: usize,
    /// Where the table for check sums stands.
    table: Range<usize>,
    shapes: Vec<Shape>,
    /// The shape of every function, imported ones first.
    functions: Vec<usize>,
    imported: usize,
    function: i32,
    /// The last eight instructions, a byte each, the last one lowest.
    codes: i32,
    codes_before: i32,
    /// The last five instructions with their operands.
    whole: [i32; 5],
    stack: Vec<Value>,
    blocks: Vec<Block>,
    locals: Vec<i32>,
    /// The last locals read, and the last written.
    got: [i32; 2],
    set: i32,
    /// The last two operands, and the last one's bytes, by kind.
    last: [[i32; 2]; 16],
    last_bytes: [[i32; 4]; 16],
    /// The offset last used with an address of the same origin.
    offsets: Vec<i32>,
}

/// Walks through a whole module: one that is packed, or one of a given length that is unpacked.
///
/// # Errors
/// If the module holds what is not known here, or ends early.
pub(crate) fn walk(model: &mut Model<'_>, module: &[u8], length: usize, table: Range<usize>) -> Result<Vec<u8>> {
    let mut walk = Walk {
        model,
        module,
        at: 0,
        out: Vec::new(),
        length,
        table,
        shapes: Vec::new(),
        functions: Vec::new(),
        imported: 0,
        function: 0,
        codes: 0,
        codes_before: 0,
        whole: [0; 5],
        stack: Vec::new(),
        blocks: Vec::new(),
        locals: Vec::new(),
        got: [0; 2],
        set: 0,
        last: [[0; 2]; 16],
        last_bytes: [[0; 4]; 16],
        offsets: vec![0; 4096],
    };
    walk.sections()?;
    Ok(walk.out)
}

impl Walk<'_, '_> {
    fn moved(&mut self, kind: Kind) -> Result<u8> {
        let given =
            if self.module.is_empty() { 0 } else { *self.module.get(self.at).context("the module ends early")? };
        self.at += 1;
        self.model.symbol(kind, given)
    }

    fn sections(&mut self) -> Result<()> {
        self.data_until(8)?;
        while self.out.len() < self.length {
            let id = self.data()?;
            let size = self.data_number()?;
            let end = self.out.len() + size;
            if id == CODE_SECTION {
                let count = self.data_number()?;
                self.read_shapes()?;
                for function in 0..count {
                    self.function(function)?;
                }
            } else {
                self.data_until(end)?;
            }
        }
        ensure!(self.out.len() == self.length, "the module has another length");
        Ok(())
    }

    fn data_until(&mut self, end: usize) -> Result<()> {
        while self.out.len() < end {
            if self.out.len() == self.table.start && !self.table.is_empty() {
                self.at += self.table.len();
                self.out.extend(&check_sums()[..self.table.len()]);
            } else {
                self.data()?;
            }
        }
        Ok(())
    }

    /// A byte outside of functions.
    fn data(&mut self) -> Result<u8> {
        let past = &self.model.past;
        let back = |count: usize| past.len().checked_sub(count).map_or(0, |at| i32::from(past[at]));
        let [b1, b2, b3, b4] = [back(1), back(2), back(3), back(4)];
        let place = (past.len() & 3) as i32;
        let three = b1 | b2 << 8 | b3 << 16;
        self.model.contexts = [b1, b1 | b2 << 8, b2, three, all(&[b4 | back(8) << 8, place])];
        let byte = self.moved(Kind::Data)?;
        self.model.look_back(all(&[three, b4, i32::from(byte)]));
        self.out.push(byte);
        Ok(byte)
    }

    fn data_number(&mut self) -> Result<usize> {
        let mut value = 0;
        for shift in (0..35).step_by(7) {
            let byte = self.data()?;
            value |= usize::from(byte & 127) << shift;
            if byte < 128 {
                break;
            }
        }
        Ok(value)
    }

    /// What functions take and give, from the sections before them.
    fn read_shapes(&mut self) -> Result<()> {
        let mut reader = Reader { bytes: &self.out, at: 8 };
        while let Some(id) = reader.byte() {
            let size = reader.number();
            let end = reader.at + size;
            match id {
                1 => {
                    for _ in 0..reader.number() {
                        reader.byte();
                        let takes = reader.types();
                        let gives = reader.types().first().copied().unwrap_or(NO_TYPE);
                        self.shapes.push(Shape { takes, gives });
                    }
                }
                2 => {
                    for _ in 0..reader.number() {
                        for _ in 0..2 {
                            let length = reader.number();
                            reader.at += length;
                        }
                        ensure!(reader.byte() == Some(0), "the core imports something that is no function");
                        self.imported += 1;
                        self.functions.push(reader.number());
                    }
                }
                3 => {
                    for _ in 0..reader.number() {
                        self.functions.push(reader.number());
                    }
                }
                CODE_SECTION => break,
                _ => {}
            }
            reader.at = end;
        }
        Ok(())
    }

    /// A function: its size is not among the symbols, for it is known once the function is.
    fn function(&mut self, number: usize) -> Result<()> {
        while *self.module.get(self.at).unwrap_or(&0) >= 128 {
            self.at += 1;
        }
        self.at += 1;
        self.function = number as i32;
        (self.codes, self.codes_before, self.whole) = (0, 0, [0; 5]);
        self.stack.clear();
        let start = self.model.past.len();
        self.blocks = vec![Block { code: 0, floor: 0, result: NO_TYPE }];
        self.locals = self.shape_of(self.imported + number).takes;
        for _ in 0..self.number(HEAD, Kind::Rest, 0)? {
            let count = self.number(HEAD, Kind::Rest, 1)? as usize;
            let kind = self.number(HEAD, Kind::Rest, 2)?;
            ensure!(self.locals.len() + count < 50_000, "a function has too many locals");
            self.locals.resize(self.locals.len() + count, kind);
        }
        while !self.blocks.is_empty() {
            self.instruction()?;
        }
        let body = self.model.past[start..].to_vec();
        let mut size = body.len();
        while size >= 0x80 {
            self.out.push((size & 0x7F) as u8 | 0x80);
            size >>= 7;
        }
        self.out.push(size as u8);
        self.out.extend(body);
        Ok(())
    }

    fn shape_of(&self, function: usize) -> Shape {
        self.functions.get(function).and_then(|&shape| self.shapes.get(shape)).cloned().unwrap_or_default()
    }

    fn block(&self) -> Block {
        self.blocks.last().copied().unwrap_or(Block { code: 0, floor: 0, result: NO_TYPE })
    }

    fn height(&self) -> usize {
        self.stack.len() - self.block().floor
    }

    /// The value so many below the top; none below the block's floor.
    fn below(&self, count: usize) -> Value {
        if self.height() > count { self.stack[self.stack.len() - 1 - count] } else { Value::default() }
    }

    fn pop(&mut self) -> Value {
        let top = self.below(0);
        if self.height() > 0 {
            self.stack.pop();
        }
        top
    }

    fn push(&mut self, kind: i32, origin: i32) {
        self.stack.push(Value { kind, origin });
    }

    /// A number of seven bits a byte, behind an instruction; its lowest 32 bits.
    fn number(&mut self, code: i32, kind: Kind, first: i32) -> Result<i32> {
        let later = match kind {
            Kind::Call => Kind::CallOn,
            Kind::Offset => Kind::OffsetOn,
            Kind::Number => Kind::NumberOn,
            _ => Kind::Rest,
        };
        let [last, _] = self.last[kind as usize];
        let (top, next) = (self.below(0), self.below(1));
        let height = self.height() as i32;
        let base = if code >= FIRST_STORE { next } else { top }.origin;
        let offset = self.offsets[mix(base, self.function).cast_unsigned() as usize & 4095];
        let (function, before, two_before, [one, two, three, four, _]) =
            (self.function, self.codes & 0xFF, self.codes & 0xFFFF, self.whole);
        let ([got, _], set) = (self.got, self.set);
        let mut value = 0;
        for place in 0.. {
            let at = place.min(3);
            let c = mix(code | at << 8 | first << 16, value);
            let byte_before = self.last_bytes[kind as usize][at as usize];
            let like = |numbers: &[i32]| c.wrapping_add(all(numbers));
            self.model.contexts = match kind {
                Kind::Get => [
                    like(&[before, got]),
                    like(&[function, before]),
                    like(&[function, height, top.origin]),
                    like(&[one, two, three, four]),
                    like(&[function, got]),
                ],
                Kind::Set => [
                    like(&[before, got]),
                    like(&[function, before, top.kind]),
                    like(&[top.kind, height, set]),
                    like(&[one, two, three, four]),
                    like(&[set, top.kind, before]),
                ],
                _ => {
                    let c0 = code | at << 8;
                    let [second, near] = match kind {
                        Kind::Call => [all(&[top.kind, next.kind, self.below(2).kind, height]), all(&[last, height])],
                        Kind::Offset => [two_before, offset],
                        _ => [two_before, all(&[last, before])],
                    };
                    let first_of = if kind == Kind::Offset { base } else { one };
                    [
                        like(&[first_of]),
                        like(&[0, second]),
                        all(&[c0, byte_before, first, before]),
                        like(&[0, near]),
                        like(&[self.codes]),
                    ]
                }
            };
            let byte = i32::from(self.moved(if place == 0 { kind } else { later })?);
            self.last_bytes[kind as usize][at as usize] = byte;
            if place < 5 {
                value |= (byte & 127) << (7 * place);
            }
            if byte < 128 {
                break;
            }
        }
        if matches!(kind, Kind::Get) {
            self.got = [value, got];
        } else if matches!(kind, Kind::Set) {
            self.set = value;
        }
        self.last[kind as usize] = [value, last];
        Ok(value)
    }

    /// A number with a fraction, byte by byte.
    fn fraction(&mut self, code: i32, bytes: i32) -> Result<i32> {
        let (mut value, mut last) = (code, 0);
        for at in 0..bytes {
            let one = self.whole[0];
            let all_so_far = all(&[at, value]);
            self.model.contexts = [all_so_far, all(&[at, last]), at, all(&[at, value, one]), all(&[at, one])];
            last = i32::from(self.moved(Kind::Fraction)?);
            value = mix(value, last);
        }
        Ok(value)
    }

    fn instruction(&mut self) -> Result<()> {
        let (top, next, third) = (self.below(0), self.below(1), self.below(2));
        let height = self.height() as i32;
        let block = self.block().code;
        let types = (top.kind & 15) | (next.kind & 15) << 4;
        let [one, two, three, four, _] = self.whole;
        let codes = self.codes;
        self.model.contexts = [
            all(&[codes & 0xFFFF, types]),
            all(&[types | (third.kind & 15) << 8, height, codes & 0xFF, block]),
            all(&[codes, types, height]),
            all(&[codes, self.codes_before & 0xFF]),
            all(&[top.origin, next.origin, height]),
        ];
        let code = i32::from(self.moved(Kind::Code)?);
        let mut whole = code;
        let mut value = 0;
        match code {
            0x0E => {
                let labels = self.number(code, Kind::Rest, 0)?;
                for _ in 0..=labels {
                    self.number(code, Kind::Rest, 1)?;
                }
            }
            0x43 => whole = self.fraction(code, 4)?,
            0x44 => whole = self.fraction(code, 8)?,
            0xFC => {
                value = self.number(code, Kind::Rest, 0)?;
                whole = mix(code, value);
                for _ in 0..operands_of_second(value)? {
                    self.number(code, Kind::Rest, 1)?;
                }
            }
            _ => {
                let mut first = 0;
                for &kind in operands(code)? {
                    value = self.number(code, kind, first)?;
                    whole = mix(whole, value);
                    first = value.wrapping_add(1);
                }
            }
        }
        self.take_and_leave(code, value, whole);
        self.codes_before = self.codes_before << 8 | (self.codes.cast_unsigned() >> 24).cast_signed();
        self.codes = self.codes << 8 | code;
        self.whole = [whole, one, two, three, four];
        self.model.look_back(all(&self.whole));
        Ok(())
    }

    /// What an instruction does to blocks and stack.
    fn take_and_leave(&mut self, code: i32, value: i32, whole: i32) {
        match code {
            0x02..=0x04 => {
                if code == 0x04 {
                    self.pop();
                }
                self.blocks.push(Block {
                    code,
                    floor: self.stack.len(),
                    result: if value == 0x40 { NO_TYPE } else { value },
                });
            }
            0x05 => {
                self.stack.truncate(self.block().floor);
                if let Some(block) = self.blocks.last_mut() {
                    block.code = code;
                }
            }
            0x0B => {
                let block = self.block();
                self.blocks.pop();
                self.stack.truncate(block.floor);
                if block.result != NO_TYPE {
                    self.push(block.result, whole);
                }
            }
            0x00 | 0x0C | 0x0E | 0x0F => self.stack.truncate(self.block().floor),
            0x10 | 0x11 => {
                let shape = if code == 0x10 {
                    self.shape_of(value as usize)
                } else {
                    self.pop();
                    self.shapes.get(self.last[Kind::Rest as usize][1] as usize).cloned().unwrap_or_default()
                };
                for _ in &shape.takes {
                    self.pop();
                }
                if shape.gives != NO_TYPE {
                    self.push(shape.gives, whole);
                }
            }
            0x1B => {
                self.pop();
                self.pop();
                let kind = self.pop().kind;
                self.push(kind, whole);
            }
            0x20 => {
                let kind = self.locals.get(value as usize).copied().unwrap_or(NO_TYPE);
                self.push(kind, whole);
            }
            0x22 => {
                // as if it were read again
                let kind = self.pop().kind;
                self.push(kind, mix(0x20, value));
            }
            0xFC => {
                let (takes, gives) = match value {
                    0..=3 => (1, WHOLE_32),
                    4..=7 => (1, WHOLE_64),
                    _ => (3, NO_TYPE),
                };
                self.give(takes, gives, whole);
            }
            _ => {
                let (takes, gives) = takes_and_gives(code);
                if (0x28..=0x3E).contains(&code) {
                    let base = if code >= FIRST_STORE { self.below(1) } else { self.below(0) }.origin;
                    self.offsets[mix(base, self.function).cast_unsigned() as usize & 4095] = value;
                }
                self.give(takes, gives, whole);
            }
        }
    }

    fn give(&mut self, takes: usize, gives: i32, whole: i32) {
        let mut origin = whole;
        for _ in 0..takes {
            origin = mix(origin, self.pop().origin);
        }
        if gives != NO_TYPE {
            self.push(gives, origin);
        }
    }
}

/// Stands for an instruction before the first.
const HEAD: i32 = 0x01;
/// The first instruction that writes to memory.
const FIRST_STORE: i32 = 0x36;

/// Kinds of the numbers behind an instruction. Instructions with operands of other kinds stand apart.
fn operands(code: i32) -> Result<&'static [Kind]> {
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
        _ => bail!("instruction {code:#04X} is not known to web/builder/src/guess and web/unpack.js"),
    })
}

/// Numbers behind an instruction of two bytes, by its second.
fn operands_of_second(code: i32) -> Result<usize> {
    Ok(match code {
        0..=7 => 0,
        9 | 11 | 13 | 15..=17 => 1,
        8 | 10 | 12 | 14 => 2,
        _ => bail!("instruction 0xFC {code} is not known to web/builder/src/guess and web/unpack.js"),
    })
}

/// How many values an instruction takes from the stack, and the type of what it leaves there.
fn takes_and_gives(code: i32) -> (usize, i32) {
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

/// A place in the sections that are there already.
struct Reader<'m> {
    bytes: &'m [u8],
    at: usize,
}

impl Reader<'_> {
    fn byte(&mut self) -> Option<u8> {
        self.at += 1;
        self.bytes.get(self.at - 1).copied()
    }

    fn number(&mut self) -> usize {
        let mut value = 0;
        for shift in (0..35).step_by(7) {
            let byte = self.byte().unwrap_or(0);
            value |= usize::from(byte & 127) << shift;
            if byte < 128 {
                break;
            }
        }
        value
    }

    fn types(&mut self) -> Vec<i32> {
        (0..self.number()).map(|_| self.byte().map_or(NO_TYPE, i32::from)).collect()
    }
}
