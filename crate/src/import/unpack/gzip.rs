//! Gzip after RFC 1952.
//!
//! Members are inflated one by one, so that a file of several members is read whole, a file cut in the middle gives
//! what comes before the cut, and a wrong check sum still gives the data. Deviations from the RFC: the header check
//! sum is not compared; zeros after the last member are padding (as tape tools leave them); anything else there is
//! what is left of a damaged member, or was put there by mistake, and the file counts as cut.

use flate2::Crc;

use super::inflate::{Stop, inflate};

/// What came out.
#[derive(Debug, Default)]
pub struct Unpacked {
    /// The data.
    pub bytes: Vec<u8>,
    /// Does the file end, or break, inside a member?
    pub cut: bool,
    /// Do check sum or length of a member not fit its data?
    pub bad_checksum: bool,
    /// Would it have been more than the limit?
    pub too_large: bool,
    /// How many members began.
    pub members: u32,
}

/// Does a file begin as gzip does?
pub(crate) fn is_gzip(bytes: &[u8]) -> bool {
    matches!(bytes, [0x1F, 0x8B, 8, ..])
}

/// Inflates all members, at most `most` bytes.
pub(crate) fn unpack(bytes: &[u8], most: usize) -> Unpacked {
    let mut out = Unpacked::default();
    let mut rest = bytes;
    while is_gzip(rest) {
        out.members += 1;
        let Some(body) = skip_header(rest) else {
            out.cut = true;
            return out;
        };
        let start = out.bytes.len();
        let read = match inflate(body, &mut out.bytes, most) {
            Ok(read) => read,
            Err(stop) => {
                (out.cut, out.too_large) = (stop == Stop::Cut, stop == Stop::TooLarge);
                return out;
            }
        };
        let trailer = &body[read..];
        let Some((check, length)) = trailer
            .first_chunk::<8>()
            .map(|t| (u32::from_le_bytes([t[0], t[1], t[2], t[3]]), u32::from_le_bytes([t[4], t[5], t[6], t[7]])))
        else {
            out.cut = true;
            return out;
        };
        let mut sum = Crc::new();
        sum.update(&out.bytes[start..]);
        #[expect(clippy::cast_possible_truncation, reason = "ISIZE is the length modulo 2^32, RFC 1952 section 2.3.1")]
        let actual = (out.bytes.len() - start) as u32;
        out.bad_checksum |= sum.sum() != check || actual != length;
        rest = &trailer[8..];
        while let [0, more @ ..] = rest {
            rest = more;
        }
    }
    out.cut |= out.members > 0 && !rest.is_empty();
    out
}

/// The data behind a member's header (RFC 1952 section 2.3), or `None` if the header is cut.
pub(super) fn skip_header(member: &[u8]) -> Option<&[u8]> {
    const HEADER_CHECK: u8 = 2;
    const EXTRA: u8 = 4;
    const NAME: u8 = 8;
    const COMMENT: u8 = 16;
    let flags = *member.get(3)?;
    let mut rest = member.get(10..)?;
    if flags & EXTRA != 0 {
        let length = usize::from(u16::from_le_bytes([*rest.first()?, *rest.get(1)?]));
        rest = rest.get(2 + length..)?;
    }
    for text in [NAME, COMMENT] {
        if flags & text != 0 {
            rest = rest.get(memchr::memchr(0, rest)? + 1..)?;
        }
    }
    if flags & HEADER_CHECK != 0 {
        rest = rest.get(2..)?;
    }
    Some(rest)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::import::made::gzipped as pack;
    #[test]
    fn several_members_cuts_and_sums() {
        let (one, two) = (pack(b"first\n"), pack(b"second\n"));
        let both = [&one[..], &two[..]].concat();
        let out = unpack(&both, MOST);
        assert_eq!(
            (&out.bytes[..], out.members, out.cut, out.bad_checksum),
            (&b"first\nsecond\n"[..], 2, false, false)
        );
        for behind in [&b"2031-04-27 12:00,Q1ABC\n"[..], &[0, 0, 0x1F, 0x8A]] {
            let more = unpack(&[&both[..], behind].concat(), MOST);
            assert_eq!((&more.bytes[..], more.cut), (&b"first\nsecond\n"[..], true));
        }
        let cut = unpack(&both[..both.len() - 3], MOST);
        assert_eq!((&cut.bytes[..], cut.cut), (&b"first\nsecond\n"[..], true));
        let mut wrong = both;
        let at = one.len() - 6;
        wrong[at] ^= 1;
        let out = unpack(&wrong, MOST);
        assert_eq!((&out.bytes[..], out.bad_checksum, out.cut), (&b"first\nsecond\n"[..], true, false));
        let padded = [&two[..], &[0; 100]].concat();
        assert_eq!(unpack(&padded, MOST).bytes, b"second\n");
    }

    const MOST: usize = 1 << 20;

    #[test]
    fn a_bomb_stops_at_the_limit() {
        let bomb = pack(&vec![b'x'; 4 << 20]);
        let out = unpack(&bomb, MOST);
        assert!(out.too_large && out.bytes.len() <= MOST);
        // as far as one byte more, in the first member or in a later one
        let pieces = [&pack(&[b'x'; 600])[..], &pack(&[b'y'; 400])].concat();
        assert!(!unpack(&pieces, 1000).too_large);
        assert!(unpack(&pieces, 999).too_large && unpack(&pieces, 599).too_large);
    }

    #[test]
    fn every_cut_and_every_broken_byte_gives_an_answer() {
        let whole = pack(b"time,tx,rx\n2024-04-03 12:00,Q1ABC,Q2DEF\n");
        for end in 0..whole.len() {
            let out = unpack(&whole[..end], MOST);
            assert!(out.cut || end < 3, "{end}");
        }
        for at in 3..whole.len() {
            let mut broken = whole.clone();
            broken[at] ^= 0x55;
            let out = unpack(&broken, MOST);
            assert!(out.bytes.len() <= MOST);
        }
    }
}
