//! What the page hands over as files, and one picture of everything that it shows.

use std::fmt::Write as _;

use serde_json::{Value, json};

use super::Browser;

impl Browser {
    /// From now on files that are saved are caught, not downloaded.
    pub(crate) fn catch_saved(&self) {
        self.script(
            "if (window.saved) return;
             window.saved = [];
             const made = new Map();
             const make = URL.createObjectURL.bind(URL);
             URL.createObjectURL = (blob) => { const href = make(blob); made.set(href, blob); return href; };
             HTMLAnchorElement.prototype.click = function () {
               saved.push({ name: this.download, href: this.href, blob: made.get(this.href) });
             };",
            Vec::new(),
        );
    }

    /// Presses a control that saves a file; gives name and bytes of the file.
    pub(crate) fn save(&self, selector: &str) -> (String, Vec<u8>) {
        self.catch_saved();
        self.wait_for(&format!("document.querySelector('{selector}')"));
        let before = self.value("saved.length");
        self.click(selector);
        self.wait_for(&format!("saved.length > {before}"));
        let saved = self.script(
            "const { name, blob } = saved.at(-1);
             return blob.arrayBuffer().then((bytes) => [name, Array.from(new Uint8Array(bytes))]);",
            Vec::new(),
        );
        let bytes = saved[1].as_array().expect("bytes").iter();
        let bytes = bytes.map(|byte| u8::try_from(byte.as_u64().expect("a number")).expect("a byte")).collect();
        (saved[0].as_str().expect("a name").to_owned(), bytes)
    }

    /// Everything that shows what is loaded: the words of every view, and the spots as CSV.
    pub(crate) fn all_that_is_shown(&self) -> String {
        let mut all = String::new();
        for view in ["spots", "compare", "plan", "disc"] {
            self.click(&format!("#nav-{view}"));
            self.wait_for(&format!("document.documentElement.dataset.view === '{view}'"));
            for part in ["answer", "left", "middle", "right"] {
                writeln!(all, "{}", self.value(&format!("document.getElementById('{part}').innerText"))).unwrap();
            }
        }
        self.click("#keep-save");
        let (_, bytes) = self.save("#save-csv");
        all += str::from_utf8(&bytes).expect("text");
        self.click("#keep-save");
        self.wait_for("!document.querySelector('#menu-save')");
        all
    }

    /// Everything that is stored for the page's origin: local and session storage, and rows of every database.
    pub(crate) fn stores(&self) -> Value {
        self.script(
            "return (async () => {
               const rows = [];
               for (const { name } of await indexedDB.databases()) {
                 const opened = await new Promise((resolve) => { const asked = indexedDB.open(name); asked.onsuccess = () => resolve(asked.result); });
                 for (const store of opened.objectStoreNames) {
                   const all = opened.transaction(store).objectStore(store).getAll();
                   rows.push(...await new Promise((resolve) => { all.onsuccess = () => resolve(all.result.map(({ id, text }) => ({ store, id, text }))); }));
                 }
                 opened.close();
               }
               return { local: { ...localStorage }, session: { ...sessionStorage }, rows };
             })();",
            vec![json!(null)],
        )
    }
}
