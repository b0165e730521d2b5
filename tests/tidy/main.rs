//! What must stay true of the project as a whole, read from its own files.
//!
//! - [`layers`]: each layer of the core uses only the layers before it; browser crates stay at the edge
//! - [`dependencies`]: the list of what the core stands on, each with its reason
//! - [`addresses`]: nothing the page is made of names a place outside
//! - [`markup`]: nothing in the views that the page's policy would silently switch off
//! - [`page`]: the built page: its weight, its one script
//! - [`documents`]: samples listed, commands real, top level fixed, no unfinished work
//! - [`sources`]: the project's files

#[cfg(test)]
mod addresses;
#[cfg(test)]
mod dependencies;
#[cfg(test)]
mod documents;
#[cfg(test)]
mod layers;
#[cfg(test)]
mod markup;
#[cfg(test)]
mod page;
#[cfg(test)]
mod sources;
