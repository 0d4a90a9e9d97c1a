//! What the page may run and look like: its own script and styles by their checksums, and
//! nothing that comes from elsewhere.

use serde::Serialize;
use sha2::{Digest, Sha256};

/// Checksums, each as a policy names it.
pub(super) struct Policy {
    script: String,
    styles: Vec<String>,
}

impl Policy {
    pub(super) fn of(script: &str, styles: impl Iterator<Item = String>) -> Self {
        let mut styles: Vec<String> = styles.map(|style| source(&style)).collect();
        styles.sort();
        styles.dedup();
        Self { script: source(script), styles }
    }

    /// Content Security Policy Level 3 (W3C), 2.3.1 and 6.7: what is not named comes from
    /// nowhere.
    pub(super) fn text(&self) -> String {
        format!(
            "default-src 'none'; script-src {}; style-src {}; base-uri 'none'; form-action 'none'",
            self.script,
            self.styles.join(" ")
        )
    }
}

fn source(text: &str) -> String {
    format!("'sha256-{}'", base64(&Sha256::digest(text.as_bytes())))
}

/// RFC 4648, section 4.
fn base64(bytes: &[u8]) -> String {
    const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut text = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for three in bytes.chunks(3) {
        let byte = |n: usize| u32::from(three.get(n).copied().unwrap_or(0));
        let bits = byte(0) << 16 | byte(1) << 8 | byte(2);
        for n in 0..4 {
            let letter = LETTERS[(bits >> (18 - 6 * n)) as usize & 63];
            text.push(if n <= three.len() { char::from(letter) } else { '=' });
        }
    }
    text
}

/// The style sheets inside a drawing.
pub(super) fn styles_in(svg: &str) -> Vec<String> {
    let after = svg.split("<style>").skip(1);
    after.filter_map(|rest| rest.split("</style>").next()).map(str::to_owned).collect()
}

/// Data as JSON that ends no element and begins none.
pub(super) fn inert(data: &impl Serialize) -> String {
    let text = serde_json::to_string(data).unwrap_or_default();
    let escapes = [('<', "\\u003c"), ('>', "\\u003e"), ('&', "\\u0026")];
    let escapes = escapes.into_iter().chain([('\u{2028}', "\\u2028"), ('\u{2029}', "\\u2029")]);
    escapes.fold(text, |text, (letter, escape)| text.replace(letter, escape))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RFC 4648, section 10.
    #[test]
    fn bytes_are_written_as_the_standard_writes_them() {
        let pairs =
            [("", ""), ("f", "Zg=="), ("fo", "Zm8="), ("foo", "Zm9v"), ("foob", "Zm9vYg==")];
        for (bytes, text) in
            pairs.into_iter().chain([("fooba", "Zm9vYmE="), ("foobar", "Zm9vYmFy")])
        {
            assert_eq!(base64(bytes.as_bytes()), text);
        }
    }

    #[test]
    fn data_ends_no_element() {
        let text = inert(&["</script><!-- & \u{2028}"]);
        assert!(!text.contains(['<', '>', '&', '\u{2028}']), "{text}");
        let back: Vec<String> = serde_json::from_str(&text).unwrap();
        assert_eq!(back, ["</script><!-- & \u{2028}"]);
    }
}
