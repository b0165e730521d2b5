//! A columnar library's typed read of the same file, where Python and the package registry are there: polars, in a
//! virtual environment of its own under `target/measure`. The script beside this file says what it reads.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context as _, Result, ensure};

use super::figure::Beside;
use crate::project::Project;
use crate::terminal::complain;

/// The version that is installed, so that two runs have the same yardstick.
const PACKAGE: &str = "polars==2.1.0";
const SCRIPT: &str = include_str!("typed_read.py");
/// Threads that it may have, in words for the table.
const THREADS: [(&str, &str); 2] = [("1", "one thread"), ("2", "two threads")];

/// The library, or why it is not there.
#[derive(Debug)]
pub(super) struct TypedRead(Result<Place, String>);

#[derive(Debug)]
struct Place {
    python: PathBuf,
    folder: PathBuf,
}

impl TypedRead {
    /// Finds the library, or installs it.
    pub(super) fn prepare(project: &Project) -> Self {
        let folder = project.root().join("target").join("measure");
        Self(install(&folder).map_err(|error| format!("{error:#}")))
    }

    #[cfg(test)]
    pub(super) fn missing(why: &str) -> Self {
        Self(Err(why.to_owned()))
    }

    /// How long it takes for a file of so many rows, with one thread and with two.
    pub(super) fn beside(&self, text: &str, rows: usize, rounds: usize) -> [Beside; 2] {
        let place = self.0.as_ref().map_err(Clone::clone);
        let file = place.and_then(|place| {
            let file = place.folder.join("invented.csv");
            fs::write(&file, text).map_err(|error| format!("writing {}: {error}", file.display()))?;
            Ok((place, file))
        });
        let measured = THREADS.map(|(threads, words)| {
            let name = format!("polars, typed columns, {words}");
            let ms = file.as_ref().map_err(Clone::clone).and_then(|(place, file)| {
                time(place, file, rows, rounds, threads).map_err(|error| format!("{error:#}"))
            });
            ms.map_or_else(|why| Beside::missing(name.clone(), why), |ms| Beside::new(name.clone(), ms))
        });
        if let Ok((_, file)) = file {
            // large, and made anew each time
            drop(fs::remove_file(file));
        }
        measured
    }
}

/// The virtual environment with the library in it.
fn install(folder: &Path) -> Result<Place> {
    let environment = folder.join("python");
    let python = environment.join("bin").join("python");
    let has_library = || succeeds(Command::new(&python).args(["-c", "import polars"])).is_ok();
    if !has_library() {
        complain(&format!("Installing {PACKAGE} into {} as a yardstick.", environment.display()));
        fs::create_dir_all(folder).with_context(|| format!("making {}", folder.display()))?;
        succeeds(Command::new("python3").args(["-m", "venv"]).arg(&environment)).context("no Python environment")?;
        succeeds(Command::new(&python).args(["-m", "pip", "install", "--quiet", PACKAGE]))
            .context("polars could not be installed")?;
        succeeds(Command::new(&python).args(["-c", "import polars"])).context("polars does not start")?;
    }
    Ok(Place { python, folder: folder.to_owned() })
}

/// Runs a command and gives what it printed.
fn succeeds(command: &mut Command) -> Result<String> {
    let output = command.output().with_context(|| format!("starting {}", command.get_program().display()))?;
    let said = String::from_utf8_lossy(&output.stderr);
    // the last line of what Python says names the error
    ensure!(output.status.success(), "{}", said.trim().lines().last().unwrap_or("it stopped without a word"));
    Ok(String::from_utf8_lossy(&output.stdout).into_owned())
}

fn time(place: &Place, file: &Path, rows: usize, rounds: usize, threads: &str) -> Result<f64> {
    let script = place.folder.join("typed_read.py");
    fs::write(&script, SCRIPT).with_context(|| format!("writing {}", script.display()))?;
    let mut command = Command::new(&place.python);
    command.arg(&script).arg(file).arg(rounds.to_string()).env("POLARS_MAX_THREADS", threads);
    median(&succeeds(&mut command)?, rows)
}

/// The median in what the script printed.
fn median(printed: &str, rows: usize) -> Result<f64> {
    let figures: serde_json::Value = serde_json::from_str(printed).context("polars' figures are no JSON")?;
    ensure!(figures["rows"] == rows, "polars read {} of {rows} rows", figures["rows"]);
    figures["ms"].as_f64().context("polars gave no time")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_missing_library_is_told_of() {
        let beside = TypedRead::missing("no network").beside("", 0, 5);
        assert_eq!(beside.clone().map(|it| it.value), [Err("no network".to_owned()), Err("no network".to_owned())]);
        assert!(beside[0].name.contains("one thread") && beside[1].name.contains("two threads"));
    }

    #[test]
    fn figures_count_only_where_every_row_was_read() {
        let ms = median("{\"version\": \"1\", \"rows\": 10, \"ms\": 2.5}", 10).unwrap();
        assert!((ms - 2.5).abs() < 1e-9, "{ms}");
        assert!(median("{\"version\": \"1\", \"rows\": 9, \"ms\": 2.5}", 10).is_err());
        assert!(median("", 10).is_err());
    }

    #[test]
    fn a_command_that_fails_says_why_in_one_line() {
        assert!(succeeds(Command::new("farheard-no-such-program").arg("x")).is_err());
        let mut command = Command::new("sh");
        let failed = succeeds(command.args(["-c", "echo first >&2; echo second >&2; exit 3"])).unwrap_err();
        assert_eq!(failed.to_string(), "second");
    }
}
