//! Assembles the one self-contained page.
//!
//! `web/index.html` is the template. These marks in it are replaced; each must stand in it exactly once:
//!
//! | mark | becomes |
//! |---|---|
//! | `<!--POLICY-->` | the meta element with the Content-Security-Policy; first in `<head>` after the charset |
//! | `<!--ICON-->`   | the icon's link, a data address made from `web/icon.svg` |
//! | `<!--STYLE-->`  | `<style>` with `web/style.css` |
//! | `<!--DATA-->`   | the text blocks below; in `<body>`, before the script |
//! | `<!--SCRIPT-->` | `<script>` with `web/page.js`, a classic script; last in `<body>` |
//! | `<!--VERSION-->` | the project's version |
//! | `<!--SEAL-->` | the SHA-256 of the page with 64 zeros in this place, in 64 hexadecimal digits |
//!
//! `<!--DATA-->` begins with `<script id="core-worker">`, one classic script: `web/unpack.js` (`Unpacker`,
//! `unpackLzma`), wasm-bindgen's glue, `web/worker.js`. Its text is the source of the worker; run in the page it only defines
//! functions, with which the page serves itself where it may have no worker.
//!
//! Text blocks (`<script type="text/plain" id="...">`, which browsers never run):
//!
//! | id | holds |
//! |---|---|
//! | `core-unpacker` | base64 of a small wasm module, packed with LZMA: `web/guess`, which unpacks the core |
//! | `core-wasm` | base64 of the core's wasm module packed by guessing (`web/guess`): the page is less than half as heavy; with the SHA-256 of the module, by which a page that was here before knows what it kept |
//! | `sample-data`, `sample-data-2`, ... | base64 of a sample file, column after column, in a module without meaning that is packed as the core is; class `sample`, its name in `data-name` |
//!
//! Scripts and style go in made short ([`script`](crate::script), [`style`](crate::style)).
//!
//! The policy allows exactly these two scripts and that style. So the template and every view keep to classes and
//! SVG attributes: `style="..."` and `on...="..."` attributes would silently do nothing, and the builder refuses them
//! in the template. Style set by script (`element.style.width = ...`) is allowed.

use anyhow::{Context as _, Result, bail};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest as _, Sha256};

use crate::pack::{by_columns, in_module, lzma};
use crate::policy::policy;
use crate::sample::Sample;
use crate::script;
use crate::style;
use crate::wasm::Core;

/// The page's sources.
#[derive(Debug)]
pub(crate) struct Parts<'a> {
    /// `web/index.html`.
    pub template: &'a str,
    /// `web/style.css`.
    pub style: &'a str,
    /// `web/page.js`.
    pub script: &'a str,
    /// `web/unpack.js`.
    pub unpack: &'a str,
    /// `web/worker.js`.
    pub worker: &'a str,
    /// `web/icon.svg`.
    pub icon: &'a str,
    /// The compiled core.
    pub core: &'a Core,
    /// The compiled unpacker of the core's module.
    pub unpacker: &'a [u8],
    /// The sample files.
    pub samples: &'a [Sample],
}

/// Puts the page together.
///
/// # Errors
/// If a mark is missing from the template, doubled or unknown, or a source holds what would end its block early.
pub(crate) fn assemble(parts: &Parts<'_>) -> Result<String> {
    let style = inline_text("web/style.css", &style::shortened(parts.style), &["</style", "<!--"])?;
    let script = inline_text("web/page.js", &script::shortened("web/page.js", parts.script)?, &["</script", "<!--"])?;
    let worker = [
        script::shortened("web/unpack.js", parts.unpack)?,
        script::shortened("the glue", &parts.core.glue)?,
        script::shortened("web/worker.js", parts.worker)?,
    ];
    let worker = inline_text("the worker (unpack.js, glue, worker.js)", &worker.join("\n"), &["</script", "<!--"])?;
    check_template(parts.template)?;
    let page = fill(
        &parts.template.replace("\r\n", "\n"),
        &[
            ("POLICY", policy_element(&[&worker, &script], &style)),
            ("ICON", icon_element(parts.icon)),
            ("STYLE", format!("<style>{style}</style>")),
            ("DATA", data_blocks(parts, &worker)?),
            ("SCRIPT", format!("<script>{script}</script>")),
            ("VERSION", env!("CARGO_PKG_VERSION").to_owned()),
            ("SEAL", NO_SEAL.to_owned()),
        ],
    )?;
    sealed(&page)
}

/// Stands in the place of the page's own sum while that is reckoned.
const NO_SEAL: &str = "0000000000000000000000000000000000000000000000000000000000000000";

/// The page with its own sum in it.
fn sealed(page: &str) -> Result<String> {
    if page.matches(NO_SEAL).count() != 1 {
        bail!("64 zeros must stand in the page once, in the place of its sum");
    }
    let sum = format!("{:x}", Sha256::digest(page));
    Ok(page.replace(NO_SEAL, &sum))
}

fn policy_element(scripts: &[&str], style: &str) -> String {
    format!("<meta http-equiv=\"Content-Security-Policy\" content=\"{}\">", policy(scripts, style))
}

fn icon_element(icon: &str) -> String {
    format!("<link rel=\"icon\" type=\"image/svg+xml\" href=\"{}\">", data_address(icon))
}

/// An SVG picture as an address that holds it.
pub(crate) fn data_address(svg: &str) -> String {
    format!("data:image/svg+xml;base64,{}", STANDARD.encode(svg))
}

fn data_blocks(parts: &Parts<'_>, worker: &str) -> Result<String> {
    let core_sum = format!("{:x}", Sha256::digest(&parts.core.wasm));
    let mut blocks = vec![
        format!("<script id=\"core-worker\">{worker}</script>"),
        text_block("id=\"core-unpacker\"", &STANDARD.encode(lzma(parts.unpacker)?)),
        text_block(&format!("data-sum=\"{core_sum}\" id=\"core-wasm\""), &packed(&parts.core.wasm)?),
    ];
    for (index, sample) in parts.samples.iter().enumerate() {
        let id = if index == 0 { "sample-data".to_owned() } else { format!("sample-data-{}", index + 1) };
        let table = str::from_utf8(&sample.content).with_context(|| format!("{} is no UTF-8 text", sample.name))?;
        let columns = by_columns(table).with_context(|| format!("packing {}", sample.name))?;
        let attributes = format!("id=\"{id}\" class=\"sample\" data-name=\"{}\"", sample.name);
        blocks.push(text_block(&attributes, &packed(&in_module(&columns)?)?));
    }
    Ok(blocks.join("\n"))
}

/// A module, packed.
fn packed(module: &[u8]) -> Result<String> {
    let packed = farheard_guess::pack(module).context("packing a module")?;
    // what the page would run is what was compiled, or there is no page
    if farheard_guess::unpack_by_halves(&packed)? != module {
        bail!("a module does not come back the same from its packed form");
    }
    Ok(STANDARD.encode(packed))
}

fn text_block(attributes: &str, text: &str) -> String {
    format!("<script type=\"text/plain\" {attributes}>{text}</script>")
}

/// A source with one kind of line end (browsers hash what they parsed), safe between its tags.
fn inline_text(name: &str, text: &str, forbidden: &[&str]) -> Result<String> {
    let lower = text.to_ascii_lowercase();
    for end in forbidden {
        if lower.contains(end) {
            bail!("{name} contains {end}, which would break the page it is put into; write it in two pieces");
        }
    }
    Ok(text.replace("\r\n", "\n"))
}

/// Refuses what the policy would silently switch off.
fn check_template(template: &str) -> Result<()> {
    for switched_off in ["<script", "<style", " style=", " onclick=", " onload=", " oninput=", " onchange="] {
        if template.contains(switched_off) {
            bail!(
                "web/index.html contains `{}`; the page's policy allows web/page.js and web/style.css only",
                switched_off.trim()
            );
        }
    }
    Ok(())
}

/// Replaces each mark by its content. What is put in is not searched for marks again.
fn fill(template: &str, contents: &[(&str, String)]) -> Result<String> {
    let mut page = String::new();
    let mut used = Vec::new();
    let mut rest = template;
    while let Some((before, after)) = rest.split_once("<!--") {
        let (name, after) = after.split_once("-->").context("web/index.html has a comment without an end")?;
        let (_, content) = contents
            .iter()
            .find(|(mark, _)| *mark == name)
            .with_context(|| format!("web/index.html has <!--{name}-->, which is no mark; leave comments out of it"))?;
        if used.contains(&name) {
            bail!("web/index.html has <!--{name}--> twice");
        }
        used.push(name);
        page.push_str(before);
        page.push_str(content);
        rest = after;
    }
    page.push_str(rest);
    if let Some((missing, _)) = contents.iter().find(|(mark, _)| !used.contains(mark)) {
        bail!("web/index.html lacks <!--{missing}-->");
    }
    Ok(page)
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEMPLATE: &str = "<head><!--POLICY--><!--ICON--><!--STYLE--></head><body><!--VERSION--> <!--SEAL--><!--DATA--><!--SCRIPT--></body>";

    fn page_of(template: &str, script: &str) -> Result<String> {
        let core = Core { glue: "let wasm_bindgen;".to_owned(), wasm: b"\0asm\x01\0\0\0".to_vec() };
        let samples = [
            Sample { name: "first.csv".to_owned(), content: b"a,b,c,d,e,f,g,h,i\n".to_vec() },
            Sample { name: "second.csv".to_owned(), content: b"1,2,3,4,5,6,7,8,9\n".to_vec() },
        ];
        assemble(&Parts {
            template,
            style: "p { margin: 0 }",
            script,
            unpack: "function unpackLzma() {}",
            worker: "onmessage = null;",
            icon: "<svg/>",
            core: &core,
            unpacker: b"\0asm\x01\0\0\0",
            samples: &samples,
        })
    }

    #[test]
    fn every_mark_is_filled_and_every_sample_named() {
        let page = page_of(TEMPLATE, "go();").unwrap();
        assert!(!page.contains("<!--"), "{page}");
        assert!(page.contains("<script>go();</script>") && page.contains("<style>p{margin:0}</style>"));
        assert!(page.contains("id=\"sample-data\" class=\"sample\" data-name=\"first.csv\""));
        assert!(page.contains("id=\"sample-data-2\" class=\"sample\" data-name=\"second.csv\""));
        assert!(page.contains("id=\"core-worker\">function unpackLzma(){};\nlet wasm_bindgen;\nonmessage=null;<"));
    }

    #[test]
    fn it_carries_its_own_sum() {
        let page = page_of(TEMPLATE, "go();").unwrap();
        let (_, after) = page.split_once(&format!("{} ", env!("CARGO_PKG_VERSION"))).unwrap();
        let sum = after.get(..64).unwrap();
        let again = format!("{:x}", Sha256::digest(page.replace(sum, NO_SEAL)));
        assert_eq!(sum, again);
        assert_ne!(page, page_of(TEMPLATE, "stop();").unwrap());
        assert!(sealed("no place for it").is_err());
    }

    #[test]
    fn a_missing_doubled_or_unknown_mark_is_named() {
        let lacking = TEMPLATE.replace("<!--STYLE-->", "");
        assert!(page_of(&lacking, "").unwrap_err().to_string().contains("lacks <!--STYLE-->"));
        let doubled = format!("{TEMPLATE}<!--DATA-->");
        assert!(page_of(&doubled, "").unwrap_err().to_string().contains("<!--DATA--> twice"));
        let unknown = format!("{TEMPLATE}<!-- a note -->");
        assert!(page_of(&unknown, "").unwrap_err().to_string().contains("<!-- a note -->"));
    }

    #[test]
    fn a_script_cannot_end_its_own_block() {
        // in a text it is written otherwise, elsewhere refused
        let page = page_of(TEMPLATE, "show('</SCRIPT>')").unwrap();
        assert!(page.contains("<\\/SCRIPT>") && !page.contains("</SCRIPT>"), "{page}");
        assert!(page_of(TEMPLATE, "show`<!--`").unwrap_err().to_string().contains("web/page.js"));
    }

    #[test]
    fn a_script_that_does_not_parse_makes_no_page() {
        assert!(page_of(TEMPLATE, "show(").unwrap_err().to_string().contains("web/page.js"));
    }

    #[test]
    fn marks_in_a_source_are_refused_not_filled() {
        assert!(page_of(TEMPLATE, "'<!--DATA-->'").is_err());
    }

    #[test]
    fn an_inline_style_in_the_template_is_refused() {
        let styled = format!("<p style=\"margin:0\">{TEMPLATE}");
        assert!(page_of(&styled, "").unwrap_err().to_string().contains("style="));
    }

    #[test]
    fn line_ends_of_the_checkout_do_not_change_the_page() {
        assert_eq!(page_of(TEMPLATE, "a();\r\nb();").unwrap(), page_of(TEMPLATE, "a();\nb();").unwrap());
    }
}
