//! Lines of a text that may hold one of some words, found without cutting them into cells.

use super::sixteen::{SIXTEEN, Sixteen};

/// A line with fewer digits than this may be a header: rows have a time.
const FEW_DIGITS: u32 = 8;

/// What is sought.
#[derive(Clone, Debug, Default)]
pub struct Needles {
    words: Vec<Vec<u8>>,
}

/// What a line is to who seeks words.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sifted {
    /// It holds none of them.
    Other,
    /// It holds one, or letters beyond ASCII, in which one may be written otherwise.
    Holding,
    /// It has few digits: it may be a header.
    Wordy,
}

impl Needles {
    /// Words of at least two letters or digits each; upper and lower case are the same.
    pub fn new(words: impl IntoIterator<Item = String>) -> Self {
        let small = |word: String| word.into_bytes().into_iter().map(|byte| byte | 0x20).collect::<Vec<u8>>();
        Self { words: words.into_iter().map(small).filter(|word| word.len() > 1).collect() }
    }

    /// Does a text hold one of them?
    #[inline(never)]
    pub fn are_in(&self, text: &[u8]) -> bool {
        self.words.iter().any(|needle| holds(text, needle))
    }

    /// What a line is.
    #[inline(never)]
    pub fn sift(&self, line: &[u8]) -> Sifted {
        let (mut digits, mut beyond) = (0, 0);
        for at in (0..line.len()).step_by(SIXTEEN) {
            let bytes = Sixteen::or_zeros(line, at);
            beyond |= bytes.are_beyond();
            digits += bytes.are_digits().count_ones();
        }
        if digits < FEW_DIGITS {
            Sifted::Wordy
        } else if beyond != 0 || self.are_in(line) {
            Sifted::Holding
        } else {
            Sifted::Other
        }
    }
}

/// Does a text hold a word whose letters are small?
#[inline]
fn holds(text: &[u8], needle: &[u8]) -> bool {
    let [first, second, ..] = *needle else { return false };
    let mut at = 0;
    while at < text.len() {
        let (here, next) = (Sixteen::or_zeros(text, at).small(), Sixteen::or_zeros(text, at + 1).small());
        let mut found = here.are(first) & next.are(second);
        while found != 0 {
            let place = at + found.trailing_zeros() as usize;
            found &= found - 1;
            let there = text.get(place..place + needle.len());
            if there.is_some_and(|there| there.iter().zip(needle).all(|(a, b)| a | 0x20 == *b)) {
                return true;
            }
        }
        at += SIXTEEN;
    }
    false
}

/// Where the line ends that begins at a place: behind its line end, or nothing if the text ends before.
#[inline(never)]
pub fn line_end(text: &[u8], at: usize) -> Option<usize> {
    let mut at = at;
    while let Some(bytes) = Sixteen::at(text, at) {
        let found = bytes.are(b'\n');
        if found != 0 {
            return Some(at + found.trailing_zeros() as usize + 1);
        }
        at += SIXTEEN;
    }
    text.get(at..)?.iter().position(|&byte| byte == b'\n').map(|n| at + n + 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_end_behind_their_line_ends() {
        for length in 0..40 {
            let text = [vec![b'a'; length], b"\nrest".to_vec()].concat();
            assert_eq!(line_end(&text, 0), Some(length + 1));
            assert_eq!(line_end(&text, length + 1), None);
        }
    }

    #[test]
    fn words_are_found_at_every_place_in_either_case() {
        let needles = Needles::new(["Q7TST".to_owned(), "Q1AB/P".to_owned()]);
        for length in 0..30 {
            for word in ["Q7TST", "q7tSt", "q1ab/p"] {
                let text = format!("{}{word},2031-01-16 12:00", "x".repeat(length));
                assert!(needles.are_in(text.as_bytes()), "{text}");
                assert_eq!(needles.sift(text.as_bytes()), Sifted::Holding);
                let end = format!("{}{word}", "x".repeat(length));
                assert!(needles.are_in(end.as_bytes()), "{end}");
            }
        }
        assert_eq!(needles.sift(b"2031-01-16 12:00,Q7TSA,Q1AB,-20"), Sifted::Other);
        assert_eq!(needles.sift("2031-01-16 12:00,Q7TSÖ,Q1AB,-20".as_bytes()), Sifted::Holding);
        assert_eq!(needles.sift(b"time;sender;listener;a;b;c;d;e;f;g;h;?;=:<>"), Sifted::Wordy);
        assert_eq!(needles.sift(b"0123456;7"), Sifted::Other);
        assert_eq!(needles.sift(b"time,sender,listener,SNR in 2500 Hz"), Sifted::Wordy);
        assert!(!needles.are_in(b"Q7TS") && !needles.are_in(b""));
    }
}
