//! The page for people who see, move or point otherwise.
//!
//! - [`states`]: the states that are looked at, one walk through all of them
//! - [`rules`]: axe-core in every state and theme, on a desk and on a phone; contrast of words; size of targets
//! - [`reflow`]: 320 pixels wide, 400 %, spacing of text
//! - [`stillness`]: less motion; a sentence and a table for every picture
//! - [`keyboard`], [`touch`]: the whole task by keys alone, and by taps
//!
//! `probe.js` holds the instruments that look at one state from inside the page.

mod keyboard;
mod reflow;
pub(crate) mod rules;
pub(crate) mod states;
mod stillness;
mod touch;
