//! Workbooks as programs write them, made here: none of them is anyone's.

use std::io::{Cursor, Read, Write};

use rust_xlsxwriter::{ExcelDateTime, Format, Workbook};
use zip::write::SimpleFileOptions;
use zip::{ZipArchive, ZipWriter};

/// What stands in a cell.
#[derive(Clone, Debug)]
pub enum Put {
    Nothing,
    Text(&'static str),
    Number(f64),
    Day(i16, u8, u8),
    Yes(bool),
    /// Over so many rows, this one included.
    Merged(&'static str, u32),
}

pub type Rows = Vec<Vec<Put>>;

pub fn xlsx(sheets: &[(&str, Rows)]) -> Vec<u8> {
    let mut book = Workbook::new();
    let as_day = Format::new().set_num_format("dd/mm/yyyy");
    for (name, rows) in sheets {
        let sheet = book.add_worksheet();
        sheet.set_name(*name).unwrap();
        for (row, cells) in (0..).zip(rows) {
            for (column, cell) in (0..).zip(cells) {
                match cell {
                    Put::Nothing => continue,
                    Put::Text(text) => sheet.write(row, column, *text),
                    Put::Number(value) => sheet.write(row, column, *value),
                    Put::Day(year, month, day) => {
                        let day = ExcelDateTime::from_ymd(*year as u16, *month, *day).unwrap();
                        sheet.write_with_format(row, column, &day, &as_day)
                    }
                    Put::Yes(yes) => sheet.write(row, column, *yes),
                    Put::Merged(text, rows) => {
                        sheet.merge_range(row, column, row + rows - 1, column, text, &Format::new())
                    }
                }
                .unwrap();
            }
        }
    }
    book.save_to_buffer().unwrap()
}

/// A zip archive of these files.
pub fn packed(files: &[(&str, &[u8])]) -> Vec<u8> {
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in files {
        archive.start_file(*name, SimpleFileOptions::default()).unwrap();
        archive.write_all(bytes).unwrap();
    }
    archive.finish().unwrap().into_inner()
}

/// One file of an archive.
pub fn part(archive: &[u8], name: &str) -> Vec<u8> {
    let mut archive = ZipArchive::new(Cursor::new(archive)).unwrap();
    let mut bytes = Vec::new();
    archive.by_name(name).unwrap().read_to_end(&mut bytes).unwrap();
    bytes
}

/// The archive with other bytes for one of its files.
pub fn with_part(archive: &[u8], name: &str, bytes: &[u8]) -> Vec<u8> {
    let names = ZipArchive::new(Cursor::new(archive)).unwrap();
    let names: Vec<String> = names.file_names().map(|name| name.unwrap().into_owned()).collect();
    let files: Vec<(&str, Vec<u8>)> =
        names.iter().map(|other| (other.as_str(), part(archive, other))).collect();
    let file = |(other, own): &'_ (&'_ str, Vec<u8>)| match *other == name {
        true => bytes.to_vec(),
        false => own.clone(),
    };
    let all: Vec<(&str, Vec<u8>)> = files.iter().map(|one| (one.0, file(one))).collect();
    let all: Vec<(&str, &[u8])> = all.iter().map(|(name, own)| (*name, own.as_slice())).collect();
    packed(&all)
}

pub fn ods(sheets: &[(&str, Rows)]) -> Vec<u8> {
    let tables: String = sheets
        .iter()
        .map(|(name, rows)| {
            let rows: String = rows.iter().map(|row| ods_row(row)).collect();
            format!(
                "<table:table table:name=\"{name}\">{rows}\
                 <table:table-row table:number-rows-repeated=\"1048000\">\
                 <table:table-cell table:number-columns-repeated=\"16384\"/></table:table-row>\
                 </table:table>"
            )
        })
        .collect();
    ods_of(&format!("<office:spreadsheet>{tables}</office:spreadsheet>"))
}

pub fn ods_of(body: &str) -> Vec<u8> {
    let content = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?><office:document-content \
         xmlns:office=\"urn:oasis:names:tc:opendocument:xmlns:office:1.0\" \
         xmlns:table=\"urn:oasis:names:tc:opendocument:xmlns:table:1.0\" \
         xmlns:text=\"urn:oasis:names:tc:opendocument:xmlns:text:1.0\">\
         <office:body>{body}</office:body></office:document-content>"
    );
    let kind = b"application/vnd.oasis.opendocument.spreadsheet";
    packed(&[("mimetype", kind), ("content.xml", content.as_bytes())])
}

fn ods_row(cells: &[Put]) -> String {
    let cell = |cell: &Put| match cell {
        Put::Nothing => "<table:table-cell/>".to_owned(),
        Put::Text(text) => of_ods("office:value-type=\"string\"", &text.replace('&', "&amp;")),
        Put::Number(value) => {
            of_ods(&format!("office:value-type=\"float\" office:value=\"{value}\""), "shown")
        }
        Put::Day(year, month, day) => {
            let day = format!("{year:04}-{month:02}-{day:02}");
            of_ods(&format!("office:value-type=\"date\" office:date-value=\"{day}\""), "shown")
        }
        Put::Yes(yes) => of_ods(
            &format!("office:value-type=\"boolean\" office:boolean-value=\"{yes}\""),
            "shown",
        ),
        Put::Merged(text, rows) => {
            let spanned =
                format!("office:value-type=\"string\" table:number-rows-spanned=\"{rows}\"");
            of_ods(&spanned, text)
        }
    };
    let cells: String = cells.iter().map(cell).collect();
    format!("<table:table-row>{cells}</table:table-row>")
}

fn of_ods(attributes: &str, text: &str) -> String {
    format!("<table:table-cell {attributes}><text:p>{text}</text:p></table:table-cell>")
}

/// The oldest form that is still about: BIFF8 in a compound file (MS-XLS), as little as makes one.
/// Merged cells are none here.
pub fn xls(sheets: &[(&str, Rows)]) -> Vec<u8> {
    compound(&xls_stream(sheets))
}

/// A workbook's stream in the file that it comes in.
pub fn compound(stream: &[u8]) -> Vec<u8> {
    let mut file = cfb::CompoundFile::create(Cursor::new(Vec::new())).unwrap();
    file.create_stream("/Workbook").unwrap().write_all(stream).unwrap();
    file.flush().unwrap();
    file.into_inner().into_inner()
}

/// The records of a workbook.
pub fn xls_stream(sheets: &[(&str, Rows)]) -> Vec<u8> {
    let record = |kind: u16, data: &[u8]| {
        [&kind.to_le_bytes(), &(data.len() as u16).to_le_bytes(), data].concat()
    };
    let begins = |what: u16| {
        let numbers = [0x0600, what, 0x0dbb, 0x07cc, 0x41, 0, 6, 0];
        record(0x0809, &numbers.map(u16::to_le_bytes).concat())
    };
    // Formats of cells: the first plain, the second a day by the built-in format 14.
    let format = |number: u16| {
        let mut data = [0_u8; 20];
        data[2..4].copy_from_slice(&number.to_le_bytes());
        record(0x00e0, &data)
    };
    let named = |start: u32, name: &str| {
        let head = [&start.to_le_bytes()[..], &[0, 0, name.len() as u8, 0], name.as_bytes()];
        record(0x0085, &head.concat())
    };
    let head = |starts: &[u32]| {
        let sheets = starts.iter().zip(sheets).flat_map(|(start, (name, _))| named(*start, name));
        let sheets: Vec<u8> = sheets.collect();
        [begins(5), format(0), format(14), sheets, record(0x000a, &[])].concat()
    };
    let ends = record(0x000a, &[]);
    let bodies: Vec<Vec<u8>> = sheets
        .iter()
        .map(|(_, rows)| [begins(0x10), xls_rows(rows, &record), ends.clone()].concat())
        .collect();
    let first = head(&vec![0; sheets.len()]).len();
    let starts = bodies.iter().scan(first, |at, body| {
        let start = *at;
        *at += body.len();
        Some(start as u32)
    });
    [head(&starts.collect::<Vec<_>>()), bodies.concat()].concat()
}

fn xls_rows(rows: &Rows, record: &impl Fn(u16, &[u8]) -> Vec<u8>) -> Vec<u8> {
    let mut stream = Vec::new();
    for (row, cells) in (0_u16..).zip(rows) {
        for (column, cell) in (0_u16..).zip(cells) {
            let place = |format: u16| [row, column, format].map(u16::to_le_bytes).concat();
            stream.extend(match cell {
                Put::Nothing => continue,
                Put::Text(text) | Put::Merged(text, _) => {
                    let head = [(text.len() as u16).to_le_bytes().to_vec(), vec![0]].concat();
                    record(0x0204, &[place(0), head, text.as_bytes().to_vec()].concat())
                }
                Put::Number(value) => {
                    record(0x0203, &[place(0), value.to_le_bytes().to_vec()].concat())
                }
                Put::Day(year, month, day) => {
                    let at = jiff::civil::date(*year, *month as i8, *day as i8);
                    let since = at - jiff::civil::date(1899, 12, 30);
                    let days = f64::from(since.get_days());
                    record(0x0203, &[place(1), days.to_le_bytes().to_vec()].concat())
                }
                Put::Yes(yes) => record(0x0205, &[place(0), vec![u8::from(*yes), 0]].concat()),
            });
        }
    }
    stream
}
