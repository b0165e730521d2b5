//! Sixteen sectors of bearing at the tested station, the first centred on north.

use serde::Serialize;

use super::levels::Levels;
use super::subject::Subject;
use super::tally::Tally;
use crate::model::RowSet;

/// Width of a sector in degrees.
pub const WIDTH_DEG: f64 = 22.5;

/// One sector.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
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
    /// Median over spots of the SNR normalised to 1 W, dB.
    pub median_snr_1w_db: Option<f64>,
}

/// The sector, 0 to 15, that holds a bearing in degrees.
pub fn sector_of(bearing_deg: f64) -> usize {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "from 0 up to 16")]
    let sector = ((bearing_deg + WIDTH_DEG / 2.0).rem_euclid(360.0) / WIDTH_DEG) as usize;
    sector.min(15)
}

/// The sixteen sectors, clockwise from north. Stations without a bearing are in none of them.
pub fn bearings(subject: &Subject<'_>, rows: &RowSet, tally: &Tally) -> Vec<Sector> {
    let mut sectors: Vec<Sector> = (0..16)
        .map(|at| {
            let from_deg = f64::from(at) * WIDTH_DEG - WIDTH_DEG / 2.0;
            Sector {
                from_deg,
                to_deg: from_deg + WIDTH_DEG,
                spots: 0,
                listeners: 0,
                farthest_km: None,
                median_snr_1w_db: None,
            }
        })
        .collect();
    let table = subject.table();
    let mut sector_of_call = vec![None; table.stations().calls()];
    for far in &tally.far {
        let Some(path) = subject.path(far.call).map(|far| far.path) else { continue };
        let Some(bearing) = path.bearing_deg else { continue };
        let at = sector_of(bearing);
        sector_of_call[far.call.index()] = Some(at);
        let sector = &mut sectors[at];
        sector.listeners += 1;
        sector.spots += far.spots();
        sector.farthest_km = Some(sector.farthest_km.map_or(path.distance_km, |km| km.max(path.distance_km)));
    }
    let mut levels = vec![Levels::default(); sectors.len()];
    for row in rows.iter() {
        if let Some(at) = sector_of_call[subject.far_call(row).index()] {
            levels[at].add(table.snr_1w_db(row));
        }
    }
    for (sector, levels) in sectors.iter_mut().zip(levels) {
        sector.median_snr_1w_db = levels.median();
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
