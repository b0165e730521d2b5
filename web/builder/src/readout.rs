//! `readout`: spot files on the command line.

use std::fs;
use std::process::ExitCode;

use anyhow::{Result, bail};
use farheard::share::readout::{Input, Readout, Request};
use farheard::study::Filter;
use farheard::study::runs::Run;

use crate::options::{FilterOptions, Form, ReadoutOptions};
use crate::terminal::{complain, say};

/// Reads the files and prints what was asked for. Exit status 0 if any file gave spots.
///
/// # Errors
/// If none of the files can be opened.
pub(crate) fn run(options: &ReadoutOptions) -> Result<ExitCode> {
    let mut inputs = Vec::new();
    for path in &options.files {
        match fs::read(path) {
            Ok(bytes) => inputs.push(Input { name: display_name(path), bytes }),
            Err(error) => complain(&format!("{}: cannot be opened: {error}", path.display())),
        }
    }
    if inputs.is_empty() {
        bail!("no file could be opened");
    }
    let readout = Readout::of(&inputs, request(options));
    say(match options.form {
        Form::Json => readout.json(),
        Form::Text => readout.text(),
    }
    .trim_end());
    Ok(if readout.has_spots() { ExitCode::SUCCESS } else { ExitCode::FAILURE })
}

/// The file's own name, without its folders.
fn display_name(path: &std::path::Path) -> String {
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
