//! Measuring the finished page in Chromium, and beside it other ways to read the same file in the same Chromium.
//!
//! Our script goes into the page before its own, and the page's policy out of it, which would forbid the figures to come
//! back. Every round is a Chromium just started: nothing is warmed up, neither the page nor its yardsticks.
//!
//! - ready, first paint, core: of the page itself, from navigation; the core from its start until it takes events; opened
//!   again the page has kept the core unpacked
//! - full result: from choosing a file until all results show, to the frame
//! - zoom, pan, brush, filter: from the event until everything is drawn again and in place, 95th percentile; while a
//!   handle is dragged that is the Disc, the strip and the count, and the rest once the hand stops; of a band the Disc with
//!   all about it, and the rest a frame later
//! - the tab: memory of the process that shows it, less that of one that shows an empty page

use std::fs;
use std::path::Path;

use anyhow::{Context as _, Result, ensure};
use serde_json::Value;

use super::clock::median;
use super::figure::{Beside, Figure, Unit, grouped};
use super::goals::{self, MILLION};
use super::invented::{invented, many_listeners};
use super::site::Site;
use super::{beside_smaller, rounds_of};
use crate::build;
use crate::project::Project;
use crate::terminal::complain;

pub(super) const PLACE: &str = "Chromium";
const FULL: &str = "file chosen to full result";
/// Where the policy stands in the page.
const POLICY: [&str; 2] = ["<meta http-equiv=\"Content-Security-Policy\"", ">"];
/// Our script goes before this.
const HEAD: &str = "<meta name=\"viewport\"";
const SCRIPT: &str = include_str!("page.js");
const BESIDE: &str = include_str!("beside.js");
const LOOP: &str = include_str!("column_loop.js");
/// The general-purpose parser, and what it is called.
const PARSER: [&str; 2] = ["tests/speed/papaparse/papaparse.min.js", "Papa Parse 5.7.1, strings only"];
const ALONE: &str = "the same with one worker";
const BY_HAND: &str = "loop in plain JavaScript, for this file alone";
/// How often a hand moves the page about: each time some hundreds of moves.
const HANDLINGS: usize = 3;
/// Listeners of the file with the most marks.
const MARKS: usize = 10_000;

/// The figures of the page.
///
/// # Errors
/// If the page cannot be built, Chromium does not start, a yardstick reads other rows, or the page gives no figures.
pub(super) fn measure(project: &Project, chromium: &Path, sizes: &[usize]) -> Result<Vec<Figure>> {
    let place = build::build(project)?;
    let page = fs::read_to_string(&place).with_context(|| format!("reading {}", place.display()))?;
    let parser = project.root().join(PARSER[0]);
    let parser = fs::read_to_string(&parser).with_context(|| format!("reading {}", parser.display()))?;
    let mut site = Site::open(chromium, project.root().join("target").join("measure").join("visits"))?;
    site.put_page("", with_script(&page)?);
    site.put_page("beside", format!("<!DOCTYPE html><title>beside</title><script>{BESIDE}</script>"));
    site.put_text("parser.js", parser);
    site.put_text("loop.js", LOOP.to_owned());

    let mut figures = loading(&site, rounds_of(1))?;
    for &rows in sizes {
        complain(&format!("Measuring in Chromium: {} spots", grouped(rows)));
        site.put_text("rows", invented(rows));
        let full = reading(&site, rows)?;
        let smaller = beside_smaller(&figures, FULL, rows);
        figures.extend(full);
        if let Some(smaller) = smaller
            && let Some(figure) = figures.iter_mut().rfind(|figure| figure.what == FULL)
        {
            figure.beside.push(smaller);
        }
    }
    if let Some(&rows) = sizes.iter().rfind(|&&rows| rows <= MILLION) {
        complain("Measuring in Chromium: the page under a hand");
        site.put_text("rows", invented(rows));
        figures.extend(handling(&site, rows, &format!("{} spots", grouped(rows)))?);
        site.put_text("rows", many_listeners(MARKS));
        figures.extend(handling(&site, 3 * MARKS, &format!("{} listeners", grouped(MARKS)))?);
    }
    Ok(figures)
}

/// Medians of the figures of several visits, by name. `None` where no visit had the figure.
struct Visits(Vec<Value>);

impl Visits {
    fn make(rounds: usize, mut visit: impl FnMut() -> Result<Value>) -> Result<Self> {
        (0..rounds).map(|_| visit()).collect::<Result<_>>().map(Self)
    }

    fn median(&self, name: &str) -> Option<f64> {
        median(self.0.iter().filter_map(|figures| figures[name].as_f64()).collect())
    }

    fn needed(&self, name: &str) -> Result<f64> {
        self.median(name).with_context(|| format!("the page did not measure '{name}'"))
    }
}

/// What it takes until the page can be used.
fn loading(site: &Site, rounds: usize) -> Result<Vec<Figure>> {
    let visits = Visits::make(rounds, || site.visit(""))?;
    let parts = [
        ("first paint", "paint", Some(goals::PAINT_MS)),
        ("the core takes events", "core", Some(goals::CORE_MS)),
        ("a file can be chosen", "ready", None),
        ("the core takes events, opened again", "coreAgain", Some(goals::CORE_MS)),
        ("a file can be chosen, opened again", "readyAgain", None),
    ];
    let figure = |(what, name, goal)| {
        Ok(Figure { goal, ..Figure::ms(what, PLACE, "the page".to_owned(), visits.needed(name)?, rounds) })
    };
    parts.into_iter().map(figure).collect()
}

/// Reads the file that is there, by turns in the page and in the other ways.
fn reading(site: &Site, rows: usize) -> Result<Vec<Figure>> {
    let rounds = rounds_of(rows);
    let [mut own, mut alone, mut parser, mut by_hand, mut empty] = [const { Vec::new() }; 5];
    for _ in 0..rounds {
        let also = if rows >= MILLION { "&also=memory" } else { "" };
        own.push(site.visit(&format!("?file=rows&spots={rows}{also}"))?);
        for (by, visits) in [("parser", &mut parser), ("loop", &mut by_hand)] {
            let figures = site.visit(&format!("beside?file=rows&by={by}"))?;
            ensure!(figures["rows"] == rows, "the {by} read {} of {rows} rows", figures["rows"]);
            visits.push(figures);
        }
        if rows >= MILLION {
            empty.push(site.visit("beside?by=nothing")?);
            alone.push(site.visit(&format!("?file=rows&spots={rows}&cores=1"))?);
        }
    }
    let [own, alone, parser, by_hand, empty] = [own, alone, parser, by_hand, empty].map(Visits);
    let of = format!("{} spots", grouped(rows));
    let goal = |goal| (rows == MILLION).then_some(goal);
    let ms = own.needed("ms")?;
    let mut figures = vec![Figure {
        goal: goal(goals::FULL_RESULT_MS),
        beside: vec![
            Beside::new(PARSER[1], parser.needed("ms")?).with_goal(goal(goals::OF_PARSER)),
            Beside::new(BY_HAND, by_hand.needed("ms")?).with_goal(goal(goals::OF_LOOP)),
        ],
        ..Figure::ms(FULL, PLACE, of.clone(), ms, rounds)
    }];
    if let Some(alone) = alone.median("ms") {
        figures[0].beside.push(Beside::new(ALONE, alone).with_goal(goal(goals::OF_ALONE)));
    }
    let parts = [
        ("memory of the tab, above an empty one", "now_mb", goal(goals::TAB_MB)),
        ("the most it ever was", "peak_mb", None),
    ];
    for (what, name, goal) in parts {
        // where the system does not tell, there is no such figure
        if let (Some(full), Some(empty)) = (own.median(name), empty.median("now_mb")) {
            let figure = Figure::ms(what, PLACE, of.clone(), full - empty, rounds);
            figures.push(Figure { unit: Unit::Megabytes, goal, ..figure });
        }
    }
    Ok(figures)
}

/// Zooms, pans, brushes and filters what is read.
fn handling(site: &Site, spots: usize, of: &str) -> Result<Vec<Figure>> {
    let visits = Visits::make(HANDLINGS, || site.visit(&format!("?file=rows&spots={spots}&also=handling")))?;
    let filter = (spots == MILLION).then_some(goals::FILTER_MS);
    let parts = [
        ("frames while zooming", "zoomFrame", None),
        ("frames while panning", "panFrame", None),
        ("frames while brushing time", "brushFrame", None),
        ("zoom answered", "zoom", None),
        ("pan answered", "pan", None),
        ("time brush answered", "brush", filter),
        ("all the rest after it", "after", None),
        ("band filter answered", "filter", filter),
        ("all the rest after that", "filterAfter", None),
    ];
    // a file of one band has no filter of bands
    let measured = parts.into_iter().filter_map(|(what, name, goal)| Some((what, visits.median(name)?, goal)));
    Ok(measured
        .map(|(what, ms, goal)| Figure { goal, ..Figure::ms(what, PLACE, of.to_owned(), ms, HANDLINGS) })
        .collect())
}

/// The page with our script in it and without its policy.
fn with_script(page: &str) -> Result<String> {
    let [from, to] = POLICY;
    let (before, rest) = page.split_once(from).context("the page has no policy to take out")?;
    let (_, after) = rest.split_once(to).context("the policy has no end")?;
    let page = format!("{before}{after}");
    Ok(page.replacen(HEAD, &format!("<script>{SCRIPT}</script>{HEAD}"), 1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_script_stands_first_and_the_policy_is_gone() {
        let page = "<head><meta charset=\"utf-8\"><meta http-equiv=\"Content-Security-Policy\" content=\"x 'y'\">\n\
                    <meta name=\"viewport\" content=\"\"></head>";
        let made = with_script(page).unwrap();
        assert!(!made.contains("Content-Security-Policy"));
        assert!(made.find("window.Worker").unwrap() < made.find("viewport").unwrap());
        assert!(with_script("<p>").is_err());
    }
}
