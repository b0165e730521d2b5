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

/// The sign test is the same exact test: `scipy.stats.binomtest` and R `binom.test`; tolerance 1e-9.
#[test]
fn signs_by_the_exact_test() {
    let reference = reference();
    let cases = reference["a_sign_test"].as_array().unwrap();
    assert_eq!(cases.len(), 8);
    for case in cases {
        let (plus, minus) = (case["plus"].as_u64().unwrap(), case["minus"].as_u64().unwrap());
        let wanted = case["p_two_sided"].as_f64().unwrap();
        assert!((mcnemar_exact(plus, minus) - wanted).abs() <= 1e-9, "{plus} against {minus}");
    }
}

/// NIST Statistical Reference Datasets, univariate: `NumAcc1` to `NumAcc4` and `Michelson`, certified mean and standard
/// deviation (from memory, equal to exact rational arithmetic on the data). With every value a group of its own the
/// clustered error is the standard deviation over the root of n.
#[test]
fn means_and_deviations_of_certified_data() {
    let reference = reference();
    let cases = reference["d_nist_strd"]["cases"].as_array().unwrap();
    assert_eq!(cases.len(), 5);
    for case in cases {
        let id = case["id"].as_str().unwrap();
        // the rule of the three long sets: a first value, then 500 times the two beside it
        let alternating = |first: f64, low: f64, high: f64| -> Vec<f64> {
            std::iter::once(first).chain((0..500).flat_map(|_| [low, high])).collect()
        };
        let data: Vec<f64> = match id {
            "NumAcc2" => alternating(1.2, 1.1, 1.3),
            "NumAcc3" => alternating(1_000_000.2, 1_000_000.1, 1_000_000.3),
            "NumAcc4" => alternating(10_000_000.2, 10_000_000.1, 10_000_000.3),
            _ => case["data"].as_array().unwrap().iter().map(|text| text.as_str().unwrap().parse().unwrap()).collect(),
        };
        assert_eq!(data.len() as u64, case["n"].as_u64().unwrap());
        let own = |(at, &value): (u32, &f64)| Grouped { value, listener: at, block: i64::from(at) };
        let found = clustered(&(0..).zip(&data).map(own).collect::<Vec<_>>()).unwrap();
        let certified = |at: usize| case["certified_memory"][at].as_f64().unwrap();
        assert!((found.mean_db / certified(0) - 1.0).abs() <= 1e-13, "{id}: mean {}", found.mean_db);
        // the long sets hardly fit into double precision, which is what they are for
        let tolerance = match id {
            "NumAcc3" => 1e-8,
            "NumAcc4" => 1e-7,
            _ => 1e-12,
        };
        let deviation = found.error_db * (data.len() as f64).sqrt();
        assert!((deviation / certified(1) - 1.0).abs() <= tolerance, "{id}: deviation {deviation}");
    }
}

/// Two-way clustered errors of `statsmodels` on invented data; `tests/published/clustered.py` makes both files.
/// Tolerance 1e-12.
#[test]
fn clustered_errors_equal_a_general_library() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../tests/published");
    #[allow(clippy::disallowed_methods, reason = "the test reads a file, not the core")]
    let text = std::fs::read_to_string(format!("{folder}/clustered.json")).unwrap();
    let reference: Value = serde_json::from_str(&text).unwrap();
    let cases = reference["cases"].as_array().unwrap();
    assert_eq!(cases.len(), 3);
    let mut rows = csv::Reader::from_path(format!("{folder}/clustered.csv")).unwrap();
    let rows: Vec<(String, u32, i64, f64)> = rows.deserialize().map(Result::unwrap).collect();
    for case in cases {
        let own: Vec<Grouped> = rows
            .iter()
            .filter(|(set, ..)| case["set"] == set.as_str())
            .map(|&(_, listener, block, value)| Grouped { value, listener, block })
            .collect();
        let wanted = |key: &str| case[key].as_f64().unwrap();
        let found = clustered(&own).unwrap();
        assert_eq!(found.values as u64, case["n"].as_u64().unwrap());
        assert_eq!(found.listeners as u64, case["listeners"].as_u64().unwrap());
        assert_eq!(found.blocks as u64, case["blocks"].as_u64().unwrap());
        assert!((found.mean_db - wanted("mean")).abs() <= 1e-12);
        // ours is never below either one-way error
        let two_way = wanted("error_two_way").max(wanted("error_listener")).max(wanted("error_block"));
        assert!((found.error_db - two_way).abs() <= 1e-12, "{}: {}", case["set"], found.error_db);
        // one way alone, where the other groups hold one value each: then the larger of the error by groups and that
        // of values without any
        let alone = |groups: fn(u32, &Grouped) -> (u32, i64)| {
            let of = |(at, grouped): (u32, &Grouped)| {
                let (listener, block) = groups(at, grouped);
                Grouped { value: grouped.value, listener, block }
            };
            clustered(&(0..).zip(&own).map(of).collect::<Vec<_>>()).unwrap().error_db
        };
        let without = alone(|at, _| (at, i64::from(at)));
        let by_listener = alone(|at, grouped| (grouped.listener, i64::from(at)));
        let by_block = alone(|at, grouped| (at, grouped.block));
        assert!((by_listener - wanted("error_listener").max(without)).abs() <= 1e-12);
        assert!((by_block - wanted("error_block").max(without)).abs() <= 1e-12);
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
