//! What stands in a page to be shared: a work file made of what leaves only.
//!
//! The spots stand in it as our own CSV, a file for each they came from, so that rules that name files hold. Of other
//! stations only the control beacon comes along, since a comparison without it would come out otherwise.

use std::sync::Arc;

use super::csv;
use super::privacy::{Leaving, Source};
use super::work_file::{KeptFile, KeptRun, WorkFile};
use crate::model::CallId;
use crate::order::LightSort as _;
use crate::study::compare::Settings;

/// How it was looked at when it was shared.
#[derive(Clone, Debug, Default)]
pub struct Sharing {
    /// Who shares it, in their own words; may be empty.
    pub by: String,
    /// View and filters, but for listeners, in the words of the page's address.
    pub view: String,
    /// Listeners that are filtered for.
    pub listeners: Vec<CallId>,
    /// Pinned ones.
    pub pinned: Vec<CallId>,
    /// Places of A and B among the runs.
    pub pair: (usize, usize),
    /// The control beacon.
    pub control: Option<CallId>,
    /// What a verdict assumes.
    pub settings: Settings,
    /// Did a person give the place of the tested antenna?
    pub home_was_given: bool,
}

/// The work of a shared page. The same work always gives the same.
pub fn work(leaving: &Leaving<'_>, sharing: &Sharing) -> WorkFile {
    let subject = leaving.subject();
    let table = subject.table();
    let mut rows: Vec<usize> = leaving.rows().chain(leaving.control_rows()).collect();
    rows.order_by(Ord::cmp);
    let mut files: Vec<KeptFile> = Vec::new();
    for at in 0..table.files().len() {
        let of_file = || rows.iter().copied().filter(|&row| table.file(row).index() == at);
        if of_file().next().is_some() {
            let bytes = Arc::new(csv::rows(leaving, &mut of_file()));
            files.push(KeptFile { name: leaving.file_as_leaves(at), bytes, ..KeptFile::default() });
        }
    }
    let named = |calls: &[CallId]| calls.iter().map(|&call| leaving.call(call).to_owned()).collect();
    let runs = leaving.runs().iter();
    let runs = runs.map(|told| KeptRun { run: told.run.clone(), words: told.words.clone(), ..KeptRun::default() });
    WorkFile {
        sample: leaving.source() == Source::Sample,
        shared_by: Some(sharing.by.clone()),
        tested: subject.calls().first().map(|&call| (leaving.call(call).to_owned(), subject.side())),
        home: if sharing.home_was_given { subject.home() } else { None },
        runs: runs.collect(),
        pair: sharing.pair,
        control: sharing.control.map(|call| leaving.call(call).to_owned()),
        settings: sharing.settings,
        view: sharing.view.clone(),
        listeners: named(&sharing.listeners),
        pinned: named(&sharing.pinned),
        files,
        ..WorkFile::default()
    }
}
