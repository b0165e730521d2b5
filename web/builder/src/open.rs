//! Shows the page in the person's own browser, where there is a display.

use std::env;
use std::path::Path;
use std::process::{Command, Stdio};

/// Opens the file with the system's opener and says whether that could be started.
/// Without a display (a server, CI) nothing is tried.
pub(crate) fn open(page: &Path) -> bool {
    let Some((program, arguments)) = opener() else {
        return false;
    };
    Command::new(program)
        .args(arguments)
        .arg(page)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .is_ok()
}

fn opener() -> Option<(&'static str, &'static [&'static str])> {
    if cfg!(target_os = "macos") {
        return Some(("open", &[]));
    }
    if cfg!(target_os = "windows") {
        // `start` takes its first quoted argument for a window title.
        return Some(("cmd", &["/C", "start", ""]));
    }
    let display = ["DISPLAY", "WAYLAND_DISPLAY"].iter().any(|name| env::var_os(name).is_some_and(|it| !it.is_empty()));
    display.then_some(("xdg-open", &[]))
}
