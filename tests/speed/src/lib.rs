//! Two senders' spots and their comparison, in steps that a benchmark can time one by one.
//!
//! The same steps run natively and, compiled with the page's own profile, in a browser, where
//! `in_browser` is what the measuring page calls.

use farheard::import::{Wishes, read};
use farheard::model::{CallId, RowSet, Side, SpotTable, TableBuilder};
use farheard::study::Subject;
use farheard::study::compare::{self, Comparison, Gathered, Settings};
use farheard::study::runs::Run;

#[cfg(target_arch = "wasm32")]
pub mod in_browser;

/// Reads a file.
pub fn spots_of(text: &str) -> SpotTable {
    let mut builder = TableBuilder::new();
    read("invented.csv", text.as_bytes(), &Wishes::default(), &mut builder);
    builder.freeze()
}

/// The spots of two senders with their pairs.
#[expect(missing_debug_implementations, reason = "hundreds of thousands of pairs tell nobody anything")]
pub struct TwoSenders {
    table: SpotTable,
    calls: Vec<CallId>,
    rows: [RowSet; 2],
    gathered: Gathered,
}

impl TwoSenders {
    /// The two calls' spots in a table; `None` where one is missing or there is nothing to compare.
    pub fn new(table: SpotTable, calls: [&str; 2]) -> Option<Self> {
        let calls: Vec<CallId> = calls.iter().filter_map(|call| table.stations().find_call(call)).collect();
        let [a, b] = calls[..] else { return None };
        let of = |call| RowSet::where_(table.len(), |row| table.stations().call_of(table.tx(row)) == call);
        let rows = [of(a), of(b)];
        let gathered = gather(&table, &calls, &rows)?;
        Some(Self { table, calls, rows, gathered })
    }

    /// How many pairs there are.
    pub fn pairs(&self) -> usize {
        self.result().pairs
    }

    /// The whole comparison: reports cleaned, paired, and every part reckoned.
    pub fn comparison(&self) -> Option<Comparison> {
        let gathered = gather(&self.table, &self.calls, &self.rows)?;
        Some(gathered.comparison(&Subject::new(&self.table, &self.calls, Side::Sends, None)))
    }

    /// Interval and result of the pairs: the safe ones chosen, estimate, interval and verdict.
    pub fn result(&self) -> compare::Part {
        self.gathered.over_all()
    }
}

fn gather(table: &SpotTable, calls: &[CallId], [a, b]: &[RowSet; 2]) -> Option<Gathered> {
    let subject = Subject::new(table, calls, Side::Sends, None);
    let run = Run::default();
    let side = |rows| compare::Side { run: &run, rows };
    compare::gather(&subject, side(a), side(b), None, Settings::default())
}
