//! Files that reach the page: dropped, chosen, pasted.

use std::path::Path;

use serde_json::{Value, json};

use thirtyfour::Key;

use super::{Browser, Engine, sample_file};

/// The page's own file field.
const CHOOSER: &str = "#choose";
/// A field of ours: WebDriver hands files to fields only.
const LENT_FIELD: &str = "farheard-test-files";

impl Browser {
    /// Chooses files in the page's own field.
    pub(crate) fn choose(&self, files: &[&Path]) {
        self.write(CHOOSER, &names(files));
    }

    /// Chooses the files of the sample, as a person's own.
    pub(crate) fn choose_sample_files(&self) {
        self.choose(&[&sample_file("two-antennas-two-days.csv"), &sample_file("control-beacon-two-days.csv")]);
        self.wait_for_words("5 610 spots");
    }

    /// Drops files on an element. Fails if the page would let the browser open them instead.
    pub(crate) fn drop_files(&self, selector: &str, files: &[&Path]) {
        self.script(
            "const field = document.createElement('input');
             field.type = 'file';
             field.multiple = true;
             field.id = arguments[0];
             document.documentElement.append(field);",
            vec![json!(LENT_FIELD)],
        );
        self.write(&format!("#{LENT_FIELD}"), &names(files));
        let taken = self.script(
            "const field = document.getElementById(arguments[0]);
             const dragged = new DataTransfer();
             for (const file of field.files) dragged.items.add(file);
             field.remove();
             const target = document.querySelector(arguments[1]);
             const send = (type) => !target.dispatchEvent(
               new DragEvent(type, { bubbles: true, cancelable: true, composed: true, dataTransfer: dragged }));
             send('dragenter');
             return send('dragover') & send('drop') ? 'taken' : 'left to the browser';",
            vec![json!(LENT_FIELD), json!(selector)],
        );
        assert_eq!(taken, Value::from("taken"), "a drop on {selector}");
    }

    /// Drags something over the page and lets it go there, as the system would: the browser itself acts on what the
    /// page does not take. Returns whether the page showed its mark while it was over it.
    ///
    /// `data` is what Chromium's `Input.dispatchDragEvent` takes: paths in `files` (folders too), texts in `items`.
    pub(crate) fn drag_in(&self, data: &Value) -> bool {
        let send = |kind: &str| {
            let event = json!({ "type": kind, "x": 300, "y": 300, "data": data });
            self.run(kind, self.driver().cdp().send_raw("Input.dispatchDragEvent", event));
        };
        send("dragEnter");
        send("dragOver");
        let marked = self.value("document.documentElement.dataset.dragging === 'yes'") == json!(true);
        send("drop");
        marked
    }

    /// Pastes text where the focus is; by the keys of a person where an engine takes no pasted text from a script.
    pub(crate) fn paste(&self, text: &str) {
        if self.engine != Engine::Chromium {
            return self.copy_and_paste(text);
        }
        self.script(
            "const pasted = new DataTransfer();
             pasted.setData('text/plain', arguments[0]);
             (document.activeElement ?? document.body).dispatchEvent(
               new ClipboardEvent('paste', { bubbles: true, cancelable: true, composed: true, clipboardData: pasted }));",
            vec![json!(text)],
        );
    }

    /// Copies the text from a field that is there only for that, and pastes it, by keys.
    fn copy_and_paste(&self, text: &str) {
        let hold = |key: &str| {
            let keys = self.driver().action_chain().key_down(Key::Control).send_keys(key).key_up(Key::Control);
            self.run("pressing Control and a key", keys.perform());
        };
        self.script(
            "const field = document.createElement('textarea');
             field.id = arguments[0];
             field.value = arguments[1];
             document.documentElement.append(field);
             field.focus();
             field.select();",
            vec![json!(LENT_FIELD), json!(text)],
        );
        hold("c");
        self.script("document.getElementById(arguments[0]).remove();", vec![json!(LENT_FIELD)]);
        hold("v");
    }
}

/// WebDriver takes several files as lines.
fn names(files: &[&Path]) -> String {
    files.iter().map(|file| file.display().to_string()).collect::<Vec<_>>().join("\n")
}
