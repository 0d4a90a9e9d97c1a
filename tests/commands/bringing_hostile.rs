//! Files that are made to do harm are refused in words, and soon.

use std::time::{Duration, Instant};

use crate::said::has;
use crate::trial::Trial;
use crate::workbooks::{Put, ods_of, packed, part, with_part, xls, xlsx};

/// Where a workbook has its texts.
const TEXTS: &str = "xl/sharedStrings.xml";
/// Far more than any of these needs, on a busy machine and unoptimised.
const SOON: Duration = Duration::from_secs(60);

#[track_caller]
fn refused(file: &str, bytes: &[u8], words: &[&str]) {
    let trial = Trial::on_hill();
    let before = trial.history();
    let begun = Instant::now();
    has(&trial.write(file, bytes).run(&format!("bring {file} --yes")).wrong(), words);
    assert!(begun.elapsed() < SOON, "{file} took {:?}", begun.elapsed());
    assert_eq!(trial.history(), before);
}

#[test]
fn what_grows_without_end_when_it_is_unpacked_is_refused() {
    let blanks = vec![b' '; 140 << 20];
    refused("bomb.xlsx", &packed(&[("xl/workbook.xml", &blanks)]), &["unpacked"]);
    refused("bomb.ods", &packed(&[("content.xml", &blanks)]), &["unpacked"]);
}

#[test]
fn entities_that_are_made_of_entities_grow_to_nothing() {
    let body = "<office:spreadsheet><table:table table:name=\"Cuts\"><table:table-row>\
        <table:table-cell office:value-type=\"string\"><text:p>&lol;</text:p></table:table-cell>\
        </table:table-row></table:table></office:spreadsheet>";
    let made = ods_of(body);
    refused("laughs.ods", &made, &["there is nothing in it"]);
}

#[test]
fn a_workbook_s_texts_that_are_made_of_one_another_grow_to_nothing() {
    let sound = xlsx(&[("Cuts", vec![vec![Put::Text("date"), Put::Text("patch")]])]);
    let texts = String::from_utf8(part(&sound, TEXTS)).unwrap();
    let laughs: String = (1..10)
        .map(|n| format!("<!ENTITY l{n} \"{}\">", format!("&l{};", n - 1).repeat(10)))
        .collect();
    let (head, body) = texts.split_once("<sst").unwrap();
    let laughing = format!("{head}<!DOCTYPE sst [<!ENTITY l0 \"lol\">{laughs}]><sst{body}");
    let laughing = laughing.replace(">date<", ">&l9;<");
    assert!(laughing.contains("&l9;<"));
    refused("laughs.xlsx", &with_part(&sound, TEXTS, laughing.as_bytes()), &["laughs.xlsx"]);
}

#[test]
fn a_workbook_of_a_million_columns_is_refused() {
    const SHEET: &str = "xl/worksheets/sheet1.xml";
    let sound = xlsx(&[("Cuts", vec![vec![Put::Text("date"), Put::Text("patch")]])]);
    let sheet = String::from_utf8(part(&sound, SHEET)).unwrap();
    let (head, rest) = sheet.split_once("<sheetData>").unwrap();
    let (_, tail) = rest.split_once("</sheetData>").unwrap();
    let cells = "<c t=\"str\"><v>date</v></c>".repeat(1_000_000);
    let wide = format!("{head}<sheetData><row r=\"1\">{cells}</row></sheetData>{tail}");
    refused("wide.xlsx", &with_part(&sound, SHEET, wide.as_bytes()), &["wide.xlsx"]);
}

#[test]
fn repeated_cells_and_rows_are_not_laid_out_without_end() {
    let of = |row: &str| {
        format!(
            "<office:spreadsheet><table:table table:name=\"Cuts\">{row}</table:table></office:spreadsheet>"
        )
    };
    let wide = "<table:table-row><table:table-cell table:number-columns-repeated=\"1000000\">\
        <text:p>date</text:p></table:table-cell></table:table-row>";
    refused("wide.ods", &ods_of(&of(wide)), &["more than 400 columns"]);
    let long = "<table:table-row table:number-rows-repeated=\"4000000000\"><table:table-cell>\
        <text:p>date</text:p></table:table-cell></table:table-row>";
    refused("long.ods", &ods_of(&of(long)), &["rows"]);
    let large = "<table:table-row table:number-rows-repeated=\"1000000\"><table:table-cell \
        table:number-columns-repeated=\"300\"><text:p>date</text:p></table:table-cell>\
        </table:table-row>";
    refused("large.ods", &ods_of(&of(large)), &["cells"]);
}

#[test]
fn a_million_columns_of_text_are_refused() {
    refused("wide.csv", "date,".repeat(1_000_000).as_bytes(), &["more than 400 columns"]);
    let open = format!("patch,date,by,mass_g\n\"{}", "x".repeat(20_000_000));
    refused("open.csv", open.as_bytes(), &["line 2 opens a quote", "close it"]);
    let empty = format!("patch,date,by,mass_g{}\n", ",".repeat(10_000_000));
    refused("empty.csv", empty.as_bytes(), &["more than 400 columns"]);
}

#[test]
fn two_cells_far_apart_are_no_reason_to_lay_out_all_between() {
    let mut rows = vec![vec![Put::Nothing; 300]; 2];
    rows[0][0] = Put::Text("date");
    rows[1][299] = Put::Text("patch");
    refused("apart.xls", &xls(&[("Cuts", rows)]), &["no row is a header"]);
    let mut made = xls(&[("Cuts", vec![vec![Put::Text("date"), Put::Text("patch")]])]);
    // The sheet says of itself that it is as large as can be.
    let at = made.windows(4).position(|part| part == [0x04, 0x02, 0x0d, 0x00]).unwrap();
    made[at] = 0x00;
    made[at + 4..at + 17].fill(0xff);
    refused("large.xls", &made, &["no row is a header"]);
}

#[test]
fn a_list_of_texts_that_promises_too_many_is_refused() {
    let sound = xlsx(&[("Cuts", vec![vec![Put::Text("date"), Put::Text("patch")]])]);
    let texts = String::from_utf8(part(&sound, TEXTS)).unwrap();
    let promising = texts.replace("uniqueCount=\"2\"", "uniqueCount=\"99999999999999\"");
    assert_ne!(promising, texts);
    refused("promise.xlsx", &with_part(&sound, TEXTS, promising.as_bytes()), &["more texts than"]);
}

#[test]
fn what_is_cut_off_is_refused() {
    let rows = || vec![vec![Put::Text("date"), Put::Text("patch"), Put::Text("by")]];
    for (file, bytes) in
        [("cut.xlsx", xlsx(&[("Cuts", rows())])), ("cut.xls", xls(&[("Cuts", rows())]))]
    {
        refused(file, &bytes[..bytes.len() / 2], &["damaged"]);
    }
}

#[test]
fn one_long_text_in_many_cells_is_not_copied_without_end() {
    let long = "x".repeat(30_000);
    let text = format!("<text:p>{long}</text:p>");
    let row = format!(
        "<table:table-row table:number-rows-repeated=\"1000000\"><table:table-cell \
         table:number-columns-repeated=\"3\">{text}</table:table-cell></table:table-row>"
    );
    let body = format!(
        "<office:spreadsheet><table:table table:name=\"Cuts\">{row}</table:table></office:spreadsheet>"
    );
    refused("long.ods", &ods_of(&body), &["cells"]);
}
