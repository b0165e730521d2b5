//! A server on this machine that hands things out to a Chromium and takes its figures. No driver is needed.
//!
//! Each visit is a Chromium just started, with a profile of its own that holds nothing of the last one.

use std::cell::Cell;
use std::collections::BTreeMap;
use std::fs;
use std::io::{BufRead as _, BufReader, ErrorKind, Read as _, Write as _};
use std::net::{TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use anyhow::{Context as _, Result, bail};
use serde_json::{Value, json};

use super::browser::FLAGS;
use super::machine;

/// Nothing that is measured takes longer.
const PATIENCE: Duration = Duration::from_secs(300);
/// Between two looks at whether the browser asks for something: little enough work to disturb nothing.
const LOOK: Duration = Duration::from_millis(2);

/// What can be asked for, and who asks.
#[derive(Debug)]
pub(super) struct Site {
    listener: TcpListener,
    chromium: PathBuf,
    profiles: PathBuf,
    visits: Cell<usize>,
    things: BTreeMap<String, Thing>,
}

#[derive(Debug)]
struct Thing {
    kind: &'static str,
    content: String,
}

impl Site {
    /// Opens a port; profiles are made in that folder.
    ///
    /// # Errors
    /// If this machine has none.
    pub(super) fn open(chromium: &Path, profiles: PathBuf) -> Result<Self> {
        let listener = TcpListener::bind("127.0.0.1:0").context("opening a port on this machine")?;
        listener.set_nonblocking(true).context("opening a port that can be looked at")?;
        Ok(Self { listener, chromium: chromium.to_owned(), profiles, visits: Cell::new(0), things: BTreeMap::new() })
    }

    /// Puts a page there.
    pub(super) fn put_page(&mut self, path: &str, content: String) {
        self.things.insert(path.to_owned(), Thing { kind: "text/html; charset=utf-8", content });
    }

    /// Puts a text there, in place of what was there before.
    pub(super) fn put_text(&mut self, path: &str, content: String) {
        self.things.insert(path.to_owned(), Thing { kind: "text/plain", content });
    }

    /// Starts Chromium on a page and gives the figures that the page hands in.
    ///
    /// # Errors
    /// If Chromium does not start or ends by itself, or the page says that it failed or says nothing at all.
    pub(super) fn visit(&self, path: &str) -> Result<Value> {
        let visit = self.visits.replace(self.visits.get() + 1);
        let profile = |visit: usize| self.profiles.join(format!("{}-{visit}", std::process::id()));
        let address = self.listener.local_addr().context("asking for the port")?;
        let mut browser = Command::new(&self.chromium)
            .args(FLAGS)
            .arg(format!("--user-data-dir={}", profile(visit).display()))
            .arg("--window-size=1440,900")
            .arg(format!("http://{address}/{path}"))
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .with_context(|| format!("starting {}", self.chromium.display()))?;
        let figures = self.serve(&mut browser);
        // It has given all it has, or never will.
        drop(browser.kill());
        drop(browser.wait());
        // its helpers may still be writing in theirs, so that one is cleared away after the next
        for visit in visit.saturating_sub(1)..=visit {
            drop(fs::remove_dir_all(profile(visit)));
        }
        let figures: Value = serde_json::from_str(&figures?).context("the figures are no JSON")?;
        if let Some(error) = figures["error"].as_str() {
            bail!("measuring in the page stopped: {error}");
        }
        Ok(figures)
    }

    /// Answers the browser until it has handed in its figures.
    fn serve(&self, browser: &mut Child) -> Result<String> {
        let begun = Instant::now();
        loop {
            match self.listener.accept() {
                // a connection that breaks off is the browser's affair
                Ok((stream, _)) => {
                    if let Ok(Some(figures)) = self.answer(stream, browser.id()) {
                        return Ok(figures);
                    }
                }
                Err(error) if error.kind() == ErrorKind::WouldBlock => thread::sleep(LOOK),
                Err(error) => return Err(error).context("waiting for the browser"),
            }
            if let Some(status) = browser.try_wait().context("asking after the browser")? {
                bail!("Chromium ended ({status}) before it had measured anything");
            }
            if begun.elapsed() > PATIENCE {
                bail!("the page gave no figures within {} s", PATIENCE.as_secs());
            }
        }
    }

    /// Answers one request; the figures, if it brings them.
    fn answer(&self, stream: TcpStream, browser: u32) -> std::io::Result<Option<String>> {
        stream.set_nonblocking(false)?;
        let mut reader = BufReader::new(stream);
        let mut first = String::new();
        reader.read_line(&mut first)?;
        let mut length = 0;
        loop {
            let mut line = String::new();
            if reader.read_line(&mut line)? == 0 || line.trim().is_empty() {
                break;
            }
            if let Some((name, value)) = line.split_once(':')
                && name.eq_ignore_ascii_case("content-length")
            {
                length = value.trim().parse().unwrap_or(0);
            }
        }
        let path = first.split_ascii_whitespace().nth(1).unwrap_or("/").trim_start_matches('/');
        let path = path.split('?').next().unwrap_or_default();
        let mut body = vec![0; length];
        reader.read_exact(&mut body)?;
        let memory;
        let (status, kind, content) = match self.things.get(path) {
            Some(thing) => ("200 OK", thing.kind, thing.content.as_str()),
            None if path == "memory" => {
                memory = memory_of(browser).to_string();
                ("200 OK", "application/json", memory.as_str())
            }
            None => ("404 Not Found", "text/plain", ""),
        };
        let head = format!(
            "HTTP/1.1 {status}\r\nContent-Type: {kind}\r\nContent-Length: {}\r\nConnection: close\r\n\r\n",
            content.len()
        );
        let mut stream = reader.into_inner();
        stream.write_all(head.as_bytes())?;
        stream.write_all(content.as_bytes())?;
        Ok((path == "done").then(|| String::from_utf8_lossy(&body).into_owned()))
    }
}

impl Drop for Site {
    fn drop(&mut self) {
        drop(fs::remove_dir_all(&self.profiles));
    }
}

/// Memory of the tab in MB; no fields where the system does not tell.
fn memory_of(browser: u32) -> Value {
    machine::largest_renderer(browser).map_or_else(
        || json!({}),
        |memory| json!({ "now_mb": memory.now_kb as f64 / 1e3, "peak_mb": memory.peak_kb as f64 / 1e3 }),
    )
}
