//! The battery: how much is left over the hours of the plan and after it, with the floor it should not go below.

use crate::draw::{Anchor, Face, Font, Outline, Pen, Point, Surface, Text};
use crate::figure::Frame;
use crate::words::number::{NO_BREAK, decimals, whole};

/// What the picture shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BatteryInput {
    /// Capacity of the full battery, Ah.
    pub capacity_ah: f64,
    /// Mean current, A.
    pub mean_a: f64,
    /// How long the plan lasts, hours.
    pub plan_hours: f64,
    /// Share of the capacity that should stay in it, percent.
    pub floor_percent: f64,
}

impl BatteryInput {
    /// How much is left after so many hours, percent; 0 when empty, or where figures make no sense.
    pub fn percent_left(&self, hours: f64) -> f64 {
        let left = 100.0 * (1.0 - self.mean_a * hours / self.capacity_ah);
        if left.is_finite() { left.clamp(0.0, 100.0) } else { 0.0 }
    }

    /// When the floor is reached, hours; `None` if it never is.
    pub fn floor_hours(&self) -> Option<f64> {
        let hours = self.capacity_ah * (1.0 - self.floor_percent / 100.0) / self.mean_a;
        hours.is_finite().then_some(hours.max(0.0))
    }

    /// The last hour shown: a whole number of quarters of it, 24 or more.
    fn end_hours(&self) -> f64 {
        let wanted = (1.25 * self.plan_hours).clamp(24.0, 2400.0);
        (wanted / 24.0).ceil() * 24.0
    }
}

/// Draws the line.
pub fn draw(input: &BatteryInput, frame: &Frame, surface: &mut dyn Surface) {
    let scale = frame.text_scale();
    let palette = &frame.palette;
    let font = Font::new(Face::Sans, frame.text_px);
    let left = surface.text_width("100", font) + 10.0 * scale;
    let right = (frame.width - 14.0 * scale).max(left + 20.0);
    let (top, base) = (8.0 * scale, (frame.height - 24.0 * scale).max(24.0 * scale));
    let end = input.end_hours();
    let at = |hours: f64, percent: f64| {
        Point::new(left + (right - left) * hours / end, base - (base - top) * percent / 100.0)
    };
    let line_at = |percent: f64| Outline::segment(at(0.0, percent), at(end, percent));
    for percent in [0.0, 50.0, 100.0] {
        let label = Point::new(left - 8.0 * scale, at(0.0, percent).y + 0.36 * frame.text_px);
        surface.text(&Text::new(&whole(percent), label, font, palette.soft).anchored(Anchor::End));
        let pen = if percent > 0.0 { Pen::new(palette.hair, 1.0) } else { Pen::new(palette.ink, 1.0) };
        surface.stroke(&line_at(percent), &pen);
    }
    for quarter in 0..=4 {
        let hours = end * f64::from(quarter) / 4.0;
        let words = format!("{}{NO_BREAK}h", decimals(hours, 0));
        let under = Point::new(at(hours, 0.0).x, base + 17.0 * scale);
        surface.text(&Text::new(&words, under, font, palette.soft).anchored(Anchor::Middle));
    }
    let floor = input.floor_percent.clamp(0.0, 100.0);
    surface.stroke(&line_at(floor), &Pen::new(palette.ink, 1.25).dotted(1.0, 3.0));
    let floor_words = format!("{}: do not go below", whole(floor));
    let over = at(0.0, floor).shifted(6.0 * scale, -5.0 * scale);
    surface.text(&Text::new(&floor_words, over, font, palette.soft));

    let plan = input.plan_hours.clamp(0.0, end);
    let plan_end = at(plan, input.percent_left(plan));
    let empty = input.capacity_ah / input.mean_a;
    // a battery that is empty before the plan ends stays so
    let until = if empty.is_finite() { empty.clamp(0.0, plan) } else { plan };
    let pen = Pen::new(palette.ink, 2.0);
    surface.stroke(&Outline::segment(at(0.0, 100.0), at(until, input.percent_left(until))), &pen);
    if until < plan {
        surface.stroke(&Outline::segment(at(until, 0.0), plan_end), &pen);
    }
    let last = if empty.is_finite() { empty.clamp(plan, end.max(plan)) } else { plan };
    let after = Outline::segment(plan_end, at(last, input.percent_left(last)));
    surface.stroke(&after, &Pen::new(palette.ink, 1.75).dotted(2.5, 4.5));
    surface.stroke(&Outline::segment(at(plan, 0.0), at(plan, 100.0)), &Pen::new(palette.ink, 1.0));
    let words = if until < plan {
        format!("the plan ends, empty since {}{NO_BREAK}h", decimals(until, 0))
    } else {
        format!("the plan ends, {}{NO_BREAK}% left", whole(input.percent_left(plan)))
    };
    let room = right - plan_end.x - 6.0 * scale;
    let beside = surface.text_width(&words, font) <= room;
    let (dx, anchor) = if beside { (6.0 * scale, Anchor::Start) } else { (-6.0 * scale, Anchor::End) };
    let place = Point::new(plan_end.x + dx, top + 13.0 * scale);
    let text = Text::new(&words, place, font, palette.ink).anchored(anchor);
    surface.text(&text.with_halo(palette.paper, 4.0 * scale));
}

/// What the picture shows, in one sentence.
pub fn summary(input: &BatteryInput) -> String {
    let hours = |hours: f64| format!("{}{NO_BREAK}hours", decimals(hours, 0));
    let left = input.percent_left(input.plan_hours);
    let floor = match input.floor_hours() {
        Some(until) => format!(
            "; it goes below {}{NO_BREAK}%, where it should stop, after {}",
            whole(input.floor_percent),
            hours(until)
        ),
        None => String::new(),
    };
    format!("Battery: {}{NO_BREAK}% left after the {} of the plan{floor}.", whole(left), hours(input.plan_hours))
}
