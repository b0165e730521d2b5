//! What was reckoned for some rows and runs. It holds numbers of rows and stations, which mean others once rows or runs
//! changed: so it is given up then, before anything is shown or drawn.

use super::runs::Runs;

/// Which rows and runs: either number grows with every change.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Basis {
    generation: u64,
    revision: u64,
}

impl Basis {
    pub(super) fn of(generation: u64, runs: &Runs) -> Self {
        Self { generation, revision: runs.revision }
    }
}

/// A result and what it holds for.
#[derive(Debug)]
pub(super) struct Reckoned<T>(Option<(Basis, T)>);

impl<T> Default for Reckoned<T> {
    fn default() -> Self {
        Self(None)
    }
}

impl<T> Reckoned<T> {
    /// The result, if there is one.
    pub(super) fn get(&self) -> Option<&T> {
        self.0.as_ref().map(|(_, result)| result)
    }

    pub(super) fn get_mut(&mut self) -> Option<&mut T> {
        self.0.as_mut().map(|(_, result)| result)
    }

    /// Reckons, unless that was done for the same rows and runs.
    pub(super) fn update(&mut self, basis: Basis, reckon: impl FnOnce() -> T) {
        self.give_up_unless(basis);
        self.0.get_or_insert_with(|| (basis, reckon()));
    }

    /// Gives up a result that holds for other rows or runs.
    pub(super) fn give_up_unless(&mut self, basis: Basis) {
        self.0.take_if(|(of, _)| *of != basis);
    }

    /// Gives up the result.
    pub(super) fn clear(&mut self) {
        self.0 = None;
    }
}
