//! Something that listens on this machine, answers every request, and writes down what was asked for.

use std::io::{BufRead, BufReader, Write};
use std::net::{Ipv4Addr, SocketAddr, TcpListener, TcpStream};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use std::thread;
use std::time::Duration;

/// Listens on a port of its own until stopped or out of scope.
#[derive(Debug)]
pub(super) struct Host {
    address: SocketAddr,
    log: Arc<Mutex<Vec<String>>>,
    stopped: Arc<AtomicBool>,
    server: Option<thread::JoinHandle<()>>,
}

impl Host {
    /// Answers each request with what is made of its method and target, as in `GET /sw.js`.
    pub(super) fn listen(respond: impl Fn(&str) -> Vec<u8> + Send + Sync + 'static) -> Self {
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).expect("a port on the loopback address is free");
        let address = listener.local_addr().expect("a bound port has an address");
        let log = Arc::new(Mutex::new(Vec::new()));
        let stopped = Arc::new(AtomicBool::new(false));
        let server = thread::spawn({
            let (respond, log, stopped) = (Arc::new(respond), Arc::clone(&log), Arc::clone(&stopped));
            move || {
                for connection in listener.incoming().flatten() {
                    if stopped.load(Ordering::SeqCst) {
                        return;
                    }
                    let (respond, log) = (Arc::clone(&respond), Arc::clone(&log));
                    // A browser opens connections ahead of need: each is waited for apart.
                    thread::spawn(move || answer(&connection, &*respond, &log));
                }
            }
        });
        Self { address, log, stopped, server: Some(server) }
    }

    pub(super) fn address(&self) -> SocketAddr {
        self.address
    }

    /// Everything asked for so far.
    pub(super) fn requests(&self) -> Vec<String> {
        self.log.lock().expect("no request panicked").clone()
    }

    pub(super) fn stop(&mut self) {
        self.stopped.store(true, Ordering::SeqCst);
        // The listener wakes up for one more connection, then closes.
        drop(TcpStream::connect(self.address));
        if let Some(server) = self.server.take() {
            server.join().expect("the listener ended well");
        }
    }
}

impl Drop for Host {
    fn drop(&mut self) {
        self.stop();
    }
}

fn answer(connection: &TcpStream, respond: &impl Fn(&str) -> Vec<u8>, log: &Mutex<Vec<String>>) {
    // A connection opened ahead of need says nothing for as long as it likes.
    let patience = connection.set_read_timeout(Some(Duration::from_secs(10)));
    let mut lines = BufReader::new(connection).lines().map_while(Result::ok);
    let (Ok(()), Some(first)) = (patience, lines.next()) else {
        return;
    };
    // the version of the protocol comes last
    let Some((asked, _)) = first.rsplit_once(' ') else {
        return;
    };
    log.lock().expect("no request panicked").push(asked.to_owned());
    // The request's head ends with an empty line; answering earlier would reset the connection.
    lines.take_while(|line| !line.is_empty()).for_each(drop);
    let mut stream = connection;
    // The browser may have gone; nobody is left to be told.
    drop(stream.write_all(&respond(asked)));
}
