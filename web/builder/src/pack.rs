//! Packing what the page carries as text.
//!
//! The core and the samples by guessing (`web/guess`), what undoes that with LZMA, which `web/unpack.js` undoes in the worker.

use std::io::Write as _;

use anyhow::{Context as _, Result, bail};
use lzma_rust2::{LzmaOptions, LzmaWriter};

/// Packs with LZMA: the header of 13 bytes with the size in it, no end mark.
///
/// # Errors
/// If the content is larger than the format's decoder in the page takes (4 GB).
pub(crate) fn lzma(content: &[u8]) -> Result<Vec<u8>> {
    let size = u32::try_from(content.len()).context("packing more than 4 GB")?;
    let mut options = LzmaOptions::with_preset(9);
    // Bytes of a wasm module are not aligned to anything, so their place tells nothing of their value.
    options.pb = 0;
    options.nice_len = LzmaOptions::NICE_LEN_MAX;
    let mut packer =
        LzmaWriter::new_use_header(Vec::new(), &options, Some(u64::from(size))).context("starting the LZMA packer")?;
    packer.write_all(content)?;
    packer.finish().context("packing with LZMA")
}

/// Columns of the sample that go together, each group packed as one run of text: a listener and its place, the sender
/// with place and power. Those that hold the least come last.
const GROUPS: [std::ops::Range<usize>; 6] = [4..6, 6..7, 7..8, 8..9, 0..1, 1..4];

/// A table of plain cells, written column after column: it packs a quarter smaller than row after row.
///
/// Each group of columns is its cells, joined by commas, a line for each row; the groups follow each other.
/// `joinColumns` in `web/unpack.js` puts the rows together again; it knows how many groups there are and that the last two
/// come first in a row.
///
/// # Errors
/// If a row has another number of cells, a cell is quoted, or the last line has no end.
pub(crate) fn by_columns(table: &str) -> Result<String> {
    let rows: Vec<Vec<&str>> = table.lines().map(|row| row.split(',').collect()).collect();
    let cells = GROUPS.iter().map(|group| group.end).max().unwrap_or(0);
    if table.contains(['"', '\r']) || !table.ends_with('\n') || rows.iter().any(|row| row.len() != cells) {
        bail!("a sample is a table of {cells} plain cells a row, each row with its line end");
    }
    let mut text = String::new();
    for group in GROUPS {
        for row in &rows {
            text += &row.get(group.clone()).unwrap_or_default().join(",");
            text.push('\n');
        }
    }
    Ok(text)
}

/// A wasm module that holds a text and nothing else, as a section of no meaning: so what packs modules packs it. The text
/// begins at byte 12, which `web/unpack.js` knows.
///
/// # Errors
/// If the text is longer than 2 MB.
pub(crate) fn in_module(text: &str) -> Result<Vec<u8>> {
    let size = u32::try_from(text.len()).ok().filter(|size| size >> 21 == 0).context("packing more than 2 MB")?;
    // WebAssembly Core Specification 2.0, 5.5.2 'Sections' and 5.2.2 'Integers': the size in three groups of seven bits
    let groups = [size & 127 | 128, size >> 7 & 127 | 128, size >> 14];
    let mut module = b"\0asm\x01\0\0\0\0".to_vec();
    module.extend(groups.iter().flat_map(|group| group.to_le_bytes().into_iter().take(1)));
    module.extend(text.as_bytes());
    Ok(module)
}

#[cfg(test)]
mod tests {
    use std::io::Read as _;

    use lzma_rust2::LzmaReader;

    use super::*;

    #[test]
    fn columns_hold_what_the_rows_held() {
        let table = "a,b,c,d,e,f,g,h,i\n1,2,3,4,5,6,7,8,9\n";
        let text = by_columns(table).unwrap();
        assert_eq!(text, "e,f\n5,6\ng\n7\nh\n8\ni\n9\na\n1\nb,c,d\n2,3,4\n");
        // as web/unpack.js joins them
        let lines: Vec<&str> = text.lines().collect();
        let rows = lines.len() / GROUPS.len();
        let row = |at: usize| {
            let mut groups: Vec<&str> = lines.iter().skip(at).step_by(rows).copied().collect();
            groups.rotate_right(2);
            groups.join(",") + "\n"
        };
        assert_eq!((0..rows).map(row).collect::<String>(), table);
        for wrong in ["", "a,b\n", "a,b,c,d,e,f,g,h,i", "a,b,c,d,e,f,g,h,\"i\"\n"] {
            assert!(by_columns(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn a_text_in_a_module_is_packed_and_comes_back() {
        let text = "Q6HUT,IN71,23\n".repeat(20_000);
        let module = in_module(&text).unwrap();
        assert_eq!(module.get(12..), Some(text.as_bytes()));
        let packed = farheard_guess::pack(&module).unwrap();
        assert!(
            farheard_guess::unpack(&packed).unwrap() == module && packed.len() < text.len() / 200,
            "{} bytes",
            packed.len()
        );
        assert!(in_module(&"x".repeat(1 << 21)).is_err());
    }

    #[test]
    fn what_lzma_packs_comes_back_and_its_header_is_the_one_the_page_reads() {
        let content: Vec<u8> = (0..40_000_u32).flat_map(|it| (it / 7 % 251).to_le_bytes()).collect();
        let packed = lzma(&content).unwrap();
        // LZMA specification, 'lzma file format': properties (pb * 5 + lp) * 9 + lc, then the size at byte 5, eight bytes.
        assert_eq!(packed.first(), Some(&3));
        assert_eq!(packed.get(5..13), Some(&(content.len() as u64).to_le_bytes()[..]));
        let mut back = Vec::new();
        LzmaReader::new_mem_limit(packed.as_slice(), u32::MAX, None).unwrap().read_to_end(&mut back).unwrap();
        assert!(back == content && packed.len() < content.len() / 20, "{} bytes", packed.len());
    }
}
