//! What is saved from a page in a browser: pictures of the Disc, as many pixels as asked for, light on a dark screen.

use serde_json::json;

use crate::harness::{Browser, Engine, in_every_engine};

in_every_engine! {
    the_disc_is_saved_as_a_picture,
}

fn the_disc_is_saved_as_a_picture(engine: Engine) {
    let (browser, _folder) = match engine {
        Engine::Chromium => Browser::start_in_the_dark(),
        _ => Browser::start_with_sample(engine),
    };
    browser.catch_saved();
    browser.click("#nav-spots");
    browser.wait_for("document.querySelector('#open-save')");
    browser.click("#open-save");
    for (at, (form, name, times)) in
        [("svg", "svg", 1), ("png-1", "png", 1), ("png-2", "png", 2), ("png-4", "png", 4)].iter().enumerate()
    {
        browser.wait_for(&format!("document.querySelector('#save-{form}')"));
        browser.click(&format!("#save-{form}"));
        browser.wait_for(&format!("saved.length === {}", at + 1));
        assert_eq!(browser.value(&format!("saved[{at}].name")), format!("SAMPLE-disc-Q6HUT.{name}"));
        let seen = browser.script(
            "const image = new Image();
             image.src = saved[arguments[0]].href;
             return image.decode().then(() => {
               const canvas = Object.assign(document.createElement('canvas'), { width: 20, height: 20 });
               const context = canvas.getContext('2d');
               context.drawImage(image, 0, 0);
               const { data } = context.getImageData(0, 0, 1, 1);
               return [image.naturalWidth, image.naturalHeight <= 4096, [...data]];
             });",
            vec![json!(at)],
        );
        assert_eq!(seen, json!([800 * times, true, [255, 255, 255, 255]]), "{form}");
    }
    browser.expect_quiet_console();
}
