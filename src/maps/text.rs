//! Bytes as text, and XML.

use std::borrow::Cow;

use roxmltree::{Document, Node, ParsingOptions};

/// The most elements and texts of a document: each takes some hundred bytes.
const MOST_NODES: u32 = 3_000_000;

/// UTF-8, or what the byte order mark or the XML declaration says: UTF-16, or Latin-1.
///
/// # Errors
/// Another encoding.
pub(super) fn decoded(bytes: &[u8]) -> Result<Cow<'_, str>, String> {
    if let Some(text) = utf_16(bytes) {
        return Ok(text.into());
    }
    match std::str::from_utf8(bytes) {
        Ok(text) => Ok(text.trim_start_matches('\u{feff}').into()),
        Err(_) if declares_latin_1(bytes) => {
            Ok(bytes.iter().copied().map(char::from).collect::<String>().into())
        }
        Err(_) => Err("it is not UTF-8 text; save it anew in UTF-8".to_owned()),
    }
}

#[cfg(feature = "bring")]
/// The beginning of a file, as far as it is text.
pub(super) fn lossy(bytes: &[u8]) -> Cow<'_, str> {
    utf_16(bytes).map_or_else(|| String::from_utf8_lossy(bytes), Cow::from)
}

fn utf_16(bytes: &[u8]) -> Option<String> {
    let read: fn([u8; 2]) -> u16 = match bytes {
        [0xff, 0xfe, ..] => u16::from_le_bytes,
        [0xfe, 0xff, ..] => u16::from_be_bytes,
        _ => return None,
    };
    let pairs = bytes[2..].as_chunks::<2>().0;
    Some(
        char::decode_utf16(pairs.iter().map(|pair| read(*pair)))
            .map(|c| c.unwrap_or('\u{fffd}'))
            .collect(),
    )
}

fn declares_latin_1(bytes: &[u8]) -> bool {
    let head = String::from_utf8_lossy(&bytes[..bytes.len().min(200)]).to_lowercase();
    head.contains("iso-8859-1") || head.contains("latin1")
}

/// An XML document. Document types are refused, and with them entities of one's own.
///
/// # Errors
/// Where it is broken, or too large.
pub(super) fn document(text: &str) -> Result<Document<'_>, String> {
    let options = ParsingOptions { nodes_limit: MOST_NODES, ..ParsingOptions::default() };
    Document::parse_with_options(text, options).map_err(|error| match error {
        roxmltree::Error::DtdDetected => {
            "it declares a document type, which no map needs; save it anew without".to_owned()
        }
        roxmltree::Error::NodesLimitReached => "it is too large; bring it in parts".to_owned(),
        error => format!("line {} is no sound XML: {error}; save the file anew", error.pos().row),
    })
}

/// Its elements of this name, in whatever namespace: programs disagree on those.
pub(super) fn children<'a, 'i: 'a>(
    node: Node<'a, 'i>,
    name: &'static str,
) -> impl Iterator<Item = Node<'a, 'i>> {
    node.children().filter(move |child| is(*child, name))
}

pub(super) fn is(node: Node, name: &str) -> bool {
    node.is_element() && node.tag_name().name() == name
}

#[cfg(feature = "bring")]
/// The text of the first such element, without blanks around it; `None` where it says nothing.
pub(super) fn said(node: Node, name: &'static str) -> Option<String> {
    let child = children(node, name).next()?;
    let text: String =
        child.descendants().filter(Node::is_text).filter_map(|it| it.text()).collect();
    let text = text.trim();
    (!text.is_empty()).then(|| text.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn old_letters_are_read_where_the_file_declares_them() {
        let declared = b"<?xml version=\"1.0\" encoding=\"ISO-8859-1\"?><a>Zo\xeb</a>";
        assert!(decoded(declared).unwrap().ends_with("<a>Zo\u{eb}</a>"));
        decoded(b"<a>Zo\xeb</a>").unwrap_err();
        assert_eq!(decoded(b"\xff\xfeZ\0\xeb\0").unwrap(), "Z\u{eb}");
    }
}
