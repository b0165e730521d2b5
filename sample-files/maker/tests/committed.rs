//! The committed sample files are those the maker makes, and say what they promise.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use farheard::geography::{Geodesic, Locator};
use farheard_sample_maker::antenna::Antenna;
use farheard_sample_maker::listener::Listener;
use farheard_sample_maker::{file, make, scenario};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// Angles and levels pass through the machine's own mathematical functions; should another machine round
/// a value the other way here, its row would differ. None has been seen to.
#[test]
fn committed_files_are_what_the_maker_makes() {
    let (samples, truth) = make();
    for sample in &samples {
        let committed = std::fs::read_to_string(folder().join(sample.name)).unwrap();
        for (line, (ours, theirs)) in (1..).zip(sample.text.lines().zip(committed.lines())) {
            assert_eq!(ours, theirs, "{} line {line}: run the maker and look at what changed", sample.name);
        }
        assert!(committed == sample.text, "{}: one is longer, or the line ends differ", sample.name);
    }
    let readme = std::fs::read_to_string(folder().join("README.md")).unwrap();
    assert!(readme.contains(truth.trim()), "README.md does not hold the tables that the maker prints");
}

#[test]
fn readme_lists_every_file_of_the_folder() {
    let readme = std::fs::read_to_string(folder().join("README.md")).unwrap();
    for entry in std::fs::read_dir(folder()).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        assert!(name == "README.md" || readme.contains(&name), "{name} is not in README.md");
    }
}

#[test]
fn rows_are_whole_calls_are_never_issued_ones_and_blemishes_are_few() {
    let (samples, _) = make();
    for (sample, limit_bytes) in samples.iter().zip([350_000, 250_000]) {
        assert!(sample.text.len() <= limit_bytes, "{}: {} bytes", sample.name, sample.text.len());
        let mut lines = sample.text.lines();
        assert_eq!(lines.next(), Some(file::HEADER));
        let rows: Vec<&str> = lines.collect();
        assert!((3000..=6500).contains(&rows.len()), "{}: {} rows", sample.name, rows.len());
        let mut unresolved = 0;
        for row in &rows {
            let fields: Vec<&str> = row.split(',').collect();
            assert_eq!(fields.len(), 9, "{row}");
            assert!(fields[1].starts_with('Q') || fields[1] == "<...>", "{row}");
            assert!(fields[4].starts_with('Q'), "{row}");
            assert!(Locator::parse(fields[2]).is_ok() && Locator::parse(fields[5]).is_ok(), "{row}");
            unresolved += usize::from(fields[1] == "<...>");
        }
        let repeats = rows.len() - rows.iter().collect::<BTreeSet<_>>().len();
        let blemished = sample.name.starts_with("two");
        assert_eq!((unresolved > 0, repeats > 0), (blemished, blemished), "{}", sample.name);
        assert!(unresolved < 10 && repeats < 10);
    }
}

#[test]
fn listeners_are_spread_like_people_and_reach_the_far_side() {
    let listeners = Listener::all();
    assert!((90..=160).contains(&listeners.len()), "{}", listeners.len());
    let calls: BTreeSet<_> = listeners.iter().map(|listener| &listener.call).collect();
    assert_eq!(calls.len(), listeners.len(), "a call is there twice");
    let nearer = |km: f64| listeners.iter().filter(|listener| listener.distance_km < km).count();
    assert!(nearer(3500.0) * 2 > listeners.len() && nearer(3500.0) < listeners.len());
    assert!(listeners.len() - nearer(17_000.0) >= 3);
    // the place a locator names holds the listener, within half its cell
    let geodesic = Geodesic::wgs84();
    for listener in &listeners {
        let off_km = geodesic.path(listener.place, listener.locator.centre()).distance_km;
        assert!(off_km <= listener.locator.uncertainty_km() + 1e-6, "{}", listener.call);
    }
}

#[test]
fn antennas_behave_like_theirs() {
    let doublet = |mhz, bearing, angle| Antenna::LowDoublet.gain_dbi(mhz, bearing, angle);
    let vertical = |mhz, bearing, angle| Antenna::ShortVertical.gain_dbi(mhz, bearing, angle);
    for mhz in [3.57, 7.04, 10.14, 14.1] {
        assert!(doublet(mhz, 115.0, 20.0) > doublet(mhz, 25.0, 20.0) + 5.0, "across beats along, {mhz}");
        assert!((doublet(mhz, 40.0, 15.0) - doublet(mhz, 220.0, 15.0)).abs() < 1e-9, "both ends are alike, {mhz}");
        assert!(doublet(mhz, 115.0, 60.0) > doublet(mhz, 115.0, 5.0), "a low doublet looks up, {mhz}");
        assert!(vertical(mhz, 0.0, 20.0) > vertical(mhz, 0.0, 80.0), "a vertical does not, {mhz}");
        assert!((vertical(mhz, 10.0, 20.0) - vertical(mhz, 200.0, 20.0)).abs() < 1e-9, "round, {mhz}");
    }
    assert_eq!(scenario::CONTROL.antennas, [Antenna::Unchanged; 2]);
}
