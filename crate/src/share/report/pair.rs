//! Two runs compared: what is compared, the verdict with its intervals, what was left out, and how it was reckoned.

use super::section::{Row, Section, frame, paragraph, picture, words};
use super::{Asked, Pair};
use crate::draw::svg::SvgSurface;
use crate::figure::intervals::{self, IntervalDress, IntervalRow, IntervalsInput, Looks};
use crate::geography::Geodesic;
use crate::share::privacy::{Leaving, RunNotes};
use crate::study::compare::{Design, Part};
use crate::words::headline::{Named, headline, heard_by_one, interval, short};
use crate::words::number::{NO_BREAK, count, counted, difference, or_missing, typed};
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
    let head = headline(a, b, found, settings);
    let said: Vec<_> = head
        .pieces
        .into_iter()
        .map(|piece| {
            let class = match piece.named {
                Some(Named::A) => "a",
                Some(Named::B) => "b",
                None => "",
            };
            (class, piece.text)
        })
        .collect();

    let mut parts: Vec<(String, &Part)> = found.bands.iter().map(|(band, part)| (band.label(), part)).collect();
    if parts.len() > 1 {
        parts.push(("All bands".to_owned(), &found.all));
    }
    let rows: Vec<IntervalRow> =
        parts.iter().map(|(label, part)| IntervalRow::of(label.clone(), part, Looks::Single)).collect();
    let input = IntervalsInput {
        rows: &rows,
        a,
        b,
        too_small_db: settings.too_small_db,
        row_px: ROW_PX,
        axis: None,
        columns: &[],
        dress: IntervalDress::Table,
    };
    let frame = frame(PLOT_PX, intervals::height(rows.len(), ROW_PX, input.dress, 12.0));
    let mut surface = SvgSurface::new();
    intervals::draw(&input, &frame, &mut surface);
    let in_table = parts.iter().map(|(label, part)| Row {
        fill: String::new(),
        cells: vec![
            label.clone(),
            or_missing(part.difference_db, difference),
            interval(part),
            count(part.pairs_used),
            count(part.listeners),
            short(a, b, part, settings),
        ],
    });

    let mut evidence = head.evidence;
    if let (Some(told_a), Some(told_b)) = (told(at_a), told(at_b)) {
        if let Some(apart_db) = powers_apart(told_a, told_b) {
            evidence.extend([" ", &taken_as_sent(apart_db), "."]);
        }
        if let Some(apart_km) = sites_apart(told_a, told_b) {
            evidence.extend([" ", &ground::sites(apart_km, asked.shown.length)]);
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
    let mut method = verdict::how_reckoned(&found.all, found, settings).join(" ");
    method += &format!(
        " Up to {}{NO_BREAK}dB either way, the tinted strip, is taken as too small to matter.",
        typed(settings.too_small_db)
    );
    let over_all = verdict::part(a, b, " over all bands together", &found.all, found.design, settings);
    let mut after = Vec::new();
    if found.design == Design::SeparateDays {
        after.push(("soft", ground::TICKS.to_owned()));
    }
    after.extend([
        paragraph("Over all.", over_all),
        paragraph("Left out.", format!("{} {}", ground::shared(found), left_out.join(" "))),
        paragraph("Heard by one only.", one_only),
        paragraph("How it came about.", method),
    ]);
    Section {
        place: "compare",
        heading: "Compare",
        note: words(&[
            ("a", a.to_owned()),
            ("", " and ".to_owned()),
            ("b", b.to_owned()),
            ("", format!(", {}; dB, {b} above {a}", ground::design(found.design))),
        ]),
        before: vec![("said", words(&said)), ("soft", words(&[("", evidence)]))],
        picture: picture(surface, &frame, "Difference by band", &intervals::summary(&input)),
        heads: ["Band", "dB", "95\u{a0}% interval", "Pairs", "Listeners", "Verdict"].map(str::to_owned).into(),
        rows: in_table.collect(),
        after,
        ..Section::default()
    }
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
