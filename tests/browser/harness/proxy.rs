//! A proxy that writes down who asks for what, and lets nothing through.

use std::io::{BufRead, BufReader, Write};
use std::net::{Ipv4Addr, SocketAddr, TcpListener, TcpStream};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use std::thread;
use std::time::Duration;

/// Listens on a port of its own until it goes out of scope.
#[derive(Debug)]
pub(crate) struct Proxy {
    address: SocketAddr,
    log: Arc<Mutex<Vec<String>>>,
    stopped: Arc<AtomicBool>,
}

impl Proxy {
    pub(crate) fn listen() -> Self {
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).expect("a port on the loopback address is free");
        let address = listener.local_addr().expect("a bound port has an address");
        let log = Arc::new(Mutex::new(Vec::new()));
        let stopped = Arc::new(AtomicBool::new(false));
        thread::spawn({
            let (log, stopped) = (Arc::clone(&log), Arc::clone(&stopped));
            move || {
                for connection in listener.incoming().flatten() {
                    if stopped.load(Ordering::SeqCst) {
                        return;
                    }
                    let log = Arc::clone(&log);
                    thread::spawn(move || refuse(&connection, &log));
                }
            }
        });
        Self { address, log, stopped }
    }

    pub(crate) fn address(&self) -> String {
        self.address.to_string()
    }

    /// Everything asked for so far, as `GET http://example.test/` or `CONNECT example.test:443`.
    pub(crate) fn requests(&self) -> Vec<String> {
        self.log.lock().expect("no request panicked").clone()
    }
}

impl Drop for Proxy {
    fn drop(&mut self) {
        self.stopped.store(true, Ordering::SeqCst);
        drop(TcpStream::connect(self.address));
    }
}

fn refuse(connection: &TcpStream, log: &Mutex<Vec<String>>) {
    let patience = connection.set_read_timeout(Some(Duration::from_secs(10)));
    let mut lines = BufReader::new(connection).lines().map_while(Result::ok);
    let (Ok(()), Some(first)) = (patience, lines.next()) else {
        return;
    };
    let asked = first.rsplit_once(' ').map_or(first.as_str(), |(asked, _)| asked);
    log.lock().expect("no request panicked").push(asked.to_owned());
    lines.take_while(|line| !line.is_empty()).for_each(drop);
    let mut stream = connection;
    // the browser may have gone; nobody is left to be told
    drop(stream.write_all(b"HTTP/1.1 403 Forbidden\r\nContent-Length: 0\r\nConnection: close\r\n\r\n"));
}
