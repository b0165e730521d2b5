//! `readout`: spot files on the command line.

use std::fs;
use std::io::Read as _;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use farheard::import::sieve::is_archive;
use farheard::import::{FileError, Sieve, Wanted, begins_as_gzip};
use farheard::share::readout::{Input, Readout, Request, Unreadable};
use farheard::study::Filter;
use farheard::study::runs::Run;

use crate::options::{FilterOptions, Form, ReadoutOptions};
use crate::terminal::{complain, try_to_say};

/// Reads the files and prints what was asked for. A file that cannot be opened is told of among the others.
/// Exit status 0 if any file gave spots.
pub(crate) fn run(options: &ReadoutOptions) -> ExitCode {
    let calls = calls(options);
    let files: Vec<Result<Input, Unreadable>> =
        options.files.iter().zip(names(&options.files)).map(|(path, name)| opened(path, name, &calls)).collect();
    for file in files.iter().filter_map(|file| file.as_ref().err()) {
        complain(&format!("{}: cannot be opened: {}", file.name, file.why));
    }
    let readout = Readout::of_opened(files.iter().map(Result::as_ref), request(options));
    let text = match options.form {
        Form::Json => readout.json(),
        Form::Text => readout.text(),
    };
    if let Err(error) = try_to_say(text.trim_end()) {
        complain(&format!("the readout could not be written: {error}"));
        return ExitCode::FAILURE;
    }
    if readout.has_spots() { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

/// What comes through a pipe, whose end is not known, is cut down from so many bytes on.
const MOST_OF_PIPE: u64 = 192 << 20;
const MOST_PACKED_OF_PIPE: u64 = MOST_OF_PIPE / 8;
/// So much of it is held at once.
const PIECE: u64 = 4 << 20;

/// The calls whose spots are asked for: none if those of every station are.
fn calls(options: &ReadoutOptions) -> Vec<String> {
    let Some(station) = &options.station else { return Vec::new() };
    let of_runs = options.runs.iter().filter_map(|run| run.value.call.as_ref());
    let calls = std::iter::once(station).chain(&options.control).chain(of_runs);
    calls.map(|call| call.trim().to_ascii_uppercase()).collect()
}

/// The bytes of a file, or why there are none. Of a file too large to be held, the spots of these calls.
fn opened(path: &Path, name: String, calls: &[String]) -> Result<Input, Unreadable> {
    match read(path, &name, calls) {
        Ok(bytes) => Ok(Input { name, bytes }),
        Err(why) => Err(Unreadable { name, why }),
    }
}

fn read(path: &Path, name: &str, calls: &[String]) -> Result<Vec<u8>, String> {
    let failed = |error: std::io::Error| error.to_string();
    let mut file = fs::File::open(path).map_err(failed)?;
    if calls.is_empty() {
        // a file beyond the limit is refused by its first bytes as well as by all
        let mut bytes = Vec::new();
        file.take((1 << 30) + 1).read_to_end(&mut bytes).map_err(failed)?;
        return Ok(bytes);
    }
    let about = file.metadata().map_err(failed)?;
    let size = about.is_file().then_some(about.len());
    let mut pieces: Vec<Vec<u8>> = Vec::new();
    let mut held = 0;
    loop {
        let mut piece = Vec::new();
        file.by_ref().take(PIECE).read_to_end(&mut piece).map_err(failed)?;
        if piece.is_empty() {
            return Ok(pieces.concat());
        }
        held += piece.len() as u64;
        let packed = begins_as_gzip(pieces.first().unwrap_or(&piece));
        pieces.push(piece);
        let too_large = match size {
            Some(size) => is_archive(size, packed),
            None => held > if packed { MOST_PACKED_OF_PIPE } else { MOST_OF_PIPE },
        };
        if too_large {
            return cut_down(file, pieces, name, calls);
        }
    }
}

/// Reads the rest of an archive and keeps the spots of these calls.
fn cut_down(mut file: fs::File, pieces: Vec<Vec<u8>>, name: &str, calls: &[String]) -> Result<Vec<u8>, String> {
    let mut sieve = Sieve::new(Wanted { calls: calls.to_vec(), ..Wanted::default() });
    let refused = |fault: FileError| fault.text;
    for piece in pieces {
        sieve.push(&piece).map_err(refused)?;
    }
    let mut piece = vec![0; 4 << 20];
    loop {
        let length = file.read(&mut piece).map_err(|error| error.to_string())?;
        if length == 0 {
            break;
        }
        sieve.push(&piece[..length]).map_err(refused)?;
    }
    let sieved = sieve.finish().map_err(refused)?;
    let calls = calls.join(", ");
    let mut said = format!(
        "{name}: cut down while it was read: of {} lines the {} spots of {calls} were kept; the others count nowhere.",
        sieved.lines, sieved.kept
    );
    if sieved.unreadable > 0 {
        said.extend([" ", &sieved.unreadable.to_string(), " rows that name it could not be read."]);
    }
    if sieved.cut || sieved.bad_checksum {
        said += " The packed file is damaged or ends too early: download it again.";
    }
    complain(&said);
    Ok(sieved.bytes)
}

/// The files' own names; with their folders where several have one name.
fn names(paths: &[PathBuf]) -> Vec<String> {
    let own = |path: &PathBuf| path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned();
    let alone = |name: &String| paths.iter().filter(|path| own(path) == *name).count() == 1;
    paths
        .iter()
        .map(|path| Some(own(path)).filter(alone).unwrap_or_else(|| path.to_string_lossy().into_owned()))
        .collect()
}

pub(crate) fn request(options: &ReadoutOptions) -> Request {
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
        ..Request::default()
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
    fn the_calls_of_an_archive_are_those_that_are_asked_for() {
        let options = |words: &str| {
            let parsed = crate::options::parse(lexopt::Parser::from_args(words.split(' ')));
            let Ok(crate::options::Command::Readout(options)) = parsed else { return vec!["no readout".to_owned()] };
            calls(&options)
        };
        assert_eq!(options("readout a.csv --control Q4MIL"), Vec::<String>::new(), "every station is looked at");
        assert_eq!(
            options("readout a.csv --station q6hut --control Q4MIL --run A:call=Q6HUT/2"),
            ["Q6HUT", "Q4MIL", "Q6HUT/2"]
        );
    }

    #[test]
    fn an_archive_in_pieces_gives_the_spots_of_its_station() {
        let mut text = "time,sender,listener,MHz,SNR\n".to_owned();
        for row in 0..3000 {
            let (hour, minute, sender) = (row / 30 % 24, row % 30 * 2, ["Q7TST", "Q9ZZ", "Q7TSTA"][row % 3]);
            let row = format!("2031-01-16 {hour:02}:{minute:02},{sender},Q1AA,14.0971,-{}\n", row / 720 + 5);
            text += &row;
        }
        let path = std::env::temp_dir().join(format!("farheard-archive-{}.csv", std::process::id()));
        fs::write(&path, &text).unwrap();
        let mut file = fs::File::open(&path).unwrap();
        let mut begun = vec![0; 1000];
        file.read_exact(&mut begun).unwrap();
        let kept = cut_down(file, vec![begun[..400].to_vec(), begun[400..].to_vec()], "a.csv", &["Q7TST".to_owned()]);
        fs::remove_file(&path).unwrap();
        let kept = String::from_utf8(kept.unwrap()).unwrap();
        assert_eq!(kept.lines().count(), 1001);
        assert!(kept.lines().skip(1).all(|line| line.contains(",Q7TST,")), "{kept}");
    }

    #[test]
    fn a_missing_file_and_a_folder_are_told_of_in_their_place() {
        let folder = std::env::temp_dir();
        let missing = folder.join("farheard-no-such-file.csv");
        let paths = [missing, folder];
        let files: Vec<_> = paths.iter().zip(names(&paths)).map(|(path, name)| opened(path, name, &[])).collect();
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
