//! A part of the map, larger: the rim stays where it is, the map moves inside it.

use super::scene::Scene;

/// Which part of the map is seen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Zoom {
    /// How many times larger than the whole extent; from 1.
    pub factor: f64,
    /// Place in the middle of the map: km east of home, as the map measures.
    pub east_km: f64,
    /// Km north of home.
    pub north_km: f64,
}

/// Nearest the eye can come.
const MOST: f64 = 64.0;

impl Default for Zoom {
    fn default() -> Self {
        Self { factor: 1.0, east_km: 0.0, north_km: 0.0 }
    }
}

impl Zoom {
    /// Is it the whole extent, with home in the middle?
    pub fn is_whole(self) -> bool {
        self.factor <= 1.0 && !self.is_moved()
    }

    /// Is home off the middle?
    pub fn is_moved(self) -> bool {
        self.east_km != 0.0 || self.north_km != 0.0
    }

    /// Nearer by a factor (farther if it is below 1), keeping the place under (x, y) where it is.
    /// At the whole extent home is back in the middle.
    #[must_use]
    pub fn about(self, scene: &Scene, x: f64, y: f64, by: f64) -> Self {
        let factor = (self.factor * by).clamp(1.0, MOST);
        if !factor.is_finite() || factor <= 1.0 + 1e-9 {
            return Self::default();
        }
        let keep = 1.0 - self.factor / factor;
        let (dx, dy) = (x - scene.centre.x, y - scene.centre.y);
        let km_per_px = 1.0 / scene.px_per_km;
        Self { factor, east_km: self.east_km + dx * km_per_px * keep, north_km: self.north_km - dy * km_per_px * keep }
            .within(scene)
    }

    /// The map drawn along by so many pixels, never past the extent.
    #[must_use]
    pub fn moved(self, scene: &Scene, dx: f64, dy: f64) -> Self {
        if self.factor <= 1.0 {
            return Self::default();
        }
        let km_per_px = 1.0 / scene.px_per_km;
        Self { east_km: self.east_km - dx * km_per_px, north_km: self.north_km + dy * km_per_px, ..self }.within(scene)
    }

    /// The middle stays where the edge of the extent does not come into sight.
    fn within(self, scene: &Scene) -> Self {
        let extent_km = scene.extent_km;
        let most = extent_km * (1.0 - 1.0 / self.factor);
        let off = self.east_km.hypot(self.north_km);
        if !off.is_finite() {
            return Self { east_km: 0.0, north_km: 0.0, ..self };
        }
        if off <= most {
            return self;
        }
        let shrink = most / off;
        Self { east_km: self.east_km * shrink, north_km: self.north_km * shrink, ..self }
    }
}
