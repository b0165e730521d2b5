//! What is loaded: the table, whose antenna is tested, and every result for all rows and for the rows shown.

use std::cell::{OnceCell, RefCell};
use std::rc::Rc;
use std::sync::Arc;

use crate::figure::disc::{self, Views};
use crate::geography::Locator;
use farheard_scan::column;

use crate::model::{Band, CallId, RowSet, Side, SpotTable, Tested};
use crate::order::LightSort;
use crate::study::propose::{self, Proposal};
use crate::study::runs::calls_of;
use crate::study::subject::SubjectParts;
use crate::study::sums::{Left, Sums};
use crate::study::{
    BandHours, BandResult, Filter, Listener, Medians, Reach, Sector, Strengths, Subject, Tally, Timeline, bands,
    bearings, hours, listeners, reach, tested,
};
use crate::words::Length;

/// Steps of the time strip: hours for a day, three hours for four days.
pub(super) const STEPS: usize = 40;

/// Everything computed from one set of rows.
#[derive(Debug)]
pub(super) struct Results {
    pub(super) rows: RowSet,
    pub(super) tally: Tally,
    pub(super) sectors: Vec<Sector>,
    pub(super) listeners: Vec<Listener>,
    pub(super) timeline: Option<Timeline>,
    figures: OnceCell<Figures>,
    medians: OnceCell<Medians>,
}

/// What is read, not drawn on the Disc: looked for when it is first shown, so not while a handle is dragged.
#[derive(Debug)]
pub(super) struct Figures {
    pub(super) reach: Reach,
    pub(super) bands: Vec<BandResult>,
    pub(super) hours: Vec<BandHours>,
}

impl Results {
    fn of(subject: &Subject<'_>, sums: &Sums, filter: &Filter) -> Rc<Self> {
        let (rows, Left { tally, timeline }) = sums.left(subject, filter);
        Rc::new(Self {
            sectors: bearings(subject, &tally),
            listeners: listeners(subject, &tally),
            timeline,
            figures: OnceCell::new(),
            medians: OnceCell::new(),
            tally,
            rows,
        })
    }

    fn figures(&self, subject: &Subject<'_>) -> &Figures {
        self.figures.get_or_init(|| Figures {
            reach: reach(subject, &self.tally),
            bands: bands(subject, &self.tally),
            hours: hours(&self.tally),
        })
    }
}

/// The loaded table with its results.
#[derive(Debug)]
pub(super) struct Loaded {
    pub(super) table: SpotTable,
    pub(super) tested: Tested,
    /// The runs that its data show, if that was asked.
    pub(super) proposal: Option<Proposal>,
    parts: Arc<SubjectParts>,
    home: Option<Locator>,
    pub(super) all: Rc<Results>,
    pub(super) shown: Rc<Results>,
    filter: Filter,
    /// Of all rows, and of those that passed the last filter of more than times and bands.
    sums: Sums,
    other_sums: Option<Sums>,
    /// The levels last asked for, with the filter that they passed.
    strengths: RefCell<Option<(Filter, Strengths)>>,
    /// The two views of all listeners, in kilometres and in miles.
    views: [Views; 2],
    /// Powers reported for the tested antenna's spots in dBm, each with its number of spots, most frequent first.
    pub(super) powers: Vec<(f64, usize)>,
}

impl Loaded {
    /// Results of a table for the station and side named, else for the likeliest. `None` for an empty table.
    pub(super) fn new(table: SpotTable, wanted: Option<(&str, Side)>, home: Option<Locator>) -> Option<Self> {
        let tested = tested_in(&table, wanted)?;
        Some(Self::of(table, tested, &[tested.call], home))
    }

    /// The same for the calls of the runs that the data show, which are kept as its proposal.
    pub(super) fn with_runs(table: SpotTable, wanted: Option<(&str, Side)>, home: Option<Locator>) -> Option<Self> {
        let tested = tested_in(&table, wanted)?;
        let proposal = propose::propose(&table, tested.call, tested.side);
        let runs = proposal.as_ref().map_or(&[][..], |proposal| &proposal.runs);
        let calls = calls_of(&table, runs, Some(tested.call));
        Some(Self { proposal, ..Self::of(table, tested, &calls, home) })
    }

    fn of(table: SpotTable, tested: Tested, calls: &[CallId], home: Option<Locator>) -> Self {
        let subject = Subject::new(&table, calls, tested.side, home);
        let filter = Filter::default();
        let sums = Sums::of(&subject, &filter, STEPS);
        let all = Results::of(&subject, &sums, &filter);
        let powers = powers(&table, subject.rows());
        let parts = subject.parts();
        let views = both_views(&all);
        Self {
            shown: Rc::clone(&all),
            table,
            tested,
            proposal: None,
            parts,
            home,
            all,
            filter,
            sums,
            other_sums: None,
            strengths: RefCell::new(None),
            views,
            powers,
        }
    }

    /// The same table for another station, side or home.
    pub(super) fn with(self, call: &str, side: Side, home: Option<Locator>) -> Option<Self> {
        Self::with_runs(self.table, Some((call, side)), home)
    }

    /// The tested antenna.
    pub(super) fn subject(&self) -> Subject<'_> {
        Subject::from_parts(&self.table, Arc::clone(&self.parts))
    }

    /// The same station under these calls, the first being the main one: runs may differ by call.
    pub(super) fn set_calls(&mut self, calls: &[CallId], filter: &Filter) {
        if self.subject().calls() == calls {
            return;
        }
        let subject = Subject::new(&self.table, calls, self.tested.side, self.home);
        self.sums = Sums::of(&subject, &Filter::default(), STEPS);
        self.all = Results::of(&subject, &self.sums, &Filter::default());
        self.views = both_views(&self.all);
        self.powers = powers(&self.table, subject.rows());
        self.parts = subject.parts();
        self.other_sums = None;
        self.strengths.take();
        self.apply(filter);
    }

    /// Shows what passes a filter.
    pub(super) fn apply(&mut self, filter: &Filter) {
        self.filter = filter.clone();
        if filter.is_empty() {
            self.shown = Rc::clone(&self.all);
            return;
        }
        let subject = Subject::from_parts(&self.table, Arc::clone(&self.parts));
        let sums = if self.sums.hold(filter) {
            &self.sums
        } else {
            let held = self.other_sums.take().filter(|sums| sums.hold(filter));
            self.other_sums.insert(held.unwrap_or_else(|| Sums::of(&subject, filter, STEPS)))
        };
        self.shown = Results::of(&subject, sums, filter);
    }

    /// Figures of all spots.
    pub(super) fn all_figures(&self) -> &Figures {
        self.all.figures(&self.subject())
    }

    /// Figures of the spots shown.
    pub(super) fn figures(&self) -> &Figures {
        self.shown.figures(&self.subject())
    }

    /// How strong the spots shown are.
    pub(super) fn medians(&self) -> &Medians {
        self.shown.medians.get_or_init(|| {
            let wider = self.filter.without_bands();
            let subject = self.subject();
            let mut known = self.strengths.borrow_mut();
            let held = known.take().filter(|(passed, _)| *passed == wider);
            let (_, strengths) = known.insert(held.unwrap_or_else(|| {
                let strengths = Strengths::of(&subject, &wider.rows(&subject));
                (wider, strengths)
            }));
            strengths.medians(self.filter.bands.as_ref())
        })
    }

    /// The two views of the Disc, whatever the filters.
    pub(super) fn views(&self, length: Length) -> Views {
        self.views[usize::from(length == Length::Miles)]
    }

    /// The counts that a filter would leave.
    pub(super) fn tally_of(&self, filter: &Filter) -> Tally {
        let subject = self.subject();
        Tally::of(&subject, &filter.rows(&subject))
    }

    /// How many spots a filter would leave.
    pub(super) fn count_of(&self, filter: &Filter) -> usize {
        filter.rows(&self.subject()).count()
    }

    /// The call of the tested station.
    pub(super) fn name(&self) -> &str {
        self.call(self.tested.call)
    }

    /// The home a person gave.
    pub(super) fn home(&self) -> Option<Locator> {
        self.home
    }

    /// All rows of the tested antenna.
    pub(super) fn all_rows(&self) -> &RowSet {
        &self.all.rows
    }

    /// A call in words.
    pub(super) fn call(&self, call: CallId) -> &str {
        self.table.stations().call(call)
    }

    /// Bands in all loaded work, whatever the filters.
    pub(super) fn every_band(&self) -> &[Band] {
        &self.all.tally.bands
    }
}

/// The station and side named if they are in a table, else the likeliest.
fn tested_in(table: &SpotTable, wanted: Option<(&str, Side)>) -> Option<Tested> {
    wanted
        .and_then(|(call, side)| Some(Tested { call: table.stations().find_call(call)?, side }))
        .filter(|tested| !table.rows_of(*tested).is_empty())
        .or_else(|| tested::guess(table, None).map(|guess| guess.tested))
}

fn both_views(all: &Results) -> [Views; 2] {
    [Length::Km, Length::Miles].map(|length| disc::views(&all.listeners, length))
}

/// Each power in dBm with its spots, most frequent first, the smaller first among equals.
pub(super) fn powers(table: &SpotTable, rows: &RowSet) -> Vec<(f64, usize)> {
    let mut powers: Vec<(f64, usize)> = Vec::new();
    for (power, spots) in column::values(table.power_column(), rows.bits()) {
        let power = SpotTable::power_of(power) + 0.0;
        match powers.last_mut() {
            Some((known, all)) if known.to_bits() == power.to_bits() => *all += spots,
            _ => powers.push((power, spots)),
        }
    }
    powers.order_by_key(|&(_, spots)| std::cmp::Reverse(spots));
    powers
}
