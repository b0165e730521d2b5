//! The page's policy allows its own script and style only. Markup that carries its own would silently do nothing.

use crate::sources::files;

/// Attributes of a text that the policy switches off: `style="..."` and every `on...="..."`.
fn switched_off(text: &str) -> Vec<String> {
    text.split(|letter: char| letter.is_whitespace())
        .filter_map(|word| word.split_once("=\"").or_else(|| word.split_once("='")))
        .map(|(name, _)| name.to_ascii_lowercase())
        .filter(|name| name == "style" || (name.starts_with("on") && name.chars().all(|it| it.is_ascii_alphabetic())))
        .collect()
}

#[test]
fn views_carry_no_style_and_no_handlers() {
    let views = files("web", ".html");
    assert!(!views.is_empty(), "web/ holds the page's template");
    for view in views {
        let found = switched_off(&view.text);
        assert!(found.is_empty(), "{}: {found:?}", view.name);
        assert!(!view.text.contains("javascript:"), "{}: an address that is a script", view.name);
    }
}

#[test]
fn what_is_switched_off_is_found() {
    assert_eq!(switched_off("<p class=\"a\" style=\"margin:0\">"), ["style"]);
    assert_eq!(switched_off("<p\nonclick='go()' data-once=\"1\">"), ["onclick"]);
}
