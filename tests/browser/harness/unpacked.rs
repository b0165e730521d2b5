//! The built page with its core and samples as they are, not packed.
//!
//! A page unpacks its core for a second and a half of one processor, and nearly every test opens one or more. Where a
//! test is about something else it takes this page: all its scripts are those of the built page, only what unpacks is
//! a module that gives what it gets. Tests of the start, the main job, hosts and odd ways take the page as it is built.

use std::fs;
use std::io::Write as _;
use std::sync::OnceLock;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use lzma_rust2::{LzmaOptions, LzmaWriter};

use super::scratch::built_page;

/// Bytes before the packed module: six numbers of 32 bits, the fifth of which says where the second half begins.
const HEADER: u8 = 24;

/// A module with the exports of the page's unpacker, whose unpacked module is the packed one without its header.
/// Written by hand after the WebAssembly Core Specification 2.0, chapter 5.
const UNPACKER: &[u8] = &[
    0, b'a', b's', b'm', 1, 0, 0, 0, //
    1, 11, 2, 0x60, 0, 1, 0x7F, 0x60, 2, 0x7F, 0x7F, 1, 0x7F, // nothing to a number, two numbers to one
    3, 4, 3, 0, 0, 1, //
    5, 3, 1, 0, 64, // four megabytes of memory
    7, 37, 4, 6, b'm', b'e', b'm', b'o', b'r', b'y', 2, 0, 6, b'p', b'a', b'c', b'k', b'e', b'd', 0, 0, //
    6, b'm', b'o', b'd', b'u', b'l', b'e', 0, 1, 6, b'u', b'n', b'p', b'a', b'c', b'k', 0, 2, //
    10, 19, 3, 4, 0, 0x41, 0, 0x0B, 4, 0, 0x41, HEADER, 0x0B, //
    7, 0, 0x20, 0, 0x41, HEADER, 0x6B, 0x0B, // the length given, less the header
];

/// The page.
pub(crate) fn unpacked_page() -> &'static str {
    static PAGE: OnceLock<String> = OnceLock::new();
    PAGE.get_or_init(|| {
        let built = fs::read_to_string(built_page().join("index.html")).expect("the page can be read");
        let mut page = String::new();
        let mut rest = built.as_str();
        while let Some((before, block)) = rest.split_once("<script type=\"text/plain\" ") {
            let (attributes, block) = block.split_once('>').expect("a tag ends");
            let (text, after) = block.split_once("</script>").expect("a block ends");
            let bytes = STANDARD.decode(text).expect("blocks are base64");
            let bytes = if attributes.contains("core-unpacker") { lzma(UNPACKER) } else { plain(&bytes) };
            page += before;
            page += "<script type=\"text/plain\" ";
            page += attributes;
            page += ">";
            page += &STANDARD.encode(bytes);
            page += "</script>";
            rest = after;
        }
        page + rest
    })
}

/// A packed module as [`UNPACKER`] takes it: its first half is all of it.
fn plain(packed: &[u8]) -> Vec<u8> {
    let module = farheard_guess::unpack(packed).expect("what was packed can be unpacked");
    let mut bytes = vec![0; usize::from(HEADER)];
    let length = u32::try_from(module.len()).expect("a module is smaller than 4 GB");
    bytes[16..20].copy_from_slice(&length.to_le_bytes());
    bytes.extend(module);
    bytes
}

fn lzma(bytes: &[u8]) -> Vec<u8> {
    let mut writer = LzmaWriter::new_use_header(Vec::new(), &LzmaOptions::default(), Some(bytes.len() as u64))
        .expect("a writer into memory");
    writer.write_all(bytes).expect("memory can be written");
    writer.finish().expect("memory can be written")
}
