//! The one binary of Farheard.
fn main() {}
