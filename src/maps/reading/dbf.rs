//! The table beside a Shapefile (dBASE III, level 5): cells of a fixed width.

use serde_json::{Number, Value};

use crate::maps::Properties;
use crate::maps::text::decoded;

/// Bytes of the header before its fields, and of each field.
const HEADER: usize = 32;
const FIELD: usize = 32;
const END_OF_FIELDS: u8 = 0x0d;
const STRUCK_OUT: u8 = b'*';

struct Field {
    name: String,
    form: u8,
    width: usize,
}

/// A row for each shape, in their order; `None` for one that is struck out. `codepage` is what the
/// `.cpg` beside it says.
pub(super) fn read(
    bytes: &[u8],
    codepage: Option<&[u8]>,
) -> Result<Vec<Option<Properties>>, String> {
    let broken = || "the `.dbf` beside it is no table; copy it again".to_owned();
    let header = bytes.get(..HEADER).ok_or_else(broken)?;
    let start = usize::from(u16::from_le_bytes([header[8], header[9]]));
    let width = usize::from(u16::from_le_bytes([header[10], header[11]]));
    let fields: Vec<Field> = bytes
        .get(HEADER..start)
        .ok_or_else(broken)?
        .chunks_exact(FIELD)
        .take_while(|field| field[0] != END_OF_FIELDS)
        .map(|field| Field {
            name: text(&field[..11], codepage).trim_matches('\0').to_owned(),
            form: field[11],
            width: usize::from(field[16]),
        })
        .collect();
    if width == 0 {
        return Err(broken());
    }
    let rows = bytes.get(start..).ok_or_else(broken)?.chunks_exact(width);
    Ok(rows.map(|row| (row[0] != STRUCK_OUT).then(|| read_row(row, &fields, codepage))).collect())
}

fn read_row(row: &[u8], fields: &[Field], codepage: Option<&[u8]>) -> Properties {
    let mut properties = Properties::new();
    let mut rest = &row[1..];
    for field in fields {
        let (cell, behind) = rest.split_at(field.width.min(rest.len()));
        rest = behind;
        let text = text(cell, codepage);
        let text = text.trim_matches(['\0', ' ']);
        let value = match field.form {
            _ if text.is_empty() => continue,
            b'N' | b'F' => number(text).unwrap_or_else(|| text.into()),
            b'D' if text.len() == 8 && text.is_ascii() => {
                format!("{}-{}-{}", &text[..4], &text[4..6], &text[6..]).into()
            }
            _ => text.into(),
        };
        properties.insert(field.name.clone(), value);
    }
    properties
}

fn number(text: &str) -> Option<Value> {
    if let Ok(whole) = text.parse::<i64>() {
        return Some(whole.into());
    }
    text.parse().ok().and_then(Number::from_f64).map(Value::Number)
}

/// UTF-8 where it can be, else Latin-1, as old programs wrote it.
fn text(bytes: &[u8], codepage: Option<&[u8]>) -> String {
    let is_latin =
        codepage.is_some_and(|page| page.starts_with(b"ISO-8859-1") || page.starts_with(b"1252"));
    match decoded(bytes) {
        Ok(text) if !is_latin => text.into_owned(),
        _ => bytes.iter().copied().map(char::from).collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A row of one field.
    fn read_one(form: u8, cell: &[u8], codepage: Option<&[u8]>) -> Option<Value> {
        let fields = [Field { name: "said".to_owned(), form, width: cell.len() }];
        read_row(&[b" ", cell].concat(), &fields, codepage).remove("said")
    }

    #[test]
    fn cells_are_days_numbers_and_texts_of_the_page_that_is_said() {
        assert_eq!(read_one(b'D', b"20270314", None), Some("2027-03-14".into()));
        assert_eq!(read_one(b'D', b"2027", None), Some("2027".into()));
        assert_eq!(read_one(b'N', b"  12 ", None), Some(12.into()));
        assert_eq!(read_one(b'N', b"0.5", None), Some(0.5.into()));
        assert_eq!(read_one(b'C', b"        ", None), None);
        assert_eq!(read_one(b'C', "Zo\u{eb}".as_bytes(), None), Some("Zo\u{eb}".into()));
        assert_eq!(read_one(b'C', b"Zo\xeb", None), Some("Zo\u{eb}".into()));
        let as_it_says = read_one(b'C', "\u{eb}".as_bytes(), Some(b"ISO-8859-1"));
        assert_eq!(as_it_says, Some("\u{c3}\u{ab}".into()));
    }
}
