//! Figures: what a recorder saw drawn, and regression pictures.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a test stops at the first surprise, and counts in small numbers"
)]

mod charts;
mod comparing;
mod disc;
mod health;
mod invented_run;
mod pictures;
mod sky;
