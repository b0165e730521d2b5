//! The readout for people: the answer first, then how it was read, bands, bearings and hours.

use std::fmt::Write;

use super::contrast::contrast;
use super::health::healths;
use super::{Choice, Readout, Results};
use crate::import::Reading;
use crate::model::Side;
use crate::words::number::{count, counted, level, or_missing, whole};
use crate::words::{Length, answer, calendar, health as words, places, verdict};

/// So many rows set aside are listed one by one.
const SET_ASIDE_SHOWN: usize = 10;

pub(super) fn write(readout: &Readout) -> String {
    let mut out = String::new();
    let subject = readout.subject();
    let results = Results::of(&subject, &readout.request.filter);
    let table = &readout.table;
    if let Some(&call) = subject.calls().first() {
        let of = subject.rows().count();
        let said = answer(table.stations().call(call), &subject, &results.tally, &results.reach, of, Length::Km);
        line(&mut out, &said.whole());
        if !said.evidence.is_empty() {
            line(&mut out, &said.evidence);
        }
        if results.tally.spots > 0 {
            line(&mut out, &places(&results.places, readout.side));
        }
        if let Some((first, last)) = results.tally.span {
            line(&mut out, &format!("{}, {}, UTC.", calendar::days(first, last), calendar::duration(first, last)));
        }
    }
    for reading in &readout.readings {
        how_read(&mut out, reading);
    }
    if results.tally.spots > 0 {
        bands(&mut out, &results);
        bearings(&mut out, &results);
        classes(&mut out, &results);
        hours(&mut out, &results);
    }
    health(&mut out, readout);
    compare(&mut out, readout);
    out
}

/// How the tested station was chosen, where that was not asked for or did not work.
pub(super) fn station_choice(readout: &Readout) -> Option<String> {
    let does = match readout.side {
        Side::Sends => "sends",
        Side::Hears => "hears",
    };
    match &readout.choice {
        Choice::Asked | Choice::None => None,
        Choice::Absent(call) => Some(format!("No spot was read in which {call} {does}; name another station or side.")),
        Choice::Found { spots, of } => {
            let call = readout.table.stations().call(*readout.calls.first()?);
            Some(format!(
                "Taken as the tested station: {call}, which {does} in {} of {} spots.",
                count(*spots),
                count(*of)
            ))
        }
    }
}

fn line(out: &mut String, text: &str) {
    out.push_str(text);
    out.push('\n');
}

fn heading(out: &mut String, text: &str) {
    line(out, "");
    line(out, text);
}

fn how_read(out: &mut String, reading: &Reading) {
    heading(out, &format!("Reading of {}", reading.name));
    if let Some(error) = &reading.error {
        line(out, &format!("  {}", error.text));
    }
    if reading.rows > 0 {
        let set_aside = reading.set_aside.len();
        let figure = |n: u64| count(usize::try_from(n).unwrap_or(usize::MAX));
        line(
            out,
            &format!(
                "  {} rows read = {} used + {} set aside + {} repeated",
                figure(reading.rows),
                figure(reading.spots),
                count(set_aside),
                figure(reading.duplicates)
            ),
        );
    }
    for note in &reading.notes {
        line(out, &format!("  {}", note.text));
    }
    for row in reading.set_aside.iter().take(SET_ASIDE_SHOWN) {
        line(out, &format!("  {}", row.text));
    }
    if reading.set_aside.len() > SET_ASIDE_SHOWN {
        line(out, &format!("  and {} more set aside", count(reading.set_aside.len() - SET_ASIDE_SHOWN)));
    }
}

fn bands(out: &mut String, results: &Results) {
    heading(out, "Bands");
    line(out, "  band      spots  listeners  half within   farthest  SNR median  at 1 W");
    line(out, "                                       km         km          dB      dB");
    for band in &results.bands {
        let median = results.medians.band(band.band);
        row(
            out,
            &[
                (-8, band.band.label()),
                (7, count(band.spots)),
                (11, count(band.listeners)),
                (13, or_missing(band.median_km, whole)),
                (11, or_missing(band.farthest.map(|farthest| farthest.km), whole)),
                (12, or_missing(median.snr_db, level)),
                (8, or_missing(median.snr_1w_db, level)),
            ],
        );
    }
}

fn bearings(out: &mut String, results: &Results) {
    heading(out, "Bearings");
    line(out, "  centre   spots  listeners   farthest km");
    for sector in results.sectors.iter().filter(|sector| sector.spots > 0) {
        let centre = f64::midpoint(sector.from_deg, sector.to_deg);
        row(
            out,
            &[
                (6, format!("{centre}")),
                (9, count(sector.spots)),
                (11, count(sector.listeners)),
                (14, or_missing(sector.farthest_km, whole)),
            ],
        );
    }
}

fn classes(out: &mut String, results: &Results) {
    heading(out, "Distances");
    for class in results.reach.classes.iter().filter(|class| class.listeners > 0) {
        let name = format!("{} to {} km", whole(class.from_km), whole(class.to_km));
        line(
            out,
            &format!(
                "  {name:<20}{}, {}",
                counted(class.spots, "spot", "spots"),
                counted(class.listeners, "listener", "listeners")
            ),
        );
    }
}

fn hours(out: &mut String, results: &Results) {
    heading(out, "Spots by UTC hour");
    let mut head = String::from("          ");
    for hour in 0..24 {
        let _infallible = write!(head, "{hour:>4}");
    }
    line(out, &head);
    for band in &results.hours {
        let mut cells = vec![(-8, band.band.label())];
        cells.extend(band.spots.iter().map(|&spots| (4, if spots == 0 { ".".to_owned() } else { count(spots) })));
        row(out, &cells);
    }
}

/// Was the beacon on all the time, for each run.
fn health(out: &mut String, readout: &Readout) {
    for (run, health) in healths(readout) {
        for sender in &health.senders {
            let name = run.unwrap_or_else(|| readout.table.stations().call(sender.call));
            heading(out, &format!("Health of {name}"));
            line(out, &format!("  {}", words::answer(name, sender)));
            for sentence in words::sentences(&readout.table, sender) {
                line(out, &format!("  {sentence}"));
            }
        }
    }
}

/// The comparison that was asked for: the verdict of each band, then how the whole was reckoned.
fn compare(out: &mut String, readout: &Readout) {
    let Some(contrast) = contrast(readout) else { return };
    let found = &contrast.comparison;
    heading(out, &format!("{} compared with {}", contrast.b, contrast.a));
    for (band, part) in &found.bands {
        line(out, &format!("  {}", verdict::on_band(contrast.a, contrast.b, *band, part, found, contrast.settings)));
    }
    line(
        out,
        &format!(
            "  All bands: {}",
            verdict::part(contrast.a, contrast.b, "", &found.all, found.design, contrast.settings)
        ),
    );
    for step in verdict::how_reckoned(&found.all, found, contrast.settings) {
        line(out, &format!("    {step}"));
    }
}

/// One row of figures: each cell is padded to its width, on the left for positive widths, on the right for negative ones.
fn row(out: &mut String, cells: &[(i32, String)]) {
    out.push_str("  ");
    for (width, cell) in cells {
        let room = (width.unsigned_abs() as usize).saturating_sub(cell.chars().count());
        let blanks = " ".repeat(room);
        if *width < 0 {
            out.extend([cell.as_str(), &blanks]);
        } else {
            out.extend([blanks.as_str(), cell]);
        }
    }
    out.push('\n');
}
