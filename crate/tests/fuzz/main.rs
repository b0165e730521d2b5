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

#![expect(clippy::disallowed_methods, reason = "samples are files, and the length of the run is set from outside")]
#![expect(clippy::unwrap_used, clippy::panic, reason = "in a test a panic is the answer")]
#![expect(clippy::print_stderr, reason = "a run that is ended from within has no other way to say what hung")]

mod chance;
mod damage;
mod growth;
mod law;
mod makers;
mod pieces;

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Mutex;
use std::sync::atomic::{AtomicU64, Ordering};
use std::thread;
use std::time::{Duration, Instant};

use chance::Chance;
use makers::Samples;

/// Cases of every run.
const CASES: u64 = 100_000;
/// A single file of at most a megabyte that takes longer than this hangs.
const HANGS: Duration = Duration::from_secs(120);
/// Failures that are told before a run gives up.
const MOST_FAILURES: usize = 40;

fn setting(name: &str) -> Option<u64> {
    std::env::var(name).ok().map(|text| text.parse().unwrap_or_else(|_| panic!("{name}={text} is no number")))
}

/// What one thread is busy with, for the watch.
#[derive(Debug, Default)]
struct Busy {
    case: AtomicU64,
    done: AtomicU64,
}

#[test]
fn broken_files_give_an_account_that_adds_up() {
    let samples = Samples::read();
    let first = setting("FARHEARD_FUZZ_SEED").unwrap_or(1);
    let lasts = Duration::from_secs(60 * setting("FARHEARD_FUZZ_MINUTES").unwrap_or(0));
    let threads = thread::available_parallelism().map_or(1, usize::from);
    let next = AtomicU64::new(0);
    let failures = Mutex::new(Vec::new());
    let start = Instant::now();
    let busy: Vec<Busy> = (0..threads).map(|_| Busy::default()).collect();
    let go_on = |n: u64| n < CASES || start.elapsed() < lasts;
    thread::scope(|scope| {
        for own in &busy {
            scope.spawn(|| {
                loop {
                    let n = next.fetch_add(1, Ordering::Relaxed);
                    if !go_on(n) || failures.lock().unwrap().len() >= MOST_FAILURES {
                        break;
                    }
                    own.case.store(first + n, Ordering::Relaxed);
                    if let Err(panic) = catch_unwind(AssertUnwindSafe(|| case(&samples, first + n))) {
                        let words = panic.downcast_ref::<String>().map(String::as_str);
                        let words = words.or_else(|| panic.downcast_ref::<&str>().copied()).unwrap_or("a panic");
                        let words: String = words.chars().take(400).collect();
                        eprintln!("FARHEARD_FUZZ_SEED={}: {words}", first + n);
                        failures.lock().unwrap().push(format!("FARHEARD_FUZZ_SEED={}: {words}", first + n));
                    }
                    own.done.fetch_add(1, Ordering::Relaxed);
                    if (n + 1).is_multiple_of(10_000) {
                        println!("{} cases after {} s", n + 1, start.elapsed().as_secs());
                    }
                }
                own.case.store(u64::MAX, Ordering::Relaxed);
            });
        }
        watch(&busy);
    });
    let done: u64 = busy.iter().map(|own| own.done.load(Ordering::Relaxed)).sum();
    println!("{done} cases in {} s, {} failures", start.elapsed().as_secs(), failures.lock().unwrap().len());
    let failures = failures.into_inner().unwrap();
    assert!(failures.is_empty(), "{} of {done} cases failed:\n{}", failures.len(), failures.join("\n"));
    assert!(done >= CASES);
}

/// Waits until every thread is done; ends the whole run if one of them hangs, which no test could otherwise say.
fn watch(busy: &[Busy]) {
    let mut seen: Vec<(u64, Instant)> = vec![(u64::MAX, Instant::now()); busy.len()];
    loop {
        let mut running = false;
        for (own, seen) in busy.iter().zip(&mut seen) {
            let case = own.case.load(Ordering::Relaxed);
            running |= case != u64::MAX;
            if case != seen.0 {
                *seen = (case, Instant::now());
            } else if case != u64::MAX && seen.1.elapsed() > HANGS {
                eprintln!("FARHEARD_FUZZ_SEED={case}: this file is still being read after {} s", HANGS.as_secs());
                std::process::abort();
            }
        }
        if !running {
            return;
        }
        thread::sleep(Duration::from_millis(50));
    }
}

fn case(samples: &Samples, number: u64) {
    let mut chance = Chance::of(number);
    let bytes = makers::file(samples, &mut chance);
    let wishes = makers::wishes(&mut chance);
    law::hold(&bytes, &wishes, &mut chance);
}
