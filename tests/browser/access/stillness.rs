//! With less motion wished for nothing moves by itself; and every picture has its sentence and its table.

use super::states::{Room, media, probe, walk};
use crate::harness::Browser;

fn every_state(room: Room, width: u32, height: u32) {
    let browser = Browser::start();
    browser.resize(width, height);
    media(&browser, "prefers-reduced-motion", "reduce");
    let mut wrong = Vec::new();
    walk(&browser, room, "", |state| {
        for instrument in ["motion()", "pictures()"] {
            wrong.extend(probe(&browser, instrument).into_iter().map(|words| format!("{state}: {words}")));
        }
    });
    assert!(wrong.is_empty(), "{} findings:\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn nothing_moves_and_every_picture_is_told_on_a_desk() {
    every_state(Room::Desk, 1440, 900);
}

#[test]
fn nothing_moves_and_every_picture_is_told_on_a_phone() {
    every_state(Room::Phone, 390, 844);
}
