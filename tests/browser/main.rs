//! The built page in a real browser: headless Chromium, driven through chromedriver.
//!
//! - [`harness`]: the browser, files handed to the page, a web host on this machine
//! - [`instruments`]: the harness itself, tried on a small page of its own
//! - [`boot`]: the page starts, from disk and from a web host, and asks the network for nothing
//! - [`faults`]: what goes wrong, what is seen then and what is kept
//! - [`absent`]: browsers that lack something, and those that are too old
//! - [`everywhere`]: the same in every engine, to the byte, and in the core without one
//! - [`main_job`]: every way in, to the numbers of the native readout
//! - [`task`]: the ways in, the sample, hostile cells, files that hold nothing
//! - [`odd_ways`]: folders, files chosen again, drops of other things, no worker, no storage, every density of pixels
//! - [`large`]: 600 MB, with progress and a way to stop
//! - [`silence`]: a full session behind a proxy that writes down every request
//! - [`soak`]: two hundred files one after another, and what the page holds then
//! - [`steps`]: undo and redo by the browser's history, the tour by keyboard, pins in every view
//! - [`paper`]: printing, from a dark screen, in every view
//! - [`keeping`]: the work kept in the browser and as a file, killed pages, full stores
//! - [`saving`]: pictures of the Disc as files
//! - [`sharing`]: a page with a work in it, from disk and from a web host
//! - [`report`]: the report as a file: without script, on a phone, on paper
//! - [`strip`]: a run's time by hand, on the strip
//! - [`look`]: what it looks like, in every state, width and theme, against small pictures that are kept
//! - [`hosted`]: the service worker: offline after one visit, a new version only on consent
//!
//! `dist/` must be built first; `./tests/run` does it all. Without chromedriver these tests fail, they are never
//! skipped. Pictures taken by them stand in `target/pictures/`.

#[cfg(test)]
mod absent;
#[cfg(test)]
mod access;
#[cfg(test)]
mod boot;
#[cfg(test)]
mod everywhere;
#[cfg(test)]
mod faults;
#[cfg(test)]
mod harness;
#[cfg(test)]
mod hosted;
#[cfg(test)]
mod instruments;
#[cfg(test)]
mod keeping;
#[cfg(test)]
mod large;
#[cfg(test)]
mod look;
#[cfg(test)]
mod main_job;
#[cfg(test)]
mod odd_ways;
#[cfg(test)]
mod paper;
#[cfg(test)]
mod report;
#[cfg(test)]
mod saving;
#[cfg(test)]
mod sharing;
#[cfg(test)]
mod silence;
#[cfg(test)]
mod soak;
#[cfg(test)]
mod steps;
#[cfg(test)]
mod strip;
#[cfg(test)]
mod task;
