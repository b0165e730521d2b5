//! In which slots a beacon sends on which band: a cycle found from the sends that were heard.
//!
//! Each length of a cycle from 1 to 30 slots is tried. A length explains the sends well if they fall on few of its
//! places; how well is the logarithm of their likelihood, less what the free choice of places and their shares costs
//! (G. Schwarz, 'Estimating the Dimension of a Model', The Annals of Statistics 6 (1978), 461-464: half the logarithm of
//! the number of observations for each share).

use super::heard::{Heard, count_within};
use crate::model::Band;
use crate::order::LightSort;

/// The longest cycle tried, slots: an hour of two-minute slots.
const LONGEST: usize = 30;
/// A cycle must explain the sends so much better than chance, natural logarithm.
const LEAST_GAIN: f64 = 10.0;
/// The shortest cycle that gains so large a share of the best one is taken: a multiple gains no more.
const NEARLY_BEST: f64 = 0.93;
/// A place belongs to a band's cycle if it has at least this share of the sends of its fullest place:
/// listeners with wrong clocks put a few sends elsewhere.
const LEAST_OF_FULLEST: f64 = 0.15;
/// More sends than this beside the cycle, and it is none.
const MOST_BESIDE: f64 = 0.2;
/// A band with fewer sends heard shows no cycle.
const LEAST_SENDS: usize = 4;
/// So many sends expected one after the other make a window in which to see whether sends are left out.
const WINDOW: usize = 12;
/// A silence this long ends a window: another antenna may have had its turn, seconds.
const WINDOW_ENDS_S: i64 = 3000;
/// The shortest such window.
const LEAST_WINDOW: usize = 6;
/// In the best tenth of windows at least so many must be heard: who sends in every second of its slots by chance seldom
/// reaches that, and a beacon heard well for an hour does.
const FILLED: f64 = 0.75;

/// The cycle in which a beacon sends.
#[derive(Clone, Debug, PartialEq)]
pub struct Turn {
    /// Length of a slot, seconds.
    pub slot_s: i64,
    /// Length of the cycle, slots.
    pub slots: usize,
    /// The bands whose places in the cycle are known.
    pub bands: Vec<BandTurn>,
    /// Is it sure to send in each of these slots? If not, sends may be left out, and how many were sent is not known.
    pub filled: bool,
}

/// The places of one band in the cycle.
#[derive(Clone, Debug, PartialEq)]
pub struct BandTurn {
    /// The band.
    pub band: Band,
    /// Slots since 1970 with these remainders by the length of the cycle.
    pub places: Vec<usize>,
}

impl Turn {
    /// The places of a band.
    pub fn places(&self, band: Band) -> Option<&[usize]> {
        self.bands.iter().find(|turn| turn.band == band).map(|turn| turn.places.as_slice())
    }

    /// Is a slot one of the band's?
    pub fn holds(&self, band: Band, slot: i64) -> bool {
        self.places(band).is_some_and(|places| places.contains(&self.place(slot)))
    }

    /// How long the cycle lasts, seconds.
    pub fn cycle_s(&self) -> i64 {
        self.slot_s * self.length()
    }

    /// The slots of a band from `from` on and before `to`, in order.
    pub fn of_band(&self, band: Band, from: i64, to: i64) -> impl Iterator<Item = i64> {
        let places = self.places(band).unwrap_or_default();
        let begin = from - from.rem_euclid(self.length());
        let cycles = (begin..to).step_by(self.slots.max(1));
        let slots = cycles.flat_map(move |begin| places.iter().map(move |&place| begin + as_slot(place)));
        slots.filter(move |&slot| from <= slot && slot < to)
    }

    /// The slots of a band in some stretches, in order.
    pub fn in_stretches(&self, band: Band, stretches: &[(i64, i64)]) -> impl Iterator<Item = i64> {
        stretches.iter().flat_map(move |&(from, to)| self.of_band(band, from, to))
    }

    fn length(&self) -> i64 {
        as_slot(self.slots.max(1))
    }

    fn place(&self, slot: i64) -> usize {
        usize::try_from(slot.rem_euclid(self.length())).unwrap_or(0)
    }
}

fn as_slot(place: usize) -> i64 {
    i64::try_from(place).unwrap_or(0)
}

/// Finds the cycle; `None` where the sends show none, or there are too few.
pub fn turn(heard: &Heard) -> Option<Turn> {
    let gains: Vec<f64> =
        (1..=LONGEST).map(|length| heard.bands.iter().map(|band| fit(&band.1, length).0).sum()).collect();
    let best = gains.iter().copied().fold(0.0, f64::max);
    // one band in every slot is a cycle of one slot, which gains nothing over chance: only its filling shows it
    let length = if best < LEAST_GAIN { 1 } else { 1 + gains.iter().position(|&gain| gain >= NEARLY_BEST * best)? };
    let bands = heard.bands.iter().filter_map(|(band, slots)| {
        let (_, places) = fit(slots, length);
        let turn = BandTurn { band: *band, places };
        let within = slots.iter().filter(|slot| turn.places.contains(&place(**slot, length))).count();
        (!turn.places.is_empty() && within as f64 >= (1.0 - 2.0 * MOST_BESIDE) * slots.len() as f64).then_some(turn)
    });
    let mut turn = Turn { slot_s: heard.slot_s, slots: length, bands: bands.collect(), filled: false };
    let all: usize = heard.bands.iter().map(|(_, slots)| slots.len()).sum();
    let within: usize =
        heard.bands.iter().map(|(band, slots)| slots.iter().filter(|slot| turn.holds(*band, **slot)).count()).sum();
    if turn.bands.is_empty() || (within as f64) < (1.0 - MOST_BESIDE) * all as f64 {
        return None;
    }
    turn.filled = is_filled(heard, &turn);
    // without a cycle of its own only full slots tell anything
    (turn.filled || best >= LEAST_GAIN).then_some(turn)
}

fn place(slot: i64, length: usize) -> usize {
    usize::try_from(slot.rem_euclid(as_slot(length))).unwrap_or(0)
}

/// How much better than chance the places of a cycle explain the sends of a band, and which these places are.
fn fit(slots: &[i64], length: usize) -> (f64, Vec<usize>) {
    let mut counts = vec![0_usize; length];
    for &slot in slots {
        counts[place(slot, length)] += 1;
    }
    if slots.len() < LEAST_SENDS {
        return (0.0, Vec::new());
    }
    let mut fullest: Vec<usize> = (0..length).collect();
    fullest.order_by_key(|&place| usize::MAX - counts[place]);
    let least = LEAST_OF_FULLEST * counts[fullest[0]] as f64;
    fullest.retain(|&place| counts[place] > 0 && counts[place] as f64 >= least);
    let (n, length) = (slots.len() as f64, length as f64);
    let of = |count: f64, places: f64| if count > 0.0 { count * (count * length / (n * places)).ln() } else { 0.0 };
    let chosen: f64 = fullest.iter().map(|&place| of(counts[place] as f64, 1.0)).sum();
    let beside = n - fullest.iter().map(|&place| counts[place] as f64).sum::<f64>();
    let others = length - fullest.len() as f64;
    // the number of ways to choose the places, and their shares
    let ways: f64 = (0..fullest.len()).map(|at| ((length - at as f64) / (at as f64 + 1.0)).ln()).sum();
    let gain = chosen + of(beside, others.max(1.0)) - ways - 0.5 * fullest.len() as f64 * n.ln() + 0.5 * n.ln();
    fullest.order_by_key(|&place| place);
    (gain, fullest)
}

/// Are nearly all sends of the best tenth of windows heard?
fn is_filled(heard: &Heard, turn: &Turn) -> bool {
    let mut shares: Vec<f64> = Vec::new();
    let stretches = heard.stretches();
    // between silences: what is heard of years may be hours
    let lively = heard.slots.chunk_by(|before, after| (after - before) * heard.slot_s < WINDOW_ENDS_S);
    let lively: Vec<(i64, i64)> = lively.filter_map(|slots| Some((*slots.first()?, slots.last()? + 1))).collect();
    for (band, slots) in &heard.bands {
        let Some((&first, &last)) = slots.first().zip(slots.last()) else { continue };
        for &(from, to) in &lively {
            let (from, to) = (from.max(first), to.min(last + 1));
            let own = stretches.iter().skip(stretches.partition_point(|&(_, end)| end <= from));
            let own = own.take_while(|&&(begin, _)| begin < to).map(|&(begin, end)| (begin.max(from), end.min(to)));
            let expected: Vec<i64> = own.flat_map(|(begin, end)| turn.of_band(*band, begin, end)).collect();
            for window in expected.chunks(WINDOW).filter(|window| window.len() >= LEAST_WINDOW) {
                let heard = window.iter().filter(|&&slot| count_within(slots, slot, slot + 1) > 0).count();
                shares.push(heard as f64 / window.len() as f64);
            }
        }
    }
    crate::study::statistics::quantile(&mut shares, 0.9).is_some_and(|best| best >= FILLED)
}
