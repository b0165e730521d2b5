//! Cases that come from their number alone, tried on all cores until there were enough of them.
//!
//! `FARHEARD_FUZZ_SEED=number` begins with another case, so that one that failed can be tried again;
//! `FARHEARD_FUZZ_MINUTES=60` goes on for so long, never shorter than the least number of cases.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Mutex;
use std::sync::atomic::{AtomicU64, Ordering};
use std::thread;
use std::time::{Duration, Instant};

/// A case that takes longer than this hangs.
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

/// Tries cases that once `failed`, then `least` others, and more if minutes are set.
///
/// # Panics
/// If any of them panicked; the message names their numbers. One that hangs ends the whole program.
pub(crate) fn every(failed: &[u64], least: u64, case: impl Fn(u64) + Sync) {
    let first = setting("FARHEARD_FUZZ_SEED").unwrap_or(1);
    let again = failed.len() as u64;
    let least = least + again;
    let number = |n: u64| match usize::try_from(n).ok().and_then(|n| failed.get(n)) {
        Some(&number) => number,
        None => first + n - again,
    };
    let lasts = Duration::from_secs(60 * setting("FARHEARD_FUZZ_MINUTES").unwrap_or(0));
    let (start, next, failures) = (Instant::now(), AtomicU64::new(0), Mutex::new(Vec::new()));
    let threads = thread::available_parallelism().map_or(1, usize::from);
    let busy: Vec<Busy> = (0..threads).map(|_| Busy::default()).collect();
    thread::scope(|scope| {
        for own in &busy {
            scope.spawn(|| {
                loop {
                    let n = next.fetch_add(1, Ordering::Relaxed);
                    let enough = n >= least && start.elapsed() >= lasts;
                    if enough || failures.lock().unwrap().len() >= MOST_FAILURES {
                        break;
                    }
                    let number = number(n);
                    own.case.store(number, Ordering::Relaxed);
                    if let Err(panic) = catch_unwind(AssertUnwindSafe(|| case(number))) {
                        let words = panic.downcast_ref::<String>().map(String::as_str);
                        let words = words.or_else(|| panic.downcast_ref::<&str>().copied()).unwrap_or("a panic");
                        let words: String = words.chars().take(2000).collect();
                        let told = format!("FARHEARD_FUZZ_SEED={number}: {words}");
                        eprintln!("{told}");
                        failures.lock().unwrap().push(told);
                    }
                    own.done.fetch_add(1, Ordering::Relaxed);
                }
                own.case.store(u64::MAX, Ordering::Relaxed);
            });
        }
        watch(&busy);
    });
    let done: u64 = busy.iter().map(|own| own.done.load(Ordering::Relaxed)).sum();
    let failures = failures.into_inner().unwrap();
    eprintln!("{done} cases in {} s, {} failures", start.elapsed().as_secs(), failures.len());
    assert!(failures.is_empty(), "{} of {done} cases failed:\n{}", failures.len(), failures.join("\n"));
    assert!(done >= least);
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
                eprintln!("FARHEARD_FUZZ_SEED={case}: this case is still going on after {} s", HANGS.as_secs());
                std::process::abort();
            }
        }
        if !running {
            return;
        }
        thread::sleep(Duration::from_millis(50));
    }
}
