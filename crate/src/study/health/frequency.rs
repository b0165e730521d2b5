//! Frequency as all listeners see it, which is the sender's, and what only one of them sees, which is its own.
//!
//! Every listener's frequency is off by an amount of its own. The reports of a band are taken apart into such an amount
//! for each listener and the sender's offset for each step of time: first from step to step by the listeners that heard
//! both, then by taking medians of rows and columns in turn (median polish: J. W. Tukey, 'Exploratory Data Analysis' (1977),
//! chapter 11, from memory).

use super::slope::theil_sen;
use crate::model::{Band, CallId};
use crate::order::{LightSort, by_small_number};
use crate::study::statistics::median;
use crate::study::subject::Subject;
use crate::time::{UtcTime, WSPR_SLOT_S};

/// At most so many steps: with more, the slopes between each two of them would take long.
const MOST_STEPS: i64 = 96;
/// Fewer listeners cannot tell the sender from a receiver.
const LEAST_LISTENERS: usize = 3;
/// Fewer reports of a band tell nothing.
const LEAST_REPORTS: usize = 20;
/// Fewer steps give no slope.
const LEAST_STEPS: usize = 4;
/// Times in which rows and columns are taken in turn; it settles after a few.
const ROUNDS: usize = 12;
/// The same send by send, from there.
const ROUNDS_BY_SENDS: usize = 3;
/// A move from one step to the next is a jump from this on, Hz, and if it is so many times the usual move.
const JUMP_HZ: f64 = 5.0;
const JUMP_USUALS: f64 = 5.0;
/// A sender whose sends scatter more than this hops on purpose, Hz: half of them lie farther than this from the middle.
const HOPS_HZ: f64 = 5.0;
/// Offsets that move less than this have settled, Hz: reports give whole Hz.
const SETTLED_HZ: f64 = 0.05;
/// A receiver's own drift is told from this change on, Hz.
const OWN_DRIFT_HZ: f64 = 4.0;
/// And if it is so many times the scatter of its steps, by the square root of their number: four and a half standard errors
/// of a change over n evenly spaced steps, sqrt(12 / n) times their standard deviation, which is 1.48 times the median
/// deviation. That seldom comes by chance among hundreds of listeners.
const OWN_DRIFT_SCATTERS: f64 = 23.0;
/// A receiver's own drift needs so many steps.
const LEAST_OWN_STEPS: usize = 6;
/// If nearly all frequencies are whole multiples of this, they are too coarse for drift, Hz.
const COARSE_HZ: f64 = 10.0;

/// The sender's offset in one step of time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// Start of the step.
    pub start: UtcTime,
    /// Offset from the middle, Hz.
    pub offset_hz: f64,
    /// Listeners it comes from.
    pub listeners: usize,
}

/// A move from one step to the next.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Jump {
    /// Start of the step after it.
    pub at: UtcTime,
    /// By how much, Hz.
    pub hz: f64,
}

/// A listener whose frequency moved by itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Receiver {
    /// Its call.
    pub call: CallId,
    /// Its reports on this band.
    pub spots: usize,
    /// Its own drift, with the sender's taken off, Hz per hour.
    pub slope_hz_h: f64,
    /// From its first report to its last, hours.
    pub hours: f64,
}

/// Frequency on one band.
#[derive(Clone, Debug, PartialEq)]
pub struct BandFrequency {
    /// The band.
    pub band: Band,
    /// Reports with a frequency.
    pub spots: usize,
    /// Listeners that gave them.
    pub listeners: usize,
    /// Median frequency, Hz: the middle.
    pub middle_hz: f64,
    /// Length of a step, seconds.
    pub step_s: i64,
    /// The sender's offset by step, those without reports or without a listener in common with the former left out.
    pub steps: Vec<Step>,
    /// Where the sender was set to another frequency, or moved at once.
    pub jumps: Vec<Jump>,
    /// The sender's drift over all steps, jumps taken off, Hz per hour (Theil-Sen).
    pub slope_hz_h: Option<f64>,
    /// How far the sender moved in all, jumps taken off: highest less lowest step, Hz.
    pub range_hz: Option<f64>,
    /// Half of the sends lie within so many Hz of their step's offset: the sender's scatter.
    pub sender_scatter_hz: Option<f64>,
    /// Half of the reports lie within so many Hz of what the others say of the same send: the receivers' scatter.
    pub receiver_scatter_hz: Option<f64>,
    /// Listeners that drifted by themselves, the greatest change first.
    pub receivers: Vec<Receiver>,
}

impl BandFrequency {
    /// Does the sender change its frequency from send to send? Then nothing can be said of its drift.
    pub fn hops(&self) -> bool {
        !self.is_blurred() && self.sender_scatter_hz.is_some_and(|scatter| scatter > HOPS_HZ)
    }

    /// Do the listeners disagree so much about the same send that nothing can be said of the sender?
    pub fn is_blurred(&self) -> bool {
        self.receiver_scatter_hz.is_some_and(|scatter| scatter > HOPS_HZ)
    }
}

/// One report.
#[derive(Clone, Copy, Debug)]
struct Report {
    slot: i64,
    listener: usize,
    step: usize,
    hz: f64,
}

/// Looks at the frequencies of rows in order of time, band by band.
pub(super) fn frequency(subject: &Subject<'_>, in_order: &[u32]) -> Vec<BandFrequency> {
    let table = subject.table();
    let mut of_band: Vec<Vec<u32>> = vec![Vec::new(); Band::COUNT];
    for &row in in_order {
        if table.freq_hz(row as usize).is_some() {
            of_band[table.band(row as usize).index()].push(row);
        }
    }
    let mut found: Vec<BandFrequency> =
        Band::all().zip(&of_band).filter_map(|(band, rows)| on_band(subject, band, rows)).collect();
    found.order_by_key(|band| usize::MAX - band.spots);
    found
}

fn on_band(subject: &Subject<'_>, band: Band, rows: &[u32]) -> Option<BandFrequency> {
    let table = subject.table();
    let hz = |row: &u32| table.freq_hz(*row as usize);
    let coarse = |hz: f64| (hz / COARSE_HZ - (hz / COARSE_HZ).round()).abs() < 1e-6;
    if rows.len() < LEAST_REPORTS
        || rows.iter().filter_map(hz).filter(|&hz| coarse(hz)).count() * 100 >= rows.len() * 99
    {
        return None;
    }
    let middle_hz = median(&mut rows.iter().filter_map(hz).collect::<Vec<f64>>())?;
    let time = |row: &u32| table.time(*row as usize).unix_s();
    let (first, last) = (time(rows.first()?), time(rows.last()?));
    // whole hours, as many as keep the steps few
    let step_s = 3600 * ((last - first) / 3600 / MOST_STEPS + 1);
    let start = first.div_euclid(step_s) * step_s;
    let steps = usize::try_from((last - start) / step_s).ok()? + 1;
    let mut calls: Vec<CallId> = Vec::new();
    let mut number: Vec<Option<usize>> = vec![None; table.stations().calls()];
    let mut reports: Vec<Report> = Vec::with_capacity(rows.len());
    for row in rows {
        let call = subject.far_call(*row as usize);
        let listener = *number[call.index()].get_or_insert_with(|| {
            calls.push(call);
            calls.len() - 1
        });
        reports.push(Report {
            slot: time(row).div_euclid(WSPR_SLOT_S),
            listener,
            step: usize::try_from((time(row) - start) / step_s).unwrap_or(0),
            hz: hz(row)? - middle_hz,
        });
    }
    let listeners = calls.len();
    let mut cells = Cells::of(&reports, listeners, steps);
    let mut found = BandFrequency {
        band,
        spots: rows.len(),
        listeners,
        middle_hz,
        step_s,
        steps: Vec::new(),
        jumps: Vec::new(),
        slope_hz_h: None,
        range_hz: None,
        sender_scatter_hz: None,
        receiver_scatter_hz: None,
        receivers: Vec::new(),
    };
    if listeners < LEAST_LISTENERS {
        return Some(found);
    }
    cells.polish();
    cells.own_by_sends(&reports);
    for (step, offset) in cells.sender.iter().enumerate() {
        let Some(offset_hz) = *offset else { continue };
        let start = UtcTime::from_unix_s(start + step_s * i64::try_from(step).ok()?)?;
        found.steps.push(Step { start, offset_hz, listeners: cells.of_step(step).count() });
    }
    let mut offsets: Vec<f64> = found.steps.iter().map(|step| step.offset_hz).collect();
    let middle = median(&mut offsets)?;
    for step in &mut found.steps {
        step.offset_hz -= middle;
    }
    let (jumps, level) = without_jumps(&found.steps);
    found.jumps = jumps;
    let (least, most) = level.iter().fold((f64::MAX, f64::MIN), |(least, most), &hz| (least.min(hz), most.max(hz)));
    found.range_hz = Some(most - least);
    let hours = |step: usize| step as f64 * step_s as f64 / 3600.0;
    let points = cells.sender.iter().enumerate().filter(|(_, hz)| hz.is_some()).map(|(step, _)| hours(step)).zip(level);
    let points: Vec<(f64, f64)> = points.collect();
    found.slope_hz_h = if points.len() < LEAST_STEPS { None } else { theil_sen(&points) };
    (found.sender_scatter_hz, found.receiver_scatter_hz) = scatter(&reports, &cells);
    found.receivers = receivers(&reports, &cells, &calls, found.receiver_scatter_hz.unwrap_or(0.0), &hours);
    Some(found)
}

/// Moves from step to step that stand out, and the steps with these taken off.
fn without_jumps(steps: &[Step]) -> (Vec<Jump>, Vec<f64>) {
    let moves = || steps.windows(2).map(|pair| pair[1].offset_hz - pair[0].offset_hz);
    let usual = median(&mut moves().map(f64::abs).collect::<Vec<f64>>()).unwrap_or(0.0);
    let least = JUMP_HZ.max(JUMP_USUALS * usual);
    let mut jumps = Vec::new();
    let mut off = 0.0;
    let mut level: Vec<f64> = steps.first().map(|step| step.offset_hz).into_iter().collect();
    for (step, hz) in steps.iter().skip(1).zip(moves()) {
        if hz.abs() >= least {
            jumps.push(Jump { at: step.start, hz });
            off += hz;
        }
        level.push(step.offset_hz - off);
    }
    (jumps, level)
}

/// The median of values, in a room that is used again and again.
fn median_in(room: &mut Vec<f64>, values: impl Iterator<Item = f64>) -> Option<f64> {
    room.clear();
    room.extend(values);
    median(room)
}

/// Median of each listener in each step, and what they are taken apart into.
struct Cells {
    /// Listener, step, median in Hz; by listener, then step.
    medians: Vec<(usize, usize, f64)>,
    /// Places of the cells of each step.
    steps: Vec<Vec<usize>>,
    /// Offset of each listener.
    own: Vec<f64>,
    /// Offset of the sender in each step; `None` where nothing ties it to the others.
    sender: Vec<Option<f64>>,
}

impl Cells {
    fn of(reports: &[Report], listeners: usize, steps: usize) -> Self {
        let cell = |report: &Report| report.listener * steps + report.step;
        let mut found = Self {
            medians: Vec::new(),
            steps: vec![Vec::new(); steps],
            own: vec![0.0; listeners],
            sender: vec![None; steps],
        };
        let mut room = Vec::new();
        for group in by_small_number(reports, listeners * steps, cell).chunk_by(|a, b| cell(a) == cell(b)) {
            let Some(first) = group.first() else { continue };
            if let Some(hz) = median_in(&mut room, group.iter().map(|report| report.hz)) {
                found.steps[first.step].push(found.medians.len());
                found.medians.push((first.listener, first.step, hz));
            }
        }
        found
    }

    fn of_step(&self, step: usize) -> impl Iterator<Item = (usize, f64)> {
        self.steps[step].iter().map(|&at| (self.medians[at].0, self.medians[at].2))
    }

    fn polish(&mut self) {
        self.chain();
        let mut buffer = Vec::new();
        for _ in 0..ROUNDS {
            let mut moved = 0.0_f64;
            for of_listener in self.medians.chunk_by(|a, b| a.0 == b.0) {
                let own = of_listener.iter().filter_map(|&(_, step, hz)| Some(hz - self.sender[step]?));
                if let Some((&(listener, ..), own)) = of_listener.first().zip(median_in(&mut buffer, own)) {
                    moved = moved.max((self.own[listener] - own).abs());
                    self.own[listener] = own;
                }
            }
            self.sender_from_own();
            if moved < SETTLED_HZ {
                break;
            }
        }
    }

    /// Offsets of the listeners again, send by send: those of the steps are blurred where a sender hops from send to send
    /// and not everyone hears each of them.
    fn own_by_sends(&mut self, reports: &[Report]) {
        let sends: Vec<&[Report]> = reports.chunk_by(|a, b| a.slot == b.slot).collect();
        // number of the send, listener, frequency
        let numbered = (0..).zip(&sends).filter(|(_, send)| send.len() >= LEAST_LISTENERS);
        let numbered = numbered.flat_map(|(at, send)| send.iter().map(move |report| (at, report.listener, report.hz)));
        let numbered: Vec<(usize, usize, f64)> = numbered.collect();
        let by_listener = by_small_number(&numbered, self.own.len(), |report| report.1);
        let mut buffer = Vec::new();
        for _ in 0..ROUNDS_BY_SENDS {
            let middle = |send: &&[Report]| {
                let of_send = send.iter().map(|report| report.hz - self.own[report.listener]);
                median_in(&mut buffer, of_send).unwrap_or(0.0)
            };
            let middles: Vec<f64> = sends.iter().map(middle).collect();
            let mut moved = 0.0_f64;
            for of_listener in by_listener.chunk_by(|a, b| a.1 == b.1) {
                let own = median_in(&mut buffer, of_listener.iter().map(|&(send, _, hz)| hz - middles[send]));
                if let Some((&(_, listener, _), own)) = of_listener.first().zip(own) {
                    moved = moved.max((self.own[listener] - own).abs());
                    self.own[listener] = own;
                }
            }
            if moved < SETTLED_HZ {
                break;
            }
        }
        self.sender_from_own();
    }

    fn sender_from_own(&mut self) {
        let mut buffer = Vec::new();
        for step in 0..self.sender.len() {
            if self.sender[step].is_some() {
                self.sender[step] =
                    median_in(&mut buffer, self.of_step(step).map(|(listener, hz)| hz - self.own[listener]));
            }
        }
    }

    /// A first guess from step to step, by the listeners that heard both. A step joins the chain of steps that most of its
    /// listeners were in before; in the end the longest chain is kept, and steps that nothing ties to it are left out.
    fn chain(&mut self) {
        let mut chains: Vec<Chain> = Vec::new();
        for step in 0..self.sender.len() {
            let now: Vec<(usize, f64)> = self.of_step(step).collect();
            if now.is_empty() {
                continue;
            }
            let links = |chain: &Chain| now.iter().filter(|(listener, _)| chain.rest[*listener].is_some()).count();
            let best = (0..chains.len()).max_by_key(|&at| links(&chains[at])).filter(|&at| links(&chains[at]) > 1);
            let best = best.unwrap_or_else(|| {
                chains.push(Chain { steps: Vec::new(), rest: vec![None; self.own.len()] });
                chains.len() - 1
            });
            let Some(chain) = chains.get_mut(best) else { continue };
            let moved = now.iter().filter_map(|&(listener, hz)| Some(hz - chain.rest[listener]?));
            let offset = median(&mut moved.collect::<Vec<f64>>()).unwrap_or(0.0);
            chain.steps.push((step, offset));
            for (listener, hz) in now {
                chain.rest[listener] = Some(hz - offset);
            }
        }
        // of two as long the earlier
        let longest = chains.iter().rev().max_by_key(|chain| chain.steps.len());
        for &(step, offset) in longest.into_iter().flat_map(|chain| &chain.steps) {
            self.sender[step] = Some(offset);
        }
    }
}

/// Steps tied to each other by listeners.
struct Chain {
    /// Step and the sender's offset in it.
    steps: Vec<(usize, f64)>,
    /// Where each listener stood last, without the sender's offset.
    rest: Vec<Option<f64>>,
}

/// The middle distance of sends from their step, and of reports from their send, over sends that three listeners heard.
fn scatter(reports: &[Report], cells: &Cells) -> (Option<f64>, Option<f64>) {
    let (mut of_sends, mut of_reports) = (Vec::new(), Vec::new());
    for send in reports.chunk_by(|a, b| a.slot == b.slot) {
        let rest =
            send.iter().filter_map(|report| Some(report.hz - cells.own[report.listener] - cells.sender[report.step]?));
        let mut rest: Vec<f64> = rest.collect();
        if rest.len() < LEAST_LISTENERS {
            continue;
        }
        let Some(middle) = median(&mut rest) else { continue };
        of_sends.push(middle.abs());
        of_reports.extend(rest.iter().map(|hz| (hz - middle).abs()));
    }
    (median(&mut of_sends), median(&mut of_reports))
}

/// Listeners whose own offset moved, send by send against what all that heard it say: so a sender that hops hides nothing.
///
/// `usual_hz` is the receivers' scatter: no few steps that happen to agree are surer than half of it.
fn receivers(
    reports: &[Report],
    cells: &Cells,
    calls: &[CallId],
    usual_hz: f64,
    hours: &dyn Fn(usize) -> f64,
) -> Vec<Receiver> {
    let usual_hz = usual_hz / 2.0;
    let mut spots = vec![0_usize; calls.len()];
    let mut rest: Vec<Report> = Vec::with_capacity(reports.len());
    let mut room = Vec::new();
    for send in reports.chunk_by(|a, b| a.slot == b.slot) {
        for report in send {
            spots[report.listener] += 1;
        }
        if send.len() >= LEAST_LISTENERS {
            let of_send = send.iter().map(|report| report.hz - cells.own[report.listener]);
            let middle = median_in(&mut room, of_send).unwrap_or(0.0);
            rest.extend(send.iter().map(|report| Report { hz: report.hz - middle, ..*report }));
        }
    }
    let own = Cells::of(&rest, calls.len(), cells.sender.len());
    let mut found: Vec<Receiver> = Vec::new();
    for of_listener in own.medians.chunk_by(|a, b| a.0 == b.0) {
        let points: Vec<(f64, f64)> = of_listener.iter().map(|&(_, step, hz)| (hours(step), hz)).collect();
        let Some(((&(listener, ..), first), last)) = of_listener.first().zip(points.first()).zip(points.last()) else {
            continue;
        };
        if points.len() < LEAST_OWN_STEPS {
            continue;
        }
        // the slopes between all points are many: only where the first and the last third differ
        let third = points.len().div_ceil(3);
        let mut middle_of = |part: &[(f64, f64)]| median_in(&mut room, part.iter().map(|point| point.1));
        let ends = middle_of(&points[..third]).zip(middle_of(&points[points.len() - third..]));
        if ends.is_none_or(|(first, last)| (last - first).abs() < OWN_DRIFT_HZ / 3.0) {
            continue;
        }
        let Some(slope) = theil_sen(&points) else { continue };
        let length = last.0 - first.0;
        // the scatter of its steps round its own line
        let rest = |point: &(f64, f64)| point.1 - slope * point.0;
        let Some(middle) = median(&mut points.iter().map(rest).collect::<Vec<f64>>()) else { continue };
        let off = points.iter().map(|point| (rest(point) - middle).abs());
        let scatter = median(&mut off.collect::<Vec<f64>>()).unwrap_or(0.0).max(usual_hz);
        let least = OWN_DRIFT_SCATTERS * scatter / (points.len() as f64).sqrt();
        if (slope * length).abs() >= OWN_DRIFT_HZ.max(least) {
            found.push(Receiver { call: calls[listener], spots: spots[listener], slope_hz_h: slope, hours: length });
        }
    }
    found.order_by(|a, b| (b.slope_hz_h * b.hours).abs().total_cmp(&(a.slope_hz_h * a.hours).abs()));
    found
}
