//! On paper: whatever the screen, the page takes the shape of a sheet, its pictures become drawings in light colours,
//! nothing is stretched, and afterwards the screen is as it was.

use serde_json::json;

use crate::harness::Browser;
use crate::look::png::from_base64;

/// Each canvas is replaced by a drawing as wide and high as it is drawn.
const ALL_DRAWN: &str = "
  const canvases = [...document.querySelectorAll('canvas[data-picture]')];
  return canvases.length > 0 && canvases.every((canvas) => {
    const image = canvas.nextElementSibling;
    const { width, height } = image.getBoundingClientRect();
    const whole = image.complete && image.naturalWidth > 0;
    const stretch = (width / height) / (image.naturalWidth / image.naturalHeight);
    // natural sizes are whole pixels
    return !canvas.checkVisibility() && whole && Math.abs(stretch - 1) < 0.02 && canvas.ariaLabel === image.alt
      && width <= document.body.clientWidth;
  });";

/// What is on the screen, without what a view needs a moment for.
const SCREEN: &str = "[document.body.innerText, document.querySelectorAll('.on-paper').length, document.querySelectorAll('canvas').length,
  getComputedStyle(document.documentElement).backgroundColor, document.documentElement.scrollHeight]";

/// Width and height of A4 and of Letter, inches.
pub(crate) const PAPERS: [(f64, f64); 2] = [(8.27, 11.69), (8.5, 11.0)];

/// How many sheets of a paper a page takes.
pub(crate) fn sheets(browser: &Browser, (width, height): (f64, f64)) -> usize {
    let wish = json!({ "paperWidth": width, "paperHeight": height, "preferCSSPageSize": true });
    let printed = browser.run("printing", browser.driver().cdp().send_raw("Page.printToPDF", wish));
    let pdf = from_base64(printed["data"].as_str().expect("a document as text"));
    // ISO 32000-1, 7.7.3.3: each page is an object of this type
    let end = |at: usize, kind: &[u8]| !pdf.get(at + kind.len()).is_some_and(u8::is_ascii_alphabetic);
    let kind = b"/Type /Page";
    pdf.windows(kind.len()).enumerate().filter(|&(at, bytes)| bytes == kind && end(at, kind)).count()
}

#[test]
fn each_view_prints_in_light_colours_and_true_proportions() {
    let (browser, _folder) = Browser::start_in_the_dark();
    browser.script("globalThis.printed = 0; window.print = () => { printed += 1; };", Vec::new());
    browser.script("document.querySelector('#notice [data-value=leave]')?.click()", Vec::new());
    for (times, (view, most)) in
        [("disc", 2), ("compare", 4), ("plan", 2), ("sky", 4), ("health", 2)].iter().enumerate()
    {
        let show = "const button = Object.assign(document.createElement('button'), { hidden: true });
            Object.assign(button.dataset, { act: 'view', value: arguments[0] });
            document.body.append(button); button.click(); button.remove();";
        browser.script(show, vec![json!(view)]);
        browser.wait_for(&format!("document.documentElement.dataset.view === {}", json!(view)));
        browser.wait_for_ink("canvas[data-picture]", 4);
        let before = browser.value(SCREEN);
        if *view == "disc" {
            browser.click("#foot [data-page=print]");
        } else {
            browser.press_with_control("p");
        }
        browser.wait_for(&format!("printed === {}", times + 1));
        assert_eq!(browser.script(ALL_DRAWN, Vec::new()), true, "{view}");
        assert_eq!(browser.value("getComputedStyle(document.documentElement).backgroundColor"), "rgb(255, 255, 255)");
        assert_eq!(browser.value("document.documentElement.scrollWidth <= innerWidth"), true, "{view}");
        let sheets = sheets(&browser, PAPERS[0]);
        assert!((1..=*most).contains(&sheets), "{view} takes {sheets} sheets");
        browser.script("dispatchEvent(new Event('afterprint'))", Vec::new());
        browser.wait_for(&format!("JSON.stringify({SCREEN}) === {}", json!(before.to_string())));
        browser.wait_for_ink("canvas[data-picture]", 4);
    }
    browser.expect_quiet_console();
}
