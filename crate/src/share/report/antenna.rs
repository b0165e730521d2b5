//! What the spots say of the antenna: the Disc beside the bearings, bands, hours.

use super::Asked;
use super::section::{Row, Section, frame, known, paragraph, picture};
use crate::draw::svg::SvgSurface;
use crate::draw::{Antenna, Colour};
use crate::figure::disc;
use crate::figure::hours::{self, Counted, HoursInput};
use crate::share::picture::GATHERED;
use crate::share::privacy::Leaving;
use crate::share::shown::Shown;
use crate::study::{BandHours, Medians, bands, medians};
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
        sections.push(by_sector(leaving, asked, shown, &medians));
    }
    sections.push(by_band(leaving, asked, shown, &medians, &fills));
    sections.push(by_hour(asked, &crate::study::hours(&shown.tally)));
    sections
}

fn the_disc(leaving: &Leaving<'_>, asked: &Asked<'_>, shown: &Shown<'_>, fills: &[String]) -> Section {
    let mut section = Section::new("disc", "Disc");
    let frame = frame(DISC_PX, DISC_PX);
    let input = shown.disc(&asked.shown);
    let mut surface = SvgSurface::new();
    let scene = disc::draw(&input, &frame, &mut surface);
    section.picture = picture(surface, &frame, section.heading, &disc::summary(&input));
    for (band, fill) in asked.shown.bands.iter().zip(fills) {
        section.keys.push(Row { fill: fill.clone(), head: band.label(), ..Row::default() });
    }
    let (one, many) = far_words(leaving.subject().side());
    let said = format!(
        "Rings every {}. A mark is a {one}, larger with more spots, tinted by the band of most; figures at the rim \
         count {many}. ",
        asked.shown.length.text(asked.shown.extent.ring_km)
    );
    let gathered = scene.marks.iter().any(|mark| mark.listeners.len() > 1);
    section.after = paragraph("soft", &[("", &said), ("", if gathered { GATHERED } else { "" })]);
    section
}

fn by_sector(leaving: &Leaving<'_>, asked: &Asked<'_>, shown: &Shown<'_>, medians: &Medians) -> Section {
    let length = asked.shown.length;
    let mut section = Section::new("bearings", "Bearings");
    "level at 1\u{a0}W".clone_into(&mut section.note);
    section.heads(&["Sector|Spots|", far_head(leaving.subject().side()), "|Farthest|Level, dB"].concat(), length);
    for ((sector, name), &median) in shown.sectors.iter().zip(SECTORS).zip(&medians.sector_snr_1w_db) {
        let (spots, far) = (sector.spots as f64, sector.listeners as f64);
        section.row("", name, &[spots, far, known(sector.farthest_km), known(median)], length);
    }
    section
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
    let mut section = Section::new("bands", "Bands");
    let far = far_head(subject.side());
    section.heads(&["Band|Spots|", far, "|Half within|Farthest|Level, dB at 1\u{a0}W"].concat(), length);
    let found = bands(&subject, &shown.tally);
    for (&band, fill) in asked.shown.bands.iter().zip(fills) {
        let mut figures = [0.0, 0.0, f64::NAN, f64::NAN, known(medians.band(band).snr_1w_db)];
        if let Some(found) = found.iter().find(|found| found.band == band) {
            figures[0] = found.spots as f64;
            figures[1] = found.listeners as f64;
            figures[2] = known(found.median_km);
            figures[3] = known(found.farthest.map(|farthest| farthest.km));
        }
        section.row(fill, &band.label(), &figures, length);
    }
    section
}

fn by_hour(asked: &Asked<'_>, found: &[BandHours]) -> Section {
    let mut section = Section::new("hours", "Hours");
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
    section.picture = picture(surface, &frame, section.heading, &hours::summary(&input));
    "spots by band and UTC hour".clone_into(&mut section.note);
    section.fold = "The same as a table";
    let mut heads = String::from("Hour, UTC");
    for band in input.bands {
        heads.extend(["|", &band.label()]);
    }
    section.heads(&heads, asked.shown.length);
    for hour in 0..24 {
        let mut figures = vec![0.0; input.bands.len()];
        for (figure, &band) in figures.iter_mut().zip(input.bands) {
            let of_band = found.iter().find(|hours| hours.band == band);
            *figure = of_band.and_then(|hours| hours.spots.get(hour)).copied().unwrap_or(0) as f64;
        }
        section.row("", &format!("{hour:02} to {:02}", hour + 1), &figures, asked.shown.length);
    }
    section
}
