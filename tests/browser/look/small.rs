//! A screenshot made small, and how far two of them differ.
//!
//! One pixel is the mean of a square of the page, in 16 steps a channel. That leaves no letters, so another way to
//! smooth them makes no difference, but words, lines and pictures that moved, came, went or took another colour do.

use super::png::Picture;

/// How far one channel of one pixel may differ: more than letters drawn a pixel aside, less than a line of words that
/// moved by half its height.
const OFF: u8 = 40;
/// So many pixels may differ by more.
const MOST: usize = 8;

/// Means of squares of `side` pixels; what does not fill a square at the right and below is left out.
pub(super) fn smaller(picture: &Picture, side: usize) -> Picture {
    let (width, height) = (picture.width / side, picture.height / side);
    let mut pixels = Vec::with_capacity(width * height);
    let mut sums = vec![[0_u32; 3]; width];
    let count = u32::try_from(side * side).expect("a square is small");
    for rows in picture.pixels.chunks_exact(picture.width * side) {
        sums.fill([0; 3]);
        for row in rows.chunks_exact(picture.width) {
            for (sum, square) in sums.iter_mut().zip(row.chunks_exact(side)) {
                for pixel in square {
                    for (sum, value) in sum.iter_mut().zip(pixel) {
                        *sum += u32::from(*value);
                    }
                }
            }
        }
        pixels.extend(sums.iter().map(|sum| sum.map(|it| step(it / count))));
    }
    Picture { width, height, pixels }
}

/// The nearest of 16 even steps.
fn step(value: u32) -> u8 {
    u8::try_from((value + 8) / 17 * 17).expect("a mean of bytes is a byte")
}

/// What differs between a kept picture and a new one, in words; nothing if they look alike.
pub(super) fn difference(kept: &Picture, new: &Picture, side: usize) -> Option<String> {
    if kept.width != new.width || kept.height.abs_diff(new.height) > 1 {
        let [before, now] = [kept, new].map(|it| format!("{} by {}", it.width * side, it.height * side));
        return Some(format!("it was about {before} and is {now}"));
    }
    let off = |at: &usize| kept.pixels[*at].iter().zip(new.pixels[*at]).any(|(one, other)| one.abs_diff(other) > OFF);
    let found: Vec<_> = (0..kept.pixels.len().min(new.pixels.len())).filter(off).collect();
    if found.len() <= MOST {
        return None;
    }
    let (across, down) = (|at: &usize| at % kept.width * side, |at: &usize| at / kept.width * side);
    let least = |of: &dyn Fn(&usize) -> usize| found.iter().map(of).min().unwrap_or_default();
    let most = |of: &dyn Fn(&usize) -> usize| found.iter().map(of).max().unwrap_or_default() + side;
    Some(format!(
        "{} of its {} squares differ, between {} and {} px from the left, {} and {} px from the top",
        found.len(),
        kept.pixels.len(),
        least(&across),
        most(&across),
        least(&down),
        most(&down)
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A page with three lines of words, so far down.
    fn page(down: usize) -> Picture {
        let (width, height) = (400, 160);
        let ink = |x: usize, y: usize| {
            (0..3).any(|line| (line * 40 + down..line * 40 + down + 10).contains(&y))
                && x % 7 < 3
                && (20..300).contains(&x)
        };
        let pixels =
            (0..width * height).map(|at| if ink(at % width, at / width) { [20; 3] } else { [250; 3] }).collect();
        Picture { width, height, pixels }
    }

    #[test]
    fn a_line_that_moved_is_told_and_a_pixel_aside_is_not() {
        let kept = smaller(&page(12), 8);
        assert_eq!((kept.width, kept.height), (50, 20));
        assert_eq!(difference(&kept, &smaller(&page(12), 8), 8), None);
        assert_eq!(difference(&kept, &smaller(&page(13), 8), 8), None);
        assert!(difference(&kept, &smaller(&page(18), 8), 8).is_some_and(|words| words.contains("squares differ")));
    }

    #[test]
    fn another_height_and_another_colour_are_told() {
        let kept = smaller(&page(12), 8);
        let mut longer = kept.clone();
        longer.height += 2;
        longer.pixels.extend([[250; 3]; 100]);
        let told = difference(&kept, &longer, 8).expect("it is longer");
        assert_eq!(told, "it was about 400 by 160 and is 400 by 176");
        let mut blue = kept.clone();
        blue.pixels[100..120].fill([0, 119, 187]);
        let mut vermillion = kept;
        vermillion.pixels[100..120].fill([221, 102, 0]);
        let told = difference(&blue, &vermillion, 8).expect("it has another colour");
        assert_eq!(
            told,
            "20 of its 1000 squares differ, between 0 and 160 px from the left, 16 and 24 px from the top"
        );
    }
}
