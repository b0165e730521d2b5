//! A file with its right answers.

use std::fmt::Write as _;

use farheard::import::{self, ErrorKind, NoteKind, Reading, Reason, Wishes};
use farheard::model::{SpotTable, TableBuilder};

/// A file and what must come of it.
#[derive(Debug)]
pub(crate) struct Case {
    name: &'static str,
    bytes: Vec<u8>,
    /// Right answers: all spots of each. None yet: nothing may come of it.
    right: Vec<Vec<String>>,
    aside: Vec<(u32, Reason)>,
    says: Vec<NoteKind>,
    error: Option<ErrorKind>,
}

/// Spots as `12:00 Q1ABC JO22ob > Q8STU BL11bh 20m 14097100 Hz -21 dB 23 dBm`; the day is named unless it is
/// 27 April 2031, and what is missing is left out.
fn spots(table: &SpotTable) -> Vec<String> {
    let stations = table.stations();
    let station = |id| {
        let locator = stations.locator(id).map_or_else(String::new, |locator| format!(" {locator}"));
        format!("{}{locator}", stations.call(stations.call_of(id)))
    };
    (0..table.len())
        .map(|row| {
            let time = table.time(row).iso();
            let time = time.strip_prefix("2031-04-27T").unwrap_or(&time).trim_end_matches('Z');
            let time = time.strip_suffix(":00").unwrap_or(time);
            let mut text = format!("{time} {} > {}", station(table.tx(row)), station(table.rx(row)));
            write!(text, " {}", table.band(row).name()).unwrap();
            for (value, unit) in [(table.freq_hz(row), "Hz"), (table.snr_db(row), "dB"), (table.power_dbm(row), "dBm")]
            {
                if let Some(value) = value {
                    write!(text, " {} {unit}", (value * 100.0).round() / 100.0).unwrap();
                }
            }
            text
        })
        .collect()
}

pub(crate) fn file(name: &'static str, bytes: impl Into<Vec<u8>>) -> Case {
    Case { name, bytes: bytes.into(), right: Vec::new(), aside: Vec::new(), says: Vec::new(), error: None }
}

impl Case {
    /// A right answer; called again, another one.
    pub(crate) fn gives(mut self, spots: &[&str]) -> Self {
        self.right.push(spots.iter().map(|spot| (*spot).to_owned()).collect());
        self
    }

    /// The rows set aside, by line.
    pub(crate) fn aside(mut self, rows: &[(u32, Reason)]) -> Self {
        self.aside = rows.to_vec();
        self
    }

    /// What a person must be told.
    pub(crate) fn says(mut self, kind: NoteKind) -> Self {
        self.says.push(kind);
        self
    }

    /// Why nothing comes of it.
    pub(crate) fn fails(mut self, kind: ErrorKind) -> Self {
        self.error = Some(kind);
        self
    }

    fn fault(&self) -> Option<String> {
        let mut builder = TableBuilder::new();
        let readings = import::read("unknown", &self.bytes, &Wishes::default(), &mut builder);
        let table = builder.freeze();
        let mut faults = String::new();
        let found = spots(&table);
        let nothing = [Vec::new()];
        let right = if self.right.is_empty() { &nothing[..] } else { &self.right[..] };
        if !right.contains(&found) {
            writeln!(faults, "  spots:\n    {}\n  right:\n    {}", found.join("\n    "), right[0].join("\n    "))
                .unwrap();
        }
        let of = |reading: &Reading| {
            assert_eq!(reading.rows, reading.spots + reading.duplicates + reading.set_aside.len() as u64);
            reading.set_aside.iter().map(|row| (row.line, row.reason)).collect::<Vec<_>>()
        };
        let aside: Vec<_> = readings.iter().flat_map(of).collect();
        if aside != self.aside {
            writeln!(faults, "  set aside: {aside:?}, right: {:?}", self.aside).unwrap();
        }
        let kinds: Vec<NoteKind> = readings.iter().flat_map(|r| r.notes.iter().map(|note| note.kind)).collect();
        for kind in self.says.iter().filter(|kind| !kinds.contains(kind)) {
            writeln!(faults, "  not said: {kind:?}").unwrap();
        }
        let errors: Vec<ErrorKind> = readings.iter().filter_map(|r| Some(r.error.as_ref()?.kind)).collect();
        if errors.first().copied() != self.error {
            writeln!(faults, "  error: {errors:?}, right: {:?}", self.error).unwrap();
        }
        (!faults.is_empty()).then(|| {
            let roles: Vec<_> = readings.iter().flat_map(Reading::roles).collect();
            let delimiters: Vec<_> = readings.iter().map(|r| r.delimiter).collect();
            format!("{}\n{faults}  ({delimiters:?} {roles:?}\n  said: {kinds:?})\n", self.name)
        })
    }
}

/// Holds all files of a list against their right answers.
pub(crate) fn hold(cases: &[Case]) {
    let faults: Vec<String> = cases.iter().filter_map(Case::fault).collect();
    assert!(faults.is_empty(), "{} of {} files are read wrong:\n{}", faults.len(), cases.len(), faults.join("\n"));
}
