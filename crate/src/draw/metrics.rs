//! Widths of letters where there is no font to ask: for SVG text, whose reader may have any of several faces, and in tests.

use super::surface::{Face, Font};

/// Advance widths of the printable ASCII characters in thousandths of the size, from the space on:
/// those of the common grotesque that the sans stack falls back to (from memory, the widths every PostScript printer has).
const SANS: [u16; 95] = [
    278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278, // space to /
    556, 556, 556, 556, 556, 556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556, // 0 to ?
    1015, 667, 667, 722, 722, 667, 611, 778, 722, 278, 500, 667, 556, 833, 722, 778, // @ to O
    667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 278, 278, 278, 469, 556, // P to _
    333, 556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556, // ` to o
    556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500, 334, 260, 334, 584, // p to ~
];

/// Other faces of the stack run a little wider.
const ALLOWANCE: f64 = 1.04;

/// About how wide words are in pixels.
pub fn text_width(words: &str, font: Font) -> f64 {
    let of_face = match font.face {
        Face::Sans => ALLOWANCE,
        Face::SansBold => ALLOWANCE * 1.06,
        Face::Serif => 0.94,
        Face::SerifItalic => 0.86,
    };
    let thousandths: f64 = words.chars().map(advance).sum();
    thousandths / 1000.0 * font.size * of_face
}

fn advance(letter: char) -> f64 {
    let ascii = (letter as usize).checked_sub(32).and_then(|place| SANS.get(place));
    match (letter, ascii) {
        ('\u{202f}', _) => 180.0,
        ('\u{a0}', _) => 278.0,
        ('\u{2212}', _) => 584.0,
        ('\u{300}'..='\u{36f}', _) => 0.0,
        (_, Some(&width)) => f64::from(width),
        (wide, None) if wide as u32 >= 0x2E80 => 1000.0,
        _ => 556.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn widths_add_up_and_scale() {
        let font = Font::new(Face::Sans, 12.0);
        let one = text_width("1", font);
        assert!((text_width("11", font) - 2.0 * one).abs() < 1e-9);
        assert!((text_width("1", Font::new(Face::Sans, 24.0)) - 2.0 * one).abs() < 1e-9);
        assert!(text_width("i", font) < text_width("m", font));
        assert!(text_width("", font).abs() < 1e-12);
    }
}
