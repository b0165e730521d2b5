//! Writes the sample files and prints the tables of the truth.

use std::path::Path;
use std::process::ExitCode;

#[expect(clippy::print_stdout, clippy::print_stderr, reason = "a command line tool")]
fn main() -> ExitCode {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let (samples, truth) = farheard_sample_maker::make();
    for sample in samples {
        let path = folder.join(sample.name);
        if let Err(error) = std::fs::write(&path, &sample.text) {
            eprintln!("could not write {}: {error}", path.display());
            return ExitCode::FAILURE;
        }
        println!("wrote {} ({} bytes)", sample.name, sample.text.len());
    }
    println!("\n{truth}");
    ExitCode::SUCCESS
}
