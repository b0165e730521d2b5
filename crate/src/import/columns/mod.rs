//! What the columns of a table are: header words and content, weighed together.
//!
//! - [`vocabulary`]: header words
//! - [`evidence`]: what cells could be
//! - [`decide`]: what is decided once for a whole column
//! - [`roles`]: the search for which column is what

pub(crate) mod decide;
pub(crate) mod evidence;
pub(crate) mod roles;
pub(crate) mod vocabulary;
