//! More kin of the hard inputs: whole files, each with every spot that must come of it.
//!
//! All calls and rows are made up; forms are those in common use (no source) unless a standard is named. A plausible
//! wrong answer in silence is the worst fault, so each file gives its spots in full, the rows set aside with their
//! reasons, and what a person must be told. Where several answers are right, all of them stand here.
//!
//! - [`case`]: a file with its right answers, and how it is held against them
//! - [`languages`]: headers in other languages and code pages
//! - [`layouts`]: what stands around and between the rows
//! - [`times`], [`numbers`]: cells that can be misread
//! - [`stations`]: calls and locators
//! - [`records`]: ADIF in both flavours
//! - [`packed`]: gzip, zip, and files that are no tables

#![expect(clippy::unwrap_used, reason = "in a test a panic is the answer")]

mod case;
mod languages;
mod layouts;
mod numbers;
mod packed;
mod records;
mod stations;
mod times;
