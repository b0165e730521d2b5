//! The core as a wasm module with its JavaScript glue.
//!
//! Cargo compiles the core for `wasm32-unknown-unknown`; wasm-bindgen, as a library, makes the glue.
//! The bytes depend on the sources and the compiler only: paths of this machine are mapped away.

use std::env;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, Result, bail};
use wasm_bindgen_cli_support::Bindgen;

use crate::alike::with_alike_together;
use crate::project::Project;
use crate::terminal::say;

const TARGET: &str = "wasm32-unknown-unknown";

/// Vectors of 16 bytes are in the engine of every browser of 2023.
const VECTORS: &str = "-Ctarget-feature=+simd128";

/// The core, ready for the page.
#[derive(Debug)]
pub(crate) struct Core {
    /// Script defining the global `wasm_bindgen`; a classic script, as workers from a file need.
    pub glue: String,
    /// The module.
    pub wasm: Vec<u8>,
}

/// Compiles a package of the workspace for the page, the core or what stands on it: `farheard` is the core.
///
/// # Errors
/// If the wasm target is missing and cannot be added, or the package does not compile.
pub(crate) fn compile(project: &Project, package: &str) -> Result<Core> {
    ensure_target()?;
    let module = compile_module(project, package, &[VECTORS])?;
    let mut output = Bindgen::new()
        .input_path(&module)
        .no_modules(true)
        .context("choosing classic-script output")?
        .omit_default_module_path(true)
        .typescript(false)
        .remove_name_section(true)
        .remove_producers_section(true)
        .generate_output()
        .with_context(|| format!("making the JavaScript glue of {}", module.display()))?;
    if output.snippets().values().any(|scripts| !scripts.is_empty()) || !output.local_modules().is_empty() {
        bail!("the core brings JavaScript files of its own, which one self-contained page cannot load");
    }
    let wasm = with_alike_together(&output.wasm_mut().emit_wasm())?;
    Ok(Core { glue: output.js().to_owned(), wasm })
}

/// Compiles the unpacker of the core (`web/guess`): a small module that needs no glue.
///
/// # Errors
/// As [`compile`].
pub(crate) fn compile_unpacker(project: &Project) -> Result<Vec<u8>> {
    ensure_target()?;
    let module = compile_module(project, "farheard-guess", &[VECTORS, "-Cstrip=symbols"])?;
    fs::read(&module).with_context(|| format!("reading {}", module.display()))
}

/// Adds the wasm target to the toolchain at hand where it is missing.
fn ensure_target() -> Result<()> {
    if has_target()? {
        return Ok(());
    }
    say(&format!("The Rust at hand lacks {TARGET}; running: rustup target add {TARGET}"));
    let by_hand = format!(
        "Rust's {TARGET} target is needed and could not be added. With rustup: `rustup target add {TARGET}`. \
         Without rustup: install the package that brings it (on Debian libstd-rust-dev-wasm32), then run this again"
    );
    let added = Command::new("rustup").args(["target", "add", TARGET]).status();
    match added {
        Ok(status) if status.success() && has_target()? => Ok(()),
        Ok(_) => bail!(by_hand),
        Err(error) => bail!("{by_hand} (there is no rustup: {error})"),
    }
}

/// Whether the compiler has the standard library of the wasm target.
fn has_target() -> Result<bool> {
    let folder = ask_rustc(&["--print", "target-libdir", "--target", TARGET])?;
    let Ok(entries) = Path::new(&folder).read_dir() else {
        return Ok(false);
    };
    Ok(entries.flatten().any(|entry| entry.file_name().to_string_lossy().starts_with("libstd")))
}

fn ask_rustc(arguments: &[&str]) -> Result<String> {
    let output = Command::new(tool("RUSTC", "rustc"))
        .args(arguments)
        .output()
        .context("starting rustc; is Rust installed and on the PATH?")?;
    if !output.status.success() {
        bail!("rustc {} said: {}", arguments.join(" "), String::from_utf8_lossy(&output.stderr).trim());
    }
    Ok(String::from_utf8_lossy(&output.stdout).trim().to_owned())
}

/// A tool of the toolchain that runs us: cargo names it in the environment.
fn tool(variable: &str, name: &str) -> PathBuf {
    env::var_os(variable).map_or_else(|| PathBuf::from(name), PathBuf::from)
}

fn compile_module(project: &Project, package: &str, more_flags: &[&str]) -> Result<PathBuf> {
    let mut flags = path_mapping(project)?;
    flags.extend(more_flags.iter().map(|&flag| flag.to_owned()));
    let target = project.page_target();
    let status = Command::new(tool("CARGO", "cargo"))
        .current_dir(project.root())
        .args(["rustc", "--package", package, "--lib", "--crate-type", "cdylib"])
        .args(["--target", TARGET, "--profile", "page", "--target-dir"])
        .arg(&target)
        .env("CARGO_ENCODED_RUSTFLAGS", flags.join("\x1f"))
        // What the caller's environment would change in the bytes.
        .env_remove("RUSTFLAGS")
        .env_remove("CARGO_BUILD_TARGET")
        .env_remove("CARGO_INCREMENTAL")
        .status()
        .context("starting cargo")?;
    if !status.success() {
        bail!("{package} did not compile for the page (cargo's message stands above)");
    }
    Ok(target.join(TARGET).join("page").join(format!("{}.wasm", package.replace('-', "_"))))
}

/// Compiler flags that replace the machine's own paths in panic places by fixed words.
fn path_mapping(project: &Project) -> Result<Vec<String>> {
    let cargo_home = env::var_os("CARGO_HOME")
        .map(PathBuf::from)
        .or_else(|| env::home_dir().map(|home| home.join(".cargo")))
        .context("neither CARGO_HOME nor a home folder is set")?;
    let mut places = vec![(project.root().to_path_buf(), "farheard")];
    let registry = cargo_home.join("registry").join("src");
    // One folder per registry; its name tells which mirror a machine uses.
    for entry in registry.read_dir().into_iter().flatten().flatten() {
        places.push((entry.path(), "dependencies"));
    }
    places.push((Path::new(&ask_rustc(&["--print", "sysroot"])?).join("lib/rustlib/src/rust"), "rust"));
    Ok(places.iter().map(|(place, word)| format!("--remap-path-prefix={}={word}", place.display())).collect())
}
