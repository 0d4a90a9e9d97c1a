//! What parts the cells of a table.

/// What may, the likeliest first.
const PARTING: [u8; 4] = [b';', b'\t', b',', b'|'];

/// A row with the number of its first line, from 1.
pub(super) type Row = (u64, Vec<String>);

/// The rows by each delimiter that parts any, for whoever knows a header when he sees one.
pub(super) fn readings(text: &str) -> impl Iterator<Item = (u8, Vec<Row>)> {
    PARTING
        .into_iter()
        .filter(|by| text.as_bytes().contains(by))
        .map(move |by| (by, rows(text, by)))
}

fn rows(text: &str, delimiter: u8) -> Vec<Row> {
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(delimiter)
        .from_reader(text.as_bytes());
    let row = |row: csv::StringRecord| {
        let line = row.position().map_or(0, csv::Position::line);
        (line, row.iter().map(|cell| cell.trim().to_owned()).collect())
    };
    // What is text already and may have rows of any length can be read; were it otherwise, none
    // of it would be taken, rather than some of it lost.
    reader.records().map(|read| read.map(row)).collect::<Result<_, _>>().unwrap_or_default()
}
