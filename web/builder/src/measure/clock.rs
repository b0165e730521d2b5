//! Times and their medians.

use std::hint::black_box;
use std::time::{Duration, Instant};

/// How long some work took; letting go of what it made is not counted.
pub(super) fn timed<T>(work: impl FnOnce() -> T) -> Duration {
    let start = Instant::now();
    let made = black_box(work());
    let time = start.elapsed();
    drop(made);
    time
}

/// Medians in milliseconds of works done in turn, round by round, so that what else the machine does falls on all alike.
pub(super) fn in_turn<const N: usize>(rounds: usize, mut works: [&mut dyn FnMut() -> Duration; N]) -> [f64; N] {
    let mut times = [const { Vec::new() }; N];
    for _ in 0..rounds {
        for (work, times) in works.iter_mut().zip(&mut times) {
            times.push(1000.0 * work().as_secs_f64());
        }
    }
    times.map(|times| median(times).unwrap_or(f64::NAN))
}

/// The middle value; of an even number the upper of both. `None` of none.
pub(super) fn median(mut values: Vec<f64>) -> Option<f64> {
    values.sort_unstable_by(f64::total_cmp);
    values.get(values.len() / 2).copied()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_median_is_the_middle_value() {
        assert_eq!(median(vec![]), None);
        assert_eq!(median(vec![3.0, 1.0, 9.0, 2.0, 8.0]), Some(3.0));
        assert_eq!(median(vec![4.0, 1.0]), Some(4.0));
    }

    #[test]
    fn works_are_done_in_turn() {
        let order = std::cell::RefCell::new(Vec::new());
        let work = |name: char, ms: u64| {
            let order = &order;
            move || {
                order.borrow_mut().push(name);
                Duration::from_millis(ms)
            }
        };
        let [a, b] = in_turn(3, [&mut work('a', 2), &mut work('b', 5)]);
        assert!((a - 2.0).abs() < 1e-9 && (b - 5.0).abs() < 1e-9, "{a} {b}");
        assert_eq!(order.into_inner(), ['a', 'b', 'a', 'b', 'a', 'b']);
    }
}
