//! The page for people who see, move or point otherwise.
//!
//! - [`states`]: the states that are looked at, one walk through all of them
//! - [`rules`]: axe-core in every state and theme, on a desk and on a phone
//!
//! `probe.js` holds the instruments that look at one state from inside the page.

mod rules;
mod states;
