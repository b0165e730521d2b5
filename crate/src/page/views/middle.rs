//! The middle: filters, the Disc with its legends, a listener's card, and what to do where nothing is left.

use askama::Template;

use super::{choice, markup};
use crate::figure::disc::ViewKind;
use crate::model::Band;
use crate::order::LightSort;
use crate::page::loaded::Loaded;
use crate::page::menus::{Choice, Panel, far_words, panel};
use crate::page::message::Picture;
use crate::page::parts::Part;
use crate::page::pictures::{self, Pictures};
use crate::page::play::night_shown;
use crate::page::state::{Menu, Rows, State, View};
use crate::page::words;
use crate::study::angles::{Layer, PathAngle};
use crate::time::UtcTime;
use crate::words::angles::path as likely;
use crate::words::number::{NO_BREAK, count, counted, level, or_missing};
use crate::words::places::place as country;

/// The row of filters over every view.
#[derive(Debug, Template)]
#[template(path = "filters.html")]
pub(in crate::page) struct Filters {
    narrow: bool,
    pub(super) count: String,
    pub(super) filtered: bool,
    pub(super) parts: Vec<PartButton>,
    pub(super) ends: Vec<Choice>,
}

#[derive(Debug)]
pub(super) struct PartButton {
    pub(super) word: &'static str,
    pub(super) label: &'static str,
    pub(super) open: bool,
    /// What it keeps now, in words, or nothing.
    pub(super) state: String,
    pub(super) panel: Option<Panel>,
}

impl Filters {
    pub(in crate::page) fn new(state: &State, loaded: &Loaded, pictures: &Pictures) -> Self {
        let on: Vec<Part> = Part::ALL.into_iter().filter(|part| part.is_on(&state.filter)).collect();
        let chip = |part: Part| part.chip(&state.filter, loaded, state.length, &state.clock);
        let parts = Part::ALL
            .into_iter()
            .filter(|part| part.is_useful(&state.filter, loaded))
            .map(|part| {
                let open = state.menu == Menu::from_word(part.word());
                PartButton {
                    word: part.word(),
                    label: part.label(),
                    open,
                    state: if on.contains(&part) { chip(part) } else { String::new() },
                    panel: open.then(|| panel(part, state, loaded)),
                }
            })
            .collect();
        Self {
            narrow: state.surroundings.narrow,
            count: format!(
                "{} of {}",
                count(loaded.shown.tally.spots),
                counted(loaded.all.tally.spots, "spot", "spots")
            ),
            filtered: !on.is_empty(),
            parts,
            ends: ends(state, loaded, pictures),
        }
    }
}

/// The choices at the end of the row.
fn ends(state: &State, loaded: &Loaded, pictures: &Pictures) -> Vec<Choice> {
    match state.view {
        View::Disc => {
            let views = pictures::views(state, loaded);
            if loaded.subject().home().is_none() || views.whole == views.near {
                return Vec::new();
            }
            // the button names where it leads
            vec![match pictures.shown_kind(&views) {
                ViewKind::WholeReach => choice("extent", "near", "Near view", false),
                ViewKind::NearView => choice("extent", "whole", "Whole reach", false),
            }]
        }
        View::Spots => {
            let far = match far_words(loaded.tested.side).1 {
                "listeners" => "Listeners",
                _ => "Stations",
            };
            let mut ends = vec![
                choice("rows", "spots", "Spots", state.rows == Rows::Spots),
                choice("rows", "listeners", far, state.rows == Rows::Listeners),
            ];
            if loaded.shown.tally.spots > 0 {
                ends.push(choice("open", "save", "Save", state.menu == Some(Menu::Save)));
            }
            ends
        }
        View::Compare | View::Plan | View::Sky | View::Health | View::Reading => Vec::new(),
    }
}

/// The phone's sheet of filters.
#[derive(Debug, Template)]
#[template(path = "sheet.html")]
pub(in crate::page) struct FilterSheet {
    pub(in crate::page) filters: Filters,
}

/// A listener's card, or that of several drawn as one.
#[derive(Debug)]
pub(in crate::page) struct Card {
    heading: &'static str,
    name: String,
    place: String,
    lines: Vec<String>,
    bands: Vec<CardBand>,
    acts: Vec<Choice>,
}

#[derive(Debug)]
struct CardBand {
    fill: String,
    label: String,
    spots: String,
    best: String,
}

impl Card {
    /// The card of the listeners under the pointer, else of those pinned; `layer` is what likely hops are reckoned with.
    pub(in crate::page) fn new(state: &State, loaded: &Loaded, layer: Layer) -> Option<Self> {
        let (calls, heading) = if state.focused.is_empty() {
            (&state.pinned, "Pinned")
        } else if state.focused == state.pinned {
            (&state.focused, "Pinned")
        } else {
            (&state.focused, "Listener")
        };
        match calls.as_slice() {
            [] => None,
            [one] => Some(Self::of_one(state, loaded, layer, *one, heading)),
            several => Some(Self::of_several(state, loaded, several, heading)),
        }
    }

    fn of_one(state: &State, loaded: &Loaded, layer: Layer, call: crate::model::CallId, heading: &'static str) -> Self {
        let name = loaded.call(call).to_owned();
        let Some(listener) = words::listener(loaded, call) else {
            let lines = vec!["not among the spots shown".to_owned()];
            return Self { heading, name, place: String::new(), lines, bands: Vec::new(), acts: Vec::new() };
        };
        let mut lines = vec![words::place(state, listener)];
        lines.extend(loaded.subject().place(call).map(country));
        let angle = listener.far.and_then(|far| PathAngle::of(far.path.distance_km, layer));
        lines.extend(angle.map(|angle| likely(&angle, state.length)));
        let on = if listener.bands.len() <= 2 {
            let bands: Vec<Band> = listener.bands.iter().map(|&(band, _)| band).collect();
            format!(" on {}", crate::words::answer::list(&bands))
        } else {
            format!(" on {}", counted(listener.bands.len(), "band", "bands"))
        };
        lines.push(format!("{}{on}", counted(listener.spots, "spot", "spots")));
        if let Some(best) = listener.best_snr_db() {
            lines.push(format!("best {}{NO_BREAK}dB", level(best)));
        }
        let clock = &state.clock;
        let zone = clock.label(listener.first);
        lines.push(if listener.spots == 1 {
            format!("{}{NO_BREAK}{zone}", clock.clock(listener.first))
        } else {
            format!("{} to {}{NO_BREAK}{zone}", clock.clock(listener.first), clock.clock(listener.last))
        });
        let ramp = Ramp::new(state, loaded);
        let bands = listener
            .bands
            .iter()
            .map(|(band, heard)| CardBand {
                fill: ramp.fill(*band),
                label: band.label(),
                spots: count(heard.spots as usize),
                best: or_missing(heard.best_snr_db, level),
            })
            .collect();
        let place = listener.far.map_or_else(String::new, |far| far.locator.to_string());
        Self { heading, place, lines, bands, acts: vec![choice("only", name.as_str(), "Its spots", false)], name }
    }

    fn of_several(state: &State, loaded: &Loaded, calls: &[crate::model::CallId], heading: &'static str) -> Self {
        let shown: Vec<_> = calls.iter().filter_map(|&call| words::listener(loaded, call)).collect();
        let distances = || shown.iter().filter_map(|listener| Some(listener.far?.path.distance_km));
        let (one, many) = far_words(loaded.tested.side);
        let nearest = distances().fold(f64::INFINITY, f64::min);
        let farthest = distances().fold(0.0, f64::max);
        let spots: usize = shown.iter().map(|listener| listener.spots).sum();
        let mut lines = Vec::new();
        if nearest.is_finite() {
            lines.push(format!("{} to {}", state.length.figure(nearest), state.length.text(farthest)));
        }
        lines.push(counted(spots, "spot", "spots"));
        let acts = vec![choice("nearer", "", "Come nearer", false)];
        Self { heading, name: counted(shown.len(), one, many), place: String::new(), lines, bands: Vec::new(), acts }
    }
}

/// The phone's sheet with a card.
#[derive(Debug, Template)]
#[template(
    source = r#"{%- import "marks.html" as marks -%}{%- import "card.html" as card_ -%}{% call card_::card(card, true) %}{% endcall %}"#,
    ext = "html"
)]
pub(in crate::page) struct CardSheet {
    pub(in crate::page) card: Card,
}

/// Fills of the bands: steps of one ramp, dealt to the bands of all loaded work.
#[derive(Debug)]
pub(in crate::page) struct Ramp<'a> {
    bands: &'a [Band],
    steps: Vec<String>,
}

impl<'a> Ramp<'a> {
    pub(in crate::page) fn new(state: &State, loaded: &'a Loaded) -> Self {
        let bands = loaded.every_band();
        let colours = pictures::palette(state).ramp(crate::draw::Antenna::A, bands.len());
        Self { bands, steps: colours.into_iter().map(crate::draw::Colour::css).collect() }
    }

    pub(in crate::page) fn fill(&self, band: Band) -> String {
        let step = self.bands.iter().position(|&other| other == band);
        step.and_then(|step| self.steps.get(step)).cloned().unwrap_or_else(|| "none".to_owned())
    }
}

/// Where nothing passes the filters: why, the nearest miss, and what would bring spots back.
#[derive(Debug)]
pub(super) struct Nothing {
    pub(super) sentence: String,
    pub(super) nearest: String,
    pub(super) choices: Vec<Choice>,
}

impl Nothing {
    pub(super) fn new(state: &State, loaded: &Loaded) -> Option<Self> {
        if loaded.shown.tally.spots > 0 || loaded.all.tally.spots == 0 {
            return None;
        }
        let filter = &state.filter;
        let on: Vec<Part> = Part::ALL.into_iter().filter(|part| part.is_on(filter)).collect();
        let bands: Vec<Band> = filter.bands.iter().flatten().copied().collect();
        let mut sentence = match bands.as_slice() {
            [] => "There is no spot".to_owned(),
            [one] => format!("{} has no spot", one.label()),
            few if few.len() <= 3 => format!("{} have no spot", crate::words::answer::list(few)),
            many => format!("{} have no spot", counted(many.len(), "band", "bands")),
        };
        // what concerns the place first, the time last, as one would say it
        for part in [Part::Listener, Part::Level, Part::Distance, Part::Bearing, Part::Time] {
            if on.contains(&part) {
                sentence += " ";
                sentence += &part.clause(filter, loaded, state.length, &state.clock);
            }
        }
        sentence.push('.');
        let mut gains: Vec<(usize, Part)> =
            on.iter().map(|&part| (loaded.count_of(&part.without(filter)), part)).filter(|&(n, _)| n > 0).collect();
        gains.order_by_key(|&(n, _)| std::cmp::Reverse(n));
        let mut choices: Vec<Choice> = gains
            .iter()
            .take(2)
            .map(|&(n, part)| {
                let label = format!("Clear the {} filter, {}", part.within(), counted(n, "spot", "spots"));
                choice("clear", part.word(), label, false)
            })
            .collect();
        if choices.is_empty() {
            let label = format!("Clear all filters, {}", counted(loaded.all.tally.spots, "spot", "spots"));
            choices.push(choice("clear", "all", label, false));
        }
        Some(Self { sentence, nearest: nearest_miss(state, loaded), choices })
    }
}

/// The strongest spot that only the level filter keeps out.
fn nearest_miss(state: &State, loaded: &Loaded) -> String {
    if state.filter.min_snr_db.is_none() {
        return String::new();
    }
    let rows = Part::Level.without(&state.filter).rows(&loaded.subject());
    let strongest = rows.iter().filter_map(|row| loaded.table.snr_db(row)).max_by(f64::total_cmp);
    strongest.map_or_else(String::new, |snr| format!("The strongest there was {}{NO_BREAK}dB.", level(snr)))
}

/// The question for the home locator.
#[derive(Debug)]
struct Home {
    sentence: &'static str,
    why: String,
    typed: String,
    wrong: String,
}

#[derive(Debug)]
struct LegendBand {
    word: &'static str,
    label: String,
    fill: String,
    on: bool,
}

#[derive(Debug)]
struct LegendSize {
    radius: f64,
    label: &'static str,
}

/// The entry for marks that stand for several listeners.
#[derive(Debug)]
struct LegendGathered {
    count: usize,
    label: String,
}

/// The Disc.
#[derive(Debug, Template)]
#[template(path = "disc.html")]
pub(in crate::page) struct Disc {
    filters: String,
    narrow: bool,
    question: Option<Home>,
    summary: String,
    sizes_title: &'static str,
    sizes: Vec<LegendSize>,
    gathered: Option<LegendGathered>,
    whole: bool,
    /// The hour of the night that is shown.
    night: Option<String>,
    bands: Vec<LegendBand>,
    card: Option<Card>,
    nothing: Option<Nothing>,
}

impl Disc {
    /// `typed` and `wrong` are what was last tried as home, and why it did not do.
    pub(in crate::page) fn new(
        state: &State,
        loaded: &Loaded,
        pictures: &Pictures,
        layer: Layer,
        (typed, wrong): (&str, &str),
    ) -> Self {
        let ramp = Ramp::new(state, loaded);
        let chosen = state.filter.bands.as_ref();
        let question = loaded.subject().home().is_none().then(|| Home {
            sentence: match loaded.tested.side {
                crate::model::Side::Sends => "Where did the beacon stand?",
                crate::model::Side::Hears => "Where did the antenna stand?",
            },
            why: format!("The locator of {} is in none of the rows.", loaded.name()),
            typed: typed.to_owned(),
            wrong: wrong.to_owned(),
        });
        Self {
            filters: markup(&Filters::new(state, loaded, pictures)),
            narrow: state.surroundings.narrow,
            question,
            summary: pictures.summary(Picture::Disc, state, loaded),
            sizes_title: match far_words(loaded.tested.side).0 {
                "listener" => "Spots per listener",
                _ => "Spots per station",
            },
            sizes: [(3.0, "once"), (4.2, "2 to 9"), (5.6, "10 to 99"), (7.4, "100 or more")]
                .into_iter()
                .map(|(radius, label)| LegendSize { radius, label })
                .collect(),
            gathered: pictures.most_gathered().map(|count| LegendGathered {
                count,
                label: format!("{} close together", far_words(loaded.tested.side).1),
            }),
            whole: pictures.zoom.is_whole(),
            night: night_shown(state, loaded).map(UtcTime::clock),
            bands: loaded
                .every_band()
                .iter()
                .map(|&band| LegendBand {
                    word: band.name(),
                    label: band.label(),
                    fill: ramp.fill(band),
                    on: chosen.is_none_or(|bands| bands.contains(&band)),
                })
                .collect(),
            card: Card::new(state, loaded, layer),
            nothing: Nothing::new(state, loaded),
        }
    }
}
