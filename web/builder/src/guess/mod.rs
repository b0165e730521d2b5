//! The core, packed by guessing: each symbol of the wasm module is coded by how likely it was where it stands.
//!
//! | file | what |
//! |---|---|
//! | [`walk`] | the way through a module, and what each symbol is guessed from |
//! | [`model`] | the guesses, what they are mixed by, and the coder |
//! | [`tree`] | prefix trees of the symbols of a kind |
//! | [`kind`] | kinds of symbols |
//! | [`check_sums`] | 16 kB of the module that nobody can guess and anybody can reckon |
//!
//! Form: three 32-bit numbers, low byte first: the length of the module, where the tables for check sums stand in it, and
//! how many bytes of them (0 for none, and they are not coded); then the coded branches: first the lengths of the ways
//! down the tree of every kind but the last two, 256 symbols each, then the module's symbols in their order. Those are
//! its bytes, without the size before each function, which is known once the function is.
//!
//! A sixth smaller than LZMA over the same symbols laid apart by kind, for five times its work at the start.
//! `unpackCore` in `web/unpack.js` unpacks it in the worker.

#![allow(
    clippy::cast_possible_truncation,
    clippy::cast_possible_wrap,
    clippy::cast_sign_loss,
    reason = "the arithmetic is that of 32-bit integers in the page's script, which wrap"
)]

mod check_sums;
mod kind;
mod model;
mod tree;
mod walk;

use anyhow::{Context as _, Result};

use model::Model;

/// Packs a module.
///
/// # Errors
/// If it holds what is not known here.
pub(crate) fn pack(module: &[u8]) -> Result<Vec<u8>> {
    let table = check_sums::place(module);
    let mut counting = Model::counting();
    walk::walk(&mut counting, module, module.len(), table.clone())?;
    let counts = counting.counts().context("a counting model counts")?;
    let mut writing = Model::writing(&counts)?;
    walk::walk(&mut writing, module, module.len(), table.clone())?;
    let mut packed = Vec::new();
    for number in [module.len(), table.start, table.len()] {
        packed.extend(u32::try_from(number).context("a module beyond 4 GB")?.to_le_bytes());
    }
    packed.extend(writing.packed().context("a writing model writes")?);
    Ok(packed)
}

/// The module of its packed form, as `unpackCore` in `web/unpack.js` gives it: to check that nothing is lost.
///
/// # Errors
/// If the packed form ends early.
pub(crate) fn unpack(packed: &[u8]) -> Result<Vec<u8>> {
    let mut rest = packed;
    let mut header = [0; 3];
    for number in &mut header {
        let (bytes, after) = rest.split_first_chunk().context("the packed core ends early")?;
        *number = u32::from_le_bytes(*bytes) as usize;
        rest = after;
    }
    let [length, start, size] = header;
    let mut reading = Model::reading(rest)?;
    walk::walk(&mut reading, &[], length, start..start + size)
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
            0x43, 1, 2, 3, 4, 0x44, 1, 2, 3, 4, 5, 6, 7, 8, 0x6A, 0xFC, 10, 0, 0, 0xFC, 2, 0x0B,
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
        assert!(unpack(&packed[..packed.len() - 9]).is_err_and(|error| error.to_string().contains("ends early")));
        assert!(unpack(&packed[..20]).is_err());
    }

    #[test]
    fn tables_for_check_sums_are_not_coded() {
        let mut module = b"\0asm\x01\0\0\0".to_vec();
        let sums = check_sums::check_sums();
        // RFC 1952, 8: the sum of a byte of 1 is 0x77073096 in the table that its code makes
        assert_eq!(sums.get(4..8), Some(&0x7707_3096_u32.to_le_bytes()[..]));
        module.extend([11, 0x80, 0x80, 1]);
        module.extend(&sums);
        let packed = pack(&module).unwrap();
        assert_eq!(unpack(&packed).unwrap(), module);
        assert!(packed.len() < 1000, "{} bytes", packed.len());
    }

    #[test]
    fn an_unknown_instruction_is_said() {
        let mut module = module();
        let at = module.iter().position(|&byte| byte == 0x6A).unwrap();
        module[at] = 0xFD;
        assert!(pack(&module).unwrap_err().to_string().contains("0xFD"));
        assert!(pack(&module[..30]).is_err());
    }
}
