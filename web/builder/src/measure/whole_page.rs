//! Measuring the finished page in Chromium: a server on this machine hands it out with a script of ours before its
//! own, and without its policy, which would forbid the figures to come back.
//!
//! - ready: from navigation until files are taken
//! - full: from choosing a file until all results show
//! - zoom, pan, brush, filter: from the event until everything is drawn again and in place, 95th percentile; while a
//!   handle is dragged that is the Disc, the strip and the count, and the rest once the hand stops

use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::{TcpListener, TcpStream};
use std::path::Path;
use std::process::{Command, Stdio};

use anyhow::{Context as _, Result, bail};

use super::browser::FLAGS;
use super::invented::{invented, many_listeners};
use crate::build;
use crate::project::Project;

/// Where the policy stands in the page.
const POLICY: [&str; 2] = ["<meta http-equiv=\"Content-Security-Policy\"", ">"];
/// Our script goes before this.
const HEAD: &str = "<meta name=\"viewport\"";
const SCRIPT: &str = include_str!("page.js");

/// What a person feels of one file.
#[derive(Clone, Debug)]
pub(super) struct Felt {
    /// What the file holds.
    pub file: &'static str,
    /// Name and milliseconds of each figure; `None` where there was nothing to measure.
    pub figures: Vec<(&'static str, Option<f64>)>,
}

/// The figures of the page, by file; the first is of the page itself.
///
/// # Errors
/// If the page cannot be built, Chromium does not start, or the page gives no figures.
pub(super) fn measure(project: &Project, chromium: &Path, rows: usize) -> Result<Vec<Felt>> {
    let place = build::build(project)?;
    let page = std::fs::read_to_string(&place).with_context(|| format!("reading {}", place.display()))?;
    let parts = [("rows", invented(rows)), ("marks", many_listeners(10_000))];
    let page = with_script(&page)?;
    let listener = TcpListener::bind("127.0.0.1:0").context("opening a port on this machine")?;
    let address = format!("http://{}/", listener.local_addr().context("asking for the port")?);
    let profile = project.root().join("target").join("measure").join("profile");
    let mut browser = Command::new(chromium)
        .args(FLAGS)
        .arg(format!("--user-data-dir={}", profile.display()))
        .arg("--window-size=1440,900")
        .arg(&address)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .with_context(|| format!("starting {}", chromium.display()))?;
    let figures = serve(&listener, &page, &parts);
    // It has given all it has, or never will.
    drop(browser.kill());
    drop(browser.wait());
    let figures: serde_json::Value = serde_json::from_str(&figures?).context("the figures are no JSON")?;
    if let Some(error) = figures["error"].as_str() {
        bail!("measuring in the page stopped: {error}");
    }
    let of = |file, part: &str, names: &[(&'static str, &str)]| Felt {
        file,
        figures: names.iter().map(|(name, key)| (*name, figures[part][*key].as_f64())).collect(),
    };
    let names = [
        ("full result", "full_ms"),
        ("frames while zooming", "zoomFrame"),
        ("frames while panning", "panFrame"),
        ("frames while brushing time", "brushFrame"),
        ("zoom answered", "zoom"),
        ("pan answered", "pan"),
        ("time brush answered", "brush"),
        ("all the rest after it", "rest"),
        ("band filter answered", "filter"),
    ];
    Ok(vec![
        Felt { file: "page", figures: vec![("ready", figures["ready_ms"].as_f64())] },
        of("rows", "rows", &names),
        of("10 000 listeners", "marks", &names),
    ])
}

/// The page with our script in it and without its policy.
fn with_script(page: &str) -> Result<String> {
    let [from, to] = POLICY;
    let (before, rest) = page.split_once(from).context("the page has no policy to take out")?;
    let (_, after) = rest.split_once(to).context("the policy has no end")?;
    let page = format!("{before}{after}");
    let script = format!(
        "<script type=\"application/json\" id=\"measured\">[\"rows\",\"marks\"]</script><script>{SCRIPT}</script>{HEAD}"
    );
    Ok(page.replacen(HEAD, &script, 1))
}

/// Answers the browser until it has handed in its figures.
fn serve(listener: &TcpListener, page: &str, parts: &[(&str, String)]) -> Result<String> {
    loop {
        let (stream, _) = listener.accept().context("waiting for the browser")?;
        // a connection that breaks off is the browser's affair
        if let Ok(Some(figures)) = answer(stream, page, parts) {
            return Ok(figures);
        }
    }
}

/// Answers one request; the figures, if it brings them.
fn answer(stream: TcpStream, page: &str, parts: &[(&str, String)]) -> std::io::Result<Option<String>> {
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
    let path = first.split_ascii_whitespace().nth(1).unwrap_or("/").trim_start_matches('/').to_owned();
    let mut body = vec![0; length];
    reader.read_exact(&mut body)?;
    let part = parts.iter().find(|(name, _)| *name == path).map(|(_, text)| text.as_str());
    let (kind, content) = match path.as_str() {
        "" => ("text/html; charset=utf-8", page),
        _ => ("text/plain", part.unwrap_or("")),
    };
    let head = format!(
        "HTTP/1.1 200 OK\r\nContent-Type: {kind}\r\nContent-Length: {}\r\nConnection: close\r\n\r\n",
        content.len()
    );
    let mut stream = reader.into_inner();
    stream.write_all(head.as_bytes())?;
    stream.write_all(content.as_bytes())?;
    Ok((path == "done").then(|| String::from_utf8_lossy(&body).into_owned()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_script_stands_first_and_the_policy_is_gone() {
        let page = "<head><meta charset=\"utf-8\"><meta http-equiv=\"Content-Security-Policy\" content=\"x 'y'\">\n\
                    <meta name=\"viewport\" content=\"\"></head>";
        let made = with_script(page).unwrap();
        assert!(!made.contains("Content-Security-Policy"));
        assert!(made.find("window.Worker").unwrap() < made.find("viewport").unwrap());
        assert!(with_script("<p>").is_err());
    }
}
