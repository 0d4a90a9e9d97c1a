//! What was tried for the model's second edition, in Markdown.

use super::proof::{cells, dips, title};
use crate::rehearsal::proof::{Drawn, Score, Tried};

pub(super) fn tried_for_next(tried: &[Tried]) -> String {
    let mut text = INTRODUCTION.to_owned();
    for tried in tried {
        text += &format!("\n### {}\n\n{HEAD}", title(tried.habit));
        for (strain, edition, scores) in &tried.strains {
            text += &row(&format!("{}: {}", strain.name(), edition.name()), scores);
        }
    }
    text += SEASONS;
    for tried in tried.iter().filter(|tried| !tried.swings.is_empty()) {
        text += &format!("\n### {}\n\n{HEAD}", title(tried.habit));
        for (strain, swing, edition, scores) in &tried.swings {
            let name = format!(
                "1 : {}, {}; {}: {}",
                swing.deep,
                swing.known.name(),
                strain.name(),
                edition.name()
            );
            text += &row(&name, scores);
        }
    }
    text
}

fn row(name: &str, scores: &[Score; 2]) -> String {
    let all: Vec<String> = scores
        .iter()
        .map(|score| format!("{} | {}", cells(score), refused(score.refused)))
        .collect();
    format!("| {name} | {} |\n", all.join(" | "))
}

/// Where nobody came to a patch that stood full there is no part.
fn refused(drawn: Drawn) -> String {
    if drawn.value.is_finite() { dips(drawn) } else { "–".to_owned() }
}

const HEAD: &str = "| what goes wrong: how the share refills | yield | dips, % | refused although \
                    full, % | with glances: yield | dips, % | refused although full, % |\n\
                    |---|---|---|---|---|---|---|\n";

const INTRODUCTION: &str = "
## Recovery tests, and what is tried beside them

A test that a book holds sets how fast its patch refills, by the formula played here and with the
largest shares told here; the smaller share of a patch that nobody tests, and the gentler guard, go
into no answer. Squares that stand full are cut by three quarters, left alone for a recovery interval and cut again; what came back sets how
fast the share refills. **By tests, untested** is a patch that nobody tests: the share refills at
78 % of the profile's rate, and of a leaf it is at most 0.20. **Tested** is eight squares once
before the first survey and once a year after, the largest share 0.250 of a fast leaf, 0.255 of a
slow one, 0.374 of what comes once a year. By **pairs**, squares that were cut are held against
neighbours that were not; by the **same squares**, the second basket against the first.

**Refused although full** is the part of the visits to patches at 0.8 of their twin or more on which
the book allowed nothing because it took the patch to have lost, not because the share was spent.

In the **measured** rows a leaf grows as pastures were measured to grow at 50 to 53\u{a0}°\u{a0}N, most
in May, which the book does not know: it goes by its guard, as built, or by the gentler one that is
tried with the tests. Months differ by a log-sd of 0.3 (on dry ground 0.7 in July to September),
years by 0.15 in growth and 0.35 in the full crop (0.75 of what comes once a year); tests begin in
June. These spreads are measured, on ryegrass, meadows, berries and nuts; that wild leaves have them
is an assumption, as are the errors of a test (0.45 a square; 0.15, here 0.20, for all of them).
";

const SEASONS: &str = "
## A season of the full crop

A winter green stands at three or five times as much in April as in October. With a curve the book
learns from the patch's own surveys how deep the season is, and shrinks the share only where the
patch is thinner both than it used to be and than the time of year explains. A curve opens patches
that it explains, so that more is taken, by the profile's rate too much where a patch comes back more
slowly; with a curve, then, the share refills at 78 % of that rate until a first test. So the book
answers where a leaf has a curve, and by **as built** where it has none. Yield is against the best
that the crop through the year could have given.
";
