//! Something for each picture that has it.

use super::message::Picture;

/// A map by picture: one place for each, which weighs less in the page than a map of its own.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct PerPicture<T>([Option<T>; Picture::ALL.len()]);

impl<T> Default for PerPicture<T> {
    fn default() -> Self {
        Self(std::array::from_fn(|_| None))
    }
}

impl<T> PerPicture<T> {
    pub(super) fn get(&self, picture: Picture) -> Option<&T> {
        self.0[picture as usize].as_ref()
    }

    pub(super) fn insert(&mut self, picture: Picture, item: T) -> Option<T> {
        self.0[picture as usize].replace(item)
    }

    pub(super) fn remove(&mut self, picture: Picture) -> Option<T> {
        self.0[picture as usize].take()
    }

    pub(super) fn clear(&mut self) {
        *self = Self::default();
    }
}
