//! A web host on this machine. Its log is the proof of what a page asked for.

use std::fs;
use std::path::{Path, PathBuf};
use std::thread;
use std::time::{Duration, Instant};

use super::host::Host;

/// How long a browser may take until it asks.
const PATIENCE: Duration = Duration::from_secs(45);

/// Serves a folder on a port of its own until stopped or out of scope.
#[derive(Debug)]
pub(crate) struct Site(Host);

impl Site {
    pub(crate) fn serve(folder: &Path) -> Self {
        Self::serve_with(folder, "no-cache")
    }

    /// Serves a folder with another `Cache-Control` (RFC 9111, section 5.2).
    pub(crate) fn serve_with(folder: &Path, cache: &'static str) -> Self {
        let folder = folder.to_path_buf();
        Self(Host::listen(move |asked| response(asked, &folder, cache)))
    }

    /// Where the page is.
    pub(crate) fn url(&self) -> String {
        format!("http://{}/", self.0.address())
    }

    /// Everything asked for so far, as `GET /sw.js`.
    pub(crate) fn requests(&self) -> Vec<String> {
        self.0.requests()
    }

    /// Waits until something was asked for, such as `GET /sw.js`.
    pub(crate) fn wait_for(&self, request: &str) {
        let start = Instant::now();
        while !self.requests().iter().any(|it| it == request) {
            assert!(start.elapsed() < PATIENCE, "nobody asked: {request}");
            thread::sleep(Duration::from_millis(20));
        }
    }

    /// Goes off the network.
    pub(crate) fn stop(&mut self) {
        self.0.stop();
    }
}

fn response(asked: &str, folder: &Path, cache: &str) -> Vec<u8> {
    let path = asked.split_once(' ').map_or("", |(_, path)| path);
    let file = file_of(folder, path);
    let (status, body) = match fs::read(&file) {
        Ok(body) => ("200 OK", body),
        Err(_) => ("404 Not Found", Vec::new()),
    };
    let head = format!(
        "HTTP/1.1 {status}\r\nContent-Type: {}\r\nContent-Length: {}\r\nCache-Control: {cache}\r\nConnection: close\r\n\r\n",
        media_type(&file),
        body.len()
    );
    [head.into_bytes(), body].concat()
}

fn file_of(folder: &Path, path: &str) -> PathBuf {
    let name = path.split(['?', '#']).next().unwrap_or_default().trim_start_matches('/');
    folder.join(if name.is_empty() { "index.html" } else { name })
}

fn media_type(file: &Path) -> &'static str {
    match file.extension().and_then(|it| it.to_str()) {
        Some("html") => "text/html",
        Some("js") => "text/javascript",
        Some("svg") => "image/svg+xml",
        Some("webmanifest") => "application/manifest+json",
        _ => "application/octet-stream",
    }
}
