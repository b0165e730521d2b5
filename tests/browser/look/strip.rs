//! The small pictures of one look, side by side in one PNG. Its words name them: a height and a name a line.

use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

use super::png::{Picture, read, write};
use crate::harness::scratch::root;

/// Between pictures, and under those that end early.
const GAP: [u8; 3] = [204; 3];

/// A small picture and the state it shows.
pub(super) type Named = (String, Picture);

pub(super) fn path(look: &str) -> PathBuf {
    root().join("tests").join("pictures").join("page").join(format!("{look}.png"))
}

pub(super) fn keep(path: &Path, pictures: &[Named]) {
    let width = pictures.iter().map(|(_, it)| it.width + 1).sum();
    let height = pictures.iter().map(|(_, it)| it.height).max().unwrap_or_default();
    let mut pixels = Vec::with_capacity(width * height);
    for y in 0..height {
        for (_, picture) in pictures {
            match picture.pixels.chunks_exact(picture.width).nth(y) {
                Some(line) => pixels.extend(line),
                None => pixels.extend(vec![GAP; picture.width]),
            }
            pixels.push(GAP);
        }
    }
    let mut words = String::new();
    for (name, picture) in pictures {
        writeln!(words, "{} {} {name}", picture.width, picture.height).expect("memory takes it");
    }
    fs::create_dir_all(path.parent().expect("it lies in a folder")).expect("tests/pictures/page/ can be made");
    fs::write(path, write(&Picture { width, height, pixels }, &words)).expect("tests/pictures/page/ can be written");
}

pub(super) fn kept(path: &Path) -> Vec<Named> {
    let bytes = fs::read(path).unwrap_or_else(|error| {
        panic!("{}: {error}\nFARHEARD_PICTURES=write writes it; look at it before you commit it", path.display())
    });
    let (strip, words) = read(&bytes);
    let mut left = 0;
    let named = words.lines().map(|line| {
        let mut parts = line.splitn(3, ' ');
        let mut next = || parts.next().expect("a width, a height and a name");
        let [width, height] = [next(), next()].map(|it| it.parse::<usize>().expect("a number"));
        let name = next().to_owned();
        let lines = strip.pixels.chunks_exact(strip.width).take(height);
        let pixels = lines.flat_map(|line| &line[left..left + width]).copied().collect();
        left += width + 1;
        (name, Picture { width, height, pixels })
    });
    named.collect()
}

#[test]
fn pictures_come_back_from_a_strip() {
    let scratch = crate::harness::Scratch::new();
    let path = scratch.path().join("strip.png");
    let one = |width: usize, height: usize, value| Picture { width, height, pixels: vec![[value; 3]; width * height] };
    let pictures = vec![("a state".to_owned(), one(3, 5, 10)), ("another, longer".to_owned(), one(4, 9, 200))];
    keep(&path, &pictures);
    assert_eq!(kept(&path), pictures);
}
