//! Results: plain numbers from the spot table and a set of its rows. Nothing here formats text or draws.
//!
//! - [`tested`]: whose antenna it is and on which side, found from the data
//! - [`subject`]: the tested antenna with the path to every far station, computed once
//! - [`filter`]: which rows a person wants to see
//! - [`tally`]: one scan over rows into counts per far call, band and hour; what follows reads from it
//! - [`mod@reach`]: how far, and distance classes
//! - [`mod@bands`]: the same per band
//! - [`mod@bearings`]: sixteen sectors
//! - [`mod@medians`]: how strong, per band and sector
//! - [`mod@hours`]: spots and listeners per band and UTC hour
//! - [`mod@openings`]: when each band was open, and from how far away on
//! - [`mod@angles`]: likely take-off angles and hops
//! - [`mod@sunlight`]: where the sun stood over both ends and the way between
//! - [`mod@listeners`]: every far station as one entry
//! - [`mod@places`]: countries and continents reached
//! - [`mod@timeline`]: spots per step of time
//! - [`sums`]: counts by time as well, from which those of a filter come without another scan
//! - [`doubt`]: spots that are kept but doubtful, with reasons
//! - [`statistics`]: quantiles and the like
//! - [`runs`]: which spots belong to which antenna
//! - [`propose`]: runs proposed from the data
//! - [`mod@health`]: was the beacon on all the time, and did it behave
//! - [`plan`]: what the next test needs
//! - [`feeder`]: what a feeder takes away
//! - [`dial`]: customary dial frequencies, for runs told apart by audio frequency
//! - [`compare`]: two runs compared, from [`pairs`], [`safe`], [`interval`], [`days`] and [`distribution`]
//!
//! 'Listener' here means the station at the far end, also where the tested antenna hears.

pub mod angles;
pub mod bands;
pub mod bearings;
pub mod compare;
pub mod days;
pub mod dial;
pub mod distribution;
pub mod doubt;
pub mod feeder;
pub mod filter;
pub mod health;
pub mod hours;
pub mod interval;
pub mod listeners;
pub mod medians;
pub mod openings;
pub mod pairs;
pub mod places;
pub mod plan;
pub mod propose;
pub mod reach;
pub mod runs;
pub mod safe;
pub mod statistics;
pub mod subject;
pub mod sums;
pub mod sunlight;
pub mod tally;
pub mod tested;
pub mod timeline;

pub use angles::{Angles, HopClass, Layer, PathAngle, angles};
pub use bands::{BandResult, bands};
pub use bearings::{Sector, bearings};
pub use filter::Filter;
pub use health::{Health, health};
pub use hours::{BandHours, hours};
pub use listeners::{Listener, listeners};
pub use medians::{BandMedian, Medians, Strengths, medians};
pub use openings::{BandOpenings, openings};
pub use places::{Places, Reached, places, places_by_band};
pub use reach::{Farthest, Reach, reach};
pub use subject::{FarPath, Subject};
pub use sums::timeline;
pub use sunlight::{Sunlight, sunlight};
pub use tally::Tally;
pub use timeline::Timeline;
