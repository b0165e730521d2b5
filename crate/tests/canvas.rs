//! The canvas in a browser: every verb leaves ink where it should, and nowhere else. Runs with
//! `cargo test -p farheard --target wasm32-unknown-unknown --test canvas`.
#![cfg(target_arch = "wasm32")]
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use farheard::draw::canvas::{Backdrop, CanvasSurface, Widths};
use farheard::draw::{
    Anchor, ArcText, Colour, Face, FillRule, Font, Halo, Outline, Pen, Point, Reading, Surface, Text,
};
use wasm_bindgen::JsCast;
use wasm_bindgen_test::{wasm_bindgen_test, wasm_bindgen_test_configure};
use web_sys::{OffscreenCanvas, OffscreenCanvasRenderingContext2d};

wasm_bindgen_test_configure!(run_in_dedicated_worker);

const SIDE: u32 = 200;
const RATIO: u32 = 2;

fn blank() -> (CanvasSurface, OffscreenCanvasRenderingContext2d) {
    let canvas = OffscreenCanvas::new(SIDE * RATIO, SIDE * RATIO).unwrap();
    let context: OffscreenCanvasRenderingContext2d = canvas.get_context("2d").unwrap().unwrap().unchecked_into();
    (cleared(&context, &Backdrop::default()), context)
}

/// A clear picture on a canvas.
fn cleared(context: &OffscreenCanvasRenderingContext2d, backdrop: &Backdrop) -> CanvasSurface {
    let size = [f64::from(SIDE); 2];
    CanvasSurface::new(context.clone(), Widths::default(), backdrop.clone(), size, f64::from(RATIO))
}

/// Red, green, blue, alpha at a place in CSS pixels.
fn pixel(context: &OffscreenCanvasRenderingContext2d, x: f64, y: f64) -> [u8; 4] {
    let ratio = f64::from(RATIO);
    let data = context.get_image_data(x * ratio, y * ratio, 1.0, 1.0).unwrap().data();
    [data[0], data[1], data[2], data[3]]
}

/// How many pixels have ink within a box in CSS pixels.
fn inked(context: &OffscreenCanvasRenderingContext2d, x: f64, y: f64, width: f64, height: f64) -> usize {
    let ratio = f64::from(RATIO);
    let data = context.get_image_data(x * ratio, y * ratio, width * ratio, height * ratio).unwrap().data();
    data.iter().skip(3).step_by(4).filter(|&&alpha| alpha > 0).count()
}

const RED: Colour = Colour::rgb(0xFF0000);

#[wasm_bindgen_test]
fn shapes_are_filled_at_the_device_ratio() {
    let (mut surface, context) = blank();
    surface.circle(Point::new(50.0, 50.0), 20.0, Some(RED), Some(&Pen::new(Colour::BLACK, 4.0)));
    assert_eq!(pixel(&context, 50.0, 50.0), [255, 0, 0, 255]);
    assert_eq!(pixel(&context, 70.0, 50.0), [0, 0, 0, 255]);
    assert_eq!(pixel(&context, 75.0, 50.0)[3], 0);
    let mut nested = Outline::rectangle(100.0, 100.0, 80.0, 80.0);
    nested.add_ring(&[
        Point::new(120.0, 120.0),
        Point::new(160.0, 120.0),
        Point::new(160.0, 160.0),
        Point::new(120.0, 160.0),
    ]);
    surface.fill(&nested, FillRule::EvenOdd, RED);
    assert_eq!(pixel(&context, 110.0, 110.0), [255, 0, 0, 255]);
    assert_eq!(pixel(&context, 140.0, 140.0)[3], 0);
    surface.fill(&nested, FillRule::NonZero, RED);
    assert_eq!(pixel(&context, 140.0, 140.0), [255, 0, 0, 255]);
}

#[wasm_bindgen_test]
fn arcs_run_the_same_way_as_bearings() {
    let (mut surface, context) = blank();
    let centre = Point::new(100.0, 100.0);
    surface.stroke(&Outline::new().arc(centre, 60.0, 0.0, 90.0), &Pen::new(RED, 4.0));
    let on = |bearing: f64| {
        let at = centre.toward(bearing, 60.0);
        pixel(&context, at.x, at.y)[3] > 0
    };
    assert!(on(5.0) && on(45.0) && on(85.0));
    assert!(!on(95.0) && !on(180.0) && !on(355.0));
    surface.stroke(&Outline::new().arc(centre, 60.0, 270.0, 180.0), &Pen::new(RED, 4.0));
    assert!(on(225.0) && on(265.0) && !on(300.0) && !on(150.0));
}

#[wasm_bindgen_test]
fn clips_end_where_they_are_ended() {
    let (mut surface, context) = blank();
    let all = Outline::rectangle(0.0, 0.0, 200.0, 200.0);
    surface.push_clip_circle(Point::new(100.0, 100.0), 30.0);
    surface.fill(&all, FillRule::NonZero, RED);
    surface.pop_clip();
    assert_eq!(pixel(&context, 100.0, 100.0)[3], 255);
    assert_eq!(pixel(&context, 140.0, 100.0)[3], 0);
    surface.fill(&all, FillRule::NonZero, RED);
    assert_eq!(pixel(&context, 5.0, 5.0)[3], 255);
}

#[wasm_bindgen_test]
fn words_stand_where_they_are_anchored() {
    let font = Font::new(Face::Sans, 20.0);
    for (anchor, left, right) in
        [(Anchor::Start, false, true), (Anchor::Middle, true, true), (Anchor::End, true, false)]
    {
        let (mut surface, context) = blank();
        assert!(surface.text_width("MMMM", font) > surface.text_width("ii", font));
        surface.text(&Text::new("MMMM", Point::new(100.0, 100.0), font, RED).anchored(anchor));
        assert_eq!(inked(&context, 60.0, 80.0, 38.0, 20.0) > 0, left, "{anchor:?}");
        assert_eq!(inked(&context, 102.0, 80.0, 38.0, 20.0) > 0, right, "{anchor:?}");
        assert_eq!(inked(&context, 0.0, 102.0, 200.0, 98.0), 0, "letters stand on their baseline");
    }
    let (mut surface, context) = blank();
    surface.text(&Text::new("MMMM", Point::new(100.0, 100.0), font, RED).turned(90.0));
    assert!(inked(&context, 100.0, 105.0, 20.0, 60.0) > 0);
    assert_eq!(inked(&context, 125.0, 0.0, 75.0, 200.0), 0);
}

#[wasm_bindgen_test]
fn words_follow_their_circle() {
    let centre = Point::new(100.0, 100.0);
    for (reading, bearing_deg) in [(Reading::Clockwise, 0.0), (Reading::Counterclockwise, 180.0)] {
        let (mut surface, context) = blank();
        surface.text_on_arc(&ArcText {
            words: "MMMMMM",
            centre,
            radius: 70.0,
            bearing_deg,
            reading,
            anchor: Anchor::Middle,
            font: Font::new(Face::Sans, 14.0),
            colour: RED,
            halo: Some(Halo { colour: Colour::WHITE, width: 3.0 }),
        });
        let height = |bearing: f64| {
            (60..95)
                .filter(|&radius| {
                    let at = centre.toward(bearing, f64::from(radius));
                    pixel(&context, at.x, at.y)[3] > 0
                })
                .count()
        };
        let most = |from: i32, to: i32| (from..to).map(|off| height(bearing_deg + f64::from(off))).max();
        assert!(most(-20, -10) > Some(3) && most(10, 20) > Some(3), "{reading:?}");
        assert_eq!(height(bearing_deg + 90.0), 0);
        // letters stand outside the circle clockwise and inside it counterclockwise
        let inside = (64..68).any(|radius| {
            (-10..10).any(|off| {
                let at = centre.toward(bearing_deg + f64::from(off), f64::from(radius));
                pixel(&context, at.x, at.y) == [255, 0, 0, 255]
            })
        });
        assert_eq!(inside, reading == Reading::Counterclockwise);
    }
}

#[wasm_bindgen_test]
fn a_backdrop_that_is_kept_looks_as_drawn() {
    let (_, context) = blank();
    let backdrop = Backdrop::default();
    let all = |context: &OffscreenCanvasRenderingContext2d| {
        let side = f64::from(SIDE * RATIO);
        context.get_image_data(0.0, 0.0, side, side).unwrap().data().to_vec()
    };
    let font = Font::new(Face::Sans, 20.0);
    let mut times = 0;
    let mut picture = |key: u64, words: &str| {
        let mut surface = cleared(&context, &backdrop);
        surface.backdrop(&[key], &mut |below| {
            times += 1;
            below.push_clip_circle(Point::new(90.3, 90.7), 60.2);
            below.circle(Point::new(70.1, 70.9), 50.5, Some(RED), Some(&Pen::new(Colour::BLACK, 1.5)));
            below.pop_clip();
            below.text(&Text::new(words, Point::new(20.3, 120.6), font, Colour::BLACK));
        });
        surface.circle(Point::new(150.0, 150.0), 10.0, Some(Colour::BLACK), None);
        (all(&context), times)
    };
    // drawn, drawn apart to be kept, kept
    let (first, _) = picture(1, "one");
    let (second, _) = picture(1, "one");
    let (third, drawn) = picture(1, "never drawn");
    assert_eq!(drawn, 2);
    let far = |a: &[u8], b: &[u8]| a.iter().zip(b).map(|(a, b)| a.abs_diff(*b)).max();
    assert_eq!(second, third);
    assert!(far(&first, &second) <= Some(2), "what is laid over what is clear is rounded once more");
    let (other, drawn) = picture(2, "two");
    assert_eq!(drawn, 3);
    assert!(far(&first, &other) > Some(100));
    assert_eq!(picture(1, "one"), (first, 4));
}
