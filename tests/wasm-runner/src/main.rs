//! The runner that `.cargo/config.toml` names for wasm32: cargo hands it the compiled tests,
//! it drives a headless browser through `CHROMEDRIVER`.

use std::error::Error;

use wasm_bindgen_cli::wasm_bindgen_test_runner;

fn main() -> Result<(), Box<dyn Error>> {
    wasm_bindgen_test_runner::run_cli_with_args(std::env::args_os())?;
    Ok(())
}
