//! A proxy that writes down who asks for what, and lets nothing through.

use super::host::Host;

/// Listens on a port of its own until it goes out of scope.
#[derive(Debug)]
pub(crate) struct Proxy(Host);

impl Proxy {
    pub(crate) fn listen() -> Self {
        let refusal = b"HTTP/1.1 403 Forbidden\r\nContent-Length: 0\r\nConnection: close\r\n\r\n";
        Self(Host::listen(|_| refusal.to_vec()))
    }

    pub(crate) fn address(&self) -> String {
        self.0.address().to_string()
    }

    /// Everything asked for so far, as `GET http://example.test/` or `CONNECT example.test:443`.
    pub(crate) fn requests(&self) -> Vec<String> {
        self.0.requests()
    }
}
