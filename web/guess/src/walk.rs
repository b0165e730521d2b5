//! The way through a wasm module, symbol by symbol, and what each symbol is guessed from.
//!
//! Layout after the WebAssembly Core Specification 2.0, chapter 5 'Binary Format'. The walk keeps the operand stack as far
//! as it helps: the type of each value and which instruction it came from. A wrong guess about either costs room, never
//! truth.

use crate::check_sums::{BYTES, check_sums};
use crate::coder::Coder;
use crate::instructions::{
    FIRST_STORE, NO_TYPE, operands, operands_of_second, operands_of_vector, second_takes_and_gives, takes_and_gives,
    vector_takes_and_gives,
};
use crate::kind::{KINDS, Kind};
use crate::model::{MOST_SYMBOLS, Model};
use crate::{Fault, Half, Header};

/// The id of the section that holds the functions.
pub(crate) const CODE_SECTION: i32 = 10;
/// Stands for an instruction before the first.
const HEAD: i32 = 0x01;
/// Place for values on the stack, for open blocks, for locals of a function, for shapes and for functions.
const MOST: usize = 1 << 14;
/// Places for offsets.
const OFFSETS: usize = 4096;

/// A number of two, spread over all bits.
#[inline]
fn mix(one: i32, other: i32) -> i32 {
    let hash = (one ^ other.wrapping_mul(0x9E37_79B1_u32.cast_signed())).wrapping_mul(0x85EB_CA6B_u32.cast_signed());
    hash ^ (hash.cast_unsigned() >> 15).cast_signed()
}

/// A number that differs where one of these does: cheaper than [`mix`], and good enough for what is mixed again.
#[inline]
fn all<const COUNT: usize>(numbers: [i32; COUNT]) -> i32 {
    const FACTORS: [i32; 6] = [
        0x9E37_79B1_u32.cast_signed(),
        0x85EB_CA6B_u32.cast_signed(),
        0xC2B2_AE35_u32.cast_signed(),
        0x27D4_EB2F,
        0x1656_67B1,
        0x5851_F42D,
    ];
    let mut sum = 0_i32;
    for at in 0..COUNT {
        sum = sum.wrapping_add(numbers[at].wrapping_mul(FACTORS[at]));
    }
    sum
}

/// Whether there is room for one more.
fn fits(count: usize) -> Result<(), Fault> {
    if count < MOST { Ok(()) } else { Err(Fault::TooLarge) }
}

/// A value on the operand stack.
#[derive(Debug, Clone, Copy)]
struct Value {
    kind: i32,
    /// The instruction that made it, and what that was made of.
    origin: i32,
}

const NO_VALUE: Value = Value { kind: NO_TYPE, origin: 0 };

/// A block that is open.
#[derive(Debug, Clone, Copy)]
struct Block {
    code: i32,
    /// Where its operands begin on the stack.
    floor: usize,
    result: i32,
}

/// What a function takes and gives.
#[derive(Debug, Clone, Copy)]
struct Shape {
    /// Where the types that it takes stand in the module, and how many.
    at: usize,
    takes: usize,
    gives: i32,
}

/// Room for what the walk keeps.
#[derive(Debug)]
pub(crate) struct Kept {
    shapes: [Shape; MOST],
    /// The shape of every function, imported ones first.
    functions: [u16; MOST],
    stack: [Value; MOST],
    blocks: [Block; MOST],
    locals: [u8; MOST],
    /// The offset last used with an address of the same origin.
    offsets: [i32; OFFSETS],
}

impl Kept {
    /// Nothing yet.
    pub(crate) const NOTHING: Self = Self {
        shapes: [Shape { at: 0, takes: 0, gives: 0 }; MOST],
        functions: [0; MOST],
        stack: [NO_VALUE; MOST],
        blocks: [Block { code: 0, floor: 0, result: 0 }; MOST],
        locals: [0; MOST],
        offsets: [0; OFFSETS],
    };
}

/// The walk.
#[derive(Debug)]
struct Walk<'r, C> {
    model: Model<'r, C>,
    kept: &'r mut Kept,
    /// What is packed; empty where it is unpacked.
    given: &'r [u8],
    at: usize,
    module: &'r mut [u8; MOST_SYMBOLS],
    length: usize,
    header: Header,
    half: Half,
    functions: usize,
    imported: usize,
    function: i32,
    /// The last eight instructions, a byte each, the last one lowest.
    codes: i32,
    codes_before: i32,
    /// The last five instructions with their operands.
    whole: [i32; 5],
    height: usize,
    depth: usize,
    block: Block,
    locals: usize,
    /// The local last read, and the last written.
    got: i32,
    set: i32,
    /// The last two operands, and the last one's bytes, by kind.
    last: [[i32; 2]; KINDS],
    last_bytes: [[i32; 4]; KINDS],
}

/// Walks through a module: one that is packed, or one of a given length that is unpacked, or a half of it. Gives the coder
/// back, and where the walk ended.
///
/// # Errors
/// If the module holds what is not known here, or ends early.
pub(crate) fn walk<'r, C: Coder>(
    model: Model<'r, C>,
    kept: &'r mut Kept,
    given: &'r [u8],
    module: &'r mut [u8; MOST_SYMBOLS],
    header: Header,
    half: Half,
) -> Result<(C, usize), Fault> {
    kept.offsets.fill(0);
    let mut walk = Walk {
        model,
        kept,
        given,
        at: 0,
        module,
        length: 0,
        header,
        half,
        functions: 0,
        imported: 0,
        function: 0,
        codes: 0,
        codes_before: 0,
        whole: [0; 5],
        height: 0,
        depth: 0,
        block: Block { code: 0, floor: 0, result: NO_TYPE },
        locals: 0,
        got: 0,
        set: 0,
        last: [[0; 2]; KINDS],
        last_bytes: [[0; 4]; KINDS],
    };
    walk.sections()?;
    Ok((walk.model.coder, walk.length))
}

impl<C: Coder> Walk<'_, C> {
    fn moved(&mut self, kind: Kind) -> i32 {
        let given = self.given.get(self.at).copied().unwrap_or(0);
        self.at += 1;
        i32::from(self.model.symbol(kind, given))
    }

    /// Whether there is more to come, as there must be.
    fn goes_on(&self) -> Result<(), Fault> {
        let ended = if self.given.is_empty() { self.model.coder.has_ended() } else { self.at > self.given.len() };
        if ended || self.model.count > self.header.length { Err(Fault::Ended) } else { Ok(()) }
    }

    fn put(&mut self, byte: i32) {
        self.module[self.length & (MOST_SYMBOLS - 1)] = byte as u8;
        self.length += 1;
    }

    fn sections(&mut self) -> Result<(), Fault> {
        self.data_until(8)?;
        while self.length < self.header.length {
            let id = self.data();
            let size = self.data_number();
            let end = self.length.wrapping_add(size);
            if id == CODE_SECTION {
                let count = self.data_number();
                self.read_shapes()?;
                let middle = self.header.function;
                for function in if self.half == Half::Second { middle } else { 0 }..count {
                    if function == middle {
                        if self.half == Half::Second {
                            self.length = self.header.offset;
                        } else if self.length != self.header.offset {
                            return Err(Fault::Ended);
                        } else if self.half == Half::First {
                            return Ok(());
                        }
                        self.begin_anew();
                    }
                    self.function(function)?;
                }
            } else {
                self.data_until(end)?;
            }
        }
        if self.length == self.header.length { Ok(()) } else { Err(Fault::Ended) }
    }

    /// Before the second half, of which the first tells nothing.
    fn begin_anew(&mut self) {
        self.model.coder.halve();
        self.model.begin_anew();
        self.kept.offsets.fill(0);
        (self.got, self.set) = (0, 0);
        (self.last, self.last_bytes) = ([[0; 2]; KINDS], [[0; 4]; KINDS]);
    }

    fn data_until(&mut self, end: usize) -> Result<(), Fault> {
        while self.length < end {
            let Header { table, table_length, .. } = self.header;
            if self.length == table && table_length > 0 {
                self.at += table_length;
                let sums = check_sums();
                for at in 0..table_length {
                    self.put((sums[at >> 2 & (BYTES / 4 - 1)] >> (8 * (at & 3))).cast_signed());
                }
            } else {
                self.data();
                self.goes_on()?;
            }
        }
        Ok(())
    }

    /// A byte outside of functions.
    #[inline(never)]
    fn data(&mut self) -> i32 {
        let [b1, b2, b3, b4] = [1, 2, 3, 4].map(|count| self.model.back(count));
        let place = (self.model.count & 3) as i32;
        let three = b1 | b2 << 8 | b3 << 16;
        self.model.contexts = [b1, b1 | b2 << 8, b2, three, all([b4 | self.model.back(8) << 8, place])];
        let byte = self.moved(Kind::Data);
        self.model.look_back(all([three, b4, byte]));
        self.put(byte);
        byte
    }

    fn data_number(&mut self) -> usize {
        let mut value = 0;
        for shift in (0..35).step_by(7) {
            let byte = self.data();
            value |= (byte as u32 & 127).wrapping_shl(shift) as usize;
            if byte < 128 {
                break;
            }
        }
        value
    }

    /// What functions take and give, from the sections before them.
    fn read_shapes(&mut self) -> Result<(), Fault> {
        let mut reader = Reader { bytes: self.module, at: 8 };
        let mut shapes = 0;
        loop {
            let id = reader.byte();
            let size = reader.number();
            let end = reader.at + size;
            match i32::from(id) {
                1 => {
                    for _ in 0..reader.number() {
                        reader.byte();
                        let takes = reader.number();
                        let at = reader.at;
                        reader.at += takes;
                        let results = reader.number();
                        let first = reader.bytes[reader.at & (MOST_SYMBOLS - 1)];
                        let gives = if results > 0 { i32::from(first) } else { NO_TYPE };
                        reader.at += results;
                        self.kept.shapes[shapes & (MOST - 1)] = Shape { at, takes, gives };
                        shapes += 1;
                    }
                }
                2 | 3 => {
                    for _ in 0..reader.number() {
                        if id == 2 {
                            for _ in 0..2 {
                                let length = reader.number();
                                reader.at += length;
                            }
                            if reader.byte() != 0 {
                                return Err(Fault::Import);
                            }
                            self.imported += 1;
                        }
                        self.kept.functions[self.functions & (MOST - 1)] = reader.number() as u16;
                        self.functions += 1;
                    }
                }
                CODE_SECTION => break,
                _ => {}
            }
            reader.at = end;
            if end > self.length {
                return Err(Fault::Ended);
            }
        }
        if self.functions > MOST || shapes > MOST { Err(Fault::TooLarge) } else { Ok(()) }
    }

    /// A function: its size is not among the symbols, for it is known once the function is.
    #[inline(never)]
    fn function(&mut self, number: usize) -> Result<(), Fault> {
        while self.given.get(self.at).is_some_and(|&byte| byte >= 128) {
            self.at += 1;
        }
        self.at += 1;
        self.function = number as i32;
        (self.codes, self.codes_before, self.whole) = (0, 0, [0; 5]);
        (self.height, self.depth) = (0, 0);
        let start = self.model.count;
        self.open(0, NO_TYPE);
        let shape = self.shape_of(self.imported + number);
        self.locals = 0;
        for at in shape.at..shape.at + shape.takes {
            self.add_local(self.module[at & (MOST_SYMBOLS - 1)]);
        }
        for _ in 0..self.number(HEAD, Kind::Rest, 0) {
            let count = self.number(HEAD, Kind::Rest, 1);
            let kind = self.number(HEAD, Kind::Rest, 2);
            for _ in 0..count {
                self.add_local(kind as u8);
                fits(self.locals)?;
            }
            self.goes_on()?;
        }
        while self.depth > 0 {
            self.instruction()?;
        }
        let mut size = self.model.count - start;
        while size >= 0x80 {
            self.put((size & 0x7F | 0x80) as i32);
            size >>= 7;
        }
        self.put(size as i32);
        for at in start..self.model.count {
            self.put(self.model.past(at));
        }
        Ok(())
    }

    fn add_local(&mut self, kind: u8) {
        self.kept.locals[self.locals & (MOST - 1)] = kind;
        self.locals += 1;
    }

    fn shape_of(&self, function: usize) -> Shape {
        self.kept.shapes[usize::from(self.kept.functions[function & (MOST - 1)]) & (MOST - 1)]
    }

    fn open(&mut self, code: i32, result: i32) {
        self.kept.blocks[self.depth & (MOST - 1)] = self.block;
        self.depth += 1;
        self.block = Block { code, floor: self.height, result };
    }

    fn close(&mut self) -> i32 {
        self.height = self.block.floor;
        let result = self.block.result;
        self.depth -= 1;
        self.block = self.kept.blocks[self.depth & (MOST - 1)];
        result
    }

    fn height(&self) -> i32 {
        (self.height - self.block.floor) as i32
    }

    /// The value so many below the top; none below the block's floor.
    fn below(&self, count: usize) -> Value {
        if self.height > self.block.floor + count {
            self.kept.stack[(self.height - 1 - count) & (MOST - 1)]
        } else {
            NO_VALUE
        }
    }

    fn pop(&mut self) -> Value {
        let top = self.below(0);
        if self.height > self.block.floor {
            self.height -= 1;
        }
        top
    }

    fn push(&mut self, kind: i32, origin: i32) {
        if kind != NO_TYPE {
            self.kept.stack[self.height & (MOST - 1)] = Value { kind, origin };
            self.height += 1;
        }
    }

    fn offset_place(&self, base: i32) -> usize {
        mix(base, self.function).cast_unsigned() as usize & (OFFSETS - 1)
    }

    /// A number of seven bits a byte, behind an instruction; its lowest 32 bits.
    #[inline(never)]
    fn number(&mut self, code: i32, kind: Kind, first: i32) -> i32 {
        let later = match kind {
            Kind::Call => Kind::CallOn,
            Kind::Offset => Kind::OffsetOn,
            Kind::Number => Kind::NumberOn,
            _ => Kind::Rest,
        };
        let [last, _] = self.last[kind as usize];
        let (top, next) = (self.below(0), self.below(1));
        let height = self.height();
        let base = if code >= FIRST_STORE { next } else { top }.origin;
        let (function, before, [one, two, three, four, _]) = (self.function, self.codes & 0xFF, self.whole);
        let (got, set) = (self.got, self.set);
        let mut value = 0;
        let mut place = 0;
        loop {
            let at = place.min(3);
            let c = mix(code | at << 8 | first << 16, value);
            let byte_before = self.last_bytes[kind as usize][at as usize & 3];
            self.model.contexts = match kind {
                Kind::Get => [
                    all([before, got]),
                    all([function, before]),
                    all([function, height, top.origin]),
                    all([one, two, three, four]),
                    all([function, got]),
                ],
                Kind::Set => [
                    all([before, got]),
                    all([function, before, top.kind]),
                    all([top.kind, height, set]),
                    all([one, two, three, four]),
                    all([set, top.kind, before]),
                ],
                _ => {
                    let two_before = self.codes & 0xFFFF;
                    let [second, near, first_of] = match kind {
                        Kind::Call => {
                            [all([top.kind, next.kind, self.below(2).kind, height]), all([last, height]), one]
                        }
                        Kind::Offset => [two_before, self.kept.offsets[self.offset_place(base)], base],
                        _ => [two_before, all([last, before]), one],
                    };
                    [
                        all([first_of]),
                        all([0, second]),
                        all([code | at << 8, byte_before, first, before]).wrapping_sub(c),
                        all([0, near]),
                        all([self.codes]),
                    ]
                }
            }
            .map(|context| context.wrapping_add(c));
            let byte = self.moved(if place == 0 { kind } else { later });
            self.last_bytes[kind as usize][at as usize & 3] = byte;
            if place < 5 {
                value |= (byte & 127) << (7 * place);
            }
            place += 1;
            if byte < 128 || place > 9 {
                break;
            }
        }
        if matches!(kind, Kind::Get) {
            self.got = value;
        } else if matches!(kind, Kind::Set) {
            self.set = value;
        }
        self.last[kind as usize] = [value, last];
        value
    }

    /// A number with a fraction, byte by byte.
    fn fraction(&mut self, code: i32, bytes: i32) -> i32 {
        let (mut value, mut last) = (code, 0);
        for at in 0..bytes {
            let one = self.whole[0];
            self.model.contexts = [all([at, value]), all([at, last]), at, all([at, value, one]), all([at, one])];
            last = self.moved(Kind::Fraction);
            value = mix(value, last);
        }
        value
    }

    #[inline(never)]
    fn instruction(&mut self) -> Result<(), Fault> {
        let (top, next, third) = (self.below(0), self.below(1), self.below(2));
        let height = self.height();
        let types = (top.kind & 15) | (next.kind & 15) << 4;
        let [one, two, three, four, _] = self.whole;
        let codes = self.codes;
        self.model.contexts = [
            all([codes & 0xFFFF, types]),
            all([types | (third.kind & 15) << 8, height, codes & 0xFF, self.block.code]),
            all([codes, types, height]),
            all([codes, self.codes_before & 0xFF]),
            all([top.origin, next.origin, height]),
        ];
        let code = self.moved(Kind::Code);
        let mut whole = code;
        let mut value = 0;
        match code {
            0x0E => {
                let labels = self.number(code, Kind::Rest, 0);
                for _ in 0..=labels {
                    self.number(code, Kind::Rest, 1);
                    self.goes_on()?;
                }
            }
            0x43 => whole = self.fraction(code, 4),
            0x44 => whole = self.fraction(code, 8),
            0xFC => {
                value = self.number(code, Kind::Rest, 0);
                whole = mix(code, value);
                for _ in 0..operands_of_second(value)? {
                    self.number(code, Kind::Rest, 1);
                }
            }
            0xFD => {
                value = self.number(code, Kind::Rest, 0);
                whole = mix(code, value);
                if matches!(value, 12 | 13) {
                    whole = self.fraction(whole, 16);
                }
                let mut first = value;
                for &kind in operands_of_vector(value)? {
                    first = self.number(code, kind, first);
                    whole = mix(whole, first);
                }
            }
            _ => {
                let mut first = 0;
                for &kind in operands(code)? {
                    value = self.number(code, kind, first);
                    whole = mix(whole, value);
                    first = value.wrapping_add(1);
                }
            }
        }
        self.take_and_leave(code, value, whole);
        self.codes_before = self.codes_before << 8 | (self.codes.cast_unsigned() >> 24).cast_signed();
        self.codes = self.codes << 8 | code;
        self.whole = [whole, one, two, three, four];
        self.model.look_back(all(self.whole));
        fits(self.height.max(self.depth))?;
        self.goes_on()
    }

    /// What an instruction does to blocks and stack.
    fn take_and_leave(&mut self, code: i32, value: i32, whole: i32) {
        match code {
            0x02..=0x04 => {
                if code == 0x04 {
                    self.pop();
                }
                self.open(code, if value == 0x40 { NO_TYPE } else { value });
            }
            0x05 => {
                self.height = self.block.floor;
                self.block.code = code;
            }
            0x0B => {
                let result = self.close();
                self.push(result, whole);
            }
            0x00 | 0x0C | 0x0E | 0x0F => self.height = self.block.floor,
            0x10 | 0x11 => {
                let shape = if code == 0x10 {
                    self.shape_of(value as usize)
                } else {
                    self.pop();
                    self.kept.shapes[self.last[Kind::Rest as usize][1] as usize & (MOST - 1)]
                };
                for _ in 0..shape.takes {
                    self.pop();
                }
                self.push(shape.gives, whole);
            }
            0x1B => {
                self.pop();
                self.pop();
                let kind = self.pop().kind;
                self.push(kind, whole);
            }
            0x20 => {
                let kind = self.kept.locals[value as usize & (MOST - 1)];
                self.push(i32::from(kind), whole);
            }
            0x22 => {
                // as if it were read again
                let kind = self.pop().kind;
                self.push(kind, mix(0x20, value));
            }
            0xFC => self.give(second_takes_and_gives(value), whole),
            0xFD => self.give(vector_takes_and_gives(value), whole),
            _ => {
                if (0x28..=0x3E).contains(&code) {
                    let base = self.below(usize::from(code >= FIRST_STORE)).origin;
                    self.kept.offsets[self.offset_place(base)] = value;
                }
                self.give(takes_and_gives(code), whole);
            }
        }
    }

    fn give(&mut self, (takes, gives): (u32, i32), whole: i32) {
        let mut origin = whole;
        for _ in 0..takes {
            origin = mix(origin, self.pop().origin);
        }
        self.push(gives, origin);
    }
}

/// A place in the sections that are there already.
struct Reader<'m> {
    bytes: &'m [u8; MOST_SYMBOLS],
    at: usize,
}

impl Reader<'_> {
    fn byte(&mut self) -> u8 {
        self.at += 1;
        self.bytes[(self.at - 1) & (MOST_SYMBOLS - 1)]
    }

    fn number(&mut self) -> usize {
        let mut value = 0;
        for shift in (0..35).step_by(7) {
            let byte = self.byte();
            value |= (u32::from(byte) & 127).wrapping_shl(shift) as usize;
            if byte < 128 {
                break;
            }
        }
        value
    }
}
