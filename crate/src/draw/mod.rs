//! Drawing: a surface to draw on, its colours, shapes and scales. Knows nothing of spots.
//!
//! - [`surface`]: the verbs a figure draws with, the same for screen, file and test
//! - [`outline`]: lines, curves and arcs
//! - [`colour`]: colours, contrast, and the step from lightness and hue to red, green and blue
//! - [`palette`]: the tokens of every theme, ramps for bands and counts
//! - [`metrics`]: widths of letters where there is no font to ask
//! - [`glyph`]: the shapes of marks
//! - [`axis`]: round numbers
//! - [`svg`]: a surface that writes SVG text
//! - [`record`]: a surface that remembers what was drawn, for tests
//! - `canvas`: a surface on a browser's canvas (in the page only)

pub mod axis;
#[cfg(target_arch = "wasm32")]
pub mod canvas;
pub mod colour;
pub mod glyph;
pub mod metrics;
pub mod outline;
pub mod palette;
pub mod record;
pub mod surface;
pub mod svg;

pub use colour::{Colour, contrast};
pub use outline::{Outline, Point, Verb};
pub use palette::{Antenna, Palette, Theme};
pub use surface::{Anchor, ArcText, Dash, Face, FillRule, Font, Halo, Pen, Reading, Surface, Text};
