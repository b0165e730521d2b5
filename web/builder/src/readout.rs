//! `readout`: spot files on the command line.

use std::fs;
use std::path::Path;
use std::process::ExitCode;

use farheard::share::readout::{Input, Readout, Request, Unreadable};
use farheard::study::Filter;
use farheard::study::runs::Run;

use crate::options::{FilterOptions, Form, ReadoutOptions};
use crate::terminal::{complain, say};

/// Reads the files and prints what was asked for. A file that cannot be opened is told of among the others.
/// Exit status 0 if any file gave spots.
pub(crate) fn run(options: &ReadoutOptions) -> ExitCode {
    let files: Vec<Result<Input, Unreadable>> = options.files.iter().map(|path| opened(path)).collect();
    for file in files.iter().filter_map(|file| file.as_ref().err()) {
        complain(&format!("{}: cannot be opened: {}", file.name, file.why));
    }
    let readout = Readout::of_opened(files.iter().map(Result::as_ref), request(options));
    say(match options.form {
        Form::Json => readout.json(),
        Form::Text => readout.text(),
    }
    .trim_end());
    if readout.has_spots() { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

/// The bytes of a file, or why there are none.
fn opened(path: &Path) -> Result<Input, Unreadable> {
    let name = display_name(path);
    match fs::read(path) {
        Ok(bytes) => Ok(Input { name, bytes }),
        Err(error) => Err(Unreadable { name, why: error.to_string() }),
    }
}

/// The file's own name, without its folders.
fn display_name(path: &Path) -> String {
    path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned()
}

fn request(options: &ReadoutOptions) -> Request {
    let of = |named: &[crate::options::Named<f64>], name: &str| {
        named.iter().rfind(|one| one.name == name).map(|one| one.value)
    };
    let run = |named: &crate::options::Named<farheard::study::runs::Rule>| Run {
        name: named.name.clone(),
        rule: named.value.clone(),
        true_power_dbm: of(&options.true_powers_dbm, &named.name),
        feeder_loss_db: of(&options.losses_db, &named.name).unwrap_or(0.0),
    };
    Request {
        station: options.station.clone(),
        side: options.side,
        filter: filter(&options.filter),
        list: options.list,
        runs: options.runs.iter().map(run).collect(),
        compare: options.compare.as_ref().map(|pair| (pair.a.clone(), pair.b.clone())),
        control: options.control.clone(),
    }
}

fn filter(options: &FilterOptions) -> Filter {
    Filter {
        bands: (!options.bands.is_empty()).then(|| options.bands.iter().copied().collect()),
        from: options.from,
        to: options.to,
        min_km: options.min_km,
        max_km: options.max_km,
        bearing: options.bearing.map(|range| (range.low_deg, range.high_deg)),
        ..Filter::default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_missing_file_and_a_folder_are_told_of_in_their_place() {
        let folder = std::env::temp_dir();
        let missing = folder.join("farheard-no-such-file.csv");
        let files = [opened(&missing), opened(&folder)];
        assert!(files.iter().all(Result::is_err), "{files:?}");
        let readout = Readout::of_opened(files.iter().map(Result::as_ref), Request::default());
        let document: serde_json::Value = serde_json::from_str(&readout.json()).unwrap();
        let entries = document["files"].as_array().unwrap();
        assert_eq!(entries.len(), 2);
        for entry in entries {
            assert_eq!((entry["error"]["kind"].as_str(), entry["rows"].as_u64()), (Some("unreadable"), Some(0)));
            assert!(entry["error"]["text"].as_str().unwrap().starts_with("The file cannot be opened."));
        }
        assert_eq!(entries[0]["name"], "farheard-no-such-file.csv");
        assert!(!readout.has_spots());
    }
}
