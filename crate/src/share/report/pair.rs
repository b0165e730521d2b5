//! Two runs compared: what is compared, the verdict with its intervals, what was left out, and how it was reckoned.

use super::section::{Section, frame, known, paragraph, picture, words};
use super::{Asked, Pair};
use crate::draw::svg::SvgSurface;
use crate::figure::intervals::{self, IntervalDress, IntervalRow, IntervalsInput, Looks};
use crate::geography::Geodesic;
use crate::share::privacy::{Leaving, RunNotes};
use crate::study::compare::{Comparison, Design, Part, Settings};
use crate::words::headline::{Named, headline, heard_by_one, interval, short};
use crate::words::number::{MISSING, NO_BREAK, count, counted, difference, typed};
use crate::words::power::taken_as_sent;
use crate::words::terms::far_words;
use crate::words::{ground, verdict};

/// Width of the plot, and height of its rows: those of the table beside it, which the style makes as high.
const PLOT_PX: f64 = 310.0;
const ROW_PX: f64 = 28.0;
/// Sites farther apart than this are two, km: farther than a coarse locator leaves it.
const ONE_SITE_KM: f64 = 200.0;

/// The section.
pub(super) fn section(leaving: &Leaving<'_>, asked: &Asked<'_>, pair: Pair<'_>) -> Section {
    let Pair { runs: (at_a, at_b), found, settings } = pair;
    let told = |at: usize| leaving.runs().get(at);
    let name = |at: usize| told(at).map_or("", |told| told.run.name.as_str());
    let (a, b) = (name(at_a), name(at_b));
    let mut section = Section::new("compare", "Compare");
    let head = headline(a, b, found, settings);
    let class = |named| match named {
        Some(Named::A) => "a",
        Some(Named::B) => "b",
        None => "",
    };
    let said: Vec<_> = head.pieces.iter().map(|piece| (class(piece.named), piece.text.as_str())).collect();
    section.before = paragraph("said", &said);

    let parts = parts(found);
    let rows: Vec<IntervalRow> = rows(found).into_iter().map(|(row, _)| row).collect();
    let input = input(&rows, (a, b), settings, ROW_PX, &[]);
    let frame = frame(PLOT_PX, intervals::height(rows.len(), ROW_PX, input.dress, 12.0));
    let mut surface = SvgSurface::new();
    intervals::draw(&input, &frame, &mut surface);
    section.picture = picture(surface, &frame, "Difference by band", &intervals::summary(&input));
    let length = asked.shown.length;
    section.heads("Band|dB|95\u{a0}% interval|Pairs|Listeners|Verdict", length);
    for (label, part) in &parts {
        let [pairs, far] = [part.pairs_used, part.listeners].map(|n| n as f64);
        section.row("", label, &[known(part.difference_db), f64::NAN, pairs, far], length);
        if let Some(row) = section.rows.last_mut() {
            row.cells[1] = interval(part);
            row.cells.push(short(a, b, part, settings));
        }
    }

    let mut evidence = head.evidence;
    if let (Some(told_a), Some(told_b)) = (told(at_a), told(at_b)) {
        if let Some(apart_db) = powers_apart(told_a, told_b) {
            evidence.extend([" ", &taken_as_sent(apart_db), "."]);
        }
        if let Some(apart_km) = sites_apart(told_a, told_b) {
            evidence.extend([" ", &ground::sites(apart_km, length)]);
        }
    }
    let far = far_words(leaving.subject().side());
    let left_out = [
        ground::without_partner(found, a, b),
        ground::near_floor(found),
        ground::left(found.ground.bands, ("band", "bands"), (a, b), "No band is left out."),
    ];
    let one_only = format!(
        "{} heard {a} only, {} {b} only; what chance explains: {}. {}",
        counted(found.all.only_a, far.0, far.1),
        count(found.all.only_b),
        heard_by_one(a, b, &found.all),
        ground::one_only(&found.all)
    );
    let method = format!(
        "{} Up to {}{NO_BREAK}dB either way, the tinted strip, is taken as too small to matter.",
        verdict::how_reckoned(&found.all, found, settings).join(" "),
        typed(settings.too_small_db)
    );
    let over_all = verdict::part(a, b, " over all bands together", &found.all, found.design, settings);
    section.before += &paragraph("soft", &[("", &evidence)]);
    let lay = format!(", {}; dB, {b} above {a}", ground::design(found.design));
    section.note = words(&[("a", a), ("", " and "), ("b", b), ("", &lay)]);
    if found.design == Design::SeparateDays {
        section.after = paragraph("soft", &[("", ground::TICKS)]);
    }
    section.say("Over all.", &over_all);
    section.say("Left out.", &[&ground::shared(found), " ", &left_out.join(" ")].concat());
    section.say("Heard by one only.", &one_only);
    section.say("How it came about.", &method);
    section
}

/// The bands, and all of them together where they are several.
fn parts(found: &Comparison) -> Vec<(String, &Part)> {
    let mut parts: Vec<(String, &Part)> = found.bands.iter().map(|(band, part)| (band.label(), part)).collect();
    if parts.len() > 1 {
        parts.push(("All bands".to_owned(), &found.all));
    }
    parts
}

/// Their rows in the plot, each with its figures: difference, interval, pairs, listeners.
pub(in crate::share) fn rows(found: &Comparison) -> Vec<(IntervalRow, Vec<String>)> {
    let row = |(label, part): (String, &Part)| {
        let db = part.difference_db.map_or_else(|| MISSING.to_owned(), difference);
        let figures = vec![db, interval(part), count(part.pairs_used), count(part.listeners)];
        (IntervalRow::of(label, part, Looks::Single), figures)
    };
    parts(found).into_iter().map(row).collect()
}

/// The plot of these rows.
pub(in crate::share) fn input<'a>(
    rows: &'a [IntervalRow],
    (a, b): (&'a str, &'a str),
    settings: Settings,
    row_px: f64,
    columns: &'a [&'a str],
) -> IntervalsInput<'a> {
    let (too_small_db, dress) = (settings.too_small_db, IntervalDress::Table);
    IntervalsInput { rows, a, b, too_small_db, row_px, axis: None, columns, dress }
}

/// What the reported powers differ by, dB, where nobody said what was sent.
fn powers_apart(a: &RunNotes, b: &RunNotes) -> Option<f64> {
    let reported = |told: &RunNotes| told.powers.first().copied().filter(|_| told.run.true_power_dbm.is_none());
    Some((reported(a)? - reported(b)?).abs()).filter(|&apart| apart >= 0.05)
}

fn sites_apart(a: &RunNotes, b: &RunNotes) -> Option<f64> {
    let (a, b) = a.place.zip(b.place)?;
    Some(Geodesic::wgs84().path(a.centre(), b.centre()).distance_km).filter(|&km| km > ONE_SITE_KM)
}
