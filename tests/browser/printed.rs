//! What comes out of a printer.

use rayon::prelude::*;

use crate::Outcome;
use crate::chromium::Chromium;
use crate::made::pages;
use crate::paper::Sheet;

/// The least type that is read on paper without pain, in points.
const LEAST_TYPE: f64 = 7.5;
/// No sheet but the last is filled less far down than this.
const LEAST_FILLED: f64 = 1.0 / 3.0;

pub fn on_a_few_sheets() -> Outcome {
    let chromium = Chromium::find()?;
    let told: Vec<String> = pages()
        .par_iter()
        .map(|page| {
            let sheets = Sheet::of(&chromium.pdf(&page.path));
            let (name, most) = (&page.name, page.most_sheets());
            assert!((2..=most).contains(&sheets.len()), "{name}: {} sheets", sheets.len());
            for sheet in &sheets {
                // A4 in points: 595.28 by 841.89.
                let is_a4 =
                    (sheet.width - 595.28).abs() < 1.0 && (sheet.height - 841.89).abs() < 1.0;
                assert!(is_a4, "{name}: a sheet of {} by {}", sheet.width, sheet.height);
                assert!(sheet.letters.len() > 20, "{name}: hardly a letter was read");
            }
            let smallest = sheets.iter().map(Sheet::smallest).fold(f64::INFINITY, f64::min);
            assert!(smallest >= LEAST_TYPE, "{name}: type of {smallest:.2} pt");
            let filled: Vec<f64> = sheets.iter().map(Sheet::filled).collect();
            let before_last = &filled[..filled.len() - 1];
            assert!(before_last.iter().all(|part| *part >= LEAST_FILLED), "{name}: {filled:.2?}");
            format!(
                "{name}: {} sheets, type from {smallest:.2} pt, {filled:.2?} full",
                filled.len()
            )
        })
        .collect();
    told.iter().for_each(|line| println!("  {line}"));
    Ok(())
}
