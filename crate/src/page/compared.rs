//! Two runs compared, and what each reached: kept, and reckoned anew only when runs, filters or assumptions changed.

use std::sync::Arc;

use super::loaded::Loaded;
use super::reckoned::{Basis, Reckoned};
use super::runs::{Runs, site};
use crate::geography::Geodesic;
use crate::model::RowSet;
use crate::study::compare::{Comparison, Side, compare};
use crate::study::runs::{Run, of_control};
use crate::study::subject::SubjectParts;
use crate::study::{Filter, Listener, Reach, Sector, Subject, Tally, bearings, listeners, reach};

/// Sites this far apart are two sites, km: farther than a coarse locator leaves it.
const ONE_SITE_KM: f64 = 200.0;

/// What one run's shown spots come to, seen from its own site.
#[derive(Debug)]
pub(super) struct RunResults {
    parts: Arc<SubjectParts>,
    pub(super) tally: Tally,
    pub(super) reach: Reach,
    pub(super) listeners: Vec<Listener>,
    pub(super) sectors: Vec<Sector>,
}

impl RunResults {
    fn of(loaded: &Loaded, run: &Run, rows: &RowSet) -> Self {
        let table = &loaded.table;
        let home = loaded.home().or_else(|| site(loaded, run, rows)).or_else(|| loaded.subject().home());
        let subject = Subject::new(table, loaded.subject().calls(), loaded.tested.side, home);
        let tally = Tally::of(&subject, rows);
        Self {
            reach: reach(&subject, &tally),
            listeners: listeners(&subject, &tally),
            sectors: bearings(&subject, &tally),
            parts: subject.parts(),
            tally,
        }
    }

    /// The antenna at this run's site.
    pub(super) fn subject<'a>(&self, loaded: &'a Loaded) -> Subject<'a> {
        Subject::from_parts(&loaded.table, Arc::clone(&self.parts))
    }
}

/// Two runs compared.
#[derive(Debug)]
pub(super) struct Contrast {
    /// Places of A and B among the runs.
    pub(super) pair: (usize, usize),
    pub(super) comparison: Comparison,
    pub(super) a: RunResults,
    pub(super) b: RunResults,
    /// How far the two sites lie apart, where they are two.
    pub(super) sites_apart_km: Option<f64>,
    /// Other runs held against A, where there are more than two.
    pub(super) others: Vec<(usize, Option<Comparison>, RunResults)>,
}

/// The comparison as last reckoned, if there are two runs with spots among those shown.
pub(super) type Compared = Reckoned<Option<Contrast>>;

impl Compared {
    /// Reckons anew if rows or runs changed since.
    pub(super) fn compare(&mut self, basis: Basis, runs: &Runs, loaded: &Loaded, filter: &Filter) {
        self.update(basis, || runs.compared().and_then(|pair| contrast(pair, runs, loaded, filter)));
    }

    pub(super) fn contrast(&self) -> Option<&Contrast> {
        self.get()?.as_ref()
    }
}

fn contrast(pair: (usize, usize), runs: &Runs, loaded: &Loaded, filter: &Filter) -> Option<Contrast> {
    let shown = |at: usize| runs.sets.get(at).map(|rows| rows.and(&loaded.shown.rows));
    let (a, b) = pair;
    let (rows_a, rows_b) = (shown(a)?, shown(b)?);
    let (run_a, run_b) = (&runs.cards.get(a)?.run, &runs.cards.get(b)?.run);
    let held = |other: &Run, rows: &RowSet| against(run_a, &rows_a, other, rows, runs, loaded, filter);
    let (of_a, of_b) = (RunResults::of(loaded, run_a, &rows_a), RunResults::of(loaded, run_b, &rows_b));
    let sites = of_a.subject(loaded).home().zip(of_b.subject(loaded).home());
    let apart = sites.map(|(a, b)| Geodesic::wgs84().path(a.centre(), b.centre()).distance_km);
    let others = (0..runs.cards.len()).filter(|&at| runs.cards.len() > 2 && at != a && at != b).filter_map(|at| {
        let (run, rows) = (&runs.cards.get(at)?.run, shown(at)?);
        Some((at, held(run, &rows), RunResults::of(loaded, run, &rows)))
    });
    let comparison = held(run_b, &rows_b)?;
    Some(Contrast {
        pair,
        comparison,
        sites_apart_km: apart.filter(|&km| km > ONE_SITE_KM),
        others: others.collect(),
        a: of_a,
        b: of_b,
    })
}

/// One run held against another, with the control's spots of either period.
fn against(
    a: &Run,
    rows_a: &RowSet,
    b: &Run,
    rows_b: &RowSet,
    runs: &Runs,
    loaded: &Loaded,
    filter: &Filter,
) -> Option<Comparison> {
    let table = &loaded.table;
    let side = loaded.tested.side;
    let control = runs.control.as_ref().and_then(|call| table.stations().find_call(call));
    let control = control.map(|call| Subject::new(table, &[call], side, None));
    let rows = control.as_ref().map(|control| {
        let rows = filter.rows(control);
        (of_control(table, &rows, side, a, rows_a), of_control(table, &rows, side, b, rows_b))
    });
    let control = control.as_ref().zip(rows.as_ref()).map(|(control, (of_a, of_b))| (control, of_a, of_b));
    let (a, b) = (Side { run: a, rows: rows_a }, Side { run: b, rows: rows_b });
    compare(&loaded.subject(), a, b, control, runs.settings)
}
