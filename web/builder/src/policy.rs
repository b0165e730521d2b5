//! The page's Content-Security-Policy: only the page's own script and style run,
//! and nothing can be fetched or sent, from anywhere.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest as _, Sha256};

/// The policy for a page with these scripts and this style, all as they stand between their tags.
///
/// `'wasm-unsafe-eval'` allows compiling wasm and nothing else; workers come from a blob of the page,
/// the hosted page's service worker from its own host.
/// (`frame-ancestors` is left out: browsers refuse it in a meta element.)
pub(crate) fn policy(scripts: &[&str], style: &str) -> String {
    let scripts: Vec<String> = scripts.iter().map(|script| source_of(script)).collect();
    [
        "default-src 'none'",
        &format!("script-src {} 'wasm-unsafe-eval'", scripts.join(" ")),
        &format!("style-src {}", source_of(style)),
        "img-src data: blob:",
        "worker-src 'self' blob:",
        "connect-src 'none'",
        "manifest-src 'self'",
        "base-uri 'none'",
        "form-action 'none'",
    ]
    .join("; ")
}

fn source_of(text: &str) -> String {
    format!("'sha256-{}'", STANDARD.encode(Sha256::digest(text)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// W3C Content Security Policy Level 3, section 6.7.2.2 (example in 2.3.1):
    /// the digest of `alert('Hello, world.');`, quoted in many places; value from memory.
    #[test]
    fn a_script_is_allowed_by_its_digest() {
        assert_eq!(source_of("alert('Hello, world.');"), "'sha256-qznLcsROx4GACP2dm0UCKCzCG+HiZ1guq6ZZDob/Tng='");
    }

    #[test]
    fn nothing_is_allowed_by_default_or_to_connect() {
        let policy = policy(&["1", "3"], "2");
        assert!(policy.starts_with("default-src 'none'; "));
        assert!(policy.contains("connect-src 'none'"));
        assert!(!policy.contains("unsafe-inline") && !policy.contains("'unsafe-eval'"));
    }
}
