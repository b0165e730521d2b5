//! The same spots under other names and at coarser places: for what leaves without some of them.

use super::builder::settle_places;
use super::station::{CallId, StationId, Stations};
use super::table::SpotTable;

impl SpotTable {
    /// The same rows in the same order, each call under the name that `call` gives it, locators no longer than `chars`
    /// characters, and the files under other names. Numbers of calls stay; where each stands is settled anew.
    ///
    /// `call` must give each call a name of its own, `files` a name for each file.
    #[must_use]
    pub fn renamed(&self, call: impl Fn(CallId) -> String, chars: usize, files: Vec<String>) -> Self {
        let mut stations = Stations::default();
        let names: Vec<String> = (0..).take(self.stations.calls()).map(|id| call(CallId(id))).collect();
        for name in &names {
            stations.call_id(name);
        }
        let known = (0..).take(self.stations.len()).map(StationId);
        let now: Vec<StationId> = known
            .map(|id| {
                let locator = self.stations.locator(id).map(|locator| locator.shortened(chars));
                stations.station_id(&names[self.stations.call_of(id).index()], locator)
            })
            .collect();
        let mut table = Self { stations, files, ..self.clone() };
        for station in table.spots.tx.iter_mut().chain(&mut table.spots.rx) {
            *station = now[*station as usize].0;
        }
        settle_places(&mut table);
        table
    }
}

#[cfg(test)]
mod tests {
    use crate::geography::Locator;
    use crate::model::{Band, CallId, Spot, TableBuilder};
    use crate::time::UtcTime;

    #[test]
    fn rows_and_numbers_of_calls_stay_and_places_are_settled_anew() {
        let mut builder = TableBuilder::new();
        builder.begin_file("a.csv");
        for (minute, locator) in [(0, "JO10ab"), (2, "JO20cd"), (4, "JO20ef")] {
            let tx = builder.station("Q7TST", Locator::parse("JN99fl").ok());
            let rx = builder.station("Q1AA", Locator::parse(locator).ok());
            builder.push(Spot {
                time: UtcTime::from_calendar(2031, 4, 27, 6, minute, 0).unwrap(),
                tx,
                rx,
                freq_hz: None,
                band: Band::UNKNOWN,
                snr_db: None,
                drift_hz_min: None,
                power_dbm: None,
                line: minute + 2,
            });
        }
        let table = builder.freeze();
        let far = table.stations().find_call("Q1AA").unwrap();
        assert_eq!(table.place(far).unwrap().to_string(), "JO10ab", "each was reported once: the first by name");
        let other = table.renamed(|call| format!("N{}", call.index()), 4, vec!["b.csv".to_owned()]);
        assert_eq!((other.len(), other.line(2), other.file_name(other.file(0))), (3, 6, "b.csv"));
        assert_eq!((other.stations().calls(), other.stations().len()), (2, 3));
        assert_eq!(other.stations().call(far), format!("N{}", far.index()));
        assert_eq!(other.place(far).unwrap().to_string(), "JO20", "two reports lie there now");
        assert_eq!(other.place(CallId(0)).unwrap().to_string(), "JN99");
    }
}
