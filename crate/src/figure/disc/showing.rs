//! What the marks of a disc say.

use crate::figure::by_listener::difference_words;
use crate::model::CallId;
use crate::study::compare::ListenerDifference;

/// What the marks of a disc say.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Showing<'a> {
    /// One antenna alone: colour is the band heard most.
    #[default]
    Bands,
    /// One of two antennas, in its own colour and shape: A solid, B hollow. Bands are not told.
    Antenna {
        /// Listeners that heard this one only, with a dotted circle round them.
        only: &'a [CallId],
    },
    /// Which of two antennas is stronger at each listener, pale where chance may have made it.
    Differences {
        /// The differences; listeners without one get a dot.
        differences: &'a [ListenerDifference],
        /// Name of antenna A.
        a: &'a str,
        /// Name of antenna B.
        b: &'a str,
    },
}

impl Showing<'_> {
    /// Did this listener hear one antenna only, the one shown?
    pub(super) fn is_lone(&self, call: CallId) -> bool {
        matches!(self, Self::Antenna { only } if only.contains(&call))
    }

    /// The difference at a listener.
    pub(super) fn difference(&self, call: CallId) -> Option<&ListenerDifference> {
        match self {
            Self::Differences { differences, .. } => differences.iter().find(|one| one.call == call),
            Self::Bands | Self::Antenna { .. } => None,
        }
    }

    /// What is said of a listener besides its place and spots, with its leading punctuation.
    pub(super) fn words(&self, call: CallId) -> String {
        match self {
            Self::Differences { a, b, .. } => self.difference(call).map_or_else(
                || ", no pair safe from the floor".to_owned(),
                |one| format!(": {}", difference_words(one, a, b)),
            ),
            Self::Antenna { .. } if self.is_lone(call) => ", heard this one only".to_owned(),
            Self::Bands | Self::Antenna { .. } => String::new(),
        }
    }
}
