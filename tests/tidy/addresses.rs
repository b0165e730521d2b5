//! Nothing the page is made of names a place outside.

use crate::sources::{Source, files};

/// Names of standards, which no browser ever fetches: the namespaces of SVG and XHTML, and of KML in files that are saved.
const NAMESPACES: [&str; 2] = ["http://www.w3.org/", "http://www.opengis.net/kml/2.2"];

/// The addresses in a text, each to its end.
fn addresses(text: &str) -> Vec<&str> {
    let mut found = Vec::new();
    for scheme in ["http://", "https://", "ws://", "wss://", "ftp://"] {
        for (index, _) in text.match_indices(scheme) {
            let rest = text.get(index..).unwrap_or_default();
            found.push(rest.split(|it: char| it.is_whitespace() || "\"'`<>)\\".contains(it)).next().unwrap_or(rest));
        }
    }
    found
}

fn outside(text: &str) -> Vec<&str> {
    addresses(text).into_iter().filter(|address| !NAMESPACES.iter().any(|name| address.starts_with(name))).collect()
}

#[test]
fn the_sources_of_the_page_name_no_outside_place() {
    let mut sources: Vec<Source> = ["html", "css", "js", "svg", "webmanifest"]
        .into_iter()
        .flat_map(|ending| files("web", &format!(".{ending}")))
        .collect();
    assert!(sources.len() > 5, "the page's sources were not found");
    let in_web: Vec<_> = sources.iter().map(|it| (it.name.clone(), outside(&it.text).join(" "))).collect();
    let wrong: Vec<_> = in_web.iter().filter(|(_, found)| !found.is_empty()).collect();
    assert!(wrong.is_empty(), "{wrong:#?}");

    // The core writes markup too; its comments may name the sources of formulas.
    sources = files("crate/src", ".rs");
    for source in &sources {
        for (number, line) in source.code_lines() {
            assert!(outside(line).is_empty(), "{}:{number}: {:?}", source.name, outside(line));
        }
    }
}

#[test]
fn the_built_page_names_no_outside_place() {
    let page = crate::page::built();
    assert!(outside(&page).is_empty(), "{:?}", outside(&page));
}

#[test]
fn addresses_are_found() {
    assert_eq!(outside("<a href=\"https://a.example/b\">"), ["https://a.example/b"]);
    assert_eq!(outside("xmlns=\"http://www.w3.org/2000/svg\""), Vec::<&str>::new());
}
