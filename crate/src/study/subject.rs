//! The tested antenna and its paths: what every other result starts from.

use std::sync::{Arc, OnceLock};

use farheard_scan::{Columns, Cube, Grid, Places, column};

use super::doubt::{Doubts, doubts};

use crate::geography::{Geodesic, Locator, Path, PathUncertainty, Place, Position, place_of};
use crate::model::{Band, CallId, RowSet, Side, SpotTable, StationId};
use crate::order::LightSort;
use crate::time::UtcTime;

/// The path between the tested station and one far station, with how coarse their locators leave it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FarPath {
    /// Distance, and bearing at the tested station.
    pub path: Path,
    /// Where the far station is taken to stand.
    pub locator: Locator,
    /// Greatest error of the distance in km: both cells' centre-to-corner distances.
    pub error_km: f64,
    /// Greatest error of the bearing in degrees, up to 180.
    pub error_deg: f64,
    /// How far east and north of home it lies on a map that keeps distance and bearing, km; without a bearing south.
    pub offset_km: [f64; 2],
}

/// A tested antenna: its call or calls, its side, its place, and the path to every far call.
#[derive(Clone, Debug)]
pub struct Subject<'a> {
    table: &'a SpotTable,
    parts: Arc<SubjectParts>,
}

/// What a [`Subject`] knows besides its table: kept by whoever owns the table, and joined to it again at no cost.
#[derive(Debug)]
pub struct SubjectParts {
    calls: Vec<CallId>,
    side: Side,
    home: Option<Locator>,
    paths: Vec<Option<FarPath>>,
    rows: RowSet,
    /// Looked for when they are first asked for.
    doubts: OnceLock<Doubts>,
    /// Of each far call, likewise.
    places: OnceLock<Vec<Option<Place>>>,
    /// First and last instant of its rows.
    span: OnceLock<Option<(UtcTime, UtcTime)>>,
    /// All calls, farthest first.
    farthest_first: OnceLock<Vec<CallId>>,
    /// Who stands at the far ends.
    far_ends: FarEnds,
    /// The bands of its rows.
    bands: OnceLock<Vec<Band>>,
}

impl<'a> Subject<'a> {
    /// The antenna of the given calls (several where runs differ by call) on a side.
    ///
    /// Its home is the place of the first call that has one, unless `home` names another.
    pub fn new(table: &'a SpotTable, calls: &[CallId], side: Side, home: Option<Locator>) -> Self {
        let stations = table.stations();
        let own: Vec<bool> = stations.call_of_each().iter().map(|&call| calls.contains(&CallId(call))).collect();
        let rows = table.all_rows().of_bits(column::holding(table.near_column(side), &own));
        let home = home.or_else(|| calls.iter().find_map(|&call| table.place(call)));
        let far_ends = FarEnds::of(table, &rows, side);
        let mut paths = Vec::new();
        if let Some(home) = home {
            let geodesic = Geodesic::wgs84();
            let far = far_ends.locators(table);
            paths.extend(far.into_iter().map(|locator| Some(far_path(&geodesic, home, locator?))));
        }
        let parts = SubjectParts {
            calls: calls.to_vec(),
            side,
            home,
            paths,
            rows,
            doubts: OnceLock::new(),
            places: OnceLock::new(),
            span: OnceLock::new(),
            farthest_first: OnceLock::new(),
            far_ends,
            bands: OnceLock::new(),
        };
        Self { table, parts: Arc::new(parts) }
    }

    /// The subject again, from the table that its parts were made with.
    pub fn from_parts(table: &'a SpotTable, parts: Arc<SubjectParts>) -> Self {
        Self { table, parts }
    }

    /// What it knows besides the table.
    pub fn parts(&self) -> Arc<SubjectParts> {
        Arc::clone(&self.parts)
    }

    /// The table it reads from.
    pub fn table(&self) -> &'a SpotTable {
        self.table
    }

    /// The tested calls, the first being the main one.
    pub fn calls(&self) -> &[CallId] {
        &self.parts.calls
    }

    /// Does the antenna send or hear?
    pub fn side(&self) -> Side {
        self.parts.side
    }

    /// Where the tested station stands, if any report or the person says so.
    pub fn home(&self) -> Option<Locator> {
        self.parts.home
    }

    /// Centre of the home cell.
    pub fn home_position(&self) -> Option<Position> {
        self.parts.home.map(Locator::centre)
    }

    /// All rows of the tested antenna.
    pub fn rows(&self) -> &RowSet {
        &self.parts.rows
    }

    /// Its doubtful spots.
    pub fn doubts(&self) -> &Doubts {
        self.parts.doubts.get_or_init(|| doubts(self))
    }

    /// The far call of a row.
    pub fn far_call(&self, row: usize) -> CallId {
        self.table.stations().call_of(self.far_station(row))
    }

    /// The far station of a row.
    pub fn far_station(&self, row: usize) -> StationId {
        self.table.far(row, self.parts.side)
    }

    /// The path to a far call, if both places are known.
    pub fn path(&self, call: CallId) -> Option<&FarPath> {
        self.parts.paths.get(call.index())?.as_ref()
    }

    /// The far calls of its rows, in order of first appearance.
    pub fn far_calls(&self) -> &[CallId] {
        &self.parts.far_ends.calls
    }

    /// How many spots each station has at the far end.
    pub(super) fn spots_by_far_station(&self) -> Vec<u32> {
        let (table, side) = (self.table, self.parts.side);
        if self.rows().count() == table.len() {
            let other = if side == Side::Sends { Side::Hears } else { Side::Sends };
            return table.spots_by_station(other).to_vec();
        }
        column::tallied(table.far_column(side), self.rows().bits(), table.stations().len())
    }

    /// The columns of the table for scans of its rows: far calls are places among [`Subject::far_calls`], groups the bands, levels the SNR.
    pub(super) fn columns(&self) -> Columns<'_> {
        self.table.columns(&self.parts.far_ends.of_row)
    }

    /// What stands in rows of its own, by time as well: so many steps of the grid together.
    pub(super) fn cube(&self, rows: &RowSet, grid: Grid, joined: usize) -> Cube {
        let places = Places { of_group: &self.place_of_band(), count: self.bands().len() };
        Cube::of(&self.columns(), rows.bits(), places, self.far_calls().len(), grid, joined)
    }

    /// The bands of all its rows, in order of wavelength, other and unknown last.
    pub fn bands(&self) -> &[Band] {
        self.parts.bands.get_or_init(|| {
            let present = column::groups(self.table.band_column(), self.rows().bits());
            Band::all().filter(|band| present >> band.index() & 1 == 1).collect()
        })
    }

    /// The place of each band, by its index, among [`Subject::bands`].
    pub(super) fn place_of_band(&self) -> [usize; Band::COUNT] {
        let mut places = [0; Band::COUNT];
        for (place, band) in self.bands().iter().enumerate() {
            places[band.index()] = place;
        }
        places
    }

    /// First and last instant of all its rows; `None` without rows.
    pub fn span(&self) -> Option<(UtcTime, UtcTime)> {
        *self.parts.span.get_or_init(|| {
            let (first, last) = column::span(self.table.time_column(), self.rows().bits())?;
            Some((UtcTime::from_second(first), UtcTime::from_second(last)))
        })
    }

    /// All calls of the table, farthest first; those without a path last, in order of call.
    pub fn farthest_first(&self) -> &[CallId] {
        self.parts.farthest_first.get_or_init(|| {
            let stations = self.table.stations();
            let mut calls: Vec<CallId> = (0..).take(stations.calls()).map(CallId).collect();
            let distance = |call: CallId| self.path(call).map_or(-1.0, |far| far.path.distance_km);
            calls.order_by(|&a, &b| {
                distance(b).total_cmp(&distance(a)).then_with(|| stations.call(a).cmp(stations.call(b)))
            });
            calls
        })
    }

    /// Country and continent of a far call; `None` if no locator of it is known.
    pub fn place(&self, call: CallId) -> Option<&Place> {
        let parts = &self.parts;
        let places = parts.places.get_or_init(|| {
            let far = parts.far_ends.locators(self.table);
            far.into_iter().map(|locator| locator.map(place_of)).collect()
        });
        places.get(call.index())?.as_ref()
    }
}

impl SubjectParts {
    /// The tested calls, the first being the main one.
    pub fn calls(&self) -> &[CallId] {
        &self.calls
    }
}

/// Who stands at the far ends of a subject's rows.
#[derive(Debug)]
struct FarEnds {
    calls: Vec<CallId>,
    /// For each row of the table the place of its far call among these; of rows that are not the subject's none.
    of_row: Vec<u32>,
}

impl FarEnds {
    fn of(table: &SpotTable, rows: &RowSet, side: Side) -> Self {
        let stations = table.stations();
        let far = table.far_column(side);
        let (calls, of_row) = column::numbered(far, rows.bits(), &stations.call_of_each(), stations.calls());
        Self { calls: calls.into_iter().map(CallId).collect(), of_row }
    }

    /// The locator of each call of the table that is among these.
    fn locators(&self, table: &SpotTable) -> Vec<Option<Locator>> {
        let mut locators = vec![None; table.stations().calls()];
        for &call in &self.calls {
            locators[call.index()] = table.place(call);
        }
        locators
    }
}

/// Path and uncertainty between two cells.
fn far_path(geodesic: &Geodesic, home: Locator, far: Locator) -> FarPath {
    let path = geodesic.path(home.centre(), far.centre());
    let uncertainty = PathUncertainty::of(path.distance_km, home.uncertainty_km() + far.uncertainty_km());
    let (sin, cos) = path.bearing_deg.unwrap_or(180.0).to_radians().sin_cos();
    FarPath {
        path,
        offset_km: [path.distance_km * sin, path.distance_km * cos],
        locator: far,
        error_km: uncertainty.distance_km,
        // where the cells may overlap or lie opposite, any direction
        error_deg: uncertainty.bearing_deg.unwrap_or(180.0),
    }
}
