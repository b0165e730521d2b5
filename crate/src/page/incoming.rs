//! A file on its way in from the page, piece by piece: shown from its beginning if it is large, cut down if it is an
//! archive, too large to be held.

use super::message::{Event, Patch};
use super::session::Session;
use crate::import::sieve::is_archive;
use crate::import::{Sieve, begins_as_gzip};

/// From so many bytes on a file takes long enough to come in that its beginning is shown first.
const LARGE: u64 = 64 << 20;
/// How much of it is shown.
const BEGINNING: usize = 2 << 20;

/// A file on its way in.
#[derive(Debug, Default)]
pub struct Incoming {
    name: String,
    /// Its size in bytes, as the page has it.
    size: u64,
    bytes: Vec<u8>,
    way: Way,
}

/// What becomes of the bytes.
#[derive(Debug, Default)]
enum Way {
    /// Nothing came yet.
    #[default]
    New,
    /// They are held.
    Whole,
    /// They are held, and their beginning is to be shown.
    Large,
    /// The beginning of an archive is held until it is known what is wanted of it.
    Asking,
    /// They are looked through, and what is wanted is held.
    Cut(Box<Sieve>),
    /// Nothing: it was refused.
    Refused,
}

impl Incoming {
    /// A file begins: its name and its size in bytes, as far as known.
    pub fn begin(name: &str, size: u64) -> Self {
        Self { name: name.to_owned(), size, ..Self::default() }
    }

    /// The next bytes of it. After [`Patch::Archive`] with `asks` no more should come until one with `goes-on`: those on their
    /// way are held; after one with `ends` none need come.
    pub fn chunk(&mut self, piece: &[u8], session: &mut Session) -> Vec<Patch> {
        if matches!(self.way, Way::New) {
            self.way = if is_archive(self.size, begins_as_gzip(piece)) {
                Way::Asking
            } else {
                // a size that does not fit makes a later piece fail, not this
                self.bytes.try_reserve_exact(usize::try_from(self.size).unwrap_or(usize::MAX)).ok();
                if self.size >= LARGE { Way::Large } else { Way::Whole }
            };
        }
        if matches!(self.way, Way::Asking)
            && let Some(wanted) = session.take_wanted()
        {
            self.way = Way::Cut(Box::new(Sieve::new(wanted)));
            let beginning = std::mem::take(&mut self.bytes);
            let patches = self.cut(&beginning, session);
            if !patches.is_empty() {
                return patches;
            }
        }
        match self.way {
            Way::New | Way::Whole => self.bytes.extend_from_slice(piece),
            Way::Large => {
                self.bytes.extend_from_slice(piece);
                if self.bytes.len() >= BEGINNING {
                    self.way = Way::Whole;
                    return session.glimpse(&self.name, &self.bytes);
                }
            }
            Way::Asking => {
                let before = self.bytes.len();
                self.bytes.extend_from_slice(piece);
                if before < BEGINNING && self.bytes.len() >= BEGINNING {
                    let patches = session.ask_archive(&self.name, self.size, &self.bytes);
                    if !session.asks_archive() {
                        self.way = Way::Refused;
                        self.bytes = Vec::new();
                    }
                    return patches;
                }
            }
            Way::Cut(_) => return self.cut(piece, session),
            Way::Refused => {}
        }
        Vec::new()
    }

    fn cut(&mut self, piece: &[u8], session: &mut Session) -> Vec<Patch> {
        let Way::Cut(sieve) = &mut self.way else { return Vec::new() };
        let Err(fault) = sieve.push(piece) else { return Vec::new() };
        self.way = Way::Refused;
        session.refuse_archive(&self.name, &fault)
    }

    /// All of it is here. Gives the number under which it is known from now on; none if it was refused, which the
    /// patches then say.
    pub fn end(&mut self, session: &mut Session) -> (Option<usize>, Vec<Patch>) {
        let Self { name, bytes, way, .. } = std::mem::take(self);
        let bytes = match way {
            Way::Refused => return (None, Vec::new()),
            Way::Cut(sieve) => match sieve.finish() {
                Ok(sieved) => {
                    session.say_sieved(&name, &sieved);
                    sieved.bytes
                }
                Err(fault) => return (None, session.refuse_archive(&name, &fault)),
            },
            // shorter than the page said: then it can be read whole
            Way::New | Way::Whole | Way::Large | Way::Asking => bytes,
        };
        session.handle(Event::File { name, bytes });
        (Some(session.arrived_last()), Vec::new())
    }
}
