//! The sentence that answers, with its evidence, and when it was.

use askama::Template;

use crate::order::LightSort;
use crate::page::loaded::Loaded;
use crate::page::parts::Part;
use crate::page::state::State;
use crate::words;
use crate::words::number::count;

#[derive(Debug, Template)]
#[template(path = "answer.html")]
pub(in crate::page) struct Answer {
    sample: bool,
    /// Is there more to come?
    partial: bool,
    days: String,
    span: String,
    name: String,
    sentence: String,
    evidence: String,
}

impl Answer {
    pub(in crate::page) fn new(state: &State, loaded: &Loaded, sample: bool, partial: bool) -> Self {
        let subject = loaded.subject();
        let of = loaded.all.tally.spots;
        let answer = words::answer(loaded.name(), &subject, &loaded.shown.tally, &loaded.shown.reach, of, state.length);
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
        Self { sample, partial, days, span, name: answer.name, sentence: answer.sentence, evidence }
    }

    /// The sentence as one text.
    pub(in crate::page) fn whole(&self) -> String {
        format!("{}{}{}", if self.partial { "So far, " } else { "" }, self.name, self.sentence)
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
