//! Results.
