//! A page of 320 by 256, as at 400 % on a small screen: nothing scrolls sideways but frames of their own, nothing is
//! cut, nothing stands on something else; nor with the spacing of text that every reader may set.
//!
//! Source: W3C, Web Content Accessibility Guidelines 2.2, 1.4.10 and 1.4.12.

use super::states::{Room, probe, walk};
use crate::harness::Browser;

fn every_state(room: Room, width: u32, height: u32) {
    let browser = Browser::start();
    browser.resize(width, height);
    let mut wrong = Vec::new();
    walk(&browser, room, "", |state| {
        for spaced in [false, true] {
            probe(&browser, &format!("spacing({spaced})"));
            let how = if spaced { "spaced, " } else { "" };
            wrong.extend(probe(&browser, "reflow()").into_iter().map(|words| format!("{how}{state}: {words}")));
        }
        probe(&browser, "spacing(false)");
    });
    assert!(wrong.is_empty(), "{} findings:\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn nothing_is_lost_at_320_by_256() {
    every_state(Room::Phone, 320, 256);
}

#[test]
fn nothing_is_lost_on_a_desk_with_spaced_text() {
    every_state(Room::Desk, 1440, 900);
}
