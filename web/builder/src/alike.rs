//! Functions of a wasm module that begin alike come to lie beside each other.
//!
//! The packer (`web/guess`) guesses by what it met lately, so it does better where like things follow each other: 4 kB on
//! the wire. The order of functions means nothing else; whatever names one by its number is written anew.

use std::convert::Infallible;

use anyhow::{Context, Result};
use wasm_encoder::reencode::{Error, Reencode};
use wasm_encoder::{CodeSection, FunctionSection, Module};
use wasmparser::{CodeSectionReader, FunctionBody, FunctionSectionReader, Parser, Payload};

/// Bytes of a function that its place is found by.
const BEGINNING: usize = 24;
/// Functions from so many bytes on come last: they are so long that they are like themselves.
const LONG: usize = 4000;

/// A module with its functions in another order.
///
/// # Errors
/// If it is no module that wasm-bindgen would make.
pub(crate) fn with_alike_together(module: &[u8]) -> Result<Vec<u8>> {
    let mut imported = 0;
    let mut bodies: Vec<&[u8]> = Vec::new();
    for payload in Parser::new(0).parse_all(module) {
        match payload.context("reading the compiled module")? {
            Payload::ImportSection(imports) => imported = imports.count(),
            Payload::CodeSectionEntry(body) => bodies.push(&module[body.range()]),
            _ => {}
        }
    }
    let mut order: Vec<usize> = (0..bodies.len()).collect();
    order.sort_by_key(|&at| (bodies[at].len() > LONG, &bodies[at][..bodies[at].len().min(BEGINNING)]));
    let mut numbers: Vec<u32> = (0..imported).chain(bodies.iter().map(|_| 0)).collect();
    for (number, &at) in (imported..).zip(&order) {
        numbers[imported as usize + at] = number;
    }
    let mut ordered = Module::new();
    Ordered { order, numbers }
        .parse_core_module(&mut ordered, Parser::new(0), module)
        .context("putting the functions of the module into another order")?;
    Ok(ordered.finish())
}

/// Writes a module with its functions in an order.
#[derive(Debug)]
struct Ordered {
    /// Which function comes at each place, of those that the module defines.
    order: Vec<usize>,
    /// The new number of each function, imported ones first.
    numbers: Vec<u32>,
}

impl Reencode for Ordered {
    type Error = Infallible;

    fn function_index(&mut self, number: u32) -> Result<u32, Error> {
        Ok(self.numbers[number as usize])
    }

    fn parse_function_section(
        &mut self,
        section: &mut FunctionSection,
        shapes: FunctionSectionReader<'_>,
    ) -> Result<(), Error> {
        let shapes = shapes.into_iter().collect::<Result<Vec<u32>, _>>()?;
        for &at in &self.order {
            section.function(shapes[at]);
        }
        Ok(())
    }

    fn parse_code_section(&mut self, section: &mut CodeSection, bodies: CodeSectionReader<'_>) -> Result<(), Error> {
        let bodies = bodies.into_iter().collect::<Result<Vec<FunctionBody<'_>>, _>>()?;
        for at in self.order.clone() {
            self.parse_function_body(section, bodies[at].clone())?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A module whose second function calls the first, and is exported and in a table.
    fn module() -> Vec<u8> {
        let mut module = b"\0asm\x01\0\0\0".to_vec();
        module.extend([1, 8, 2, 0x60, 0, 0, 0x60, 0, 1, 0x7F]); // shapes: nothing, and a number
        module.extend([3, 3, 2, 1, 0]); // the first function gives a number
        module.extend([4, 4, 1, 0x70, 0, 1]);
        module.extend([7, 5, 1, 1, b'x', 0, 1]);
        module.extend([9, 7, 1, 0, 0x41, 0, 0x0B, 1, 1]);
        // the second begins with a smaller byte
        module.extend([10, 14, 2, 6, 1, 1, 0x7F, 0x41, 7, 0x0B, 5, 0, 0x10, 0, 0x1A, 0x0B]);
        module
    }

    #[test]
    fn what_names_a_function_names_the_same_one() {
        let ordered = with_alike_together(&module()).unwrap();
        let mut expected = b"\0asm\x01\0\0\0".to_vec();
        expected.extend([1, 8, 2, 0x60, 0, 0, 0x60, 0, 1, 0x7F]);
        expected.extend([3, 3, 2, 0, 1]);
        expected.extend([4, 4, 1, 0x70, 0, 1]);
        expected.extend([7, 5, 1, 1, b'x', 0, 0]);
        expected.extend([9, 7, 1, 0, 0x41, 0, 0x0B, 1, 0]);
        expected.extend([10, 14, 2, 5, 0, 0x10, 1, 0x1A, 0x0B, 6, 1, 1, 0x7F, 0x41, 7, 0x0B]);
        assert_eq!(ordered, expected);
        // in that order it stays
        assert_eq!(with_alike_together(&ordered).unwrap(), ordered);
    }

    #[test]
    fn what_is_no_module_is_refused() {
        assert!(with_alike_together(b"\0asm\x01\0\0\0\x0A\x05\x01").is_err());
    }
}
