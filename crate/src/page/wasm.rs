//! The seam: what JavaScript sees of the core. The only place besides the canvas that knows a browser.

use js_sys::{Array, Uint8Array};
use serde::Serialize;
use wasm_bindgen::prelude::wasm_bindgen;
use wasm_bindgen::{JsCast, JsValue};
use web_sys::{OffscreenCanvas, OffscreenCanvasRenderingContext2d};

use super::incoming::Incoming;
use super::message::{Patch, Picture};
use super::per_picture::PerPicture;
use super::session::Session;
use super::told::Told;
use crate::draw::canvas::{Backdrop, CanvasSurface, Widths, pixels};
use crate::import::read_ahead;

/// What a panic said last, for the report after the core stopped.
#[wasm_bindgen]
pub fn listen_for_panics(report: &js_sys::Function) {
    let report = report.clone();
    std::panic::set_hook(Box::new(move |panic| {
        // the core is about to stop; if even this call fails there is nobody left to tell
        report.call1(&JsValue::NULL, &JsValue::from_str(&panic.to_string())).ok();
    }));
}

/// Reads a part of a file, in a worker that has nothing else to do: the first bytes of what [`Terminal::share`] filled. What
/// comes of it takes their place. Gives its length, or 0 if there is no room for it.
#[wasm_bindgen]
pub fn read_part(bytes: &Uint8Array, length: u32) -> u32 {
    let stretch = read_ahead(&bytes.subarray(0, length).to_vec());
    let length = u32::try_from(stretch.len()).ok().filter(|&length| length <= bytes.length()).unwrap_or(0);
    bytes.subarray(0, length).copy_from(stretch.get(..length as usize).unwrap_or_default());
    length
}

/// A canvas and its context, which was got once.
#[derive(Debug)]
struct Attached {
    canvas: OffscreenCanvas,
    context: OffscreenCanvasRenderingContext2d,
    backdrop: Backdrop,
}

/// Most bytes of a file that leave at once.
const PIECE: usize = 4 << 20;

/// One page's core: events in, patches out, pictures drawn on the canvases it was given.
#[wasm_bindgen]
#[derive(Debug, Default)]
pub struct Terminal {
    session: Session,
    canvases: PerPicture<Attached>,
    widths: Widths,
    incoming: Incoming,
}

#[wasm_bindgen]
impl Terminal {
    /// A core with nothing loaded.
    #[wasm_bindgen(constructor)]
    pub fn new() -> Self {
        Self::default()
    }

    /// Hands over the canvas of a picture with its context; `undefined` takes it away again.
    pub fn attach(&mut self, picture: &str, canvas: JsValue, context: JsValue) {
        let Some(picture) = Picture::from_name(picture) else { return };
        if canvas.is_undefined() || context.is_undefined() {
            self.canvases.remove(picture);
        } else {
            // a plain canvas of the page serves as well: it has the same methods
            let (canvas, context) = (canvas.unchecked_into(), context.unchecked_into());
            self.canvases.insert(picture, Attached { canvas, context, backdrop: Backdrop::default() });
        }
    }

    /// A file begins: its name and its size in bytes, as far as known.
    pub fn begin_file(&mut self, name: &str, size: f64) {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a size is a whole number from 0 on"
        )]
        let size = size as u64;
        self.incoming = Incoming::begin(name, size);
    }

    /// The next bytes of the file; the patches come back as an array of plain objects.
    ///
    /// # Errors
    /// A patch that cannot be made an object.
    pub fn chunk(&mut self, bytes: &[u8]) -> Result<Array, JsValue> {
        let patches = self.incoming.chunk(bytes, &mut self.session);
        if patches.is_empty() {
            return Ok(Array::new());
        }
        self.objects(&patches)
    }

    /// The file is here. Its number is the last entry, none for one that was refused; those before are patches.
    ///
    /// # Errors
    /// A patch that cannot be made an object.
    pub fn end_file(&mut self) -> Result<Array, JsValue> {
        let (number, patches) = self.incoming.end(&mut self.session);
        let array = if patches.is_empty() { Array::new() } else { self.objects(&patches)? };
        array.push(&JsValue::from(number));
        Ok(array)
    }

    /// Name of a file of the work, or of one that waits for a decision, by its number.
    pub fn file_name(&self, number: usize) -> Option<String> {
        Some(self.session.file(number)?.0.to_owned())
    }

    /// Its bytes as it came, from one on: so many that all of them are never there twice.
    pub fn file_bytes(&self, number: usize, from: usize) -> Option<Vec<u8>> {
        let rest = self.session.file(number)?.1.get(from..)?;
        Some(rest.get(..PIECE).unwrap_or(rest).to_vec())
    }

    /// The file is given up.
    pub fn drop_file(&mut self) {
        self.incoming = Incoming::default();
    }

    /// Lays a part of the file that is being read into these bytes, for another worker, `own` bytes behind the part before.
    /// Gives its number and its length; nothing where it is not worth while.
    pub fn share(&mut self, bytes: &Uint8Array, own: usize) -> Option<Vec<u32>> {
        // the columns of short rows are longer than their text
        let most = bytes.length() as usize / 5 * 3;
        let (from, head, text) = self.session.share(own, most)?;
        let [from, head_length, length] =
            [from, head.len(), head.len() + text.len()].map(|it| u32::try_from(it).unwrap_or(u32::MAX));
        bytes.subarray(0, head_length).copy_from(&head);
        bytes.subarray(head_length, length).copy_from(text);
        Some(vec![from, length])
    }

    /// What a worker gave of the part with this number; nothing if it could not read it.
    pub fn take_part(&mut self, from: usize, bytes: Vec<u8>) {
        self.session.take_part(from, bytes);
    }

    /// The part before whose return nothing is to be read.
    pub fn waits(&self) -> Option<usize> {
        self.session.waits()
    }

    /// Takes in an event; the patches come back as an array of plain objects.
    ///
    /// # Errors
    /// An event that is none of those known.
    pub fn handle(&mut self, event: JsValue) -> Result<Array, JsValue> {
        let told: Told = serde_wasm_bindgen::from_value(event)?;
        let event = told.event().ok_or_else(|| JsValue::from_str("an event that is none of those known"))?;
        let patches = self.session.handle(event);
        self.objects(&patches)
    }

    /// Patches, with those of the pictures that changed, as plain objects.
    fn objects(&mut self, patches: &[Patch]) -> Result<Array, JsValue> {
        let array = Array::new();
        let serializer = serde_wasm_bindgen::Serializer::json_compatible().serialize_bytes_as_arrays(false);
        for patch in patches.iter().chain(&self.draw()) {
            array.push(&patch.serialize(&serializer)?);
        }
        Ok(array)
    }

    /// Draws what changed; pictures whose canvas is out of reach come back as SVG.
    fn draw(&mut self) -> Vec<Patch> {
        let mut patches = Vec::new();
        let mut drawn = false;
        for (picture, room) in self.session.take_pictures() {
            let Some(Attached { canvas, context, backdrop }) = self.canvases.get(picture) else {
                patches.extend(self.session.svg(picture));
                drawn = true;
                continue;
            };
            let (width, height) = (pixels(room.width * room.ratio), pixels(room.height * room.ratio));
            if canvas.width() != width || canvas.height() != height {
                canvas.set_width(width);
                canvas.set_height(height);
            }
            let size = [room.width, room.height];
            let mut surface =
                CanvasSurface::new(context.clone(), self.widths.clone(), backdrop.clone(), size, room.ratio);
            self.session.draw(picture, &mut surface);
            drawn = true;
        }
        if drawn {
            patches.extend(self.session.after_drawing());
        }
        patches
    }
}
