//! The report: one page of HTML to read or to print, in any browser, without any script.
//!
//! It is made of sections that all have the same parts, so that one small template writes them:
//!
//! - `section`: the parts
//! - `antenna`: the Disc, bearings, bands and hours of what leaves
//! - `pair`: two runs compared
//! - `around`: how it was sent and read, and what to mind
//!
//! Like all that leaves it is made from a [`Leaving`], so that what is kept back is not in it.

mod antenna;
mod around;
pub(super) mod pair;
mod section;

use askama::Template;

use super::picture::{self, made_of};
use super::privacy::{Leaving, Source};
use super::shown::Shown;
use crate::import::Reading;
use crate::study::Tally;
use crate::study::compare::{Comparison, Settings};
use crate::words::calendar;
use crate::words::number::in_files;
use section::{Section, words};

/// Most runs that the head names; of more it names the station.
const MOST_NAMES: usize = 3;

/// What the report tells of.
#[derive(Clone, Copy, Debug)]
pub struct Asked<'a> {
    /// How the spots are shown.
    pub shown: picture::Asked<'a>,
    /// The two runs that are compared.
    pub pair: Option<Pair<'a>>,
    /// How the files were read. Their names are taken from what leaves.
    pub readings: &'a [Reading],
}

/// Two runs compared.
#[derive(Clone, Copy, Debug)]
pub struct Pair<'a> {
    /// Places of A and B among the runs that leave.
    pub runs: (usize, usize),
    /// What was found.
    pub found: &'a Comparison,
    /// What was assumed.
    pub settings: Settings,
}

#[derive(Debug, Template)]
#[template(path = "report.html")]
struct Report {
    title: String,
    sample: bool,
    when: String,
    /// The answer as markup.
    answer: String,
    evidence: String,
    sections: Vec<Section>,
    foot: String,
}

/// The report as an HTML document, figures with a decimal point, times in UTC. The same spots always give the same
/// bytes.
pub fn report(leaving: &Leaving<'_>, asked: &Asked<'_>) -> String {
    in_files(|| write(leaving, asked).render().unwrap_or_default())
}

fn write(leaving: &Leaving<'_>, asked: &Asked<'_>) -> Report {
    let subject = leaving.subject();
    let shown = Shown::of(&subject, leaving, &asked.shown);
    let sample = leaving.source() == Source::Sample;
    let when = when(leaving, &shown.said.name, &shown.tally);
    let mut sections = antenna::sections(leaving, asked, &shown);
    sections.extend(asked.pair.map(|pair| pair::section(leaving, asked, pair)));
    sections.extend([around::sent(leaving, asked, &shown.tally), around::read(leaving, asked), around::cautions()]);
    // the shapes of the antennas that the sentence speaks of
    let whole = shown.said.whole();
    let answer = [("a", ""), (if asked.pair.is_some() { "b" } else { "" }, ""), ("", &*whole)];
    let mut foot = made_of(&asked.shown, &shown.tally);
    if asked.shown.filters.is_empty() {
        foot.push("No filters.".to_owned());
    }
    Report {
        title: format!("{}Farheard report: {when}", if sample { "SAMPLE, made up. " } else { "" }),
        sample,
        when,
        answer: words(&answer),
        evidence: shown.said.evidence,
        sections,
        foot: format!("Made by Farheard {}. {}", env!("CARGO_PKG_VERSION"), foot.join(" ")),
    }
}

/// `Doublet and Vertical, 11 to 13 October 2031, UTC`
fn when(leaving: &Leaving<'_>, station: &str, tally: &Tally) -> String {
    let names: Vec<&str> = leaving.runs().iter().map(|told| told.run.name.as_str()).collect();
    let names = match names.as_slice() {
        [some @ .., last] if !some.is_empty() && names.len() <= MOST_NAMES => {
            format!("{}: {} and {last}", station, some.join(", "))
        }
        [one] if *one != station && !one.is_empty() => format!("{station}: {one}"),
        _ => station.to_owned(),
    };
    let days = tally.span.map_or_else(String::new, |(first, last)| format!(", {}, UTC", calendar::days(first, last)));
    names + &days
}
