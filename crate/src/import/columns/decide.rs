//! What is decided once for a whole column: order of dates, decimal mark, units.
//!
//! Decisions look at the counts over all cells, never at the first ones; see [`super::evidence`].

use super::evidence::{Evidence, NumberEvidence, OrderTally, TimeEvidence, share};
use super::vocabulary::{Header, Meaning};
use crate::import::words::{DateOrder, DecimalMark, FreqUnit, PowerUnit, Zone};

/// What a decision rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Basis {
    /// The question does not arise.
    Moot,
    /// The person said so.
    Wished,
    /// The file says so in words.
    Stated,
    /// Only this makes sense of the cells.
    Decided,
    /// Other readings make as much sense.
    Assumed,
    /// The cells contradict what the header says, and only this makes sense of them.
    Overruled,
    /// No one answer fits all cells.
    Mixed,
}

/// Order of day, month and year.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct OrderDecision {
    pub(crate) order: DateOrder,
    pub(crate) basis: Basis,
}

/// Decides the order of dates from all triples of the column.
///
/// An order that makes a day of every triple is possible. Of several, dates with a year of four digits are assumed in
/// the order in which they lie closest together (days of one test, not of one year); points speak for the day,
/// a twelve-hour clock for the month, dashes for the year (of two digits). If no order is possible, the column is mixed, unless fewer than one date in two
/// hundred is against the best.
pub(crate) fn date_order(tally: &OrderTally, twelve_hours: bool, wish: Option<DateOrder>) -> OrderDecision {
    let total = tally.total();
    if let Some(order) = wish {
        return OrderDecision { order, basis: if total == 0 { Basis::Moot } else { Basis::Wished } };
    }
    if total == 0 {
        return OrderDecision { order: DateOrder::DayFirst, basis: Basis::Moot };
    }
    let possible: Vec<DateOrder> = DateOrder::ALL.iter().copied().filter(|&order| tally.against(order) == 0).collect();
    match possible[..] {
        // with the name of the month nobody doubts that the day comes first
        [DateOrder::DayFirst] if tally.named == total => {
            OrderDecision { order: DateOrder::DayFirst, basis: Basis::Moot }
        }
        [order] => OrderDecision { order, basis: Basis::Decided },
        [] => {
            let best =
                DateOrder::ALL.iter().copied().min_by_key(|&order| tally.against(order)).unwrap_or(DateOrder::DayFirst);
            let few = tally.against(best) * 200 <= total;
            OrderDecision { order: best, basis: if few { Basis::Decided } else { Basis::Mixed } }
        }
        _ => {
            let days = |order: DateOrder| tally.span[order as usize].map_or(i32::MAX, |(first, last)| last - first);
            let custom = |order: DateOrder| match order {
                DateOrder::YearFirst => 3 * u8::from(tally.dashes == 0),
                DateOrder::DayFirst => 1 + u8::from(twelve_hours && tally.points == 0),
                DateOrder::MonthFirst => 1 + u8::from(!twelve_hours) + u8::from(tally.points > 0),
            };
            let order =
                possible.iter().copied().min_by_key(|&o| (days(o), custom(o), o)).unwrap_or(DateOrder::DayFirst);
            let near = tally.named == total && order == DateOrder::DayFirst && days(order) < days(DateOrder::YearFirst);
            OrderDecision { order, basis: if near { Basis::Moot } else { Basis::Assumed } }
        }
    }
}

/// Mark before decimals: as the cells show, else as the rest of the file has it.
pub(crate) fn decimal_mark(numbers: &NumberEvidence, wish: Option<DecimalMark>, rest: DecimalMark) -> DecimalMark {
    wish.unwrap_or(match numbers.sure_point.cmp(&numbers.sure_comma) {
        std::cmp::Ordering::Greater => DecimalMark::Point,
        std::cmp::Ordering::Less => DecimalMark::Comma,
        // 14,097 in one column and 7.04 in another: the open ones group thousands or not as the others do
        std::cmp::Ordering::Equal => rest,
    })
}

/// Mark of the file as a whole, for columns that leave it open.
pub(crate) fn mark_of_file<'a>(columns: impl Iterator<Item = &'a Evidence>) -> DecimalMark {
    let (mut point, mut comma) = (0, 0);
    for column in columns {
        point += column.numbers.sure_point;
        comma += column.numbers.sure_comma;
    }
    if comma > point { DecimalMark::Comma } else { DecimalMark::Point }
}

/// Unit of frequencies without one of their own.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct FreqDecision {
    pub(crate) unit: FreqUnit,
    pub(crate) mark: DecimalMark,
    pub(crate) basis: Basis,
    /// How many of how many numbers then lie in amateur bands.
    pub(crate) in_band: u32,
    pub(crate) of: u32,
}

/// Numbers in amateur bands that outweigh a unit stated for frequencies a receiver could well hear.
const OUTWEIGHS: u32 = 8;

/// Frequencies at which beacons of amateurs are usually heard, Hz; below all bands and above the centimetre waves the
/// unit is likelier wrong than the frequency. Common practice, no source.
pub(crate) const BELIEVABLE_HZ: std::ops::RangeInclusive<f64> = 1e5..=3e9;

/// Decides the unit of frequencies: as the header says unless the cells contradict it, else the unit that puts most of
/// them into amateur bands.
///
/// The cells contradict it if another unit puts them into bands and the stated one puts them where no beacon of
/// amateurs is heard; else it takes more of them than a few, for any number out of the bands lies in one a thousand
/// times higher or lower often enough.
pub(crate) fn frequency(
    numbers: &NumberEvidence,
    header: Option<FreqUnit>,
    wish: Option<FreqUnit>,
    mark_wish: Option<DecimalMark>,
    rest: DecimalMark,
) -> FreqDecision {
    let of = numbers.bare;
    let marks: &[DecimalMark] = match (mark_wish, numbers.sure_point, numbers.sure_comma) {
        (Some(DecimalMark::Point), ..) | (None, 1.., 0) => &[DecimalMark::Point],
        (Some(DecimalMark::Comma), ..) | (None, 0, 1..) => &[DecimalMark::Comma],
        (None, point, comma) if point + comma > 0 => {
            if comma > point {
                &[DecimalMark::Comma]
            } else {
                &[DecimalMark::Point]
            }
        }
        _ if rest == DecimalMark::Comma => &[DecimalMark::Comma, DecimalMark::Point],
        _ => &[DecimalMark::Point, DecimalMark::Comma],
    };
    let hits = |unit: FreqUnit, mark: DecimalMark| numbers.in_band[mark as usize][unit as usize];
    let best_mark =
        |unit: FreqUnit| marks.iter().copied().rev().max_by_key(|&mark| hits(unit, mark)).unwrap_or(DecimalMark::Point);
    let decision = |unit: FreqUnit, basis: Basis| {
        let mark = best_mark(unit);
        FreqDecision { unit, mark, basis, in_band: hits(unit, mark), of }
    };
    if let Some(unit) = wish {
        return decision(unit, Basis::Wished);
    }
    // gigahertz only where they are named: most low frequencies in kHz would lie in some microwave band
    let best = [FreqUnit::Hz, FreqUnit::KHz, FreqUnit::MHz]
        .into_iter()
        .max_by_key(|&unit| hits(unit, best_mark(unit)))
        .unwrap_or(FreqUnit::MHz);
    let best_share = share(hits(best, best_mark(best)), of);
    let gives_way = |stated: FreqUnit| {
        let believable = |unit: FreqUnit| BELIEVABLE_HZ.contains(&(numbers.largest * unit.hz()));
        !believable(stated) || of >= OUTWEIGHS && believable(best)
    };
    match header {
        Some(unit) if share(hits(unit, best_mark(unit)), of) >= 0.5 || best_share < 0.8 || !gives_way(unit) => {
            decision(unit, Basis::Stated)
        }
        Some(_) => decision(best, Basis::Overruled),
        None if of == 0 => decision(FreqUnit::MHz, Basis::Moot),
        None if best_share < 0.9 && share(numbers.in_any_band, of) >= best_share + 0.1 && mark_wish.is_none() => {
            decision(best, Basis::Mixed)
        }
        None if best_share >= 0.5 => decision(best, Basis::Decided),
        None => {
            // in no band: by size, since amateurs' frequencies in MHz are below a thousand
            let size = if numbers.largest < 1e3 {
                FreqUnit::MHz
            } else if numbers.largest < 1e6 {
                FreqUnit::KHz
            } else {
                FreqUnit::Hz
            };
            decision(if best_share > 0.2 { best } else { size }, Basis::Assumed)
        }
    }
}

/// Unit of powers without one of their own.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct PowerDecision {
    pub(crate) unit: PowerUnit,
    pub(crate) basis: Basis,
}

/// Decides the unit of powers: as the header says, else dBm where the values are levels that the mode can send
/// (0 to 60 ending in 0, 3 or 7), else watts.
pub(crate) fn power(numbers: &NumberEvidence, header: Option<PowerUnit>, wish: Option<PowerUnit>) -> PowerDecision {
    if let Some(unit) = wish {
        return PowerDecision { unit, basis: Basis::Wished };
    }
    if let Some(unit) = header {
        return PowerDecision { unit, basis: Basis::Stated };
    }
    if numbers.bare == 0 {
        return PowerDecision { unit: PowerUnit::Dbm, basis: Basis::Moot };
    }
    let levels = share(numbers.mode_levels, numbers.bare) >= 0.7 && numbers.largest <= 60.0;
    let unit = if levels || numbers.negative > 0 { PowerUnit::Dbm } else { PowerUnit::W };
    PowerDecision { unit, basis: Basis::Assumed }
}

/// Zone of times without one of their own.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct ZoneDecision {
    pub(crate) zone: Zone,
    /// Seconds east of UTC.
    pub(crate) offset_s: i32,
}

/// Decides the zone from what the headers of the time columns say and whether the cells have zones of their own.
pub(crate) fn zone(headers: &[&Header], times: &[&TimeEvidence], wish: Option<i32>) -> ZoneDecision {
    let said = |meaning: Meaning| headers.iter().any(|header| header.meaning.has(meaning));
    let own = times.iter().any(|t| t.no_zone == 0 && t.utc + t.offset > 0);
    if let Some(offset_s) = wish {
        return ZoneDecision { zone: Zone::Chosen, offset_s };
    }
    if let Some(offset_s) = headers.iter().find_map(|header| header.utc_offset_s) {
        return ZoneDecision { zone: Zone::Stated, offset_s };
    }
    let zone = if said(Meaning::UTC) && !said(Meaning::LOCAL) || own {
        Zone::Stated
    } else if said(Meaning::LOCAL) {
        Zone::Unknown
    } else {
        Zone::AssumedUtc
    };
    ZoneDecision { zone, offset_s: 0 }
}

#[cfg(test)]
mod tests {
    use super::super::evidence::Scratch;
    use super::*;

    fn evidence(cells: &[&str]) -> Evidence {
        let mut evidence = Evidence::default();
        let mut scratch = Scratch::default();
        for cell in cells {
            evidence.add(cell.as_bytes(), 1, &mut scratch);
        }
        evidence
    }

    fn order(cells: &[&str]) -> OrderDecision {
        let times = evidence(cells).times;
        date_order(&times.order, times.twelve_hours > 0, None)
    }

    #[test]
    fn the_whole_column_decides_the_order() {
        let day = DateOrder::DayFirst;
        assert_eq!(
            order(&["03/04/2024 09:30", "13/04/2024 09:30"]),
            OrderDecision { order: day, basis: Basis::Decided }
        );
        assert_eq!(order(&["04/13/2024 09:30", "04/03/2024 09:30"]).order, DateOrder::MonthFirst);
        assert_eq!(
            order(&["03/04/2024 09:30", "04/04/2024 09:30"]),
            OrderDecision { order: day, basis: Basis::Assumed }
        );
        assert_eq!(order(&["04/03/2024 09:30", "04/04/2024 09:30"]).order, DateOrder::MonthFirst);
        assert_eq!(order(&["13/04/2024 08:00", "04/13/2024 08:10"]).basis, Basis::Mixed);
        assert_eq!(order(&["24/04/03 08:00", "24/04/13 08:10"]).order, DateOrder::YearFirst);
        assert_eq!(order(&["2024-04-03 08:00"]).basis, Basis::Moot);
        let moot = OrderDecision { order: day, basis: Basis::Moot };
        for named in
            [["03-Apr-24 08:00", "13-Apr-24 08:10"], ["12-Apr-24 08:00", "13-Apr-24 08:10"], ["3 Apr 24 08:00"; 2]]
        {
            assert_eq!(order(&named), moot, "{named:?}");
        }
        assert_eq!(order(&["24-Apr-03 08:00", "24-Apr-30 08:10"]).order, DateOrder::YearFirst);
        assert_eq!(order(&["24-Apr-26 08:00"]).basis, Basis::Assumed);
    }

    #[test]
    fn units_of_frequencies() {
        let decide =
            |cells: &[&str], header| frequency(&evidence(cells).numbers, header, None, None, DecimalMark::Point);
        let khz = decide(&["137.40", "475.70", "1838.10", "7040.10", "10140.20"], None);
        assert_eq!((khz.unit, khz.basis, khz.in_band), (FreqUnit::KHz, Basis::Decided, 5));
        assert_eq!(decide(&["14,097,150", "7,040,185"], None).unit, FreqUnit::Hz);
        assert_eq!(decide(&["14.097", "7.040"], None).unit, FreqUnit::MHz);
        let comma = decide(&["14,097", "7,040"], Some(FreqUnit::MHz));
        assert_eq!((comma.unit, comma.mark), (FreqUnit::MHz, DecimalMark::Comma));
        assert_eq!(decide(&["14097100", "7040100"], Some(FreqUnit::MHz)).basis, Basis::Overruled);
        assert_eq!(decide(&["14097.1"], Some(FreqUnit::MHz)).basis, Basis::Overruled);
        assert_eq!(decide(&["14.0971"], Some(FreqUnit::Hz)).basis, Basis::Overruled);
        let outside = decide(&["137400000", "5760000"], Some(FreqUnit::Hz));
        assert_eq!((outside.unit, outside.basis, outside.in_band), (FreqUnit::Hz, Basis::Stated, 0));
        assert_eq!(decide(&["475.7"; 3], Some(FreqUnit::MHz)).basis, Basis::Stated);
        assert_eq!(decide(&["475.7"; 8], Some(FreqUnit::MHz)).basis, Basis::Overruled);
        assert_eq!(decide(&["14.0971", "7040.1", "10140200"], None).basis, Basis::Mixed);
        assert_eq!(decide(&["1296.1", "432.1"], None).unit, FreqUnit::MHz);
    }

    #[test]
    fn units_of_powers() {
        let decide = |cells: &[&str]| power(&evidence(cells).numbers, None, None).unit;
        assert_eq!(decide(&["23", "37", "30"]), PowerUnit::Dbm);
        assert_eq!(decide(&["0.2", "5", "1"]), PowerUnit::W);
        assert_eq!(decide(&["100", "5", "400"]), PowerUnit::W);
    }
}
