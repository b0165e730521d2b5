//! What the page looks like, against small pictures of it that are kept.
//!
//! - [`looks`]: the widths and themes it is looked at in, one test each over the walk of [`crate::access::states`]
//! - [`small`]: a screenshot made small, and how far two of them differ
//! - [`strip`]: the small pictures of one look, side by side in one PNG that is committed
//! - [`png`]: reading and writing PNG
//! - [`contact`]: all screenshots on one page, for people
//!
//! The screenshots themselves stand in `target/pictures/page/`, the small ones in `tests/pictures/page/`. See
//! `tests/pictures/README.md`.

mod contact;
mod looks;
pub(crate) mod png;
mod small;
mod strip;
