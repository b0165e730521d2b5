//! What is done to a file: each once, at a place by chance.

use super::chance::Chance;
use super::makers::{LARGEST, Samples};
use super::pieces::SCRAPS;

pub(crate) fn bits(bytes: &mut [u8], chance: &mut Chance) {
    for _ in 0..=chance.below(6) {
        let at = chance.below(bytes.len());
        let bit = 1_u8 << chance.below(8);
        if let Some(byte) = bytes.get_mut(at) {
            *byte ^= bit;
        }
    }
}

pub(crate) fn once(bytes: &mut Vec<u8>, samples: &Samples, chance: &mut Chance) {
    let length = bytes.len();
    match chance.below(15) {
        // cut off, at the end or at the beginning
        0 => bytes.truncate(chance.below(length + 1)),
        1 => drop(bytes.drain(..chance.below(length + 1))),
        2 => bits(bytes, chance),
        3 => {
            // a piece taken out
            let (from, to) = chance.span(length);
            bytes.drain(from..to.min(from + 200));
        }
        4 => {
            // a block twice, or many times
            let (from, to) = chance.span(length);
            let block = bytes[from..to].to_vec();
            for _ in 0..=*chance.of_list(&[0, 0, 1, 5]) {
                if bytes.len() < LARGEST {
                    bytes.splice(from..from, block.iter().copied());
                }
            }
        }
        5 => {
            // one sign for another, everywhere
            let signs = b",;\t| \n\r\":.<>-/#0Q";
            let (from, to) = (*chance.of_list(signs), *chance.of_list(signs));
            for byte in bytes.iter_mut().filter(|byte| **byte == from) {
                *byte = to;
            }
        }
        6 | 7 => {
            let at = chance.below(length + 1);
            let scrap = *chance.of_list(SCRAPS);
            bytes.splice(at..at, scrap.bytes());
        }
        8 => {
            // a piece of another file put in
            let other = samples.any(chance);
            let (from, to) = chance.span(other.len());
            let at = chance.below(length + 1);
            bytes.splice(at..at, other[from..to].iter().copied());
        }
        9 => {
            // the beginning of this, the end of another
            let other = samples.any(chance);
            bytes.truncate(chance.below(length + 1));
            bytes.extend_from_slice(&other[chance.below(other.len() + 1)..]);
        }
        10 => {
            // lines in another order
            let mut lines: Vec<Vec<u8>> = bytes.split_inclusive(|b| *b == b'\n').map(<[u8]>::to_vec).collect();
            for at in (1..lines.len()).rev() {
                lines.swap(at, chance.below(at + 1));
            }
            *bytes = lines.concat();
        }
        11 => {
            // another encoding
            let text = String::from_utf8_lossy(bytes).into_owned();
            *bytes = match chance.below(3) {
                0 => text.encode_utf16().flat_map(u16::to_le_bytes).collect(),
                1 => text.encode_utf16().flat_map(u16::to_be_bytes).collect(),
                _ => text.chars().map(|c| u8::try_from(u32::from(c)).unwrap_or(b'?')).collect(),
            };
        }
        12 => {
            // every cell in quotes
            let text = String::from_utf8_lossy(bytes).replace(',', "\",\"").replace('\n', "\"\n\"");
            *bytes = format!("\"{text}").into_bytes();
        }
        13 => {
            // NULs or blanks strewn in
            let sign = *chance.of_list(&[0_u8, b' ', b'"', b'\t']);
            for _ in 0..chance.below(20) {
                let at = chance.below(bytes.len() + 1);
                bytes.insert(at, sign);
            }
        }
        _ => {
            // a line of its own before all
            let scrap = *chance.of_list(SCRAPS);
            bytes.splice(0..0, format!("{scrap}\n").bytes());
        }
    }
}
