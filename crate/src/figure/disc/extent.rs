//! How far the map reaches: one of a few round distances, and which of two views it opens on.

use crate::geography::OPPOSITE_KM;
use crate::order::LightSort;
use crate::study::Listener;
use crate::units::KM_PER_MILE;
use crate::words::Length;

/// How far a map reaches, and how far its rings lie apart.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Extent {
    /// Distance of the map's edge from home, km.
    pub rim_km: f64,
    /// Distance from ring to ring, km: a round number in the unit shown.
    pub ring_km: f64,
}

impl Extent {
    /// The map of the whole earth, whose edge is the point opposite home.
    pub fn whole_earth(length: Length) -> Self {
        let ring_km = match length {
            Length::Km => 5000.0,
            Length::Miles => 3000.0 * KM_PER_MILE,
        };
        Self { rim_km: OPPOSITE_KM, ring_km }
    }

    /// All extents, smallest first: round in the unit, with four rings.
    pub fn all(length: Length) -> Vec<Self> {
        let round: [f64; 7] = match length {
            Length::Km => [500.0, 1000.0, 2000.0, 4000.0, 8000.0, 12000.0, 16000.0],
            // nearly the same lengths, with rings at round miles
            Length::Miles => [400.0, 800.0, 1200.0, 2400.0, 4800.0, 8000.0, 10000.0].map(|mi| mi * KM_PER_MILE),
        };
        let four_rings = |rim_km: f64| Self { rim_km, ring_km: rim_km / 4.0 };
        round.into_iter().map(four_rings).chain([Self::whole_earth(length)]).collect()
    }

    /// The smallest extent that holds a distance in km.
    pub fn holding(km: f64, length: Length) -> Self {
        Self::all(length).into_iter().find(|extent| km <= extent.rim_km).unwrap_or(Self::whole_earth(length))
    }

    /// Is its edge the point opposite home, beyond which there is nothing?
    pub fn is_whole_earth(self) -> bool {
        self.rim_km >= OPPOSITE_KM
    }
}

/// Which of the two views.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ViewKind {
    /// Every listener heard at least twice.
    WholeReach,
    /// Nine listeners of ten.
    NearView,
}

/// The two views of a set of listeners.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Views {
    /// The smallest extent that holds every listener heard at least twice; never smaller than the near view.
    pub whole: Extent,
    /// The smallest extent that holds nine listeners of ten.
    pub near: Extent,
    /// The view a disc opens on.
    pub opens_on: ViewKind,
}

impl Views {
    /// The extent of a view.
    pub fn extent(&self, kind: ViewKind) -> Extent {
        match kind {
            ViewKind::WholeReach => self.whole,
            ViewKind::NearView => self.near,
        }
    }
}

/// The two views of these listeners, of whom only those with a known place count. Give it all of them,
/// not what a filter leaves, so that a filter does not move the map.
///
/// It opens on the whole reach when listeners beyond the near view were heard at least three times in all,
/// since far contacts are what many test for. With no listener both are the smallest extent over 1000 km.
pub fn views(listeners: &[Listener], length: Length) -> Views {
    let mut placed: Vec<(f64, usize)> =
        listeners.iter().filter_map(|one| Some((one.far?.path.distance_km, one.spots))).collect();
    placed.order_by(|a, b| a.0.total_cmp(&b.0));
    let Some(last) = placed.len().checked_sub(1) else {
        let usual = Extent::holding(1000.5, length);
        return Views { whole: usual, near: usual, opens_on: ViewKind::WholeReach };
    };
    let nine_of_ten = (placed.len() * 9).div_ceil(10).saturating_sub(1).min(last);
    let near = Extent::holding(placed[nine_of_ten].0, length);
    let repeated = placed.iter().rev().find(|&&(_, spots)| spots >= 2).map_or(placed[last].0, |&(km, _)| km);
    let whole = Extent::holding(repeated, length);
    let whole = if whole.rim_km < near.rim_km { near } else { whole };
    let beyond: usize = placed.iter().filter(|&&(km, _)| km > near.rim_km).map(|&(_, spots)| spots).sum();
    let opens_on = if beyond >= 3 || whole == near { ViewKind::WholeReach } else { ViewKind::NearView };
    Views { whole, near, opens_on }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn extents_are_round_in_their_unit_and_hold_what_they_should() {
        for length in [Length::Km, Length::Miles] {
            let all = Extent::all(length);
            assert!(all.windows(2).all(|pair| pair[0].rim_km < pair[1].rim_km));
            for extent in &all {
                let ring = length.value(extent.ring_km);
                assert!((ring - ring.round()).abs() < 1e-9 && ring.round() % 25.0 == 0.0, "{ring}");
                assert_eq!(Extent::holding(extent.rim_km, length), *extent);
            }
            assert!(Extent::holding(19_999.0, length).is_whole_earth());
            assert!(Extent::holding(20_003.0, length).is_whole_earth());
            assert!(Extent::holding(f64::NAN, length).is_whole_earth());
        }
        assert_eq!(Extent::holding(0.0, Length::Km), Extent { rim_km: 500.0, ring_km: 125.0 });
    }
}
