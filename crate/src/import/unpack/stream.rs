//! Gzip (RFC 1952) that comes in pieces: what is too large to be held.
//!
//! Gives what [`super::gzip::unpack`] gives of the whole file.

use flate2::{Crc, Decompress, FlushDecompress, Status};

use super::gzip::{is_gzip, skip_header};

/// A header longer than this is none.
const LONGEST_HEADER: usize = 1 << 20;
/// As much is unpacked in one go.
const ROOM: usize = 1 << 18;

/// Unpacks gzip piece by piece.
#[derive(Debug)]
pub(crate) struct Stream {
    stage: Stage,
    /// Bytes of a header or trailer that is not whole yet.
    held: Vec<u8>,
    sum: Crc,
    /// Does the file end, or break, inside a member?
    pub(crate) cut: bool,
    /// Do check sum or length of a member not fit its data?
    pub(crate) bad_checksum: bool,
}

#[derive(Debug)]
enum Stage {
    Header,
    Data(Box<Decompress>),
    Trailer,
    /// Behind a member: zeros, or the next one.
    Between,
    /// What follows is none of ours.
    Over,
}

impl Stream {
    /// Before the first byte.
    pub(crate) fn new() -> Self {
        Self { stage: Stage::Header, held: Vec::new(), sum: Crc::new(), cut: false, bad_checksum: false }
    }

    /// Takes the next piece and adds what was in it to `out`.
    pub(crate) fn push(&mut self, piece: &[u8], out: &mut Vec<u8>) {
        let mut rest = piece;
        while !rest.is_empty() {
            rest = match &mut self.stage {
                Stage::Header => {
                    self.held.extend_from_slice(rest);
                    self.header()
                }
                Stage::Data(inflater) => {
                    let Some(read) = data(inflater, rest, out, &mut self.sum) else {
                        self.cut = true;
                        self.stage = Stage::Over;
                        return;
                    };
                    if read.ended {
                        self.stage = Stage::Trailer;
                    }
                    &rest[read.bytes.min(rest.len())..]
                }
                Stage::Trailer => {
                    let wanted = 8 - self.held.len();
                    let (now, later) = rest.split_at(wanted.min(rest.len()));
                    self.held.extend_from_slice(now);
                    if self.held.len() == 8 {
                        self.trailer();
                    }
                    later
                }
                Stage::Between => {
                    if let [0, more @ ..] = rest {
                        more
                    } else {
                        self.stage = Stage::Header;
                        rest
                    }
                }
                Stage::Over => return,
            };
            // a header that came whole leaves what stood behind it
            if matches!(self.stage, Stage::Data(_)) && !self.held.is_empty() {
                let behind = std::mem::take(&mut self.held);
                self.push(&behind, out);
            }
        }
    }

    /// Reads the header if it is all there; gives what is left of the piece, which is nothing.
    fn header(&mut self) -> &'static [u8] {
        let begins = [0x1F, 0x8B, 8].iter().zip(&self.held).all(|(a, b)| a == b);
        if !begins {
            self.cut = true;
            self.stage = Stage::Over;
            self.held.clear();
        } else if is_gzip(&self.held)
            && let Some(body) = skip_header(&self.held)
        {
            self.held = body.to_vec();
            self.sum = Crc::new();
            self.stage = Stage::Data(Box::new(Decompress::new(false)));
        } else if self.held.len() > LONGEST_HEADER {
            self.cut = true;
            self.stage = Stage::Over;
            self.held.clear();
        }
        &[]
    }

    fn trailer(&mut self) {
        let word =
            |at: usize| self.held.get(at..).and_then(|w| w.first_chunk::<4>()).map_or(0, |w| u32::from_le_bytes(*w));
        self.bad_checksum |= word(0) != self.sum.sum() || word(4) != self.sum.amount();
        self.held.clear();
        self.stage = Stage::Between;
    }

    /// There are no more pieces.
    pub(crate) fn end(&mut self) {
        self.cut |= match self.stage {
            Stage::Data(_) | Stage::Trailer => true,
            Stage::Header => !self.held.is_empty(),
            Stage::Between | Stage::Over => false,
        };
    }
}

/// How much of the packed data was read, and was that all of the member?
struct DataRead {
    bytes: usize,
    ended: bool,
}

/// Unpacks; nothing if the data are broken.
fn data(inflater: &mut Decompress, packed: &[u8], out: &mut Vec<u8>, sum: &mut Crc) -> Option<DataRead> {
    let began = inflater.total_in();
    loop {
        let read = usize::try_from(inflater.total_in() - began).unwrap_or(usize::MAX);
        let rest = packed.get(read..).unwrap_or_default();
        let (start, before) = (out.len(), (inflater.total_in(), inflater.total_out()));
        out.reserve(ROOM);
        let status = inflater.decompress_vec(rest, out, FlushDecompress::None);
        sum.update(&out[start..]);
        let bytes = usize::try_from(inflater.total_in() - began).unwrap_or(usize::MAX);
        match status {
            Ok(Status::StreamEnd) => return Some(DataRead { bytes, ended: true }),
            // more room may bring more out of what was read
            Ok(_) if bytes < packed.len() || out.len() == out.capacity() => {
                if (inflater.total_in(), inflater.total_out()) == before {
                    return None;
                }
            }
            Ok(_) => return Some(DataRead { bytes, ended: false }),
            Err(_) if (inflater.total_in(), inflater.total_out()) == before && rest.is_empty() => {
                return Some(DataRead { bytes, ended: false });
            }
            Err(_) => return None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::gzip::unpack;
    use super::*;
    use crate::import::made::gzipped as pack;

    fn in_pieces(packed: &[u8], size: usize) -> (Vec<u8>, bool, bool) {
        let (mut stream, mut out) = (Stream::new(), Vec::new());
        for piece in packed.chunks(size) {
            stream.push(piece, &mut out);
        }
        stream.end();
        (out, stream.cut, stream.bad_checksum)
    }

    /// Whole, cut and broken files in pieces of any size give what they give in one.
    #[test]
    fn pieces_of_any_size_give_what_the_whole_gives() {
        let long: Vec<u8> = (0..200_000_u32).flat_map(|n| (n.wrapping_mul(n) % 977).to_le_bytes()).collect();
        let both = [&pack(b"first\n")[..], &[0; 20], &pack(&long), b"trash"].concat();
        let mut wrong = both.clone();
        wrong[20] ^= 1;
        let files = [both.clone(), both[..both.len() - 200].to_vec(), wrong, both[..12].to_vec(), pack(b"")];
        for (number, file) in files.iter().enumerate() {
            let whole = unpack(file, usize::MAX);
            for size in [1, 3, 7, 1000, 1 << 20] {
                if size < 7 && file.len() > 100_000 {
                    continue;
                }
                let (out, cut, bad) = in_pieces(file, size);
                assert_eq!(out.len(), whole.bytes.len(), "file {number} in {size}");
                assert!(out == whole.bytes && cut == whole.cut && bad == whole.bad_checksum, "file {number} in {size}");
            }
        }
    }
}
