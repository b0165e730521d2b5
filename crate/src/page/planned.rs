//! The next test: what a person asks of it, and what each band would need, kept until the rows change.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use super::loaded::Loaded;
use super::message::Patch;
use super::reckoned::{Basis, Reckoned};
use super::runs::Runs;
use super::session::Session;
use super::words::number;
use crate::draw::Antenna;
use crate::model::Band;
use crate::study::compare::Settings;
use crate::study::plan::{BandPlan, Battery, Layout, Need, bands, is_b, sends_an_hour};
use crate::time::UtcTime;

/// Antennas stay at least so long before they are changed, minutes.
const LEAST_TURN_MIN: usize = 10;
/// The longest test a schedule is made for, hours.
const MOST_HOURS: f64 = 72.0;
/// Of a battery this much is left in it, per cent (common practice for lead batteries, no source).
pub(super) const FLOOR_PERCENT: f64 = 20.0;

/// What is asked, and what the data say to it.
#[derive(Debug)]
pub(super) struct Planned {
    /// Difference to tell apart, dB.
    pub(super) wanted_db: f64,
    /// Bands that count; none named means all.
    pub(super) chosen: BTreeSet<Band>,
    /// Hours there are, if a person says so.
    pub(super) hours: Option<f64>,
    /// Silent slots after each round of the bands.
    pub(super) silent: usize,
    /// Battery capacity, Ah.
    pub(super) capacity_ah: f64,
    /// Current while sending, A.
    pub(super) transmit_a: f64,
    /// Current while waiting, A.
    pub(super) idle_a: f64,
    /// Minute of the day at which it begins, UTC.
    pub(super) begin_min: u32,
    pub(super) foreseen: Reckoned<Foreseen>,
}

/// What the data say.
#[derive(Debug)]
pub(super) struct Foreseen {
    /// The run that it is foreseen from.
    from_run: usize,
    /// What each band needs.
    needs: Vec<BandPlan>,
}

impl Default for Planned {
    fn default() -> Self {
        Self {
            wanted_db: 2.0,
            chosen: BTreeSet::new(),
            hours: None,
            silent: 1,
            capacity_ah: 7.0,
            transmit_a: 0.25,
            idle_a: 0.05,
            begin_min: 18 * 60,
            foreseen: Reckoned::default(),
        }
    }
}

impl Planned {
    /// Foresees anew if rows or runs changed since.
    pub(super) fn update(&mut self, basis: Basis, runs: &Runs, loaded: &Loaded) {
        self.foreseen.update(basis, || {
            let from_run = (0..runs.facts.len()).max_by_key(|&at| (runs.facts[at].spots, usize::MAX - at)).unwrap_or(0);
            let needs = match (runs.cards.get(from_run), runs.sets.get(from_run)) {
                (Some(card), Some(rows)) => {
                    bands(&loaded.subject(), &rows.and(&loaded.shown.rows), &card.run, runs.settings)
                }
                _ => Vec::new(),
            };
            Foreseen { from_run, needs }
        });
    }

    /// The run that the needs are foreseen from.
    pub(super) fn run_looked_at(&self) -> usize {
        self.foreseen.get().map_or(0, |foreseen| foreseen.from_run)
    }

    /// What each band needs.
    pub(super) fn needs(&self) -> &[BandPlan] {
        self.foreseen.get().map_or(&[], |foreseen| &foreseen.needs)
    }

    /// The difference to tell apart, dB.
    pub(super) fn wanted_db(&self) -> f64 {
        self.wanted_db
    }

    /// The bands that count.
    pub(super) fn counted(&self) -> impl Iterator<Item = &BandPlan> {
        let all = !self.needs().iter().any(|need| self.chosen.contains(&need.band));
        self.needs().iter().filter(move |need| all || self.chosen.contains(&need.band))
    }

    /// What all bands that count and can be foreseen need together: that of the slowest.
    pub(super) fn all_bands(&self, layout: Layout, db: f64, settings: Settings) -> Need {
        let mut most = Need::Unknown;
        for need in self.counted().map(|band| band.need(layout, db, settings)) {
            most = match (most, need) {
                (Need::Never, _) | (_, Need::Never) => Need::Never,
                (Need::Hours(a), Need::Hours(b)) => Need::Hours(a.max(b)),
                (Need::Unknown, known) | (known, Need::Unknown) => known,
            };
        }
        most
    }

    /// Bands in turn.
    pub(super) fn bands_in_turn(&self) -> usize {
        self.counted().count().max(1)
    }

    /// Minutes between changes of antenna: whole rounds of the bands, so that each antenna gets each band as often.
    pub(super) fn turn_min(&self) -> usize {
        let round = 2 * (self.bands_in_turn() + self.silent);
        round * LEAST_TURN_MIN.div_ceil(round)
    }

    /// Hours of the schedule: those there are, else those needed, else a day.
    pub(super) fn plan_hours(&self, settings: Settings) -> f64 {
        let needed = match self.all_bands(Layout::Alternating, self.wanted_db, settings) {
            Need::Hours(hours) => hours,
            Need::Never | Need::Unknown => 24.0,
        };
        self.hours.unwrap_or(needed).clamp(1.0, MOST_HOURS)
    }

    /// Which antenna in which turn: whole eights of A B B A B A A B, so that neither comes earlier on the whole.
    pub(super) fn turns(&self, settings: Settings) -> Vec<Antenna> {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "at most 72 hours")]
        let turns = (self.plan_hours(settings) * 60.0 / self.turn_min() as f64).ceil() as usize;
        let turns = turns.div_ceil(8) * 8;
        (0..turns).map(|turn| if is_b(turn) { Antenna::B } else { Antenna::A }).collect()
    }

    /// Sends of one antenna on one band in an hour, when both take turns.
    pub(super) fn sends_each(&self) -> f64 {
        sends_an_hour(self.bands_in_turn(), self.silent) / 2.0
    }

    /// The battery, of which a fifth stays in it.
    pub(super) fn battery(&self) -> Battery {
        let bands = self.bands_in_turn() as f64;
        Battery {
            usable_ah: self.capacity_ah * (1.0 - FLOOR_PERCENT / 100.0),
            transmit_a: self.transmit_a,
            idle_a: self.idle_a,
            slots_used: bands / (bands + self.silent as f64),
        }
    }

    /// When it begins: at the minute asked for on the day after the last spot.
    pub(super) fn begin(&self, loaded: &Loaded) -> Option<UtcTime> {
        let (_, last) = loaded.all.tally.span?;
        let day = (i64::from(last.day_number()) + 1) * crate::time::DAY_S;
        UtcTime::from_unix_s(day + i64::from(self.begin_min) * 60)
    }
}

impl Session {
    /// Does what a control of the plan asks for.
    pub(super) fn act_plan(&mut self, act: &str, value: &str) {
        let plan = &mut self.planned;
        let figure = number(value).filter(|value| (0.0..=10_000.0).contains(value));
        match (act, figure) {
            ("plan-wanted", Some(db)) if db > 0.0 => plan.wanted_db = db,
            ("plan-hours", hours) => plan.hours = hours.filter(|&hours| hours > 0.0),
            ("plan-capacity", Some(ah)) => plan.capacity_ah = ah,
            ("plan-transmit", Some(a)) => plan.transmit_a = a,
            ("plan-idle", Some(a)) => plan.idle_a = a,
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "at most 30")]
            ("plan-silent", Some(slots)) => plan.silent = slots.min(30.0).round() as usize,
            ("plan-begin", _) => {
                let clock = value.trim().split_once(':').and_then(|(h, m)| Some((h.parse().ok()?, m.parse().ok()?)));
                if let Some((hour, minute)) = clock.filter(|(hour, minute): &(u32, u32)| *hour < 24 && *minute < 60) {
                    plan.begin_min = hour * 60 + minute;
                }
            }
            ("plan-band", _) => {
                if let Some(band) = Band::from_name(value)
                    && !plan.chosen.remove(&band)
                {
                    plan.chosen.insert(band);
                } else if value == "all" {
                    plan.chosen.clear();
                }
            }
            ("plan-save", _) => self.save_schedule(),
            _ => {}
        }
        self.pictures.touch_all();
    }

    /// Hands out the order of antennas with their times as a table.
    fn save_schedule(&mut self) {
        let Some(work) = &self.work else { return };
        let Some(begin) = self.planned.begin(&work.loaded) else { return };
        let mut text = String::from("turn,from UTC,antenna\r\n");
        let step_s = i64::try_from(self.planned.turn_min()).unwrap_or(10) * 60;
        let names = super::views::plan::names(&self.runs);
        for (at, antenna) in (0_i64..).zip(self.planned.turns(self.runs.settings)) {
            let Some(time) = begin.plus_s(at * step_s) else { break };
            let name = if antenna == Antenna::A { names.0 } else { names.1 };
            let quoted = name.replace('"', "\"\"");
            // writing to a string cannot fail
            write!(text, "{},{},\"{quoted}\"\r\n", at + 1, time.date_and_minute()).ok();
        }
        let bytes = text.into_bytes();
        self.out.push(Patch::Save { name: "antenna-schedule.csv".to_owned(), media_type: "text/csv", bytes });
    }
}
