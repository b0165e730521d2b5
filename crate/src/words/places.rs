//! Countries and continents reached, in one sentence.

use super::number::{NO_BREAK, count, counted};
use super::terms::far_words;
use crate::geography::Place;
use crate::model::Side;
use crate::study::Places;

/// The sentence: `Heard in at least 14 countries on 4 continents; 3 listeners may be across a border.`
///
/// Only listeners that can be nowhere else count as reached, and 'at least' stands wherever others may add to them.
/// Empty for no listeners; `side` is the tested antenna's.
pub fn places(places: &Places, side: Side) -> String {
    if places.listeners == 0 {
        return String::new();
    }
    let (listener, listeners) = far_words(side);
    let (countries, continents) = (places.countries_sure(), places.continents_sure());
    let mut sentence = String::new();
    if countries == 0 {
        sentence.extend(["No ", listener, " is surely in one country"]);
    } else {
        sentence += match side {
            Side::Sends => "Heard in ",
            Side::Hears => "Heard from ",
        };
        if places.unsure + places.unplaced > 0 {
            sentence += "at least ";
        }
        sentence += &counted(countries, "country", "countries");
        if continents > 0 {
            sentence.extend([" on ", &counted(continents, "continent", "continents")]);
        }
    }
    let mut apart = Vec::new();
    for (n, what) in [
        (places.unsure, "may be across a border"),
        (places.at_sea, "at sea or on an island not known here"),
        (places.unplaced, "without a locator"),
    ] {
        // the noun once, with the first
        match n {
            0 => {}
            _ if apart.is_empty() => apart.push(format!("{} {what}", counted(n, listener, listeners))),
            _ => apart.push(format!("{}{NO_BREAK}{what}", count(n))),
        }
    }
    if !apart.is_empty() {
        sentence.extend(["; ", &apart.join(", ")]);
    }
    sentence + "."
}

/// Where one station is: `Germany`, `Germany, may be Belgium`, `at sea, near Iceland`.
pub fn place(place: &Place) -> String {
    let Some(country) = place.country else {
        return place.nearest.map_or("at sea".to_owned(), |near| format!("at sea, near {}", near.name()));
    };
    let mut said = country.name().to_owned();
    for (at, neighbour) in place.neighbours.iter().enumerate() {
        said.push_str(if at == 0 { ", may be " } else { " or " });
        said.push_str(neighbour.name());
    }
    said
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geography::{Locator, place_of};
    use crate::study::Reached;

    fn reached(locators: &[&str]) -> Places {
        let mut all = Places::default();
        for locator in locators {
            let place = place_of(Locator::parse(locator).unwrap());
            all.listeners += 1;
            all.countries.push(Reached { place: place.country.unwrap(), sure: 1, perhaps: 0 });
            all.continents.push(Reached { place: place.continent.unwrap(), sure: 1, perhaps: 0 });
        }
        all
    }

    #[test]
    fn one_place_says_what_else_it_may_be() {
        let of = |locator: &str| place(&place_of(Locator::parse(locator).unwrap()));
        assert_eq!(of("JO62qm"), "Germany");
        assert!(of("JO30").starts_with("Germany, may be Belgium"), "{}", of("JO30"));
        assert_eq!(of("AA00aa"), "Antarctica");
        assert!(of("HK50").starts_with("at sea"), "{}", of("HK50"));
    }

    #[test]
    fn it_counts_what_is_sure_and_says_what_is_not() {
        assert_eq!(places(&Places::default(), Side::Sends), "");
        let one = reached(&["JO20eu"]);
        assert_eq!(places(&one, Side::Sends), "Heard in 1\u{a0}country on 1\u{a0}continent.");
        assert_eq!(places(&one, Side::Hears), "Heard from 1\u{a0}country on 1\u{a0}continent.");
        let mut two = reached(&["JO20eu", "FN31pr"]);
        (two.listeners, two.unsure, two.at_sea, two.unplaced) = (8, 3, 1, 2);
        assert_eq!(
            places(&two, Side::Sends),
            "Heard in at least 2\u{a0}countries on 2\u{a0}continents; 3\u{a0}listeners may be across a border, \
             1\u{a0}at sea or on an island not known here, 2\u{a0}without a locator."
        );
        let none = Places { listeners: 1, unsure: 1, ..Places::default() };
        assert_eq!(
            places(&none, Side::Hears),
            "No station is surely in one country; 1\u{a0}station may be across a border."
        );
    }
}
