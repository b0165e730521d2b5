//! An invented run for the tests of figures: listeners at given distances and bearings of a home.

use farheard::geography::{Geodesic, Locator, Position};
use farheard::model::{Band, CallId, Side, Spot, SpotTable, TableBuilder};
use farheard::study::{self, BandHours, Listener, Sector, Subject, Tally, Timeline};
use farheard::time::UtcTime;

/// An invented listener.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Far {
    pub(crate) km: f64,
    pub(crate) bearing_deg: f64,
    pub(crate) spots: u32,
    pub(crate) band: &'static str,
}

pub(crate) const fn far(km: f64, bearing_deg: f64, spots: u32, band: &'static str) -> Far {
    Far { km, bearing_deg, spots, band }
}

/// A fixed sequence of shares from 0 up to 1: G. L. Steele, D. Lea and C. H. Flood,
/// 'Fast splittable pseudorandom number generators', OOPSLA (2014), figure 16.
pub(crate) fn shares(seed: u64) -> impl FnMut() -> f64 {
    let mut state = seed;
    move || {
        state = state.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = state;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }
}

/// The table of a run of `Q7TST` from the middle of a cell; listeners are Q1A, Q2A, ... in the order given.
/// Spots of a listener come every 26 minutes from an hour of its own on.
pub(crate) fn table(home: &str, listeners: &[Far]) -> SpotTable {
    let geodesic = Geodesic::wgs84();
    let home = Locator::parse(home).unwrap();
    let start = UtcTime::parse_iso("2031-05-17").unwrap();
    let mut builder = TableBuilder::new();
    builder.begin_file("invented.csv");
    let tx = builder.station("Q7TST", Some(home));
    let mut line = 1;
    for (number, far) in listeners.iter().enumerate() {
        let place = geodesic.destination(home.centre(), far.bearing_deg, far.km);
        let rx = builder.station(&format!("Q{}A", number + 1), Some(locator(place)));
        for spot in 0..far.spots {
            line += 1;
            let minute = i64::from(spot) * 26 + i64::try_from(number).unwrap() * 94;
            builder.push(Spot {
                time: start.plus_s(minute % 1440 * 60 + i64::from(spot / 50) * 2).unwrap(),
                tx,
                rx,
                freq_hz: None,
                band: Band::from_name(far.band).unwrap(),
                snr_db: Some(-20.0),
                drift_hz_min: None,
                power_dbm: Some(23.0),
                line,
            });
        }
    }
    builder.freeze()
}

fn locator(place: Position) -> Locator {
    Locator::of_position(place, 10)
}

/// All results of a run that figures show.
#[derive(Debug)]
pub(crate) struct Results<'a> {
    pub(crate) subject: Subject<'a>,
    pub(crate) listeners: Vec<Listener>,
    pub(crate) sectors: Vec<Sector>,
    pub(crate) hours: Vec<BandHours>,
    pub(crate) timeline: Option<Timeline>,
    pub(crate) bands: Vec<Band>,
}

impl<'a> Results<'a> {
    pub(crate) fn of(table: &'a SpotTable, home: Option<Locator>) -> Self {
        let call = table.stations().find_call("Q7TST").unwrap();
        let subject = Subject::new(table, &[call], Side::Sends, home);
        let rows = subject.rows().clone();
        let tally = Tally::of(&subject, &rows);
        Self {
            listeners: study::listeners(&subject, &tally),
            sectors: study::bearings(&subject, &tally),
            hours: study::hours(&tally),
            timeline: study::timeline(&subject, &rows, 24),
            bands: tally.bands.clone(),
            subject,
        }
    }

    pub(crate) fn call(&self, name: &str) -> CallId {
        self.subject.table().stations().find_call(name).unwrap()
    }
}

/// A day's run in central Europe as it may be: near listeners on all sides, two close together, two far ones.
pub(crate) const ONE_RUN: [Far; 14] = [
    far(88.0, 130.0, 120, "17m"),
    far(240.0, 101.0, 40, "20m"),
    far(310.0, 300.0, 180, "80m"),
    far(318.0, 301.5, 12, "80m"),
    far(455.0, 340.0, 60, "40m"),
    far(520.0, 65.0, 6, "17m"),
    far(730.0, 200.0, 22, "30m"),
    far(940.0, 275.0, 104, "80m"),
    far(1010.0, 291.0, 8, "40m"),
    far(1260.0, 3.0, 130, "80m"),
    far(1720.0, 294.0, 31, "40m"),
    far(1890.0, 305.0, 5, "20m"),
    far(7716.0, 306.0, 2, "40m"),
    far(9240.0, 51.0, 1, "30m"),
];
