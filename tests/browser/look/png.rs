//! PNG, as far as screenshots need it: 8 bits a channel, not interlaced.
//!
//! Source: W3C, Portable Network Graphics (PNG) Specification (Third Edition), chapters 5, 7, 9 and 11.3.3.3.

use std::io::{Read, Write};

use flate2::read::DeflateDecoder;
use flate2::write::ZlibEncoder;
use flate2::{Compression, Crc};

const SIGNATURE: &[u8; 8] = b"\x89PNG\r\n\x1a\n";

/// Red, green and blue, row after row from the top left.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Picture {
    pub(super) width: usize,
    pub(super) height: usize,
    pub(super) pixels: Vec<[u8; 3]>,
}

/// A picture and the words that came with it.
pub(super) fn read(bytes: &[u8]) -> (Picture, String) {
    let mut rest = bytes.strip_prefix(SIGNATURE).expect("a PNG begins with its signature");
    let (mut size, mut channels) = ((0, 0), 0);
    let mut packed = Vec::new();
    let mut words = String::new();
    while let [a, b, c, d, kind @ ..] = rest {
        let length = u32::from_be_bytes([*a, *b, *c, *d]) as usize;
        let (kind, after) = kind.split_at(4);
        let (data, after) = after.split_at(length);
        match kind {
            b"IHDR" => {
                let number = |at: usize| u32::from_be_bytes(data[at..at + 4].try_into().expect("four bytes")) as usize;
                size = (number(0), number(4));
                channels = match data[8..] {
                    [8, 2, 0, 0, 0] => 3,
                    [8, 6, 0, 0, 0] => 4,
                    _ => panic!("a PNG of another kind: {:?}", &data[8..]),
                };
            }
            b"IDAT" => packed.extend_from_slice(data),
            b"tEXt" => {
                let end = data.iter().position(|byte| *byte == 0).expect("a keyword ends with zero");
                words = String::from_utf8(data[end + 1..].to_vec()).expect("we wrote it");
            }
            _ => {}
        }
        rest = &after[4..];
    }
    let (width, height) = size;
    let mut lines = Vec::new();
    // past the two bytes of zlib's head, and without its sum at the end: reckoning that takes longer than all the rest
    DeflateDecoder::new(&packed[2..]).read_to_end(&mut lines).expect("pixels of a PNG are packed by zlib");
    let wide = width * channels;
    assert_eq!(lines.len(), (wide + 1) * height, "a PNG of {width} by {height}");
    let mut above = vec![0; wide];
    let mut pixels = Vec::with_capacity(width * height);
    for line in lines.chunks_exact_mut(wide + 1) {
        let (filter, line) = line.split_first_mut().expect("a line begins with its filter");
        unfilter(*filter, line, &above, channels);
        pixels.extend(line.chunks_exact(channels).map(|it| [it[0], it[1], it[2]]));
        above.copy_from_slice(line);
    }
    (Picture { width, height, pixels }, words)
}

fn unfilter(filter: u8, line: &mut [u8], above: &[u8], channels: usize) {
    for at in 0..line.len() {
        let left = if at < channels { 0 } else { line[at - channels] };
        let corner = if at < channels { 0 } else { above[at - channels] };
        let up = above[at];
        let guess = match filter {
            0 => 0,
            1 => left,
            2 => up,
            3 => left.midpoint(up),
            4 => nearest(left, up, corner),
            _ => panic!("a PNG's filter is 0 to 4, not {filter}"),
        };
        line[at] = line[at].wrapping_add(guess);
    }
}

/// The specification's `PaethPredictor`.
fn nearest(left: u8, up: u8, corner: u8) -> u8 {
    let guess = i16::from(left) + i16::from(up) - i16::from(corner);
    let away = |it: u8| (guess - i16::from(it)).abs();
    let best = if away(left) <= away(up) { left } else { up };
    if away(best) <= away(corner) { best } else { corner }
}

/// The same picture with words, always as the same bytes. Lines are not filtered: what stands side by side and is
/// alike is then found by zlib.
pub(super) fn write(picture: &Picture, words: &str) -> Vec<u8> {
    let mut lines = Vec::new();
    for line in picture.pixels.chunks_exact(picture.width) {
        lines.push(0);
        lines.extend(line.iter().flatten());
    }
    let mut packer = ZlibEncoder::new(Vec::new(), Compression::best());
    packer.write_all(&lines).expect("memory takes it");
    let mut bytes = SIGNATURE.to_vec();
    let mut head = Vec::new();
    for number in [picture.width, picture.height] {
        head.extend(u32::try_from(number).expect("a picture is small").to_be_bytes());
    }
    head.extend([8, 2, 0, 0, 0]);
    chunk(&mut bytes, *b"IHDR", &head);
    chunk(&mut bytes, *b"tEXt", format!("Comment\0{words}").as_bytes());
    chunk(&mut bytes, *b"IDAT", &packer.finish().expect("memory takes it"));
    chunk(&mut bytes, *b"IEND", &[]);
    bytes
}

fn chunk(bytes: &mut Vec<u8>, kind: [u8; 4], data: &[u8]) {
    bytes.extend(u32::try_from(data.len()).expect("a picture is small").to_be_bytes());
    let mut sum = Crc::new();
    for part in [&kind[..], data] {
        sum.update(part);
        bytes.extend(part);
    }
    bytes.extend(sum.sum().to_be_bytes());
}

/// Bytes from their Base64 form. Source: RFC 4648, section 4.
pub(crate) fn from_base64(text: &str) -> Vec<u8> {
    let mut bytes = Vec::with_capacity(text.len() / 4 * 3);
    let (mut held, mut bits) = (0_u32, 0);
    for letter in text.bytes() {
        let value = match letter {
            b'A'..=b'Z' => letter - b'A',
            b'a'..=b'z' => letter - b'a' + 26,
            b'0'..=b'9' => letter - b'0' + 52,
            b'+' => 62,
            b'/' => 63,
            _ => break,
        };
        held = (held << 6 | u32::from(value)) & 0xff_ffff;
        bits += 6;
        if bits >= 8 {
            bits -= 8;
            bytes.push((held >> bits & 0xff) as u8);
        }
    }
    bytes
}

#[test]
fn what_is_written_is_read_again() {
    let pixels = (0..35_u8).map(|it| [it, it.wrapping_mul(7), 255 - it]).collect();
    let picture = Picture { width: 7, height: 5, pixels };
    assert_eq!(read(&write(&picture, "some words")), (picture, "some words".to_owned()));
}

/// Source: RFC 4648, section 10.
#[test]
fn base64_as_published() {
    for (text, bytes) in [("", ""), ("Zg==", "f"), ("Zm8=", "fo"), ("Zm9v", "foo"), ("Zm9vYmFy", "foobar")] {
        assert_eq!(from_base64(text), bytes.as_bytes());
    }
}
