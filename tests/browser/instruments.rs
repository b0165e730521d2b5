//! The harness measures what is there: tried on a small page of its own, so that a test of the real page
//! that passes has really dropped, chosen, pasted and looked.

use crate::harness::{Browser, Scratch};

const PAGE: &str = "<!doctype html>
<html lang=\"en\" data-state=\"ready\"><meta charset=\"utf-8\"><title>Instruments</title>
<input id=\"choose\" type=\"file\" multiple>
<button id=\"press\">Press</button>
<canvas id=\"drawn\" width=\"40\" height=\"20\"></canvas>
<pre id=\"seen\"></pre>
<script>
  const seen = (words) => { document.getElementById('seen').textContent += words + '\\n'; };
  const show = async (how, files) => {
    for (const file of files) seen(`${how} ${file.name}: ${await file.text()}`);
  };
  document.addEventListener('change', (event) => {
    if (event.target.id === 'choose') show('chosen', event.target.files);
  });
  document.addEventListener('dragover', (event) => event.preventDefault());
  document.addEventListener('drop', (event) => { event.preventDefault(); show('dropped', event.dataTransfer.files); });
  document.addEventListener('paste', (event) => seen('pasted ' + event.clipboardData.getData('text/plain')));
  document.getElementById('press').addEventListener('click', () => seen('pressed'));
  const drawn = document.getElementById('drawn').transferControlToOffscreen();
  const draw = `onmessage = ({ data }) => {
    const context = data.getContext('2d');
    context.fillStyle = '#0072b2';
    context.fillRect(0, 0, 20, 20);
    postMessage('drawn');
  }`;
  const worker = new Worker(URL.createObjectURL(new Blob([draw])));
  worker.onmessage = () => requestAnimationFrame(() => seen('drawn'));
  worker.postMessage(drawn, [drawn]);
</script>";

fn instruments() -> (Scratch, Browser) {
    let folder = Scratch::new();
    folder.file("index.html", PAGE);
    let browser = Browser::start();
    browser.open_from_disk(folder.path());
    (folder, browser)
}

#[test]
fn files_and_text_reach_a_page() {
    let (folder, browser) = instruments();
    let one = folder.file("one.csv", "first content");
    let two = folder.file("two.csv", "second content");
    browser.drop_files("body", &[&one, &two]);
    browser.wait_for_words("dropped one.csv: first content");
    browser.wait_for_words("dropped two.csv: second content");
    browser.choose(&[&two]);
    browser.wait_for_words("chosen two.csv: second content");
    browser.paste("a line\twith a tab");
    browser.wait_for("document.getElementById('seen').textContent.includes('pasted a line\\twith a tab')");
    browser.click("#press");
    assert!(browser.text("#seen").ends_with("pressed"));
}

#[test]
#[should_panic(expected = "left to the browser")]
fn a_page_that_does_not_take_a_drop_is_found_out() {
    let (folder, browser) = instruments();
    browser.script("document.addEventListener('dragover', (event) => event.stopImmediatePropagation(), true);", vec![]);
    let file = folder.file("one.csv", "content");
    browser.drop_files("body", &[&file]);
}

#[test]
fn a_canvas_drawn_by_a_worker_can_be_read_at_any_size() {
    let (_folder, browser) = instruments();
    browser.wait_for_words("drawn");
    assert_eq!(browser.pixels("#drawn", &[(5, 5), (30, 5)]), [[0x00, 0x72, 0xb2, 0xff], [0, 0, 0, 0]]);
    browser.resize(390, 844);
    assert_eq!(browser.value("[innerWidth, innerHeight]"), serde_json::json!([390, 844]));
    let picture = std::fs::read(browser.picture("instruments-390x844")).unwrap();
    // The PNG specification, 11.2.1: width and height follow the signature, length and name of the first chunk.
    assert_eq!(picture.get(16..24), Some(&[0, 0, 390_u16.to_be_bytes()[0], 390_u16.to_be_bytes()[1], 0, 0, 3, 76][..]));
}

#[test]
#[should_panic(expected = "a loud word")]
fn an_error_in_the_console_is_found_out() {
    let (_folder, browser) = instruments();
    browser.expect_quiet_console();
    browser.script("console.error('a loud word');", vec![]);
    browser.expect_quiet_console();
}
