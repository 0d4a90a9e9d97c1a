//! What comes out of a printer.

use rayon::prelude::*;

use crate::Outcome;
use crate::chromium::Chromium;
use crate::made::pages;

pub fn on_a_few_sheets() -> Outcome {
    let chromium = Chromium::find()?;
    pages().par_iter().for_each(|page| {
        let pdf = chromium.pdf(&page.path);
        let text = String::from_utf8_lossy(&pdf);
        let sheets: Vec<&str> = text
            .split("/MediaBox [")
            .skip(1)
            .map(|after| after.split(']').next().unwrap())
            .collect();
        assert!(
            (2..=page.most_sheets()).contains(&sheets.len()),
            "{}: {} sheets",
            page.name,
            sheets.len()
        );
        for sheet in sheets {
            let corners: Vec<f64> =
                sheet.split_whitespace().map(|corner| corner.parse().unwrap()).collect();
            // A4 in points: 595.28 by 841.89.
            let is_a4 = (corners[2] - 595.28).abs() < 1.0 && (corners[3] - 841.89).abs() < 1.0;
            assert!(is_a4, "{}: a sheet of {sheet}", page.name);
        }
    });
    Ok(())
}
