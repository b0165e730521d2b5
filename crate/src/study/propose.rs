//! Runs proposed from the data: two calls, two powers in turn, two files, or a gap of hours.
//! A proposal is a beginning for the person, who knows what was really done.

use super::runs::{Rule, Run};
use crate::model::{CallId, RowSet, Side, SpotTable};
use crate::order::{LightSort, distinct};
use crate::time::{UtcTime, WSPR_SLOT_S};

/// A part with less than this share of the spots is a stray, not a run.
const LEAST_SHARE: f64 = 0.08;
/// A silence this long parts two runs, seconds.
const GAP_S: i64 = 4 * 3600;
/// More parts than this are something else than antennas.
const MOST_RUNS: usize = 8;

/// What told the runs apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mark {
    /// Calls that differ in what stands beside the slash.
    Call,
    /// Reported powers, in turn.
    Power,
    /// Files.
    File,
    /// Silences of hours.
    Gap,
}

/// Proposed runs and what told them apart.
#[derive(Clone, Debug, PartialEq)]
pub struct Proposal {
    /// The mark.
    pub mark: Mark,
    /// Two runs or more, in order of time or name.
    pub runs: Vec<Run>,
}

/// Proposes runs for a station's spots, the surest mark first; `None` if the data show a single run.
pub fn propose(table: &SpotTable, station: CallId, side: Side) -> Option<Proposal> {
    by_call(table, station, side).or_else(|| {
        let rows = RowSet::where_(table.len(), |row| table.stations().call_of(table.near(row, side)) == station);
        by_power(table, &rows).or_else(|| by_file(table, &rows)).or_else(|| by_gap(table, &rows))
    })
}

/// The longest part of a call between slashes: the same for `Q7TST`, `Q7TST/2` and `Q1/Q7TST`.
pub fn base(call: &str) -> &str {
    call.split('/').max_by_key(|part| part.len()).unwrap_or(call)
}

fn by_call(table: &SpotTable, station: CallId, side: Side) -> Option<Proposal> {
    let wanted = base(table.stations().call(station)).to_owned();
    let counted = super::tested::frequencies(table, side);
    let own = counted.iter().map(|&(call, spots)| (table.stations().call(call).to_owned(), spots));
    let own: Vec<_> = own.filter(|(call, _)| base(call) == wanted).collect();
    let runs = parts(&own, |call| Run {
        name: call.clone(),
        rule: Rule { call: Some(call.clone()), ..Rule::default() },
        ..Run::default()
    })?;
    Some(Proposal { mark: Mark::Call, runs })
}

fn by_power(table: &SpotTable, rows: &RowSet) -> Option<Proposal> {
    // tenths of a dBm, spots, first and last
    let mut powers: Vec<(i64, usize, UtcTime, UtcTime)> = Vec::new();
    for row in rows.iter() {
        #[expect(clippy::cast_possible_truncation, reason = "tenths of a dBm")]
        let tenths = (table.power_dbm(row)? * 10.0).round() as i64;
        let time = table.time(row);
        match powers.iter().position(|power| power.0 == tenths) {
            Some(at) => {
                let power = &mut powers[at];
                power.1 += 1;
                (power.2, power.3) = (power.2.min(time), power.3.max(time));
            }
            // so many powers are no marks of antennas
            None if powers.len() > 8 * MOST_RUNS => return None,
            None => powers.push((tenths, 1, time, time)),
        }
    }
    powers.order_by_key(|power| power.0);
    let counts: Vec<(i64, usize)> = powers.iter().map(|&(tenths, spots, ..)| (tenths, spots)).collect();
    let runs = parts(&counts, |&tenths| {
        let dbm = tenths as f64 / 10.0;
        Run { name: format!("{dbm} dBm"), rule: Rule { power_dbm: Some(dbm), ..Rule::default() }, ..Run::default() }
    })?;
    // powers one after the other may be one antenna at two powers: only powers in turn mark antennas
    let kept: Vec<(UtcTime, UtcTime)> = powers
        .iter()
        .filter(|power| runs.iter().any(|run| run.rule.power_dbm == Some(power.0 as f64 / 10.0)))
        .map(|power| (power.2, power.3))
        .collect();
    let in_turn = kept.windows(2).all(|pair| pair[0].0 < pair[1].1 && pair[1].0 < pair[0].1);
    in_turn.then_some(Proposal { mark: Mark::Power, runs })
}

fn by_file(table: &SpotTable, rows: &RowSet) -> Option<Proposal> {
    let mut counts: Vec<(usize, usize)> = (0..table.files().len()).map(|file| (file, 0)).collect();
    for row in rows.iter() {
        counts[table.file(row).index()].1 += 1;
    }
    let runs = parts(&counts, |&file| {
        let name = &table.files()[file];
        let stem = name.rsplit(['/', '\\']).next().unwrap_or(name);
        let stem = stem.split('.').next().filter(|stem| !stem.is_empty()).unwrap_or(stem);
        Run { name: stem.to_owned(), rule: Rule { file: Some(name.clone()), ..Rule::default() }, ..Run::default() }
    })?;
    Some(Proposal { mark: Mark::File, runs })
}

fn by_gap(table: &SpotTable, rows: &RowSet) -> Option<Proposal> {
    let mut times: Vec<UtcTime> = rows.iter().map(|row| table.time(row)).collect();
    times.order_by(UtcTime::cmp);
    let stretches: Vec<((UtcTime, UtcTime), usize)> = times
        .chunk_by(|a, b| b.unix_s() - a.unix_s() < GAP_S)
        .filter_map(|stretch| Some(((*stretch.first()?, *stretch.last()?), stretch.len())))
        .collect();
    let runs = parts(&stretches, |(first, last)| {
        // up to the end of the slot of its last spot
        let rule = Rule { from: Some(*first), to: last.plus_s(WSPR_SLOT_S), ..Rule::default() };
        Run { name: day_name(*first), rule, ..Run::default() }
    })?;
    let names = distinct(runs.iter().map(|run| &run.name));
    let runs = if names.len() == runs.len() { runs } else { runs.into_iter().map(with_clock).collect() };
    Some(Proposal { mark: Mark::Gap, runs })
}

/// `2031-10-11`: the day on which a stretch begins.
fn day_name(time: UtcTime) -> String {
    time.iso().split('T').next().unwrap_or_default().to_owned()
}

/// Two stretches of one day are told apart by their first minute.
fn with_clock(run: Run) -> Run {
    let name = run.rule.from.map_or(run.name.clone(), UtcTime::date_and_minute);
    Run { name, ..run }
}

/// Runs for the parts that are no strays; `None` unless two to eight remain and they hold nearly everything.
fn parts<K>(counts: &[(K, usize)], run: impl Fn(&K) -> Run) -> Option<Vec<Run>> {
    let all: usize = counts.iter().map(|(_, spots)| spots).sum();
    let kept: Vec<&(K, usize)> = counts.iter().filter(|(_, spots)| *spots as f64 >= LEAST_SHARE * all as f64).collect();
    let held: usize = kept.iter().map(|(_, spots)| spots).sum();
    let clear = (2..=MOST_RUNS).contains(&kept.len()) && held as f64 >= 0.9 * all as f64;
    clear.then(|| kept.into_iter().map(|(key, _)| run(key)).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{Band, Spot, TableBuilder};

    /// File, minute, call and power of each spot.
    fn table(spots: &[(&str, i64, &str, f64)]) -> SpotTable {
        let mut builder = TableBuilder::new();
        let mut file = "";
        for (line, (name, minute, call, power)) in (2..).zip(spots) {
            if *name != file {
                builder.begin_file(name);
                file = name;
            }
            let (tx, rx) = (builder.station(call, None), builder.station(&format!("Q{}AA", minute % 7), None));
            let time = UtcTime::from_unix_s(1_935_100_800 + minute * 60).unwrap();
            builder.push(Spot {
                time,
                tx,
                rx,
                freq_hz: None,
                band: Band::UNKNOWN,
                snr_db: None,
                drift_hz_min: None,
                power_dbm: Some(*power),
                line,
            });
        }
        builder.freeze()
    }

    fn proposed(spots: &[(&str, i64, &str, f64)]) -> Option<(Mark, Vec<String>)> {
        let table = table(spots);
        let station = table.stations().find_call("Q7TST").unwrap();
        let proposal = propose(&table, station, Side::Sends)?;
        Some((proposal.mark, proposal.runs.into_iter().map(|run| run.name).collect()))
    }

    fn day(
        file: &'static str,
        start: i64,
        call: &'static str,
        power: impl Fn(i64) -> f64,
    ) -> Vec<(&'static str, i64, &'static str, f64)> {
        (0..100).map(|at| (file, start + at * 10, call, power(at))).collect()
    }

    fn names(list: &[&str]) -> Vec<String> {
        list.iter().map(|&name| name.to_owned()).collect()
    }

    #[test]
    fn each_mark_is_seen() {
        let one = day("a.csv", 0, "Q7TST", |_| 23.0);
        assert_eq!(proposed(&one), None);
        let in_turn = day("a.csv", 0, "Q7TST", |at| if at % 2 == 0 { 23.0 } else { 20.0 });
        assert_eq!(proposed(&in_turn), Some((Mark::Power, names(&["20 dBm", "23 dBm"]))));
        let two_calls =
            [one.clone(), day("a.csv", 1, "Q7TST/2", |_| 23.0), day("a.csv", 2, "Q9CTL", |_| 23.0)].concat();
        assert_eq!(proposed(&two_calls), Some((Mark::Call, names(&["Q7TST", "Q7TST/2"]))));
        let files = [one.clone(), day("loop in May.csv", 1000, "Q7TST", |_| 23.0)].concat();
        assert_eq!(proposed(&files), Some((Mark::File, names(&["a", "loop in May"]))));
        let gap = [one.clone(), day("a.csv", 2880, "Q7TST", |_| 23.0)].concat();
        let (mark, runs) = proposed(&gap).unwrap();
        assert_eq!((mark, runs.len()), (Mark::Gap, 2));
        // one power after the other is no sign of two antennas
        let stepped = day("a.csv", 0, "Q7TST", |at| if at < 50 { 23.0 } else { 30.0 });
        assert_eq!(proposed(&stepped), None);
    }
}
