//! The page's side of the core: one session, events in, patches out. It computes nothing itself.
//!
//! - [`message`]: events and patches
//! - [`session`]: what is loaded and shown, and what each event does to it
//! - `files`: taking files in, and correcting how they are read; `task`: reading them step by step;
//!   `memory`: corrections by the headings of files; `unread`: what helps files that gave no spot
//! - `act`, `pointing`: what controls do; pointer and keys over pictures
//! - `regions`: which markup stands where
//! - `loaded`: the table with every result for all rows and for the rows shown
//! - `state`: view, filters, pins, units
//! - `parts`, `menus`: the filter in words and as choices
//! - `zone`: UTC or local time
//! - `pictures`: which figure is drawn how large, and where its marks lie
//! - `settings`: the view as a line of text, for the address
//! - `views`: panels as markup
//! - `wasm`: the only place besides the canvas that knows JavaScript

mod act;
mod files;
mod loaded;
mod memory;
mod menus;
pub mod message;
mod parts;
mod pictures;
mod pointing;
mod regions;
pub mod session;
mod settings;
mod state;
mod task;
mod unread;
mod views;
#[cfg(target_arch = "wasm32")]
pub mod wasm;
mod words;
mod zone;

pub use message::{Boot, Event, Gesture, Keeping, Origin, Patch, Picture, Pointer, Surroundings};
pub use pictures::Room;
pub use session::Session;
pub use zone::ZoneChange;
