//! Statistics against published tables and reference libraries; sources beside each check and in `tests/published/SOURCES.md`.

#![allow(
    clippy::unwrap_used,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a test may stop at the first surprise"
)]

use farheard::study::distribution::{mcnemar_exact, t_quantile, t_two_sided};
use farheard::study::interval::{Grouped, clustered, holm};
use farheard::study::statistics::quantile;
use serde_json::Value;

fn reference() -> Value {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../tests/published/stats.json");
    #[allow(clippy::disallowed_methods, reason = "the test reads a file, not the core")]
    let text = std::fs::read_to_string(path).unwrap();
    serde_json::from_str(&text).unwrap()
}

/// A sequence of numbers from 0 up to 1 (splitmix64).
fn shares(seed: u64) -> impl FnMut() -> f64 {
    let mut state = seed;
    move || {
        state = state.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = state;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }
}

/// `NumPy` 'linear' and R type 7; tolerance 1e-12.
#[test]
fn quantiles_are_type_7() {
    let reference = reference();
    let cases = reference["c_quantile_type7"].as_array().unwrap();
    assert_eq!(cases.len(), 5);
    for case in cases {
        let numbers = |key: &str| -> Vec<f64> {
            case[key].as_array().unwrap().iter().map(|value| value.as_f64().unwrap()).collect()
        };
        let data = numbers("x");
        for (share, wanted) in numbers("p").into_iter().zip(numbers("q")) {
            let found = quantile(&mut data.clone(), share).unwrap();
            assert!((found - wanted).abs() <= 1e-12, "{share} of {data:?}: {found}");
        }
    }
}

/// statsmodels' exact test, and the same in rationals; tolerance 1e-12.
#[test]
fn two_counts_by_the_exact_test() {
    let reference = reference();
    let cases = reference["e_mcnemar_exact"]["cases"].as_array().unwrap();
    assert_eq!(cases.len(), 8);
    for case in cases {
        let (b, c) = (case["b"].as_u64().unwrap(), case["c"].as_u64().unwrap());
        let wanted = case["p_exact"].as_f64().unwrap();
        assert!((mcnemar_exact(b, c) - wanted).abs() <= 1e-12, "{b} against {c}");
        assert!((mcnemar_exact(c, b) - wanted).abs() <= 1e-12, "exchanged");
    }
}

/// M. Abramowitz and I. A. Stegun, 'Handbook of Mathematical Functions' (1964), table 26.10, column 0.975;
/// three printed decimals, from memory.
#[test]
fn t_quantiles_of_the_handbook() {
    for (degrees, printed) in [
        (1.0, 12.706),
        (2.0, 4.303),
        (3.0, 3.182),
        (4.0, 2.776),
        (5.0, 2.571),
        (10.0, 2.228),
        (20.0, 2.086),
        (30.0, 2.042),
        (60.0, 2.000),
        (120.0, 1.980),
    ] {
        let found = t_quantile(0.975, degrees);
        assert!((found - printed).abs() <= 0.0005, "{degrees}: {found}");
        assert!((t_two_sided(found, degrees) - 0.05).abs() < 1e-9);
    }
    assert!(t_quantile(0.975, 0.0).is_infinite());
}

/// The defining double sum of a clustered variance, term by term over all pairs of values, without sums per group.
fn by_double_sum(values: &[Grouped], same: impl Fn(&Grouped, &Grouped) -> bool, groups: usize) -> f64 {
    let n = values.len() as f64;
    let mean = values.iter().map(|grouped| grouped.value).sum::<f64>() / n;
    let mut sum = 0.0;
    for a in values {
        for b in values {
            if same(a, b) {
                sum += (a.value - mean) * (b.value - mean);
            }
        }
    }
    let k = groups as f64;
    sum / (n * n) * k / (k - 1.0)
}

/// Cameron, Gelbach and Miller (2011), against the double sum written out independently above.
#[test]
fn clustered_errors_equal_the_double_sum() {
    let mut share = shares(11);
    for _ in 0..20 {
        let values: Vec<Grouped> = (0..60)
            .map(|_| {
                let (listener, block) = ((share() * 7.0) as u32, (share() * 5.0) as i64);
                Grouped { value: share() * 6.0 + f64::from(listener) - block as f64 * 0.5, listener, block }
            })
            .collect();
        let groups = |key: &dyn Fn(&Grouped) -> (u32, i64)| {
            values.iter().map(key).collect::<std::collections::BTreeSet<_>>().len()
        };
        let of_listener = by_double_sum(&values, |a, b| a.listener == b.listener, groups(&|g| (g.listener, 0)));
        let of_block = by_double_sum(&values, |a, b| a.block == b.block, groups(&|g| (0, g.block)));
        let of_both = by_double_sum(
            &values,
            |a, b| (a.listener, a.block) == (b.listener, b.block),
            groups(&|g| (g.listener, g.block)),
        );
        let wanted = (of_listener + of_block - of_both).max(of_listener).max(of_block).sqrt();
        let found = clustered(&values).unwrap();
        assert!((found.error_db - wanted).abs() < 1e-12, "{} against {wanted}", found.error_db);
        assert!((found.degrees - 4.0).abs() < 1e-12);
    }
}

/// S. Holm (1979), worked by hand: 0.01 <= 0.05/4, 0.014 <= 0.05/3, 0.03 > 0.05/2, so the last two fall.
#[test]
fn holm_steps_down() {
    assert_eq!(holm(&[0.03, 0.01, 0.04, 0.014]), [false, true, false, true]);
    assert_eq!(holm(&[]), Vec::<bool>::new());
    assert_eq!(holm(&[1.0, 0.05]), [false, false]);
}
