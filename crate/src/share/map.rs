//! The stations as marks of a map: GeoJSON after RFC 7946 (August 2016), and KML after OGC 07-147r2 (version 2.2).
//!
//! A point for the tested station and for each far one whose locator is known, at the middle of its cell; where asked
//! for, the shortest path to each as a line. Longitude comes before latitude (RFC 7946, section 3.1.1).
//! Both formats draw a straight line of degrees between two positions, so a path is a row of near positions; it is cut
//! where it crosses 180 degrees (section 3.1.9), and near a pole the positions come closer.

use super::json::write_text;
use super::privacy::{Leaving, Source};
use super::table::{Cell, number};
use super::tables::of_listeners;
use crate::geography::{Geodesic, Locator, Position};

/// Decimals of a degree: a tenth of a metre is finer than any locator (RFC 7946, section 11.2).
const DECIMALS: u8 = 6;
/// Longest piece of a path, km.
const STEP_KM: f64 = 100.0;
/// Shortest, where a path runs by a pole.
const LEAST_STEP_KM: f64 = 2.0;
/// Most degrees of longitude between two positions of a path.
const TURN_DEG: f64 = 5.0;

/// One mark.
struct Mark<'a> {
    kind: &'static str,
    values: Vec<(&'a str, Cell)>,
    /// Rows of positions: a point is a single one.
    lines: Vec<Vec<Position>>,
}

/// Hands over the marks: the tested station, the far ones, then the paths.
fn marks(leaving: &Leaving<'_>, paths: bool, each: &mut dyn FnMut(&Mark<'_>)) {
    let subject = leaving.subject();
    let (table, stations) = (subject.table(), subject.table().stations());
    let sample = || (leaving.source() == Source::Sample).then(|| ("note", Cell::Text("SAMPLE, made up".to_owned())));
    let home = subject.home();
    if let (Some(home), Some(&call)) = (home, subject.calls().first()) {
        let mut values = vec![
            ("call", Cell::Text(stations.call(call).to_owned())),
            ("locator", Cell::Text(home.to_string())),
            ("locator error km", Cell::Number(home.uncertainty_km(), 1)),
        ];
        values.extend(sample());
        each(&Mark { kind: "tested station", values, lines: vec![vec![home.centre()]] });
    }
    let (far, calls) = of_listeners(leaving);
    let kind = match subject.side() {
        crate::model::Side::Sends => "listener",
        crate::model::Side::Hears => "station",
    };
    let geodesic = Geodesic::wgs84();
    for way in [false, true].into_iter().take(1 + usize::from(paths)) {
        for (row, &call) in far.rows().zip(&calls) {
            let Some(place) = table.place(call).map(Locator::centre) else { continue };
            let known = far.heads().iter().copied().zip(row.iter().cloned()).filter(|(_, cell)| *cell != Cell::None);
            let wanted = |head: &str| !way || matches!(head, "call" | "distance km" | "bearing deg");
            let values = known.filter(|(head, _)| wanted(head)).chain(sample()).collect();
            let lines = match home {
                Some(home) if way => path(&geodesic, home.centre(), place),
                _ if way => Vec::new(),
                _ => vec![vec![place]],
            };
            if !lines.is_empty() {
                each(&Mark { kind: if way { "path" } else { kind }, values, lines });
            }
        }
    }
}

/// The shortest path in pieces that do not cross 180 degrees. None between places where any path is as short.
fn path(geodesic: &Geodesic, from: Position, to: Position) -> Vec<Vec<Position>> {
    let whole = geodesic.path(from, to);
    let Some(bearing_deg) = whole.bearing_deg else { return Vec::new() };
    let at = |km: f64| geodesic.destination(from, bearing_deg, km);
    // a geodesic goes on east or on west all its length (Clairaut); along a meridian it changes sides at the pole only
    let eastward = bearing_deg < 180.0;
    let crosses = |a: Position, b: Position| {
        (b.lon_deg - a.lon_deg).abs() > 1e-9 && (b.lon_deg < a.lon_deg) == eastward && bearing_deg % 180.0 > 1e-9
    };
    let mut pieces = vec![vec![from]];
    let (mut now, mut done_km) = (from, 0.0);
    while done_km < whole.distance_km {
        let mut step_km = STEP_KM;
        let (next, next_km) = loop {
            let next_km = done_km + step_km;
            let (next, next_km) =
                if next_km >= whole.distance_km { (to, whole.distance_km) } else { (at(next_km), next_km) };
            let turn = (next.lon_deg - now.lon_deg).rem_euclid(360.0);
            if turn.min(360.0 - turn) <= TURN_DEG || step_km <= LEAST_STEP_KM {
                break (next, next_km);
            }
            step_km /= 2.0;
        };
        if crosses(now, next) {
            let (mut before, mut behind) = (done_km, next_km);
            for _ in 0..40 {
                let middle = f64::midpoint(before, behind);
                if crosses(now, at(middle)) { behind = middle } else { before = middle }
            }
            let lat_deg = at(before).lat_deg;
            let edge = if eastward { 180.0 } else { -180.0 };
            pieces.last_mut().into_iter().for_each(|piece| piece.push(Position { lat_deg, lon_deg: edge }));
            pieces.push(vec![Position { lat_deg, lon_deg: -edge }]);
        } else if bearing_deg % 180.0 <= 1e-9 && (next.lon_deg - now.lon_deg).abs() > 90.0 {
            // over the pole: up one meridian and down the other
            let pole = |lon_deg: f64| Position { lat_deg: if bearing_deg < 90.0 { 90.0 } else { -90.0 }, lon_deg };
            pieces.last_mut().into_iter().for_each(|piece| piece.extend([pole(now.lon_deg), pole(next.lon_deg)]));
        }
        pieces.last_mut().into_iter().for_each(|piece| piece.push(next));
        (now, done_km) = (next, next_km);
    }
    pieces
}

/// All marks as one `FeatureCollection`.
pub fn geojson(leaving: &Leaving<'_>, paths: bool) -> Vec<u8> {
    let mut out = String::from("{\"type\":\"FeatureCollection\",\"features\":[");
    let mut between = "\n";
    marks(leaving, paths, &mut |mark| {
        out.extend([between, "{\"type\":\"Feature\",\"properties\":{\"kind\":\"", mark.kind, "\""]);
        between = ",\n";
        for (head, cell) in &mark.values {
            let key: String =
                head.chars().map(|c| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '_' }).collect();
            out.extend([",\"", &key, "\":"]);
            if cell.is_number() { out.push_str(&cell.plain()) } else { write_text(&mut out, &cell.plain()) }
        }
        out.push_str("},\"geometry\":{\"type\":\"");
        let (kind, open, close) = match &mark.lines[..] {
            [line] if line.len() == 1 => ("Point", "", ""),
            [_] => ("LineString", "[", "]"),
            _ => ("MultiLineString", "[[", "]]"),
        };
        out.extend([kind, "\",\"coordinates\":", open]);
        for (at, line) in mark.lines.iter().enumerate() {
            out.push_str(if at > 0 { "],[" } else { "" });
            for (at, place) in line.iter().enumerate() {
                out.push_str(if at > 0 { ",[" } else { "[" });
                write_place(&mut out, *place);
                out.push(']');
            }
        }
        out.extend([close, "}}"]);
    });
    out.push_str("\n]}\n");
    out.into_bytes()
}

/// All marks as one `Document`.
pub fn kml(leaving: &Leaving<'_>, paths: bool) -> Vec<u8> {
    let mut out = String::from(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<kml xmlns=\"http://www.opengis.net/kml/2.2\"><Document>\n",
    );
    marks(leaving, paths, &mut |mark| {
        out.push_str("<Placemark><name>");
        write_xml(&mut out, &mark.values.first().map_or_else(String::new, |(_, cell)| cell.plain()));
        out.extend(["</name><ExtendedData><Data name=\"kind\"><value>", mark.kind, "</value></Data>"]);
        for (head, cell) in &mark.values {
            out.extend(["<Data name=\"", head, "\"><value>"]);
            write_xml(&mut out, &cell.plain());
            out.push_str("</value></Data>");
        }
        out.push_str("</ExtendedData><MultiGeometry>");
        for line in &mark.lines {
            let kind = if line.len() == 1 { "Point" } else { "LineString" };
            out.extend([
                "<",
                kind,
                ">",
                if line.len() == 1 { "" } else { "<tessellate>1</tessellate>" },
                "<coordinates>",
            ]);
            for place in line {
                write_place(&mut out, *place);
                out.push(' ');
            }
            out.extend(["</coordinates></", kind, ">"]);
        }
        out.push_str("</MultiGeometry></Placemark>\n");
    });
    out.push_str("</Document></kml>\n");
    out.into_bytes()
}

/// Longitude and latitude.
fn write_place(out: &mut String, place: Position) {
    out.extend([&*number(place.lon_deg, DECIMALS), ",", &*number(place.lat_deg, DECIMALS)]);
}

/// Text of XML 1.0 (section 2.4).
fn write_xml(out: &mut String, words: &str) {
    for c in words.chars() {
        match c {
            '<' => out.push_str("&lt;"),
            '&' => out.push_str("&amp;"),
            c if c < ' ' => out.push(' '),
            c => out.push(c),
        }
    }
}
