//! Benchmarks: how long reading and comparing take and what the page needs, beside yardsticks measured in the same run on
//! the same machine.
//!
//! Milliseconds differ from machine to machine; what Farheard takes of a yardstick hardly does. Each figure is the median
//! of five rounds, of three where files have more than a million rows and where a hand moves the page. Rounds of Farheard
//! and its yardsticks come by turns, so that whatever else the machine does falls on all of them.
//!
//! - [`native`]: rows into spots, pairs compared; beside the `csv` crate going over the same bytes, a search for line ends,
//!   [`typed_read`] (a columnar library in Python) and a sort
//! - [`visits`]: the finished page in Chromium on the same rows; beside a parser in JavaScript and a loop written by hand
//! - [`browser`]: the core in a page, compared pairs; [`site`] hands out pages and takes their figures
//! - [`invented`]: the files; [`clock`]: times and medians; [`machine`]: processor and memory
//! - [`figure`], [`goals`], [`table`]: a figure with what stands beside it, what it shall be, and all of them as a table

mod browser;
mod clock;
mod figure;
mod goals;
mod invented;
mod machine;
mod native;
mod site;
mod table;
mod typed_read;
mod visits;

use anyhow::Result;
use serde_json::{Value, json};

use crate::options::{MeasureOptions, TableForm};
use crate::project::Project;
use crate::terminal::{complain, say};
use figure::{Beside, Figure, grouped};
use goals::MILLION;
use invented::invented;
use typed_read::TypedRead;

/// Of how many rounds a figure is the median.
const ROUNDS: usize = 5;
/// The same where a round takes long.
const ROUNDS_OF_LARGE: usize = 3;
/// Files that are read, as far as they are asked for, and the largest that was asked for.
const SIZES: [usize; 4] = [1_000, 100_000, MILLION, 10 * MILLION];
/// Most pairs that are compared.
const MOST_PAIRS: usize = 100_000;
const NO_CHROMIUM: &str = "No Chromium was found, so nothing was measured in a browser; CHROMIUM=/path names one.";

/// Measures and prints the figures.
///
/// # Errors
/// If rows are lost, there is nothing to compare, or the page cannot be built or measured.
pub(crate) fn report(options: &MeasureOptions) -> Result<()> {
    let project = Project::find()?;
    let sizes = sizes(options.rows);
    let library = TypedRead::prepare(&project);
    let mut figures = Vec::new();
    for &rows in &sizes {
        complain(&format!("Measuring natively: {} spots", grouped(rows)));
        let text = invented(rows);
        let [mut reading, table] = native::reading(&text, rows, rounds_of(rows), &library)?;
        reading.beside.extend(beside_smaller(&figures, native::READING, rows));
        let whole_ms = reading.value;
        figures.extend([reading, table]);
        if rows == MILLION {
            complain("Measuring natively: an archive of 5 GB");
            figures.extend(native::archive(&text, whole_ms, native::ARCHIVE_BYTES)?);
        }
    }
    // two rows make a pair
    let text = invented(2 * options.rows.min(MOST_PAIRS));
    figures.extend(native::comparing(&text, ROUNDS)?);
    let mut notes = vec![machine::words()];
    match browser::find() {
        Some(chromium) => {
            notes.extend(machine::version(&chromium));
            figures.extend(browser::comparing(&project, &chromium, &text)?);
            figures.extend(visits::measure(&project, &chromium, &sizes)?);
        }
        None => notes.push(NO_CHROMIUM.to_owned()),
    }
    say(printed(&figures, &notes, options.form).trim_end());
    Ok(())
}

/// The files to read when so many rows are asked for.
fn sizes(rows: usize) -> Vec<usize> {
    SIZES.into_iter().filter(|&size| size < rows).chain([rows]).collect()
}

fn rounds_of(rows: usize) -> usize {
    if rows > MILLION { ROUNDS_OF_LARGE } else { ROUNDS }
}

/// A file of ten million rows beside one of a million: whether the time grows with the rows.
fn beside_smaller(figures: &[Figure], what: &str, rows: usize) -> Option<Beside> {
    if rows != 10 * MILLION {
        return None;
    }
    let smaller = format!("{} spots", grouped(MILLION));
    let figure = figures.iter().find(|figure| figure.what == what && figure.of == smaller)?;
    Some(Beside::new(smaller, figure.value).with_goal(Some(goals::TENFOLD)))
}

fn printed(figures: &[Figure], notes: &[String], form: TableForm) -> String {
    let notes_line = format!(
        "{}. Medians of {ROUNDS} rounds, of {ROUNDS_OF_LARGE} for more than a million spots and under a hand.",
        notes.join(", ")
    );
    match form {
        TableForm::Text => format!("{}\n{notes_line}\n", table::aligned(figures)),
        TableForm::Markdown => format!("{}\n{notes_line}\n", table::markdown(figures)),
        TableForm::Json => {
            let figures: Vec<Value> = figures.iter().map(Figure::json).collect();
            format!("{:#}", json!({ "on": notes, "figures": figures }))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_grow_tenfold_up_to_the_one_asked_for() {
        assert_eq!(sizes(1), [1]);
        assert_eq!(sizes(5_000), [1_000, 5_000]);
        assert_eq!(sizes(MILLION), [1_000, 100_000, MILLION]);
        assert_eq!(sizes(10 * MILLION), SIZES);
        assert_eq!([rounds_of(1), rounds_of(MILLION), rounds_of(MILLION + 1)], [5, 5, 3]);
    }

    #[test]
    fn ten_million_stand_beside_one_million() {
        let figure = |rows, ms| Figure::ms(native::READING, native::PLACE, format!("{} spots", grouped(rows)), ms, 5);
        let figures = [figure(1_000, 1.0), figure(MILLION, 300.0)];
        let beside = beside_smaller(&figures, native::READING, 10 * MILLION).unwrap();
        assert_eq!((beside.share(3_300.0), beside.goal), (Some(11.0), Some(10.5)));
        assert!(beside_smaller(&figures, native::READING, MILLION).is_none());
        assert!(beside_smaller(&figures[..1], native::READING, 10 * MILLION).is_none());
    }

    #[test]
    fn what_was_not_measured_is_said() {
        let text = printed(&[], &[NO_CHROMIUM.to_owned()], TableForm::Text);
        assert!(text.contains("nothing was measured in a browser"));
        let json: Value = serde_json::from_str(&printed(&[], &["2 cores".to_owned()], TableForm::Json)).unwrap();
        assert_eq!(json["on"][0], "2 cores");
    }
}
