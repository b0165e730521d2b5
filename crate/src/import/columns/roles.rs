//! Which column is what: a search over assignments, scored by header words, content and how columns lie together.
//!
//! Every role gets a few candidate columns with points; a beam of partial assignments is carried from role to role;
//! what fits together (a call with its locator, the power beside the transmitter) earns or costs points on the way.
//! The best complete assignment wins, the next best is kept.

use super::evidence::{Dependence, Evidence, share};
use super::vocabulary::{Header, Meaning};
use crate::import::fields::stamp::Form;
use crate::import::words::Role;
use crate::order::LightSort;

/// One column as the search sees it.
#[derive(Clone, Debug)]
pub(crate) struct Candidate {
    pub(crate) header: Header,
    pub(crate) evidence: Evidence,
    /// What the person said it is.
    pub(crate) wish: Option<Role>,
}

/// Which columns hang together, for the columns that can be calls.
#[derive(Clone, Debug, Default)]
pub(crate) struct Links {
    /// For a column of calls and another column: does the other depend on the call?
    pub(crate) spreads: Vec<(usize, usize, f64)>,
}

impl Links {
    pub(crate) fn new(dependences: &[(usize, usize, Dependence)]) -> Self {
        Self { spreads: dependences.iter().filter_map(|(a, b, d)| Some((*a, *b, d.spread()?))).collect() }
    }

    fn spread(&self, call: usize, other: usize) -> Option<f64> {
        self.spreads.iter().find(|&&(a, b, _)| (a, b) == (call, other)).map(|&(_, _, spread)| spread)
    }

    /// 1 if a column depends on the call in `own` and clearly not on that in `other`, -1 the other way round, else 0.
    fn prefers(&self, column: usize, own: usize, other: usize) -> f64 {
        match (self.spread(own, column), self.spread(other, column)) {
            (Some(own), Some(other)) if own < 1.3 && other > 1.8 => 1.0,
            (Some(own), Some(other)) if other < 1.3 && own > 1.8 => -1.0,
            _ => 0.0,
        }
    }
}

/// A complete assignment.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Assignment {
    /// Column by role, in the order of [`Role::ALL`].
    columns: [Option<usize>; ROLES],
    /// Points; more is better.
    pub(crate) points: f64,
}

/// Roles other than `ignore`.
const ROLES: usize = 14;
/// Partial assignments carried along.
const BEAM: usize = 96;
/// Columns tried per role.
const TRIED: usize = 6;
/// A column takes a role only from so many points on.
const ENOUGH: f64 = 1.0;

impl Assignment {
    /// The column of a role.
    pub(crate) fn column(&self, role: Role) -> Option<usize> {
        self.columns.get(role as usize).copied().flatten()
    }

    /// The role of a column.
    pub(crate) fn role(&self, column: usize) -> Role {
        Role::ALL.iter().copied().find(|&role| self.column(role) == Some(column)).unwrap_or(Role::Ignore)
    }

    /// Has it both calls?
    pub(crate) fn has_calls(&self) -> bool {
        self.column(Role::Tx).is_some() && self.column(Role::Rx).is_some()
    }

    /// Is there a date with a time of day, in one column or in two?
    pub(crate) fn tells_time(&self) -> bool {
        let has = |role: Role| self.column(role).is_some();
        has(Role::Time) || has(Role::Date) && has(Role::TimeOfDay)
    }

    /// Is there anything that tells a time?
    pub(crate) fn has_some_time(&self) -> bool {
        [Role::Time, Role::Date, Role::TimeOfDay].iter().any(|&role| self.column(role).is_some())
    }
}

/// Points of a column for a role: header words and content. `None` if it is out of the question.
pub(crate) fn points(role: Role, column: &Candidate, with_header: bool) -> Option<f64> {
    if let Some(wish) = column.wish {
        return (wish == role).then_some(20.0);
    }
    let content = content(role, &column.evidence);
    let said = header_points(role, &column.header);
    let evidence = &column.evidence;
    // `frequency` over names of bands, and hours alone, which are no times of day
    let bands = column.header.meaning.has(Meaning::FREQ)
        && evidence.numbers.with_freq_unit == 0
        && share(evidence.bands, evidence.filled) > 0.8;
    let said = match role {
        Role::Freq if bands => return None,
        Role::Band if bands => 3.0,
        Role::TimeOfDay if column.header.hours && evidence.times.clocks == 0 && evidence.times.largest_clock < 25 => {
            return None;
        }
        _ => said,
    };
    let empty = column.evidence.filled == column.evidence.missing;
    let content_points = if empty { 0.0 } else { 4.0 * (content - 0.5) };
    // a header in words we do not know leaves the weaker roles to columns whose header says so
    let unknown = with_header && said == 0.0 && is_weak(role);
    let points = said + content_points - if unknown { 1.2 } else { 0.0 };
    let impossible = said <= 0.0 && (empty || content < 0.3);
    (points >= ENOUGH && !impossible).then_some(points)
}

/// Roles whose content alone is no strong sign.
fn is_weak(role: Role) -> bool {
    matches!(role, Role::Snr | Role::Drift | Role::Power | Role::Distance | Role::Azimuth | Role::Band)
}

/// Points for what the header says: for the role, nothing, or against it.
fn header_points(role: Role, header: &Header) -> f64 {
    use Meaning as M;
    let meaning = header.meaning;
    if meaning.is_none() {
        return 0.0;
    }
    let strong = if header.in_words { 3.0 } else { 2.5 };
    let things = M::THINGS;
    let own = |own: Meaning| {
        if meaning.has(own) && !meaning.without(own).has(things) {
            strong
        } else if meaning.has(own) {
            1.0
        } else {
            -3.0
        }
    };
    let call = |side: Meaning, other: Meaning| {
        if meaning.has(things) || meaning.has(other) {
            -3.0
        } else if meaning.has(side) {
            if meaning.has(M::CALL) { 3.2 } else { 3.0 }
        } else if meaning.has(M::CALL) {
            1.5
        } else {
            // `name`, `who`: calls are calls where no header claims them
            -0.8
        }
    };
    let place = |side: Meaning, other: Meaning| match (meaning.has(M::LOCATOR), meaning.has(side)) {
        _ if meaning.has(other) => -3.0,
        (true, true) => 3.2,
        (true, false) => 1.5,
        // `from`, `receiver`: the side alone, over a column of locators
        (false, true) if !meaning.has(things) => 2.0,
        // a column of locators is one whatever it is called
        (false, _) => -0.8,
    };
    // of two levels the one as heard is meant, of two powers the one that is sent
    let reckoned = if header.is_reckoned { 0.8 } else { 0.0 };
    // of two times the one in UTC is meant
    let local = if meaning.has(M::LOCAL) && !meaning.has(M::UTC) { 0.4 } else { 0.0 };
    match role {
        Role::Time => match (meaning.has(M::TIME), meaning.has(M::DATE)) {
            (true, true) => 3.3 - local,
            (true, false) => own(M::TIME) - local,
            (false, true) => own(M::DATE) - 0.5,
            (false, false) => -3.0,
        },
        Role::Date => match (meaning.has(M::TIME.without(M::UTC)), meaning.has(M::DATE)) {
            (true, true) => 1.5,
            (_, true) => own(M::DATE),
            (true, false) => 0.0,
            _ => -3.0,
        },
        Role::TimeOfDay => match (meaning.has(M::TIME), meaning.has(M::DATE)) {
            (true, true) => 1.5,
            (true, false) => own(M::TIME) - local,
            _ => -3.0,
        },
        Role::Tx => call(M::TX, M::RX),
        Role::Rx => call(M::RX, M::TX),
        Role::TxLoc => place(M::TX, M::RX),
        Role::RxLoc => place(M::RX, M::TX),
        Role::Freq if meaning.has(M::DRIFT.with(M::SNR).with(M::POWER)) => -3.0,
        Role::Freq => own(M::FREQ),
        Role::Band => own(M::BAND),
        Role::Snr if meaning.has(M::POWER) && !meaning.has(M::REPORT) => -1.0,
        Role::Snr => own(M::SNR) - reckoned,
        // `frequency drift` is a drift
        Role::Drift if meaning.has(M::DRIFT) => strong,
        Role::Power if meaning.has(M::POWER) => strong - reckoned,
        Role::Drift | Role::Power => -3.0,
        Role::Distance => own(M::DISTANCE),
        Role::Azimuth => own(M::AZIMUTH),
        Role::Ignore => 0.0,
    }
}

/// How well the cells fit a role, 0 to 1.
pub(crate) fn content(role: Role, evidence: &Evidence) -> f64 {
    let filled = evidence.filled.saturating_sub(evidence.missing);
    let of = |count: u32| share(count, filled);
    let times = &evidence.times;
    let numbers = &evidence.numbers;
    let numeric = of(numbers.count);
    let mean = if numbers.count == 0 { 0.0 } else { numbers.sum / f64::from(numbers.count) };
    // numbers of days without a fraction are dates
    let serial = times.forms[Form::Serial as usize] + times.forms[Form::JulianDay as usize];
    let dates = if serial > 0 && numbers.whole == numbers.count { serial } else { 0 };
    match role {
        Role::Time => {
            of(times.whole.saturating_sub(dates))
                + 0.6 * of(times.minutes)
                + 0.7 * of(times.rounded_times)
                + 0.4 * of(times.rounded_dates)
                + 0.5 * of(times.hashes)
        }
        Role::Date => {
            of(times.dates + dates) + 0.5 * of(times.rounded_dates) + 0.3 * of(times.hashes) + 0.25 * of(times.whole)
        }
        Role::TimeOfDay => {
            let bare = of(times.bare_clocks.max(times.fractions));
            // bare digits are clocks where they reach far beyond sixty, as minutes of a day do
            let padded = times.padded_clocks == times.bare_clocks;
            let bare = bare * if padded || times.largest_clock > 360 || times.clock_digits >= 5 { 0.85 } else { 0.4 };
            of(times.clocks).max(bare) + 0.45 * of(times.minutes) + 0.3 * of(times.hashes) + 0.2 * of(times.whole)
        }
        Role::Tx | Role::Rx => {
            let calls = of(evidence.calls) + 0.9 * of(evidence.call_traces);
            if evidence.locators * 2 > evidence.calls { 0.2 * calls } else { calls.min(1.0) }
        }
        Role::TxLoc | Role::RxLoc => of(evidence.locators),
        Role::Freq => {
            let fit = numeric * (0.3 + 0.7 * numbers.best_band_share());
            // small whole numbers are not frequencies, even where some name a band in MHz
            let whole_small =
                numbers.whole == numbers.count && numbers.largest.abs() < 1000.0 && numbers.with_freq_unit == 0;
            if whole_small || numbers.negative > 0 { 0.5 * fit } else { fit }
        }
        Role::Band => {
            let bare = of(evidence.band_metres.max(evidence.band_mhz));
            of(evidence.bands).max(0.6 * bare)
        }
        Role::Snr => {
            let sane = numeric * f64::from(u8::from(numbers.smallest >= -99.0 && numbers.largest <= 999.0));
            let typical = (-32.0..=12.0).contains(&mean) && numbers.negative > 0 && numbers.smallest < -4.5;
            sane * if typical || numbers.with_db * 2 > numbers.count { 1.0 } else { 0.5 }
        }
        Role::Drift => {
            let small = numbers.smallest >= -9.0 && numbers.largest <= 9.0;
            let typical = small && mean.abs() < 2.5 && (numbers.negative > 0 || numbers.largest <= 4.0);
            numeric
                * if typical {
                    0.85
                } else if small {
                    0.6
                } else {
                    0.4
                }
        }
        Role::Power => {
            let united = share(numbers.with_power_unit, numbers.count);
            let levels = share(numbers.mode_levels, numbers.count);
            let flat_zero = numbers.largest == 0.0 && numbers.smallest == 0.0;
            let typical = levels > 0.9 && numbers.largest >= 10.0 && !flat_zero;
            (numeric * (if typical { 0.95 } else { 0.45 })).max(united * of(numbers.count))
        }
        Role::Distance => {
            let sane = numbers.smallest >= 0.0 && numbers.largest <= 21_700.0;
            let wide = numbers.largest > 370.0;
            numeric
                * if !sane {
                    0.2
                } else if wide {
                    0.8
                } else {
                    0.5
                }
        }
        Role::Azimuth => {
            let sane = numbers.smallest >= 0.0 && numbers.largest <= 360.0;
            let wide = numbers.largest > 90.0 && evidence.distinct() > 2;
            numeric
                * if !sane {
                    0.2
                } else if wide {
                    0.78
                } else {
                    0.5
                }
        }
        Role::Ignore => 0.0,
    }
    .min(1.0)
}

/// A partial assignment in the beam.
#[derive(Clone, Debug)]
struct Partial {
    columns: [Option<usize>; ROLES],
    points: f64,
}

/// The best assignments, best first: at least one, at most a few.
pub(crate) fn assign(columns: &[Candidate], links: &Links, with_header: bool) -> Vec<Assignment> {
    // both calls first: locators, power and level are weighed by them
    const ORDER: [Role; ROLES] = [
        Role::Tx,
        Role::Rx,
        Role::TxLoc,
        Role::RxLoc,
        Role::Time,
        Role::Date,
        Role::TimeOfDay,
        Role::Freq,
        Role::Power,
        Role::Snr,
        Role::Drift,
        Role::Band,
        Role::Distance,
        Role::Azimuth,
    ];
    let mut beam = vec![Partial { columns: [None; ROLES], points: 0.0 }];
    for role in ORDER {
        let mut candidates: Vec<(usize, f64)> =
            (0..columns.len()).filter_map(|at| Some((at, points(role, &columns[at], with_header)?))).collect();
        // an earlier column wins where points are the same
        candidates.order_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        candidates.truncate(TRIED);
        let mut next = Vec::with_capacity(beam.len() * (candidates.len() + 1));
        for partial in &beam {
            next.push(partial.clone());
            for &(column, points) in &candidates {
                if partial.columns.contains(&Some(column)) {
                    continue;
                }
                let together = together(role, column, partial, columns, links);
                if let Some(together) = together {
                    let mut with = partial.clone();
                    with.columns[role as usize] = Some(column);
                    with.points += points + together;
                    next.push(with);
                }
            }
        }
        next.order_by(|a, b| b.points.total_cmp(&a.points).then_with(|| earlier(&a.columns, &b.columns)));
        next.truncate(BEAM);
        beam = next;
    }
    beam.into_iter().map(|p| Assignment { columns: p.columns, points: p.points }).take(8).collect()
}

/// On equal points the assignment whose first roles stand further left comes first; none comes last.
fn earlier(a: &[Option<usize>; ROLES], b: &[Option<usize>; ROLES]) -> std::cmp::Ordering {
    let place = |column: &Option<usize>| column.unwrap_or(usize::MAX);
    a.iter().map(place).cmp(b.iter().map(place))
}

/// Points for how a column lies with those already assigned; `None` if they exclude each other.
fn together(role: Role, column: usize, partial: &Partial, columns: &[Candidate], links: &Links) -> Option<f64> {
    let at = |role: Role| partial.columns[role as usize];
    let evidence = |column: usize| &columns[column].evidence;
    let (tx, rx) = (at(Role::Tx), at(Role::Rx));
    // the call in whose block a column stands: the nearest one at or left of it
    let block = |column: usize| tx.into_iter().chain(rx).filter(|&call| call <= column).max();
    Some(match role {
        Role::Rx => {
            let mut points = 0.0;
            if let Some(tx) = tx {
                // the custom of tables without a word on it; power and level together outweigh it
                points += if tx < column { 0.5 } else { 0.0 };
                // where all else is even: one station among many is the tested one, which as a rule transmits
                let (senders, listeners) = (evidence(tx), evidence(column));
                points += match (senders.stands_out_from(listeners), listeners.stands_out_from(senders)) {
                    (true, false) => 0.04,
                    (false, true) => -0.04,
                    _ => 0.0,
                };
            }
            points
        }
        Role::TxLoc => near(column, tx?, rx, links),
        Role::RxLoc => {
            let (tx, rx) = (tx?, rx?);
            // locators stand in the order of their calls
            let in_order = at(Role::TxLoc).map_or(0.0, |own| if (own < column) == (tx < rx) { 0.5 } else { -0.5 });
            near(column, rx, Some(tx), links) + in_order
        }
        // one time in one column, or a date and a time of day in two
        Role::Date | Role::TimeOfDay if at(Role::Time).is_some() => return None,
        Role::TimeOfDay if at(Role::Date).is_some() => 0.8,
        Role::Power => {
            let mut points = match (tx, rx) {
                (Some(_), Some(_)) if block(column) == tx => 0.45,
                (Some(_), Some(_)) if block(column) == rx => -0.45,
                _ => 0.0,
            };
            // the power belongs to the transmitter: it is the same in most of its rows
            if let (Some(tx), Some(rx)) = (tx, rx) {
                points += 0.6 * links.prefers(column, tx, rx);
            }
            points
        }
        Role::Snr => match (tx, rx) {
            (Some(_), Some(_)) if block(column) == rx => 0.2,
            (Some(_), Some(_)) if block(column) == tx => -0.2,
            _ => 0.0,
        },
        _ => 0.0,
    })
}

/// Points for a locator of a call: right behind it, nearer than to the other, and the same for every row of the call.
fn near(column: usize, call: usize, other: Option<usize>, links: &Links) -> f64 {
    let distance = |call: usize| if column > call { column - call } else { 2 * (call - column) };
    let mut points = if distance(call) == 1 { 0.3 } else { 0.0 };
    if let Some(other) = other {
        points += match distance(call).cmp(&distance(other)) {
            std::cmp::Ordering::Less => 0.4,
            std::cmp::Ordering::Equal => 0.0,
            std::cmp::Ordering::Greater => -0.4,
        };
        points += links.prefers(column, call, other);
    }
    points
}

#[cfg(test)]
mod tests {
    use super::super::evidence::Scratch;
    use super::super::vocabulary;
    use super::*;

    /// Roles of a table of which the first row is the header (all empty: none).
    fn roles(table: &[&str]) -> Vec<Role> {
        let rows: Vec<Vec<&str>> = table.iter().map(|row| row.split(',').collect()).collect();
        let with_header = rows[0].iter().any(|h| !h.is_empty());
        let mut scratch = Scratch::default();
        let columns: Vec<Candidate> = (0..rows[0].len())
            .map(|at| {
                let mut evidence = Evidence::default();
                for row in &rows[1..] {
                    evidence.add(row[at].as_bytes(), 1, &mut scratch);
                }
                Candidate { header: vocabulary::read(rows[0][at], ""), evidence, wish: None }
            })
            .collect();
        let best = &assign(&columns, &Links::default(), with_header)[0];
        (0..columns.len()).map(|at| best.role(at)).collect()
    }

    use Role::{Date, Drift, Freq, Ignore, Power, Rx, RxLoc, Snr, Time, TimeOfDay, Tx, TxLoc};

    #[test]
    fn by_header_and_without() {
        let rows = [
            "2024-04-03 12:00,Q1ABC,JO22ob,14.097064,2,1,27,Q8STU,BL11bh",
            "2024-04-03 12:02,Q2RS,EM12kp,7.040067,-24,0,23,Q5AA,KG33xi",
            "2024-04-03 12:04,Q3XY,CM87xj,14.097132,-9,0,27,Q9XYZ,IM76hh",
            "2024-04-03 12:08,Q1ABC,JO22ob,14.097150,-17,1,23,Q9VW,JN05qd",
            "2024-04-03 12:12,Q3XY,CM87xj,14.097109,-27,-1,30,Q8PQ,BP51ab",
        ];
        let right = [Time, Tx, TxLoc, Freq, Snr, Drift, Power, Rx, RxLoc];
        let table = |header: &'static str| [&[header][..], &rows[..]].concat();
        assert_eq!(roles(&table(",,,,,,,,")), right);
        assert_eq!(
            roles(&table("time,transmitter,transmitter locator,frequency,SNR,drift,power,receiver,receiver locator")),
            right
        );
        let turned = [Time, Rx, RxLoc, Freq, Snr, Drift, Power, Tx, TxLoc];
        assert_eq!(
            roles(&table("time,receiver,receiver locator,frequency,SNR,drift,power,transmitter,transmitter locator")),
            turned
        );
        assert_eq!(roles(&table("time,reporter,locator,frequency,SNR,drift,power,call,locator")), turned);
    }

    #[test]
    fn the_power_beside_the_call_and_dates_apart() {
        let rows =
            ["20240403,1200,Q3XY,CM87xj,33,Q8PQ,BP51ab,-21,a", "20240403,1202,Q6EF,JN58td,23,Q7MNO,OJ11vi,-26,a"];
        let header = "date,UTC,call,locator,power dBm,call,locator,SNR dB,constructor";
        assert_eq!(roles(&[header, rows[0], rows[1]]), [Date, TimeOfDay, Tx, TxLoc, Power, Rx, RxLoc, Snr, Ignore]);
        let rows =
            ["2024-04-03 12:00,Q8PQ,BP51ab,-21,Q3XY,CM87xj,33", "2024-04-03 12:02,Q7MNO,OJ11vi,-26,Q6EF,JN58td,23"];
        assert_eq!(
            roles(&["time,call,locator,dB,call,locator,dBm", rows[0], rows[1]]),
            [Time, Rx, RxLoc, Snr, Tx, TxLoc, Power]
        );
    }
}
