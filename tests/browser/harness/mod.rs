//! What whole-page tests stand on. Everything here ends a test with a sentence when it goes wrong.
//!
//! - [`browser`]: one browser with a fresh profile, ended when it goes out of scope
//! - [`engine`]: the three engines and their drivers
//! - [`host`]: what listens on this machine, answers, and writes down what was asked for
//! - [`page`]: waiting, reading, clicking, pictures, the console
//! - [`files`]: files dropped on the page, chosen, pasted
//! - [`proxy`]: a proxy that writes down every request and lets none through
//! - [`saved`]: what the page hands over as files, and everything it shows, to be held against each other
//! - [`site`]: a web host on this machine that writes down every request
//! - [`scratch`]: folders that go when the test ends
//! - [`unpacked`]: the built page without what its start takes longest for

pub(crate) mod browser;
pub(crate) mod engine;
pub(crate) mod files;
pub(crate) mod host;
pub(crate) mod page;
pub(crate) mod proxy;
pub(crate) mod saved;
pub(crate) mod scratch;
pub(crate) mod site;
pub(crate) mod unpacked;

pub(crate) use browser::Browser;
pub(crate) use engine::{Engine, in_every_engine};
pub(crate) use proxy::Proxy;
pub(crate) use scratch::{Scratch, sample_file};
pub(crate) use site::Site;
