//! Documents that say what is so: samples listed, commands real, top level fixed, nothing unfinished.

use std::collections::BTreeSet;
use std::fs;

use crate::sources::{Source, files, read, root};

/// Everything at the top level; whatever else would be useful belongs into one of these folders.
const TOP_LEVEL: [&str; 10] = [
    "Cargo.lock",
    "Cargo.toml",
    "DEVELOPERS.md",
    "LICENSE-APACHE",
    "LICENSE-MIT",
    "README.md",
    "crate",
    "sample-files",
    "tests",
    "web",
];
/// Built, never committed.
const BUILT: [&str; 2] = ["dist", "target"];

fn names_in(folder: &str) -> BTreeSet<String> {
    fs::read_dir(root().join(folder))
        .unwrap_or_else(|error| panic!("{folder}: {error}"))
        .map(|entry| entry.expect("a folder can be listed").file_name().to_string_lossy().into_owned())
        .collect()
}

#[test]
fn the_top_level_is_fixed() {
    let found: BTreeSet<_> =
        names_in(".").into_iter().filter(|name| !name.starts_with('.') && !BUILT.contains(&name.as_str())).collect();
    let fixed: BTreeSet<_> = TOP_LEVEL.iter().map(|name| (*name).to_owned()).collect();
    assert_eq!(found, fixed);
}

#[test]
fn every_sample_file_is_described_and_every_described_one_is_there() {
    let readme = read("sample-files/README.md");
    let there = names_in("sample-files");
    for name in there.iter().filter(|name| *name != "README.md" && !name.starts_with('.')) {
        assert!(
            readme.contains(&format!("`{name}`")) || readme.contains(&format!("`{name}/`")),
            "sample-files/README.md does not describe {name}"
        );
    }
    let described = code_words(&readme).into_iter().filter(|word| is_sample_name(word));
    for name in described {
        assert!(there.contains(&name), "sample-files/README.md describes {name}, which is not there");
    }
}

fn is_sample_name(word: &str) -> bool {
    matches!(word.rsplit_once('.'), Some((_, "csv" | "tsv" | "txt" | "adi" | "gz" | "zip")))
        && !word.contains(['/', ' '])
}

/// The words in `code` of a document.
fn code_words(document: &str) -> Vec<String> {
    let pieces = document.split('`').enumerate().filter(|(index, _)| index % 2 == 1);
    pieces.map(|(_, piece)| piece.to_owned()).collect()
}

/// The command lines of a document: lines of code blocks and inline code that start with a command of ours.
/// A line that ends in a backslash goes on in the next.
fn commands(document: &str) -> Vec<String> {
    let joined = document.replace("\\\n", " ");
    let lines = joined.lines().map(|line| line.trim().trim_start_matches("$ ").to_owned());
    let inline = joined.lines().filter(|line| line.matches('`').count() > 1).flat_map(code_words);
    lines
        .chain(inline)
        .filter(|line| ["cargo ", "./tests/", "bash .ci/", "FARHEARD_"].iter().any(|start| line.starts_with(start)))
        .collect()
}

#[test]
fn every_command_the_documents_name_exists() {
    let packages: Vec<String> = files(".", "Cargo.toml")
        .iter()
        .filter_map(|manifest| manifest.text.split_once("name = \"")?.1.split('"').next().map(str::to_owned))
        .collect();
    let command_line = read("web/builder/src/options.rs");
    let mut seen = 0;
    for document in files(".", ".md") {
        for command in commands(&document.text) {
            seen += 1;
            check_command(&document, &command, &packages, &command_line);
        }
    }
    assert!(seen > 3, "only {seen} commands found: the search must have missed them");
}

fn check_command(document: &Source, command: &str, packages: &[String], command_line: &str) {
    let wrong = |what: &str| panic!("{}: `{command}`: {what}", document.name);
    let words: Vec<&str> = command.split_ascii_whitespace().filter(|word| !word.starts_with("FARHEARD_")).collect();
    match words.as_slice() {
        ["./tests/run" | "bash", ..] => {
            let script = words.last().map_or("", |it| it.trim_start_matches("./"));
            if !root().join(script).is_file() {
                wrong("there is no such script");
            }
        }
        ["cargo", "run" | "test" | "doc" | "clippy" | "build" | "fmt" | "bench" | "check", rest @ ..] => {
            for pair in rest.windows(2) {
                if let ["-p" | "--package", package] = pair
                    && !packages.iter().any(|it| it == package)
                {
                    wrong("there is no such package");
                }
            }
            let ours = rest.iter().position(|word| *word == "--").filter(|_| words.get(1) == Some(&"run"));
            for (index, word) in rest.iter().skip(ours.map_or(rest.len(), |it| it + 1)).enumerate() {
                let option = word.strip_prefix("--").map(|it| it.split('=').next().unwrap_or(it));
                if let Some(option) = option
                    && !command_line.contains(&format!("\"{option}\""))
                {
                    wrong("the program has no such option");
                }
                if index == 0 && option.is_none() && !command_line.contains(&format!("\"{word}\"")) {
                    wrong("the program has no such command");
                }
            }
        }
        _ => wrong("is no command of cargo or of this project"),
    }
}

#[test]
fn nothing_is_left_unfinished() {
    // In two pieces each, so that this list does not find itself.
    let marks = [("TO", "DO"), ("FIX", "ME"), ("to", "do!("), ("unimpl", "emented!"), ("lorem", " ipsum")];
    let places = ["crate", "web", "tests", "sample-files", "README.md", "DEVELOPERS.md", ".ci", ".cargo"];
    let mut read = 0;
    for source in places.iter().flat_map(|place| files(place, "")) {
        read += 1;
        for (number, line) in source.text.lines().enumerate() {
            for (first, second) in marks {
                let mark = [first, second].concat();
                assert!(!line.contains(&mark), "{}:{}: {mark}", source.name, number + 1);
            }
        }
    }
    assert!(read > 50, "only {read} files found");
}
