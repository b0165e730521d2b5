//! What the measuring page calls.

use wasm_bindgen::prelude::wasm_bindgen;

use crate::{TwoSenders, spots_of};

/// The comparison of two senders.
#[wasm_bindgen]
#[expect(missing_debug_implementations, reason = "hundreds of thousands of pairs tell nobody anything")]
pub struct Comparing(TwoSenders);

#[wasm_bindgen]
impl Comparing {
    /// Reads the file and pairs the two senders' spots; nothing where that gives no pairs.
    pub fn of(text: &str, a: &str, b: &str) -> Option<Self> {
        TwoSenders::new(spots_of(text), [a, b]).map(Self)
    }

    /// How many pairs there are.
    pub fn pairs(&self) -> usize {
        self.0.pairs()
    }

    /// The whole comparison; gives the difference in dB, so that nothing is left unreckoned.
    pub fn comparison(&self) -> Option<f64> {
        self.0.comparison()?.all.difference_db
    }

    /// Interval and result of the pairs at hand; gives the lower end in dB.
    pub fn result(&self) -> Option<f64> {
        self.0.result().low_db
    }
}
