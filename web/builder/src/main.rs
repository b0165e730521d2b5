//! The one binary of Farheard: builds the page, and reads spot files on the command line.
//!
//! - [`options`]: what the command line asks for
//! - [`build`]: the page and what goes beside it, from
//!   [`wasm`] (the compiled core), [`sample`], [`page`] (assembly), [`pack`], [`policy`] and [`size`]
//! - [`readout`]: spot files on the command line
//! - [`calibrate`]: how often compare gets simulated tests right
//! - [`measure`]: benchmarks beside a yardstick
//! - [`random`]: a seeded generator for both
//! - `command_lines`: command lines made at random, in tests
//! - [`open`], [`project`], [`terminal`]: the browser, the project's folders, words to the person

mod alike;
mod bill;
mod build;
mod calibrate;
#[cfg(test)]
mod command_lines;
mod measure;
mod open;
mod options;
mod pack;
mod page;
mod policy;
mod project;
mod random;
mod readout;
mod sample;
mod script;
mod size;
mod style;
mod terminal;
mod wasm;

use std::process::ExitCode;

use anyhow::Result;

use crate::options::{BuildOptions, Command, Opening, ReadoutOptions};
use crate::project::Project;
use crate::terminal::{complain, say};

/// Exit status for a command line that is wrong.
const WRONG_USAGE: u8 = 2;

fn main() -> ExitCode {
    let command = match options::parse(lexopt::Parser::from_env()) {
        Ok(command) => command,
        Err(error) => {
            complain(&format!("farheard: {error}\n\n{}", options::USAGE));
            return ExitCode::from(WRONG_USAGE);
        }
    };
    let outcome = match command {
        Command::Build(options) => build_page(&options),
        Command::Readout(options) => Ok(readout::run(&options)),
        Command::Calibrate(options) => {
            calibrate::report(&options);
            Ok(ExitCode::SUCCESS)
        }
        Command::Measure(options) => measure::report(&options).map(|()| ExitCode::SUCCESS),
        Command::Help => {
            say(options::USAGE);
            Ok(ExitCode::SUCCESS)
        }
    };
    outcome.unwrap_or_else(|error| {
        complain(&format!("farheard: {error:#}"));
        ExitCode::FAILURE
    })
}

/// Builds the page, reads the sample natively, and opens the page where there is a display.
fn build_page(options: &BuildOptions) -> Result<ExitCode> {
    let project = Project::find()?;
    let page = build::build(&project)?;
    let files = sample::read_samples(&project.sample_files())?
        .into_iter()
        .map(|sample| project.sample_files().join(sample.name))
        .collect();
    say("\nThe sample, read on the command line:\n");
    let exit = readout::run(&ReadoutOptions { files, ..ReadoutOptions::default() });
    say(&format!("\nThe page: {}", page.display()));
    match options.opening {
        Opening::IfDisplay if open::open(&page) => say("Opening it in your browser."),
        Opening::IfDisplay | Opening::Never => say("Open it in a browser, from this disk or any web host."),
    }
    Ok(exit)
}
