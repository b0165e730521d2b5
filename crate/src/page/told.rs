//! An event as it crosses the seam: one flat object with the event's name and whatever it carries.
//!
//! A shape of its own for every event would weigh three times as much in the page: readers of shapes are generated code.

use serde::Deserialize;

use super::message::{Boot, Event, Gesture, Keeping, Origin, Picture, Pointer, Surroundings};
use super::zone::ZoneChange;

/// Everything that any event carries; what one does not carry is left as it is by default.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
#[expect(clippy::struct_excessive_bools, reason = "they belong to different events")]
pub(super) struct Told {
    kind: String,
    act: String,
    value: String,
    shift: bool,
    passing: bool,
    picture: String,
    key: String,
    gesture: String,
    x: f64,
    y: f64,
    dx: f64,
    dy: f64,
    by: f64,
    touch: bool,
    width: f64,
    height: f64,
    ratio: f64,
    dark: bool,
    forced: bool,
    narrow: bool,
    still: bool,
    paper: bool,
    name: String,
    /// Sizes, numbers of steps, bytes to read on.
    size: f64,
    most: f64,
    /// Reasons, texts, and what was dropped.
    text: String,
    origin: String,
    work: String,
    zone_from: Vec<f64>,
    zone_ahead: Vec<f64>,
    stopped: bool,
    stepwise: bool,
    keeping: String,
    decimal_comma: bool,
    sends: bool,
    hosted: bool,
    date_begins_with: String,
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "figures that the page counts, cut as needed"
)]
impl Told {
    /// The event; `None` if it is none of those known.
    pub(super) fn event(self) -> Option<Event> {
        let surroundings = Surroundings {
            dark: self.dark,
            forced: self.forced,
            narrow: self.narrow,
            still: self.still,
            paper: self.paper,
        };
        let picture = Picture::from_name(&self.picture);
        let (text, name, size) = (self.text, self.name, self.size);
        Some(match self.kind.as_str() {
            "act" => Event::Act { act: self.act, value: self.value, shift: self.shift, passing: self.passing },
            "pointer" => Event::Pointer(Pointer {
                picture: picture?,
                gesture: gesture(&self.gesture)?,
                x: self.x,
                y: self.y,
                dx: self.dx,
                dy: self.dy,
                by: self.by,
                touch: self.touch,
                passing: self.passing,
            }),
            "key" => Event::Key { picture: picture?, key: self.key },
            "size" => Event::Size { picture: picture?, width: self.width, height: self.height, ratio: self.ratio },
            "read-on" => Event::ReadOn { bytes: size as usize },
            "files-done" => Event::FilesDone { origin: origin(&self.origin)?, work: self.work },
            "settings" => Event::Settings { text },
            "step" => Event::Step { to: size as usize },
            "settled" => Event::Settled,
            "surroundings" => Event::Surroundings(surroundings),
            "kept" => Event::Kept { why: text },
            "paper" => Event::Paper,
            "cancelled" => Event::Cancelled,
            "new-version" => Event::NewVersion,
            "unreadable" => Event::Unreadable { name, why: text },
            "odd-drop" => Event::OddDrop { what: text },
            "boot" => {
                let changes = self.zone_from.iter().zip(&self.zone_ahead);
                let change =
                    |(from, ahead): (&f64, &f64)| ZoneChange { from_unix_s: *from as i64, ahead_min: *ahead as i32 };
                Event::Boot(Boot {
                    settings: self.value,
                    zone_changes: changes.map(change).collect(),
                    surroundings,
                    stopped_at: self.stopped.then_some(name),
                    stepwise: self.stepwise,
                    kept: text,
                    keeping: match self.keeping.as_str() {
                        "always" => Keeping::Always,
                        "not-yet" => Keeping::NotYet,
                        _ => Keeping::Never,
                    },
                    decimal_comma: self.decimal_comma,
                    sends: self.sends,
                    hosted: self.hosted,
                    date_begins_with: self.date_begins_with,
                })
            }
            _ => return None,
        })
    }
}

fn gesture(word: &str) -> Option<Gesture> {
    Some(match word {
        "over" => Gesture::Over,
        "leave" => Gesture::Leave,
        "press" => Gesture::Press,
        "drag" => Gesture::Drag,
        "zoom" => Gesture::Zoom,
        _ => return None,
    })
}

fn origin(word: &str) -> Option<Origin> {
    Some(match word {
        "person" => Origin::Person,
        "sample" => Origin::Sample,
        "again" => Origin::Again,
        "shared" => Origin::Shared,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(json: &str) -> Option<Event> {
        serde_json::from_str::<Told>(json).unwrap().event()
    }

    #[test]
    fn events_come_with_what_they_carry() {
        let act = read(r#"{"kind":"act","act":"band","value":"20m","shift":true}"#);
        assert!(
            matches!(act, Some(Event::Act { act, value, shift: true, passing: false }) if act == "band" && value == "20m")
        );
        let zoom = read(r#"{"kind":"pointer","picture":"disc","gesture":"zoom","x":3.5,"by":1.25}"#);
        assert!(matches!(zoom, Some(Event::Pointer(Pointer { gesture: Gesture::Zoom, x: 3.5, by: 1.25, .. }))));
        let boot = read(
            r#"{"kind":"boot","zone_from":[-5,7],"zone_ahead":[60,120],"stopped":true,"name":"a.csv","dark":true}"#,
        );
        let Some(Event::Boot(boot)) = boot else { panic!("no boot") };
        assert_eq!((boot.zone_changes[1].from_unix_s, boot.zone_changes[0].ahead_min), (7, 60));
        assert_eq!(
            (boot.stopped_at.as_deref(), boot.surroundings.dark, boot.keeping),
            (Some("a.csv"), true, Keeping::Never)
        );
        for none in [r#"{"kind":"hm"}"#, r#"{"kind":"key","picture":"none"}"#, "{}", r#"{"kind":"files-done"}"#] {
            assert!(read(none).is_none(), "{none}");
        }
    }
}
