//! Scripts made short for the page: no comments and blanks, short local names.
//!
//! What a script does stays the same: no code is moved, joined or left out. Names at the top of a script stay too, since
//! other scripts call them.

use anyhow::{Result, bail};
use oxc_allocator::Allocator;
use oxc_codegen::{Codegen, CodegenOptions};
use oxc_mangler::Mangler;
use oxc_parser::Parser;
use oxc_span::SourceType;

/// A classic script made short; it ends where another one may follow.
///
/// # Errors
/// If it does not parse; `name` says which script that is.
pub(crate) fn shortened(name: &str, script: &str) -> Result<String> {
    let allocator = Allocator::default();
    let parsed = Parser::new(&allocator, script, SourceType::cjs()).parse();
    if let Some(error) = parsed.errors.first() {
        let offset = match error.labels.as_deref() {
            Some([label, ..]) => label.offset(),
            _ => 0,
        };
        let line = 1 + script.bytes().take(offset).filter(|&byte| byte == b'\n').count();
        bail!("{name}, line {line}, does not parse: {error}");
    }
    let names = Mangler::new().build(&parsed.program);
    let mut short = Codegen::new()
        .with_options(CodegenOptions::minify())
        .with_scoping(Some(names.scoping))
        .with_private_member_mappings(Some(names.class_private_mappings))
        .build(&parsed.program)
        .code;
    // a script that begins with a bracket would else go on with the last expression of this one
    if !short.is_empty() && !short.ends_with(';') {
        short.push(';');
    }
    Ok(short)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn local_names_are_short_and_those_at_the_top_stay() {
        let script = "'use strict';\nlet wasm_bindgen = 1;\nconst kept = 2;\nclass Terminal { #secret = 1; get it() { return \
                      this.#secret; } }\n/** Doubles. */\nfunction unpackCore(packed) {\n  const twice = packed + packed; \
                      // so\n  return { twice, other: serveCore(twice) };\n}\n";
        let short = shortened("a script", script).unwrap();
        for name in ["wasm_bindgen", "kept", "Terminal", "unpackCore", "serveCore", "twice:", "get it", "use strict"] {
            assert!(short.contains(name), "{name}: {short}");
        }
        for gone in ["packed", "const twice", "secret", "Doubles", "so\n", "\n", "  "] {
            assert!(!short.contains(gone), "{gone}: {short}");
        }
    }

    #[test]
    fn what_is_never_called_stays() {
        let short = shortened("a script", "function never() { return 1; }\nif (false) never();\nvar unused;").unwrap();
        assert_eq!(short, "function never(){return 1}if(false)never();var unused;");
    }

    #[test]
    fn short_names_take_none_that_the_script_uses_from_outside() {
        let short = shortened("a script", "function f(first, second) { return e(first) + t(second) + n; }").unwrap();
        let (takes, body) = short.split_once("){").unwrap();
        let takes: Vec<&str> = takes.trim_start_matches("function f(").split(',').collect();
        assert!(takes.iter().all(|name| !["e", "t", "n"].contains(name)), "{short}");
        assert_eq!(body, format!("return e({})+t({})+n}};", takes[0], takes[1]));
    }

    /// The page is parsed before the script is: what both would change must stay written out.
    #[test]
    fn line_ends_in_texts_stay_what_they_are() {
        let short = shortened("a script", "f('a\\r\\nb', 'c\\0', '\\u2028')").unwrap();
        assert!(short.contains("\\r") && short.contains("\\0") && short.contains("\\u2028"), "{short}");
        assert!(!short.contains(['\r', '\0', '\u{2028}']), "{short:?}");
    }

    #[test]
    fn a_script_that_does_not_parse_is_refused_with_its_name() {
        for (script, line) in [("let a = 1;\nlet b = ;\n", 2), ("f(\n\n'x", 3), ("{", 1), ("let a = 1 2", 1)] {
            let error = shortened("web/page.js", script).unwrap_err().to_string();
            assert!(error.starts_with(&format!("web/page.js, line {line}, does not parse: ")), "{error}");
        }
    }

    #[test]
    fn new_forms_are_not_rewritten_for_old_browsers() {
        let short =
            shortened("a script", "a ??= b?.c; async () => { for await (const d of e) f(`${d}`, 1n, /x/v); }").unwrap();
        for form in ["??=", "?.", "async()=>", "for await(", "1n", "/v"] {
            assert!(short.contains(form), "{form}: {short}");
        }
    }
}
