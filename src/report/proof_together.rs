//! The part of the proof that was tried and not taken up.

use std::fmt::Write as _;

use super::proof::{dips, is_near, proof_row, title};
use super::proof_names::Named;
use crate::rehearsal::proof::{Matched, Stake, Together};

pub(super) fn tried_together(all: &[Together]) -> String {
    let mut text = INTRODUCTION.to_owned();
    for together in all {
        let _ = write!(text, "\n### {}\n\n{STRAINS_HEAD}", title(together.habit));
        for (strain, scores) in &together.strains {
            text += &proof_row(&strain.name(), scores);
        }
        let _ = write!(text, "\n{MATCHED_HEAD}");
        for (stake, [plain, glances]) in &together.at_equal_yield {
            let name = stake_name(*stake);
            let _ = writeln!(text, "| {name} | {} | {} |", matched(plain), matched(glances));
        }
    }
    text + FOUND
}

fn stake_name(stake: Stake) -> String {
    let name = stake.strain.name();
    match stake.largest_share {
        Some(share) => format!("{name}, a largest share of {share:.2}"),
        None => name.into_owned(),
    }
}

fn matched(matched: &Matched) -> String {
    let yielded = matched.alone.yielded.value;
    let (together, difference) = if is_near(matched.together.yielded.value, yielded) {
        (dips(matched.together.dips), dips(matched.more_dips))
    } else {
        ("not reached".to_owned(), "–".to_owned())
    };
    format!("{yielded:.3} | {} | {together} | {difference}", dips(matched.alone.dips))
}

const INTRODUCTION: &str = "
## Tried: the patches of a site speak together

Where four patches of a leaf crop lie on one site, the geometric mean of their sight indices might
lower the share of each: to nothing where they look 0.7 as thick as they used to, not at all from
0.95 on; the lowest of this and a patch's own factors counts. Here four patches at a time share
half the variance of their years and of their weeks; all else is each patch's own. The half is an
assumption, no source. Errors are by the number of sites.
";

const STRAINS_HEAD: &str = "\
    | what goes wrong | each for itself: yield | dips, % | together: yield | dips, % \
    | with glances, each for itself: yield | dips, % | together: yield | dips, % |\n\
    |---|---|---|---|---|---|---|---|---|\n";

const MATCHED_HEAD: &str = "\
    At equal yield, the largest share of those that speak together tuned in hindsight; the \
    difference is that of the same sites (dips in %):\n\n\
    | what goes wrong | yield | each for itself | together | difference | with glances: yield \
    | each for itself | together | difference |\n\
    |---|---|---|---|---|---|---|---|---|\n";

const FOUND: &str = "
It takes 1 to 9 % less and harms fewer, but only because it takes less. At equal yield, speaking
together harms no fewer patches under usual errors, and more under almost all others; the one
exception is a fast leaf with glances whose winter was wrongly denied, where all patches of the site
are misjudged alike and looks tell. Likely reasons, not tried apart: what a site has in common here
is weather, which thins the undisturbed twins too, and patches that thrive are held back for those
that do not. So the book does not do it; who wants less risk keeps more standing.
";
