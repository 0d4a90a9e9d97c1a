//! What recovery tests and seasons of the full crop come to, in Markdown.

use super::proof::{cells, dips, title};
use super::proof_names::Named;
use crate::rehearsal::proof::{Drawn, Score, Tried};

pub(super) fn tested(tried: &[Tried]) -> String {
    let mut text = INTRODUCTION.to_owned();
    for tried in tried {
        text += &format!("\n### {}\n\n{HEAD}", title(tried.habit));
        for (strain, edition, scores) in &tried.strains {
            text += &row(&format!("{}: {}", strain.name(), edition.name()), scores);
        }
        text += BADLY;
        for (testing, scores) in &tried.badly {
            text += &row(&testing.name(), scores);
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

const BADLY: &str = "
Tests by pairs that are not done as they should be, where recovery is half as fast:

| how | yield | dips, % | refused although full, % | with glances: yield | dips, % | refused \
     although full, % |
|---|---|---|---|---|---|---|
";

const INTRODUCTION: &str = "
## Recovery tests

Nothing else in a book can tell how fast a patch comes back. Squares that stand full are cut by
three quarters, left alone for a recovery interval and cut again; what came back sets how fast the
share refills. **Untested** is the book of a patch that nobody tests: the share refills at 78 % of
the profile\u{2019}s rate. **Tested** is the book of one with eight squares once before the first
survey and once a year after: the share refills at what the tests make believable, and the largest
share is 0.240 of a fast leaf, 0.255 of a slow one, 0.374 of what comes once a year, in the place of
0.22, 0.23 and 0.35. By **pairs**, squares that were cut are held against neighbours that were not; by
the **same squares**, the second basket against the first. **As the profile says** is a book that
takes the profile\u{2019}s word for it, tested or not; no answer goes by it.

**Refused although full** is the part of the visits to patches at 0.8 of their twin or more on which
the book allowed nothing because it took the patch to have lost, not because the share was spent.

In the **measured** rows a leaf grows as pastures were measured to grow at 50 to 53\u{a0}°\u{a0}N, most
in May, which the book does not know: it goes by its guard. Months differ by a log-sd of 0.3 (on dry
ground 0.7 in July to September), years by 0.15 in growth and 0.35 in the full crop (0.75 of what
comes once a year); tests begin in June. These spreads are measured, on ryegrass, meadows, berries
and nuts; that wild leaves have them is an assumption, as are the errors of a test (0.45 a square;
0.15, here 0.20, for all of them). On dry ground tests are tried in **July** too, a month that differs
most. Plants that **remember** lose in the next year what they were held down by beyond a quarter,
1.9 times over, as asparagus did that was cut two, four and six weeks longer than is usual; a quarter
of what is wanting comes back each year, an assumption. All other rows are of the kinder world of the tables above, whose
spreads are assumed.

Fruit that is **surveyed unripe** ripens over the six weeks of its season, three tenths of it in the
first. Where someone says each time how much is ripe, the survey counts for all that will ripen, and
so much of the limit by weight may go as is ripe.
";

const SEASONS: &str = "
## A season of the full crop

A winter green stands at three or five times as much in April as in October. With a curve the book
learns from the patch's own surveys how deep the season is, and shrinks the share only where the
patch is thinner both than it used to be and than the time of year explains. Yield is against the
best that the crop through the year could have given.
";
