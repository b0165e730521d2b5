//! Health of the beacon: was it on all the time, and did it behave?
//!
//! - [`mod@heard`]: the sends that anyone heard, by slot and band
//! - [`mod@turn`]: in which slots it sends on which band, found from the data
//! - [`mod@sends`]: sends expected and heard, by band and hour
//! - [`mod@silence`]: spans without a report, with how unusual they are
//! - [`mod@habit`]: what other days say about a span; `evidence` and `watch`: what else speaks for more than chance
//! - [`mod@frequency`]: what all listeners see of its frequency, and what only one of them does
//! - [`mod@slope`]: a slope that wild points do not bend
//! - [`mod@changes`]: power or locator that changed on the way
//!
//! Only reports are known: a send that nobody heard is no send that failed, and nobody can tell whether a beacon was on
//! while every band was closed.

pub mod changes;
mod evidence;
pub mod frequency;
pub mod habit;
pub mod heard;
pub mod sends;
pub mod silence;
pub mod slope;
pub mod turn;
mod watch;

pub use changes::{Change, Changes, Course, Odd};
pub use frequency::{BandFrequency, Jump, Receiver, Step};
pub use habit::Habit;
pub use sends::{BandSends, SendCount, SendCourse};
pub use silence::{Likely, Silence, Silences, Span};
pub use turn::{BandTurn, Turn};

use super::subject::Subject;
use crate::model::{CallId, RowSet, Side};
use crate::order::LightSort;
use crate::time::UtcTime;
use heard::Heard;

/// What can be said about a beacon from the reports of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Health {
    /// Each call that sent, the one with most reports first.
    pub senders: Vec<Sender>,
}

/// One call of the beacon.
#[derive(Clone, Debug, PartialEq)]
pub struct Sender {
    /// The call.
    pub call: CallId,
    /// Reports of it.
    pub spots: usize,
    /// Listeners that reported it.
    pub listeners: usize,
    /// Start of the first send that was heard.
    pub first: UtcTime,
    /// Start of the last send that was heard.
    pub last: UtcTime,
    /// In which slots it sends, if its sends keep to some.
    pub turn: Option<Turn>,
    /// Sends by band, in order of wavelength.
    pub sends: Vec<BandSends>,
    /// Sends of all bands in the course of the run.
    pub course: SendCourse,
    /// Spans without a report.
    pub silences: Silences,
    /// Frequency by band, those with most reports first; bands with too little to tell are left out.
    pub frequency: Vec<BandFrequency>,
    /// What changed on the way.
    pub changes: Changes,
}

/// Looks at the beacon through `rows`, which are all reports of it or of one of its runs, not those of some listeners.
/// `None` without rows, and for an antenna that hears: that has no sends of its own.
pub fn health(subject: &Subject<'_>, rows: &RowSet) -> Option<Health> {
    if subject.side() == Side::Hears || rows.is_empty() {
        return None;
    }
    let table = subject.table();
    let in_order = in_order_of_time(subject, rows);
    let mut senders: Vec<Sender> = Vec::new();
    for &call in subject.calls() {
        let of_call = |row: &u32| table.stations().call_of(table.tx(*row as usize)) == call;
        let own: Vec<u32> = in_order.iter().copied().filter(of_call).collect();
        let Some(heard) = Heard::of(subject, &own) else { continue };
        let turn = turn::turn(&heard);
        let silences = silence::silences(subject, rows, call, &heard, turn.as_ref());
        senders.push(Sender {
            call,
            spots: own.len(),
            listeners: heard.listeners.iter().filter(|&&heard| heard).count(),
            first: heard.time(heard.first()),
            last: heard.time(heard.last()),
            course: sends::course(&heard, turn.as_ref(), &silences.off_turn()),
            sends: sends::sends(&heard, turn.as_ref(), &silences.off_turn()),
            frequency: frequency::frequency(subject, &own),
            changes: changes::changes(subject, &own),
            turn,
            silences,
        });
    }
    let call = |sender: &Sender| table.stations().call(sender.call);
    senders.order_by(|a, b| b.spots.cmp(&a.spots).then_with(|| call(a).cmp(call(b))));
    (!senders.is_empty()).then_some(Health { senders })
}

/// The rows in order of time. Files nearly always are: then it takes no sort.
fn in_order_of_time(subject: &Subject<'_>, rows: &RowSet) -> Vec<u32> {
    let table = subject.table();
    let mut order: Vec<u32> = rows.iter().filter_map(|row| u32::try_from(row).ok()).collect();
    let time = |row: &u32| table.time(*row as usize);
    let sorted = |order: &[u32]| order.windows(2).all(|pair| time(&pair[0]) <= time(&pair[1]));
    if sorted(&order) {
        return order;
    }
    order.reverse();
    if !sorted(&order) {
        order.order_by_key(time);
    }
    order
}
