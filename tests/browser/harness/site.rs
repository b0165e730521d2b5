//! A web host on this machine. Its log is the proof of what a page asked for.

use std::fs;
use std::io::{BufRead, BufReader, Write};
use std::net::{SocketAddr, TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use std::thread;
use std::time::Duration;

/// Serves a folder on a port of its own until stopped or out of scope.
#[derive(Debug)]
pub(crate) struct Site {
    address: SocketAddr,
    log: Arc<Mutex<Vec<String>>>,
    stopped: Arc<AtomicBool>,
    server: Option<thread::JoinHandle<()>>,
}

impl Site {
    pub(crate) fn serve(folder: &Path) -> Self {
        Self::serve_with(folder, "no-cache")
    }

    /// Serves a folder with another `Cache-Control` (RFC 9111, section 5.2).
    pub(crate) fn serve_with(folder: &Path, cache: &'static str) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").expect("a port on the loopback address is free");
        let address = listener.local_addr().expect("a bound port has an address");
        let log = Arc::new(Mutex::new(Vec::new()));
        let stopped = Arc::new(AtomicBool::new(false));
        let server = thread::spawn({
            let (folder, log, stopped) = (folder.to_path_buf(), Arc::clone(&log), Arc::clone(&stopped));
            move || {
                for connection in listener.incoming().flatten() {
                    if stopped.load(Ordering::SeqCst) {
                        return;
                    }
                    let (folder, log) = (folder.clone(), Arc::clone(&log));
                    // A browser opens connections ahead of need: each is waited for apart.
                    thread::spawn(move || answer(&connection, &folder, cache, &log));
                }
            }
        });
        Self { address, log, stopped, server: Some(server) }
    }

    /// Where the page is.
    pub(crate) fn url(&self) -> String {
        format!("http://{}/", self.address)
    }

    /// Everything asked for so far, as `GET /sw.js`.
    pub(crate) fn requests(&self) -> Vec<String> {
        self.log.lock().expect("no request panicked").clone()
    }

    /// Goes off the network.
    pub(crate) fn stop(&mut self) {
        self.stopped.store(true, Ordering::SeqCst);
        // The listener wakes up for one more connection, then closes.
        drop(TcpStream::connect(self.address));
        if let Some(server) = self.server.take() {
            server.join().expect("the listener ended well");
        }
    }
}

impl Drop for Site {
    fn drop(&mut self) {
        self.stop();
    }
}

fn answer(connection: &TcpStream, folder: &Path, cache: &str, log: &Mutex<Vec<String>>) {
    // A connection opened ahead of need says nothing for as long as it likes.
    let patience = connection.set_read_timeout(Some(Duration::from_secs(10)));
    let mut lines = BufReader::new(connection).lines().map_while(Result::ok);
    let (Ok(()), Some(first)) = (patience, lines.next()) else {
        return;
    };
    let mut words = first.split_ascii_whitespace();
    let (Some(method), Some(path)) = (words.next(), words.next()) else {
        return;
    };
    log.lock().expect("no request panicked").push(format!("{method} {path}"));
    // The request's head ends with an empty line; answering earlier would reset the connection.
    for line in lines {
        if line.is_empty() {
            break;
        }
    }
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
    let mut stream = connection;
    // The browser may have gone; nobody is left to be told.
    drop(stream.write_all(head.as_bytes()).and_then(|()| stream.write_all(&body)));
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
