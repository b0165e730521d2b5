//! What the spots say of the antenna: the Disc beside the bearings, bands, hours.

use super::Asked;
use super::section::{Key, Row, Section, frame, picture};
use crate::draw::svg::SvgSurface;
use crate::draw::{Antenna, Colour};
use crate::figure::disc;
use crate::figure::hours::{self, Counted, HoursInput};
use crate::share::picture::GATHERED;
use crate::share::privacy::Leaving;
use crate::share::shown::Shown;
use crate::study::{BandHours, Medians, bands, medians};
use crate::words::number::{count, level, or_missing};
use crate::words::terms::{SECTORS, far_head, far_words};

/// Side of the Disc, CSS pixels, before the page scales it.
const DISC_PX: f64 = 380.0;
/// Width of the hours: as wide as the text on paper.
const HOURS_PX: f64 = 690.0;
/// Height of its rows, and of the hours under them.
const HOUR_ROW_PX: f64 = 17.0;
const HOUR_FOOT_PX: f64 = 20.0;

/// The sections.
pub(super) fn sections(leaving: &Leaving<'_>, asked: &Asked<'_>, shown: &Shown<'_>) -> Vec<Section> {
    let subject = leaving.subject();
    let medians = medians(&subject, &leaving.row_set());
    let ramp = frame(DISC_PX, DISC_PX).palette.ramp(Antenna::A, asked.shown.bands.len());
    let fills: Vec<String> = ramp.into_iter().map(Colour::css).collect();
    let mut sections = Vec::new();
    if subject.home().is_some() {
        sections.push(the_disc(leaving, asked, shown, &fills));
        sections.push(bearings(leaving, asked, shown, &medians));
    }
    sections.push(by_band(leaving, asked, shown, &medians, &fills));
    sections.push(by_hour(asked, &crate::study::hours(&shown.tally)));
    sections
}

fn the_disc(leaving: &Leaving<'_>, asked: &Asked<'_>, shown: &Shown<'_>, fills: &[String]) -> Section {
    let frame = frame(DISC_PX, DISC_PX);
    let input = shown.disc(&asked.shown);
    let mut surface = SvgSurface::new();
    let scene = disc::draw(&input, &frame, &mut surface);
    let keys = asked.shown.bands.iter().zip(fills).map(|(band, fill)| Key { fill: fill.clone(), label: band.label() });
    let (one, many) = far_words(leaving.subject().side());
    let mut said = format!(
        "Rings every {}. A mark is a {one}, larger with more spots, tinted by the band of most; figures at the rim count {many}.",
        asked.shown.length.text(asked.shown.extent.ring_km)
    );
    if scene.marks.iter().any(|mark| mark.listeners.len() > 1) {
        said.extend([" ", GATHERED]);
    }
    Section {
        place: "disc",
        heading: "Disc",
        picture: picture(surface, &frame, "Disc", &disc::summary(&input)),
        keys: keys.collect(),
        after: vec![("soft", said)],
        ..Section::default()
    }
}

fn bearings(leaving: &Leaving<'_>, asked: &Asked<'_>, shown: &Shown<'_>, medians: &Medians) -> Section {
    let length = asked.shown.length;
    let far = far_head(leaving.subject().side());
    let rows = shown.sectors.iter().zip(SECTORS).zip(&medians.sector_snr_1w_db).map(|((sector, name), &median)| Row {
        fill: String::new(),
        cells: vec![
            name.to_owned(),
            count(sector.spots),
            count(sector.listeners),
            or_missing(sector.farthest_km, |km| length.figure(km)),
            or_missing(median, level),
        ],
    });
    Section {
        place: "bearings",
        heading: "Bearings",
        note: "level at 1\u{a0}W".to_owned(),
        heads: heads(&["Sector", "Spots", far, "Farthest", "Level, dB"], length.unit()),
        rows: rows.collect(),
        ..Section::default()
    }
}

fn by_band(
    leaving: &Leaving<'_>,
    asked: &Asked<'_>,
    shown: &Shown<'_>,
    medians: &Medians,
    fills: &[String],
) -> Section {
    let subject = leaving.subject();
    let length = asked.shown.length;
    let results = bands(&subject, &shown.tally);
    let rows = asked.shown.bands.iter().zip(fills).map(|(&band, fill)| {
        let result = results.iter().find(|result| result.band == band);
        let km = |km: Option<f64>| or_missing(km, |km| length.figure(km));
        Row {
            fill: fill.clone(),
            cells: vec![
                band.label(),
                count(result.map_or(0, |result| result.spots)),
                count(result.map_or(0, |result| result.listeners)),
                km(result.and_then(|result| result.median_km)),
                km(result.and_then(|result| Some(result.farthest?.km))),
                or_missing(medians.band(band).snr_1w_db, level),
            ],
        }
    });
    Section {
        place: "bands",
        heading: "Bands",
        heads: heads(
            &["Band", "Spots", far_head(subject.side()), "Half within", "Farthest", "Level, dB at 1\u{a0}W"],
            length.unit(),
        ),
        rows: rows.collect(),
        ..Section::default()
    }
}

/// Distances with their unit.
fn heads(words: &[&str], unit: &str) -> Vec<String> {
    let distance = |word: &str| matches!(word, "Half within" | "Farthest");
    words.iter().map(|word| if distance(word) { format!("{word}, {unit}") } else { (*word).to_owned() }).collect()
}

fn by_hour(asked: &Asked<'_>, found: &[BandHours]) -> Section {
    let input = HoursInput {
        hours: found,
        bands: asked.shown.bands,
        limits: hours::limits(found, Counted::Spots),
        counted: Counted::Spots,
        key: hours::Key::Outside,
    };
    let frame = frame(HOURS_PX, HOUR_ROW_PX * input.bands.len() as f64 + HOUR_FOOT_PX);
    let mut surface = SvgSurface::new();
    hours::draw(&input, &frame, &mut surface);
    let mut heads = vec!["Hour, UTC".to_owned()];
    heads.extend(input.bands.iter().map(|band| band.label()));
    let rows = (0..24_usize).map(|hour| {
        let mut cells = vec![format!("{hour:02} to {:02}", hour + 1)];
        cells.extend(input.bands.iter().map(|&band| {
            let of_band = found.iter().find(|hours| hours.band == band);
            count(of_band.and_then(|hours| hours.spots.get(hour).copied()).unwrap_or(0))
        }));
        Row { fill: String::new(), cells }
    });
    Section {
        place: "hours",
        heading: "Hours",
        note: "spots by band and UTC hour".to_owned(),
        picture: picture(surface, &frame, "Hours", &hours::summary(&input)),
        fold: "The same as a table",
        heads,
        rows: rows.collect(),
        ..Section::default()
    }
}
