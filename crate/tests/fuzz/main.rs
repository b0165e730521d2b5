//! A hundred thousand broken files: reading never panics, never hangs, and its account always adds up.
//!
//! Every case comes from its number alone, so that a failing one can be run again:
//! `FARHEARD_FUZZ_SEED=number cargo test -p farheard --test fuzz` begins with it.
//! `FARHEARD_FUZZ_MINUTES=60` makes the run longer, never shorter; set another seed for other cases.
//!
//! - [`chance`]: numbers from a seed
//! - [`pieces`]: cells, lines and records that trouble readers
//! - [`makers`]: whole files made of them, and of the hard inputs
//! - [`damage`]: what is done to them then
//! - [`law`]: what must hold of a reading
//! - [`growth`]: four times the text costs about four times the work
//! - [`cases`]: the run itself

#![expect(clippy::disallowed_methods, reason = "samples are files, and the length of the run is set from outside")]
#![expect(clippy::unwrap_used, clippy::panic, reason = "in a test a panic is the answer")]
#![expect(clippy::print_stderr, reason = "a run that is ended from within has no other way to say what hung")]

mod cases;
mod chance;
mod damage;
mod growth;
mod law;
mod makers;
mod pieces;

use chance::Chance;
use makers::Samples;

/// Cases of every run.
const CASES: u64 = 100_000;
/// Cases that once failed: an old date that came back from CSV alone.
const FAILED: [u64; 1] = [30_433_322];

#[test]
fn broken_files_give_an_account_that_adds_up() {
    let samples = Samples::read();
    cases::every(&FAILED, CASES, |number| case(&samples, number));
}

fn case(samples: &Samples, number: u64) {
    let mut chance = Chance::of(number);
    let bytes = makers::file(samples, &mut chance);
    let wishes = makers::wishes(&mut chance);
    law::hold(&bytes, &wishes, &mut chance);
}
