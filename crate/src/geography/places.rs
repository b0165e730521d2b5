//! Which country and continent a position is in, from Natural Earth's borders as they are on the ground.
//!
//! Where the data come from, what was changed and how good they are: `places.md`. Names are those of the data set;
//! so is who holds what where that is disputed.

use std::sync::LazyLock;

use super::edges::{Edges, Ground, KM_PER_DEGREE, shrink};
use super::{Locator, Position};

/// Borders and coasts may be off by this many km, see `places.md`: what lies nearer is not told apart.
pub const BORDER_ERROR_KM: f64 = 6.0;
/// Poleward of this latitude coasts are coarser, see `coastline.md`.
const POLAR_DEG: f64 = 66.0;
const POLAR_ERROR_KM: f64 = 15.0;
/// Land this near names a middle at sea: islands that the data leave out are not farther from one they have.
pub const ISLANDS_KM: f64 = 15.0;
/// Land farther off than this does not name a place at sea.
const NEAR_DEG: f64 = 5.0;

/// A country or territory of the data set.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Country(Ground);

/// A continent of the data set.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Continent(u8);

/// Where a position is, and what else it may be.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Place {
    /// The country; for a middle at sea with land in reach the nearest one. `None` at sea.
    pub country: Option<Country>,
    /// The continent; `None` at sea and for lonely islands that the data set gives to none.
    pub continent: Option<Continent>,
    /// Other countries it may be in, as the border runs through the reach.
    pub neighbours: Vec<Country>,
    /// Are all of them on that same continent (or none)?
    pub continent_sure: bool,
    /// Is there sea in reach?
    pub coast: bool,
    /// At sea, the country whose land is nearest, within some 500 km.
    pub nearest: Option<Country>,
}

/// The place of a locator: its middle, and all of its cell as what else it may be.
pub fn place_of(locator: Locator) -> Place {
    let (height_deg, width_deg) = locator.size_deg();
    place_around(locator.centre(), width_deg / 2.0, height_deg / 2.0)
}

/// The place of a position that may be off by half a width east or west and half a height north or south;
/// the error of the data comes on top.
pub fn place_around(middle: Position, half_width_deg: f64, half_height_deg: f64) -> Place {
    let error_deg = if middle.lat_deg.abs() > POLAR_DEG { POLAR_ERROR_KM } else { BORDER_ERROR_KM } / KM_PER_DEGREE;
    let half = [(half_width_deg + error_deg / shrink(middle.lat_deg)).min(180.0), half_height_deg + error_deg];
    let Some(nearest) = EDGES.nearest(middle) else { return Place::default() };
    let mut met = [false; 256];
    let mut meet = |ground: Ground| {
        if let Some(met) = met.get_mut(usize::from(ground)) {
            *met = true;
        }
    };
    meet(nearest.here);
    EDGES.within(middle, half, |edge| {
        meet(edge.left);
        meet(edge.right);
    });
    // a middle at sea takes the nearest land
    let own = if nearest.here == 0 { nearest.there } else { nearest.here };
    if nearest.degrees * KM_PER_DEGREE < ISLANDS_KM {
        meet(own);
    }
    let has = |ground: Ground| met.get(usize::from(ground)) == Some(&true);
    let coast = has(0);
    let mut all = (1..=Ground::MAX).filter(|&ground| has(ground));
    let Some(&(_, country, continent)) = (if has(own) { Some(own) } else { all.clone().next() }).and_then(known) else {
        let near = known(own).filter(|_| nearest.degrees < NEAR_DEG);
        return Place { coast, nearest: near.map(|&(_, country, _)| country), ..Place::default() };
    };
    let mut place = Place { country: Some(country), continent, continent_sure: true, coast, ..Place::default() };
    for &(_, other, its_continent) in all.by_ref().filter_map(known) {
        place.continent_sure &= its_continent == continent;
        if other != country && !place.neighbours.contains(&other) {
            place.neighbours.push(other);
        }
    }
    place
}

impl Country {
    /// Its name in the data set.
    pub fn name(self) -> &'static str {
        known(self.0).map(|&(name, ..)| name).unwrap_or_default()
    }
}

impl Continent {
    /// Its name in the data set.
    pub fn name(self) -> &'static str {
        CONTINENTS.get(usize::from(self.0)).copied().unwrap_or_default()
    }
}

/// In the order of the digits in `places.names`; the next digit stands for none.
const CONTINENTS: [&str; 7] = ["Africa", "Antarctica", "Asia", "Europe", "North America", "Oceania", "South America"];

static EDGES: LazyLock<Edges> = LazyLock::new(|| Edges::read(include_bytes!("places.bin")));

/// Name, country and continent of each ground; the sea has none.
static GROUNDS: LazyLock<Vec<(&str, Country, Option<Continent>)>> = LazyLock::new(|| {
    let mut grounds: Vec<(&str, Country, Option<Continent>)> = Vec::new();
    for (line, ground) in include_str!("places.names").lines().zip(1..) {
        let (digit, name) = line.split_at_checked(1).unwrap_or_default();
        let continent = digit.parse().ok().filter(|&digit| usize::from(digit) < CONTINENTS.len()).map(Continent);
        // a country on several continents goes by its first ground
        let same = grounds.iter().find(|(other, ..)| *other == name);
        grounds.push((name, same.map_or(Country(ground), |&(_, country, _)| country), continent));
    }
    grounds
});

/// What is known of a ground; `None` for the sea.
fn known(ground: Ground) -> Option<&'static (&'static str, Country, Option<Continent>)> {
    GROUNDS.get(usize::from(ground).checked_sub(1)?)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn named(place: &Place) -> (&'static str, &'static str) {
        (place.country.map_or("", Country::name), place.continent.map_or("", Continent::name))
    }

    fn at(lat_deg: f64, lon_deg: f64) -> Place {
        place_around(Position { lat_deg, lon_deg }, 0.0, 0.0)
    }

    #[test]
    fn the_files_are_whole() {
        // counts as printed by the maker, see places.md
        assert_eq!(GROUNDS.len(), 253);
        assert!((1..=253).all(|ground| known(ground).is_some_and(|(name, ..)| !name.is_empty())));
        assert!(known(0).is_none() && known(254).is_none());
    }

    #[test]
    fn poles_and_the_date_line() {
        // positions from memory
        for lon_deg in [-180.0, 0.0, 77.0] {
            assert_eq!(named(&at(-90.0, lon_deg)), ("Antarctica", "Antarctica"));
            assert_eq!(named(&at(90.0, lon_deg)), ("", ""));
        }
        for lon_deg in [-178.0, 178.5, 179.99, -180.0] {
            assert_eq!(named(&at(67.7, lon_deg)), ("Russia", "Europe"), "Chukotka {lon_deg}");
        }
        assert_eq!(named(&at(-16.6, 179.2)), ("Fiji", "Oceania"));
        assert_eq!(named(&at(60.0, 180.0)), ("", ""), "Bering Sea");
        for (lat_deg, lon_deg) in [(-85.5, -180.0), (-68.0, 138.0), (-75.0, 0.0)] {
            assert_eq!(named(&at(lat_deg, lon_deg)), ("Antarctica", "Antarctica"), "{lat_deg} {lon_deg}");
        }
    }

    #[test]
    fn enclaves_and_pieces_on_other_continents() {
        // positions from memory
        assert_eq!(at(-29.5, 28.3).country.map(Country::name), Some("Lesotho"));
        assert!(at(-29.5, 28.3).neighbours.is_empty());
        let rome = at(41.90, 12.453);
        let both: Vec<&str> = rome.country.iter().chain(&rome.neighbours).map(|country| country.name()).collect();
        assert!(both.contains(&"Vatican") && both.contains(&"Italy"), "{both:?}");
        let cayenne = at(4.8, -52.4);
        assert_eq!(named(&cayenne), ("France", "South America"));
        assert_eq!(cayenne.country, at(47.0, 2.5).country, "one country on two continents");
        assert_eq!(named(&at(-21.1, 55.5)), ("France", ""), "Reunion: to no continent");
    }

    #[test]
    fn a_wide_cell_names_more() {
        let place = |text: &str| place_of(Locator::parse(text).unwrap());
        // Brussels (position from memory): surely Belgium with six characters, not with four
        assert!(place("JO20eu").neighbours.is_empty());
        let names: Vec<&str> = place("JO20").neighbours.iter().map(|country| country.name()).collect();
        assert_eq!(names, ["France", "Germany", "Luxembourg", "Netherlands"]);
        assert!(place("JO20").continent_sure);
        assert!(!place("JO20").coast && place("JO21").coast);
        assert_eq!(place("IJ00").country, None);
    }
}
