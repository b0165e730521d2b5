//! Runs: which spots belong to which antenna. A spot belongs to the first run whose rule it fits.

use std::fmt;

use super::dial::audio_hz;
use farheard_scan::column;

use crate::geography::Locator;
use crate::model::{CallId, RowSet, Side, SpotTable, StationId};
use crate::time::{DAY_S, UtcTime};
use crate::units::plain_number;

/// Reported powers this near a rule's fit it, dB: allowed levels lie 3 dB apart and more.
const POWER_FITS_DB: f64 = 0.5;
/// Frequencies below this are audio, Hz: no amateur band lies so low.
const AUDIO_BELOW_HZ: f64 = 5_000.0;

/// What a spot must fit to belong to a run; `None` asks nothing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Rule {
    /// Name of the file it came from.
    pub file: Option<String>,
    /// Call of the tested station, upper case.
    pub call: Option<String>,
    /// Reported power in dBm, within half a dB.
    pub power_dbm: Option<f64>,
    /// From this instant on.
    pub from: Option<UtcTime>,
    /// Before this instant.
    pub to: Option<UtcTime>,
    /// In one of these minutes of the hour.
    pub minutes: Option<Vec<u8>>,
    /// In this range, Hz, ends included; below 5000 the audio frequency over the band's customary dial frequency.
    pub hz: Option<(f64, f64)>,
    /// With a locator of the tested station inside this one.
    pub locator: Option<Locator>,
    /// On one of these UTC days, as days since 1970.
    pub days: Option<Vec<u32>>,
}

/// Why a rule cannot be understood, as a sentence.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RuleError(String);

impl fmt::Display for RuleError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for RuleError {}

impl Rule {
    /// Reads conditions joined by blanks, such as `call=Q7TST power=20` or `days=2031-04-27,2031-04-28`.
    ///
    /// A file name may hold blanks: it goes on until the next condition.
    ///
    /// # Errors
    /// Names the condition that cannot be understood, and what it should look like.
    pub fn parse(text: &str) -> Result<Self, RuleError> {
        let mut rule = Self::default();
        let mut conditions: Vec<(&str, String)> = Vec::new();
        let mut blanks = String::new();
        for piece in text.trim().split_inclusive(char::is_whitespace) {
            let word = piece.trim_end();
            if word.is_empty() {
                blanks += piece;
                continue;
            }
            let before = std::mem::replace(&mut blanks, piece.trim_start_matches(word).to_owned());
            match word.split_once('=') {
                Some((key, _)) if conditions.iter().any(|(other, _)| *other == key) => {
                    return Err(RuleError(format!(
                        "'{key}=' stands twice in the rule; several values of a kind need runs of their own"
                    )));
                }
                Some((key, "")) if KEYS.contains(&key) => {
                    return Err(RuleError(format!("'{key}=' has no value behind it")));
                }
                Some((key, value)) if KEYS.contains(&key) => conditions.push((key, value.to_owned())),
                _ => match conditions.last_mut() {
                    Some(("file", value)) => value.extend([before.as_str(), word]),
                    _ => {
                        return Err(RuleError(format!(
                            "'{word}' is no condition of a run; conditions are {}",
                            KEYS.join("=, ") + "="
                        )));
                    }
                },
            }
        }
        if conditions.is_empty() {
            return Err(RuleError("a run needs at least one condition, such as power=20".to_owned()));
        }
        for (key, value) in &conditions {
            rule.set(key, value)?;
        }
        Ok(rule)
    }

    fn set(&mut self, key: &str, value: &str) -> Result<(), RuleError> {
        let wrong = |should: &str| RuleError(format!("'{key}={value}': {should}"));
        let time = || UtcTime::parse_iso(value).ok_or_else(|| wrong("a time looks like 2031-04-27T06:30Z"));
        match key {
            "file" => self.file = Some(value.to_owned()),
            "call" => self.call = Some(value.to_ascii_uppercase()),
            "power" => {
                self.power_dbm = Some(plain_number(value).ok_or_else(|| wrong("a power is a number of dBm"))?);
            }
            "from" => self.from = Some(time()?),
            "to" => self.to = Some(time()?),
            "minutes" => {
                let minutes: Option<Vec<u8>> =
                    value.split(',').map(|minute| minute.trim().parse().ok().filter(|&m| m < 60)).collect();
                self.minutes = Some(minutes.ok_or_else(|| wrong("minutes are numbers from 0 to 59 with commas"))?);
            }
            "hz" => {
                let range =
                    value.split_once("..").and_then(|(low, high)| Some((plain_number(low)?, plain_number(high)?)));
                let range = range.filter(|(low, high): &(f64, f64)| low <= high && *low >= 0.0);
                self.hz = Some(range.ok_or_else(|| wrong("a range looks like 1400..1500 or 14097000..14097200"))?);
            }
            "locator" => self.locator = Some(Locator::parse(value).map_err(|error| wrong(&error.to_string()))?),
            _ => {
                let day = |text: &str| Some(UtcTime::parse_iso(text).filter(|_| text.trim().len() == 10)?.day_number());
                let days: Option<Vec<u32>> = value.split(',').map(day).collect();
                self.days = Some(days.ok_or_else(|| wrong("days look like 2031-04-27,2031-04-29"))?);
            }
        }
        Ok(())
    }

    /// The same rule for a control beacon: its call, power and frequency are its own.
    fn of_control(&self) -> Self {
        Self { call: None, power_dbm: None, hz: None, ..self.clone() }
    }

    /// Does a row fit?
    pub fn fits(&self, table: &SpotTable, row: usize, side: Side) -> bool {
        self.fits_station(table, table.near(row, side)) && self.fits_row(table, row)
    }

    /// The rows that fit.
    fn rows_among(&self, table: &SpotTable, rows: &RowSet, side: Side) -> RowSet {
        rows.filtered(|row| self.fits(table, row, side))
    }

    /// Does the station at the tested end fit?
    fn fits_station(&self, table: &SpotTable, near: StationId) -> bool {
        self.call.as_ref().is_none_or(|call| table.stations().call(table.stations().call_of(near)) == call)
            && self.locator.is_none_or(|cell| table.stations().locator(near).is_some_and(|locator| cell.holds(locator)))
    }

    /// Does it ask for anything that differs between rows of one station?
    fn asks_rows(&self) -> bool {
        let of_stations = Self { call: self.call.clone(), locator: self.locator, ..Self::default() };
        *self != of_stations
    }

    /// Does what else stands in a row fit?
    fn fits_row(&self, table: &SpotTable, row: usize) -> bool {
        let time = table.time(row);
        self.power_dbm
            .is_none_or(|wanted| table.power_dbm(row).is_some_and(|dbm| (dbm - wanted).abs() <= POWER_FITS_DB))
            && self.from.is_none_or(|from| time >= from)
            && self.to.is_none_or(|to| time < to)
            && self.minutes.as_ref().is_none_or(|minutes| minutes.contains(&time.minute()))
            && self.days.as_ref().is_none_or(|days| days.contains(&time.day_number()))
            && self.hz.is_none_or(|range| fits_hz(table, row, range))
            && self.file.as_ref().is_none_or(|file| same_file(table.file_name(table.file(row)), file))
    }
}

/// The rule as [`Rule::parse`] reads it; nothing for one that asks nothing.
impl fmt::Display for Rule {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut parts: Vec<String> = Vec::new();
        let list = |items: Vec<String>| items.join(",");
        parts.extend(self.call.as_ref().map(|call| format!("call={call}")));
        parts.extend(self.power_dbm.map(|dbm| format!("power={dbm}")));
        parts.extend(self.from.map(|time| format!("from={}", time.iso())));
        parts.extend(self.to.map(|time| format!("to={}", time.iso())));
        parts.extend(
            self.days.as_ref().map(|days| format!("days={}", list(days.iter().map(|&day| date(day)).collect()))),
        );
        let minutes = self.minutes.as_ref();
        parts.extend(minutes.map(|minutes| format!("minutes={}", list(minutes.iter().map(u8::to_string).collect()))));
        parts.extend(self.hz.map(|(low, high)| format!("hz={low}..{high}")));
        parts.extend(self.locator.map(|locator| format!("locator={locator}")));
        // last, as its name may hold blanks
        parts.extend(self.file.as_ref().map(|file| format!("file={file}")));
        f.write_str(&parts.join(" "))
    }
}

/// `2031-04-27` of a day counted from 1970.
pub fn date(day: u32) -> String {
    let time = UtcTime::from_unix_s(i64::from(day) * DAY_S);
    time.map_or_else(String::new, |time| time.iso().split('T').next().unwrap_or_default().to_owned())
}

const KEYS: [&str; 9] = ["file", "call", "power", "from", "to", "minutes", "hz", "locator", "days"];

/// A rule may name a file with or without the folders before it, or the archive that it came in.
pub(crate) fn same_file(name: &str, wanted: &str) -> bool {
    let last = |path: &str| path.rsplit(['/', '\\']).next() == Some(path);
    let ends = |path: &str, end: &str| {
        last(end) && path.strip_suffix(end).is_some_and(|before| before.is_empty() || before.ends_with(['/', '\\']))
    };
    ends(name, wanted)
        || ends(wanted, name)
        || name == wanted
        || name.strip_prefix(wanted).is_some_and(|inside| inside.starts_with('/'))
}

fn fits_hz(table: &SpotTable, row: usize, (low, high): (f64, f64)) -> bool {
    let Some(freq_hz) = table.freq_hz(row) else { return false };
    let value = if high < AUDIO_BELOW_HZ { audio_hz(table.band(row), freq_hz) } else { Some(freq_hz) };
    value.is_some_and(|hz| low <= hz && hz <= high)
}

/// One antenna's part of the spots.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Run {
    /// What people call it.
    pub name: String,
    /// Which spots are its own.
    pub rule: Rule,
    /// The power really sent, dBm, where the reported one only marks the antenna.
    pub true_power_dbm: Option<f64>,
    /// Feeder loss in dB, from 0: taken off the power at the antenna.
    pub feeder_loss_db: f64,
}

impl Run {
    /// SNR of a row normalised to 1 W at the antenna, dB; `None` where SNR or power is not known.
    pub fn level_db(&self, table: &SpotTable, row: usize) -> Option<f64> {
        let power_dbm = self.true_power_dbm.or_else(|| table.power_dbm(row))?;
        Some(crate::units::snr_at_1w(table.snr_db(row)?, power_dbm) + self.feeder_loss_db)
    }
}

/// The tested calls: those the rules name, else the station's own.
pub fn calls_of(table: &SpotTable, runs: &[Run], station: Option<CallId>) -> Vec<CallId> {
    let mut calls = Vec::new();
    for run in runs {
        let call = match &run.rule.call {
            Some(call) => table.stations().find_call(call),
            None => station,
        };
        if let Some(call) = call
            && !calls.contains(&call)
        {
            calls.push(call);
        }
    }
    if calls.is_empty() { station.into_iter().collect() } else { calls }
}

/// The control's rows in the period of a run, among those of its rows that count: those that fit the run's rule without
/// call, power and frequency; where that names a file or a place that the control has no spot of, those between the
/// run's first and last spot.
pub fn of_control(table: &SpotTable, control: &RowSet, side: Side, run: &Run, own: &RowSet) -> RowSet {
    let mut rule = run.rule.of_control();
    let rows = rule.rows_among(table, control, side);
    if !rows.is_empty() || rule.file.is_none() && rule.locator.is_none() {
        return rows;
    }
    (rule.file, rule.locator) = (None, None);
    let (mut first, mut last) = (u32::MAX, 0);
    for row in own.iter() {
        let second = table.time(row).second();
        (first, last) = (first.min(second), last.max(second));
    }
    rule.from = rule.from.max(Some(UtcTime::from_second(first)));
    let end = UtcTime::from_second(last.saturating_add(1));
    rule.to = Some(rule.to.map_or(end, |to| to.min(end)));
    rule.rows_among(table, control, side)
}

/// The rows of each run among `rows` (those of the tested calls): the first rule that fits has the row.
/// A rule without a call holds the station's own spots only.
pub fn assign(table: &SpotTable, rows: &RowSet, side: Side, runs: &[Run], station: Option<CallId>) -> Vec<RowSet> {
    let station_is_own = |call: CallId| station.is_none_or(|station| station == call);
    let stations = table.stations();
    let mut left = rows.clone();
    let of_run = |run: &Run| {
        // what is asked of stations is asked once of each, not of a million rows
        let fits = |station: StationId| {
            let call = stations.call_of(station);
            (run.rule.call.is_some() || station_is_own(call)) && run.rule.fits_station(table, station)
        };
        let wanted: Vec<bool> = (0..).map(StationId).take(stations.len()).map(fits).collect();
        let held = left.of_bits(column::holding_of(table.near_column(side), left.bits(), &wanted));
        let rows = if run.rule.asks_rows() { held.filtered(|row| run.rule.fits_row(table, row)) } else { held };
        left = left.without(&rows);
        rows
    };
    runs.iter().map(of_run).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rules_are_read_and_wrong_ones_named() {
        let rule = Rule::parse("call=q7tst power=20 minutes=0,4 file=my export.csv from=2031-04-27").unwrap();
        assert_eq!(rule.call.as_deref(), Some("Q7TST"));
        assert_eq!(rule.file.as_deref(), Some("my export.csv"));
        assert_eq!(rule.minutes, Some(vec![0, 4]));
        assert_eq!(rule.from, UtcTime::parse_iso("2031-04-27T00:00Z"));
        for wrong in [
            "",
            "powr=20",
            "power=strong",
            "minutes=61",
            "hz=1500..1400",
            "days=2031-04",
            "locator=ZZ99",
            "to=noon",
            "call=",
        ] {
            let said = Rule::parse(wrong).unwrap_err().to_string();
            assert!(said.len() > 20 && (wrong.is_empty() || said.contains(wrong)), "{wrong}: {said}");
        }
    }

    #[test]
    fn files_are_known_by_their_last_name() {
        assert!(same_file("zip/heard/april.csv", "april.csv"));
        assert!(same_file("april.csv", "test/april.csv"));
        assert!(same_file("a.zip/mon/log.csv", "a.zip") && same_file("a.zip/mon/log.csv", "a.zip/mon/log.csv"));
        for (name, wanted) in [
            ("april.csv", "may.csv"),
            ("a.zip/mon/log.csv", "a.zip/tue/log.csv"),
            ("log.csv", "g.csv"),
            ("big.csv.gz", "big.csv"),
        ] {
            assert!(!same_file(name, wanted), "{name} {wanted}");
        }
    }
}
