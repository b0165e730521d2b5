//! A wasm module in streams: instructions apart from their operands, and operands apart by kind.
//!
//! What is alike lies together, and packs a fifteenth smaller for it; nothing else changes. `joinStreams` in
//! `web/unpack.js` puts the module together again, byte for byte. Layout after the WebAssembly Core Specification 2.0,
//! chapter 5 'Binary Format'.
//!
//! Form: 32-bit numbers, low byte first: how many functions, the length of the module, the length of every stream; then
//! the streams. The first holds all up to the first function, the second what follows the last one.

use anyhow::{Context as _, Result, bail, ensure};

/// Streams in their order.
const STREAMS: usize = 20;
const BEFORE: usize = 0;
const AFTER: usize = 1;
/// Locals of every function.
const HEADS: usize = 2;
const CODES: usize = 3;
const CALL: usize = 4;
const BRANCH: usize = 5;
const BLOCK: usize = 6;
const TABLE: usize = 7;
const ALIGN: usize = 8;
const GET: usize = 9;
const SET: usize = 10;
const TEE: usize = 11;
const GLOBAL: usize = 12;
const OFFSET: usize = 13;
const I32: usize = 14;
const I64: usize = 15;
const F64: usize = 16;
const F32: usize = 17;
const INDIRECT: usize = 18;
const OTHER: usize = 19;

/// The id of the section that holds the functions.
const CODE_SECTION: u8 = 10;

/// Which streams the numbers behind an instruction belong to. Instructions with operands of other kinds stand apart.
fn operands(code: u8) -> Option<&'static [usize]> {
    Some(match code {
        0x02..=0x04 => &[BLOCK],
        0x0C | 0x0D => &[BRANCH],
        0x10 => &[CALL],
        0x11 => &[INDIRECT, INDIRECT],
        0x20 => &[GET],
        0x21 => &[SET],
        0x22 => &[TEE],
        0x23..=0x26 => &[GLOBAL],
        0x28..=0x3E => &[ALIGN, OFFSET],
        0x3F | 0x40 | 0xD0 | 0xD2 => &[OTHER],
        0x41 => &[I32],
        0x42 => &[I64],
        0x00 | 0x01 | 0x05 | 0x0B | 0x0F | 0x1A | 0x1B | 0x45..=0xC4 | 0xD1 => &[],
        _ => return None,
    })
}

/// Numbers behind an instruction of two bytes, by its second.
fn operands_of_second(code: u8) -> Option<usize> {
    match code {
        0..=7 => Some(0),
        9 | 11 | 13 | 15..=17 => Some(1),
        8 | 10 | 12 | 14 => Some(2),
        _ => None,
    }
}

/// A place in a module.
struct Reader<'m> {
    bytes: &'m [u8],
    at: usize,
}

impl<'m> Reader<'m> {
    fn byte(&mut self) -> Result<u8> {
        let byte = *self.bytes.get(self.at).context("the module ends early")?;
        self.at += 1;
        Ok(byte)
    }

    fn take(&mut self, count: usize) -> Result<&'m [u8]> {
        let taken = self.bytes.get(self.at..self.at + count).context("the module ends early")?;
        self.at += count;
        Ok(taken)
    }

    fn size(&mut self) -> Result<usize> {
        number(BEFORE, &mut |_| self.byte())
    }
}

/// The streams of a module.
///
/// # Errors
/// If it holds an instruction that is not known here, or ends early.
pub(crate) fn split(module: &[u8]) -> Result<Vec<u8>> {
    let mut streams: [Vec<u8>; STREAMS] = Default::default();
    let mut reader = Reader { bytes: module, at: 8 };
    let mut functions = 0;
    let mut end = module.len();
    while reader.at < module.len() {
        let id = reader.byte()?;
        let size = reader.size()?;
        if id == CODE_SECTION {
            end = reader.at + size;
            functions = reader.size()?;
            break;
        }
        reader.take(size)?;
    }
    streams[BEFORE].extend(module.get(..reader.at).unwrap_or(module));
    for _ in 0..functions {
        let size = reader.size()?;
        let end = reader.at + size;
        one_function(&mut |stream| {
            let byte = reader.byte()?;
            streams[stream].push(byte);
            Ok(byte)
        })?;
        ensure!(reader.at == end, "a function ends elsewhere than it says");
    }
    if functions > 0 {
        ensure!(reader.at == end, "the functions end elsewhere than their section says");
        streams[AFTER].extend(&module[end..]);
    }
    let numbers = [functions, module.len()].into_iter().chain(streams.iter().map(Vec::len));
    let mut packed = Vec::new();
    for number in numbers {
        packed.extend(u32::try_from(number).context("a module beyond 4 GB")?.to_le_bytes());
    }
    packed.extend(streams.concat());
    Ok(packed)
}

/// Goes through one function, from its locals to its end: `moved` moves the next byte, between the module and the stream
/// named, and gives it. Both ways are this one way through.
fn one_function(moved: &mut dyn FnMut(usize) -> Result<u8>) -> Result<()> {
    for _ in 0..number(HEADS, moved)? {
        number(HEADS, moved)?;
        moved(HEADS)?;
    }
    let mut depth = 1_usize;
    while depth > 0 {
        let code = moved(CODES)?;
        match code {
            0x02..=0x04 => depth += 1,
            0x0B => depth -= 1,
            _ => {}
        }
        match code {
            0x0E => {
                for _ in 0..=number(TABLE, moved)? {
                    number(TABLE, moved)?;
                }
            }
            0x43 => (0..4).try_for_each(|_| moved(F32).map(drop))?,
            0x44 => (0..8).try_for_each(|_| moved(F64).map(drop))?,
            0xFC => {
                let second = moved(CODES)?;
                let Some(numbers) = operands_of_second(second) else {
                    bail!("instruction 0xFC {second} is not known to web/builder/src/streams.rs")
                };
                for _ in 0..numbers {
                    number(OTHER, moved)?;
                }
            }
            code => {
                let Some(numbers) = operands(code) else {
                    bail!("instruction {code:#04X} is not known to web/builder/src/streams.rs and web/unpack.js")
                };
                for &stream in numbers {
                    number(stream, moved)?;
                }
            }
        }
    }
    Ok(())
}

/// Moves a number of seven bits a byte, and gives its lowest 32 bits: all there are where a number counts something.
fn number(stream: usize, moved: &mut dyn FnMut(usize) -> Result<u8>) -> Result<usize> {
    let mut value = 0;
    for shift in (0..).step_by(7) {
        let byte = moved(stream)?;
        if shift < 32 {
            value |= usize::from(byte & 0x7F) << shift;
        }
        if byte < 0x80 {
            break;
        }
    }
    Ok(value)
}

/// The module of its streams, as `joinStreams` in `web/unpack.js` joins it: to check that nothing is lost.
///
/// # Errors
/// If the streams end early.
pub(crate) fn join(packed: &[u8]) -> Result<Vec<u8>> {
    let mut header = Reader { bytes: packed, at: 0 };
    let mut word = || -> Result<usize> {
        let bytes = header.take(4)?;
        Ok(bytes.iter().rev().fold(0, |number, &byte| number << 8 | usize::from(byte)))
    };
    let (functions, length) = (word()?, word()?);
    let mut at = 4 * (STREAMS + 2);
    let mut streams = Vec::new();
    for _ in 0..STREAMS {
        let size = word()?;
        streams.push(Reader { bytes: packed.get(at..at + size).context("a stream ends early")?, at: 0 });
        at += size;
    }
    let mut module = streams[BEFORE].bytes.to_vec();
    for _ in 0..functions {
        let mut body = Vec::new();
        one_function(&mut |stream| {
            let byte = streams[stream].byte()?;
            body.push(byte);
            Ok(byte)
        })?;
        let mut size = body.len();
        while size >= 0x80 {
            module.push(u8::try_from(size & 0x7F).unwrap_or(0) | 0x80);
            size >>= 7;
        }
        module.push(u8::try_from(size).unwrap_or(0));
        module.extend(body);
    }
    module.extend(streams[AFTER].bytes);
    ensure!(module.len() == length, "the streams give another length");
    Ok(module)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A module of one function with an instruction of every kind of operand.
    fn module() -> Vec<u8> {
        let body: &[u8] = &[
            1, 2, 0x7F, // two locals
            0x02, 0x40, 0x03, 0x40, 0x0C, 1, 0x0B, 0x0E, 2, 0, 1, 0, 0x0B, // blocks and branches
            0x10, 0x80, 1, 0x11, 3, 0, 0x20, 0, 0x21, 1, 0x22, 0, 0x23, 0, 0x24, 0, // calls and variables
            0x28, 2, 0x90, 0x7F, 0x3F, 0, 0x41, 0xC0, 0xBB, 0x78, 0x42, 0x7F, // memory and whole numbers
            0x43, 1, 2, 3, 4, 0x44, 1, 2, 3, 4, 5, 6, 7, 8, 0x6A, 0xFC, 10, 0, 0, 0xFC, 2, 0x0B,
        ];
        let mut module = b"\0asm\x01\0\0\0".to_vec();
        module.extend([1, 4, 1, 0x60, 0, 0]);
        let size = u8::try_from(body.len()).unwrap();
        module.extend([CODE_SECTION, size + 2, 1, size]);
        module.extend(body);
        module.extend([0, 3, 1, b'x', 9]);
        module
    }

    #[test]
    fn what_is_split_joins_to_the_same_bytes() {
        let module = module();
        let streams = split(&module).unwrap();
        assert_eq!(join(&streams).unwrap(), module);
        assert!(join(&streams[..streams.len() - 1]).is_err(), "a stream that ends early is found out");
    }

    #[test]
    fn an_unknown_instruction_is_said() {
        let mut module = module();
        let at = module.iter().position(|&byte| byte == 0x6A).unwrap();
        module[at] = 0xFD;
        assert!(split(&module).unwrap_err().to_string().contains("0xFD"));
        assert!(split(&module[..20]).is_err());
    }
}
