//! The sentence that answers, with its evidence, and when it was.

use askama::Template;

use crate::order::LightSort;
use crate::page::loaded::Loaded;
use crate::page::parts::Part;
use crate::page::state::State;
use crate::words;
use crate::words::headline::{Headline, Named};
use crate::words::number::count;

#[derive(Debug, Template)]
#[template(path = "answer.html")]
pub(in crate::page) struct Answer {
    sample: bool,
    /// That somebody shared the page, and who if they said so; empty in one's own.
    pub(in crate::page) shared: String,
    /// Is there more to come?
    partial: bool,
    days: String,
    span: String,
    /// Words, each with the class of the antenna it names, if any.
    pieces: Vec<(String, &'static str)>,
    evidence: String,
}

impl Answer {
    pub(in crate::page) fn new(state: &State, loaded: &Loaded, sample: bool, partial: bool) -> Self {
        let subject = loaded.subject();
        let of = loaded.all.tally.spots;
        let answer =
            words::answer(loaded.name(), &subject, &loaded.shown.tally, &loaded.figures().reach, of, state.length);
        let (days, span) = loaded.all.tally.span.map_or_else(Default::default, |(first, last)| {
            let clock = &state.clock;
            let days = words::calendar::days(clock.day_of(first), clock.day_of(last));
            (days, format!("{}, {}", words::calendar::duration(first, last), clock.label_of_span(first, last)))
        });
        let evidence = if loaded.shown.tally.spots == 0 && of > 0 {
            brings_back(state, loaded)
        } else if subject.home().is_none() {
            "Without the place of the antenna there are no distances and no bearings.".to_owned()
        } else {
            answer.evidence
        };
        let pieces = vec![(answer.name, "a"), (answer.sentence, "")];
        Self { sample, shared: String::new(), partial, days, span, pieces, evidence }
    }

    /// The answer of a comparison or a plan; `how` says in a few words how the runs lay in time.
    pub(in crate::page) fn of_headline(
        state: &State,
        loaded: &Loaded,
        sample: bool,
        head: Headline,
        how: &str,
    ) -> Self {
        let days = loaded.all.tally.span.map_or_else(String::new, |(first, last)| {
            words::calendar::days(state.clock.day_of(first), state.clock.day_of(last))
        });
        let class = |named| match named {
            Some(Named::A) => "a",
            Some(Named::B) => "b",
            None => "",
        };
        let pieces = head.pieces.into_iter().map(|piece| (piece.text, class(piece.named))).collect();
        let shared = String::new();
        Self { sample, shared, partial: false, days, span: how.to_owned(), pieces, evidence: head.evidence }
    }

    /// The sentence as one text.
    pub(in crate::page) fn whole(&self) -> String {
        let words: String = self.pieces.iter().map(|(text, _)| text.as_str()).collect();
        if self.partial { format!("So far, {words}") } else { words }
    }
}

/// What taking one filter away would bring back: `Taking one of them away brings 116 or 9 spots back.`
fn brings_back(state: &State, loaded: &Loaded) -> String {
    let mut gains: Vec<usize> = Part::ALL
        .into_iter()
        .filter(|part| part.is_on(&state.filter))
        .map(|part| loaded.count_of(&part.without(&state.filter)))
        .filter(|&n| n > 0)
        .collect();
    gains.order_by(|a, b| b.cmp(a));
    let figures: Vec<String> = gains.iter().map(|&n| count(n)).collect();
    match figures.as_slice() {
        [] => "Only taking several of them away brings spots back.".to_owned(),
        [one] => format!("Taking one of them away brings {one} spots back."),
        [most @ .., last] => format!("Taking one of them away brings {} or {last} spots back.", most.join(", ")),
    }
}
