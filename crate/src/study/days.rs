//! Days of a run, and what several days each tell that one day cannot: how much days alone differ.

use super::distribution::t_quantile;
use super::pairs::{Pair, Report};
use super::runs::Rule;
use crate::order::{LightSort, Sums};
use crate::time::DAY_S;

/// A silence this long ends a stretch of a run, seconds.
const STRETCH_ENDS_S: i64 = 6 * 3600;
/// The day-to-day allowance counts as so many observed days.
const ALLOWANCE_DEGREES: f64 = 4.0;

/// The reports of a run by day: UTC dates where the rule names days, else its stretches,
/// cut every 24 hours from their first spot (a rest under six hours stays with the day before it).
/// Within a day they stand in order of time.
pub fn by_day(reports: &[Report], rule: &Rule) -> Vec<Vec<Report>> {
    let mut sorted = reports.to_vec();
    sorted.order_by_key(|report| report.time);
    if rule.days.is_some() {
        let dates = sorted.chunk_by(|a, b| a.time.day_number() == b.time.day_number());
        return dates.map(<[Report]>::to_vec).collect();
    }
    let mut days: Vec<Vec<Report>> = Vec::new();
    for stretch in sorted.chunk_by(|a, b| b.time.unix_s() - a.time.unix_s() < STRETCH_ENDS_S) {
        let Some((first, last)) = stretch.first().zip(stretch.last()) else { continue };
        let length = last.time.unix_s() - first.time.unix_s();
        let whole = (length / DAY_S).max(if length % DAY_S >= STRETCH_ENDS_S { length / DAY_S + 1 } else { 1 });
        let mut cut = vec![Vec::new(); usize::try_from(whole).unwrap_or(1).max(1)];
        for report in stretch {
            let day = usize::try_from((report.time.unix_s() - first.time.unix_s()) / DAY_S).unwrap_or(0);
            let day = day.min(cut.len() - 1);
            cut[day].push(*report);
        }
        days.extend(cut.into_iter().filter(|day| !day.is_empty()));
    }
    days
}

/// So many reports are paired at most, each counted once for every day of the other run.
const MOST_REPORTS: f64 = 4e6;
/// And so many days of a run.
const MOST_DAYS: f64 = 100.0;

/// Of very many days those that can be paired, each of A with each of B, in a second or two: evenly spread over all.
/// What days differ by is known well from dozens.
pub fn few_enough(a: Vec<Vec<Report>>, b: Vec<Vec<Report>>) -> (Vec<Vec<Report>>, Vec<Vec<Report>>) {
    let reports: usize = a.iter().chain(&b).map(Vec::len).sum();
    let in_a_day = reports as f64 / (a.len() + b.len()).max(1) as f64;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "10 to 100")]
    let most = (MOST_REPORTS / in_a_day.max(1.0)).sqrt().clamp(10.0, MOST_DAYS) as usize;
    let spread = |days: Vec<Vec<Report>>| {
        let all = days.len().max(most);
        let kept = days.into_iter().enumerate().filter(|(at, _)| at * most / all != (at + 1) * most / all);
        kept.map(|(_, day)| day).collect()
    };
    (spread(a), spread(b))
}

/// Estimate from several days each.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DayEstimate {
    /// Mean over all pairs of an A day and a B day, dB.
    pub mean_db: f64,
    /// Half-width of the 95 % interval, dB.
    pub half_width_db: f64,
    /// Days of A with pairs.
    pub days_a: usize,
    /// Days of B with pairs.
    pub days_b: usize,
}

/// Estimate over the cells of A days and B days: D(i,j) is the mean of a cell, the estimate their mean;
/// the variance of row means and of column means, moderated by the day-to-day allowance `day_to_day_db`
/// (standard deviation between two days) as four further degrees of freedom.
///
/// `None` unless there are three days in all and pairs on at least one day of each.
pub fn several_days(pairs: &[&Pair], day_to_day_db: f64) -> Option<DayEstimate> {
    let number = |day: usize| i64::try_from(day).unwrap_or(i64::MAX);
    let mut cells = Sums::default();
    for pair in pairs {
        cells.add([number(pair.days.0), number(pair.days.1), 0], pair.difference_db);
    }
    let rows = margin_means(&cells, 0);
    let columns = margin_means(&cells, 1);
    let (n_a, n_b) = (rows.len() as f64, columns.len() as f64);
    if rows.is_empty() || n_a + n_b < 3.0 {
        return None;
    }
    // in an order that exchanging A and B does not change, so that it flips the sign exactly
    let mut of_cells: Vec<f64> = cells.iter().map(|(_, sum, n)| sum / n).collect();
    of_cells.order_by(|x, y| x.abs().total_cmp(&y.abs()));
    let mean_db = mean(&of_cells);
    let degrees = n_a + n_b - 2.0;
    let squares = squared_deviations(&rows) + squared_deviations(&columns);
    // one day's own variance is half of that between two days
    let moderated = (squares + ALLOWANCE_DEGREES * day_to_day_db.powi(2) / 2.0) / (degrees + ALLOWANCE_DEGREES);
    let variance = moderated * (1.0 / n_a + 1.0 / n_b);
    Some(DayEstimate {
        mean_db,
        half_width_db: t_quantile(0.975, degrees + ALLOWANCE_DEGREES) * variance.sqrt(),
        days_a: rows.len(),
        days_b: columns.len(),
    })
}

/// Means over the cells of each row (`side` 0) or column (1).
fn margin_means(cells: &Sums, side: usize) -> Vec<f64> {
    let mut margins = Sums::default();
    for (cell, sum, n) in cells.iter() {
        margins.add([cell[side], 0, 0], sum / n);
    }
    margins.iter().map(|(_, sum, n)| sum / n).collect()
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

fn squared_deviations(values: &[f64]) -> f64 {
    let mean = mean(values);
    values.iter().map(|value| (value - mean).powi(2)).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{Band, CallId};
    use crate::time::UtcTime;

    #[test]
    fn of_thousands_of_days_dozens_are_paired() {
        let report = |second: usize| Report {
            listener: CallId(0),
            band: Band::UNKNOWN,
            time: UtcTime::from_unix_s(i64::try_from(second).unwrap()).unwrap(),
            snr_db: -20.0,
            level_db: -20.0,
        };
        let days = |count: usize, of_each: usize| -> Vec<Vec<Report>> {
            (0..count).map(|day| vec![report(day * 86_400); of_each]).collect()
        };
        let kept = |a, b| {
            let (a, b) = few_enough(a, b);
            (a.len(), b.len())
        };
        assert_eq!(kept(days(1, 9), days(100, 9)), (1, 100));
        assert_eq!(kept(days(3000, 3), days(40, 3)), (100, 40));
        assert_eq!(kept(days(365, 2000), days(365, 2000)), (44, 44));
        let (spread, _) = few_enough(days(3000, 3), Vec::new());
        let numbers: Vec<u32> = spread.iter().map(|day| day[0].time.day_number()).collect();
        assert!(numbers.windows(2).all(|pair| pair[1] - pair[0] == 30), "{numbers:?}");
    }
}
