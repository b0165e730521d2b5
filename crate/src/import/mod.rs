//! Bytes to spots.
