//! The page's side of the core: one session, events in, patches out. It computes nothing itself.
//!
//! - [`message`]: events and patches
//! - [`session`]: what is loaded and shown, and what each event does to it
//! - `files`: taking files in, and correcting how they are read; `task`: reading them step by step;
//!   `memory`: corrections by the headings of files; `unread`: what helps files that gave no spot
//! - `history`: what was done, to take it back and do it again
//! - `act`, `act_runs`, `pointing`: what controls do; pointer and keys over pictures
//! - `regions`: which markup stands where
//! - `loaded`: the table with every result for all rows and for the rows shown
//! - `runs`: a card for each run; `compared`: two of them compared, kept until something changes
//! - `reckoned`: a result and which rows and runs it holds for; given up with them
//! - `planned`: what is asked of the next test; `play`: hours one after the other
//! - `sky`: angles, hops and darkness; `watch`: the health of a beacon
//! - `incoming`: files as they come in; `archive`: those too large to be held; `words`: what a notice says
//! - `feeding`: the feeder of a run, to reckon its loss
//! - `asked_runs`: runs in the address; `percent`: any text in an address
//! - `state`: view, filters, pins, units
//! - `parts`, `menus`: the filter in words and as choices
//! - `saving`: files that leave, and what is kept back of them; `sharing`: a page to be shared, and in one that was
//! - `keeping`: the work as a whole: kept, saved as a file, opened again, put together with another
//! - `zone`: UTC or local time
//! - `pictures`: which figure is drawn how large, and where its marks lie; `pair_pictures`: those of Compare and Plan;
//!   `per_picture`: something for each of them
//! - `told`: events as they cross the seam
//! - `tour`: the sample, step by step
//! - `settings`: the view as a line of text, for the address
//! - `views`: panels as markup
//! - `wasm`: the only place besides the canvas that knows JavaScript

mod act;
mod act_runs;
mod archive;
mod asked_runs;
mod compared;
mod feeding;
mod files;
mod history;
pub mod incoming;
mod keeping;
mod loaded;
mod memory;
mod menus;
pub mod message;
mod pair_pictures;
mod parts;
mod per_picture;
mod percent;
mod pictures;
mod planned;
mod play;
mod pointing;
mod reckoned;
mod regions;
mod runs;
mod saving;
pub mod session;
mod settings;
mod sharing;
mod sky;
mod state;
mod task;
#[cfg(any(target_arch = "wasm32", test))]
mod told;
mod tour;
mod unread;
mod views;
#[cfg(target_arch = "wasm32")]
pub mod wasm;
mod watch;
mod words;
mod zone;

pub use incoming::Incoming;
pub use message::{Boot, Event, Gesture, Keeping, Origin, Patch, Picture, Pointer, Surroundings};
pub use pictures::Room;
pub use session::Session;
pub use zone::ZoneChange;
