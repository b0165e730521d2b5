//! Where the bars and cells of a figure lie, for pointer and keyboard.

/// One bar or cell: the whole area that speaks of it, not only the inked part.
#[derive(Clone, Debug, PartialEq)]
pub struct SceneBar {
    /// Left edge in pixels.
    pub x: f64,
    /// Upper edge in pixels.
    pub y: f64,
    /// Width in pixels.
    pub width: f64,
    /// Height in pixels.
    pub height: f64,
    /// What it says, in words.
    pub label: String,
}

/// All bars or cells, in reading order.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct BarScene {
    /// The bars.
    pub bars: Vec<SceneBar>,
}

impl BarScene {
    /// The bar at a place of the picture.
    pub fn hit(&self, x: f64, y: f64) -> Option<usize> {
        self.bars.iter().position(|bar| bar.x <= x && x < bar.x + bar.width && bar.y <= y && y < bar.y + bar.height)
    }
}
