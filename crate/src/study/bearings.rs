//! Sixteen sectors of bearing at the tested station, the first centred on north.

use super::subject::Subject;
use super::tally::Tally;
use crate::model::CallId;

/// Width of a sector in degrees.
pub const WIDTH_DEG: f64 = 22.5;

/// One sector.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sector {
    /// Lower edge in degrees, included; the first sector begins at -11.25.
    pub from_deg: f64,
    /// Upper edge in degrees, excluded.
    pub to_deg: f64,
    /// Spots.
    pub spots: usize,
    /// Far stations.
    pub listeners: usize,
    /// Distance of the farthest station in km.
    pub farthest_km: Option<f64>,
}

/// The sector, 0 to 15, that holds a bearing in degrees.
pub fn sector_of(bearing_deg: f64) -> usize {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "from 0 up to 16")]
    let sector = ((bearing_deg + WIDTH_DEG / 2.0).rem_euclid(360.0) / WIDTH_DEG) as usize;
    sector.min(15)
}

/// How many sectors there are.
pub(super) const SECTORS: usize = 16;

/// The sector of each of [`Subject::far_calls`]; [`SECTORS`] for those without a bearing.
pub(super) fn sectors_of_far(subject: &Subject<'_>) -> Vec<u8> {
    let sector = |&call: &CallId| subject.path(call)?.path.bearing_deg.map(sector_of);
    let far = subject.far_calls().iter();
    far.map(|call| u8::try_from(sector(call).unwrap_or(SECTORS)).unwrap_or(u8::MAX)).collect()
}

/// The sixteen sectors, clockwise from north. Stations without a bearing are in none of them.
pub fn bearings(subject: &Subject<'_>, tally: &Tally) -> Vec<Sector> {
    let mut sectors: Vec<Sector> = (0..SECTORS)
        .map(|at| {
            let from_deg = at as f64 * WIDTH_DEG - WIDTH_DEG / 2.0;
            Sector { from_deg, to_deg: from_deg + WIDTH_DEG, spots: 0, listeners: 0, farthest_km: None }
        })
        .collect();
    for far in &tally.far {
        let Some(path) = subject.path(far.call).map(|far| far.path) else { continue };
        let Some(bearing) = path.bearing_deg else { continue };
        let sector = &mut sectors[sector_of(bearing)];
        sector.listeners += 1;
        sector.spots += far.spots();
        sector.farthest_km = Some(sector.farthest_km.map_or(path.distance_km, |km| km.max(path.distance_km)));
    }
    sectors
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn north_is_one_sector() {
        assert_eq!(sector_of(0.0), 0);
        assert_eq!(sector_of(11.2), 0);
        assert_eq!(sector_of(348.75), 0);
        assert_eq!(sector_of(348.74), 15);
        assert_eq!(sector_of(359.999), 0);
        assert_eq!(sector_of(90.0), 4);
    }
}
