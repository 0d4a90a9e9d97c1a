//! The proof as a report in Markdown.

use std::fmt::Write as _;

use super::proof_names::Named;
use super::proof_tested::tested;
use super::proof_together::tried_together;
use crate::records::Habit;
use crate::rehearsal::proof::{Covered, Drawn, HabitProof, Proof, Score, Spread, Tuned};

/// The report; `picture` is the file of the drawing beside it.
pub fn proof_report(proof: &Proof, picture: &str) -> String {
    let mut text = introduction(proof, picture);
    for habit in &proof.habits {
        text += &section(habit);
    }
    text += &tested(&proof.tried);
    text += &bands(&proof.bands);
    text + &tried_together(&proof.together) + OPENLY
}

fn introduction(proof: &Proof, picture: &str) -> String {
    format!(
        "# The refilling share against rules of thumb\n\n\
         What `stintbook rehearse --proof` found with {} invented patches a cell, seed {}. Each \
         patch is hidden from those who cut it: they see quadrats and looks that err, and the \
         book's own rules decide, the very ones that answer `week`. Every figure comes from this \
         program; nothing here was measured in a field.\n\n\
         **Yield** is what was taken as a part of the best that could have been (rK/4 a day, \
         Schaefer 1954, and the first stock above K/2; of a crop that comes once a year \
         K·tanh(rT/4) a year). **Dips** is the part of all patch-seasons, in %, in which a cut \
         left less than half of what the same patch would carry undisturbed. Behind ± stands the \
         standard error by the number of patches. Leaves are followed for 2 years, the others \
         for 10. Patches are so large that a handful, less than which nobody is let cut, decides \
         nothing.\n\n\
         Everywhere: true recovery about the profile's (log-sd 0.4), weekly weather, good and bad \
         years, 5 to 20 quadrats that vary by 0.5 to 1.2 of their mean, surveyed anew after 30 to \
         180 days (or when a survey lapses), eyes that err by a log-sd of 0.35 of which half the \
         variance is a bias that the observer keeps, up to a fifth of each basket kept off the \
         record, a visit a week that takes all it may. These spreads are assumptions, no \
         source.\n\n\
         ![yield against risk]({picture})\n",
        proof.effort.patches, proof.effort.seed
    )
}

fn section(proof: &HabitProof) -> String {
    let mut text = format!("\n## {}\n\n", title(proof.habit));
    text += "| what goes wrong | yield | dips, % | with glances: yield | dips, % |\n\
             |---|---|---|---|---|\n";
    for (strain, scores) in &proof.strains {
        text += &proof_row(&strain.name(), scores);
    }
    text += "\n| rule of thumb | ordinary eye: yield | dips, % | unbiased: yield | dips, % | \
             without error: yield | dips, % |\n|---|---|---|---|---|---|---|\n";
    for (way, scores) in &proof.thumbs {
        text += &proof_row(&way.name(), scores);
    }
    if !proof.equal_yields.is_empty() {
        text += &equal_yields(proof);
    }
    text
}

/// A line of a table: a name, then yield and dips of each score.
pub fn proof_row(name: &str, scores: &[Score]) -> String {
    let cells: Vec<String> = scores.iter().map(cells).collect();
    format!("| {name} | {} |\n", cells.join(" | "))
}

pub(super) fn title(habit: Habit) -> &'static str {
    match habit {
        Habit::FastLeaf => "Fast leaf: a third cut is back in 28 days",
        Habit::SlowLeaf => "Slow leaf: a quarter cut is back in 90 days",
        Habit::OnceAYear => "Once a year: 30 % cut is back in 365 days, six weekly visits",
        Habit::Slow => "Slow: 10 % cut is back in ten years",
    }
}

fn equal_yields(proof: &HabitProof) -> String {
    let mut text = "\nAt equal yield, everyone counting without error, each rule tuned in \
                    hindsight (dips in %):\n\n\
                    | yield | one in N at each visit | the book | with glances | tested each \
                    year |\n|---|---|---|---|---|\n"
        .to_owned();
    for (yielded, [thumb, plain, glances, tested]) in &proof.equal_yields {
        let _ = writeln!(
            text,
            "| {yielded:.2} | {} | {} | {} | {} |",
            tuned(thumb, *yielded),
            tuned(plain, *yielded),
            tuned(glances, *yielded),
            tuned(tested, *yielded)
        );
    }
    text
}

fn bands(all: &[Covered]) -> String {
    let counts =
        Covered::QUADRATS.map(|n| format!("{n} quadrats: holds it, % | low bound over it, %"));
    let mut text = format!(
        "{BANDS}| quadrats are spread | {} |\n|---|{}\n",
        counts.join(" | "),
        "---|".repeat(6)
    );
    for covered in all {
        let spread = match covered.spread {
            Spread::Gamma(cv) => format!("gamma, {cv} of the mean"),
            Spread::LogNormal(cv) => format!("log-normal, {cv} of the mean"),
            Spread::Empty(part) => format!("{:.0} % empty, else gamma, 0.8", 100.0 * part),
        };
        let held = covered
            .held
            .map(|(within, above)| format!("{:.1} | {:.1}", 100.0 * within, 100.0 * above));
        let _ = writeln!(text, "| {spread} | {} |", held.join(" | "));
    }
    text
}

const BANDS: &str = "
## What \u{201c}eight in ten\u{201d} holds

Surveys of a stand that is known, drawn quadrat by quadrat: how often the two bounds that `check`
names hold what stands, and how often the low bound, by which limits go, lies above it. Few quadrats
of a stand that grows in clumps say too little, whoever reckons.

";

/// The dips, or how far the way got.
fn tuned(tuned: &Tuned, yielded: f64) -> String {
    let dips = dips(tuned.score.dips);
    let reached = tuned.score.yielded.value;
    if is_near(reached, yielded) { dips } else { format!("only {reached:.2}: {dips}") }
}

/// Whether tuning reached the yield.
pub(super) fn is_near(reached: f64, yielded: f64) -> bool {
    const NEAR: f64 = 0.01;
    (reached - yielded).abs() < NEAR
}

pub(super) fn cells(score: &Score) -> String {
    format!("{} | {}", yielded(score.yielded), dips(score.dips))
}

fn yielded(drawn: Drawn) -> String {
    format!("{:.3} ± {:.3}", drawn.value, drawn.error)
}

pub(super) fn dips(drawn: Drawn) -> String {
    format!("{:.2} ± {:.2}", 100.0 * drawn.value, 100.0 * drawn.error)
}

const OPENLY: &str = "
## Said openly

- **Where a rule of thumb does as well.** On crops that come once a year, counting one in N at each
  visit is as good as the untested book at equal yield, and a little better where much is taken, if N
  is right; the book\u{2019}s part is to know N, and where patches are tested it harms fewer. On a
  fast leaf, one in 20 at each visit harms as few patches; it takes a sixteenth less, and needs no
  survey. Nobody can tell that N beforehand: on a slow leaf the same one in 20 harms three patches
  in ten.
- **On a fast leaf the gain at equal yield is small** where nobody tests, and within the error of this
  table. On a slow leaf it is threefold; with a test each year next to none is harmed on either.
- **What the doubt costs.** A patch that nobody tests gives an eighth less of a leaf, a twelfth of what
  comes once a year, than by the profile\u{2019}s word; a test gives it back.
- **Where the book breaks.** A winter wrongly denied harms one fast leaf in six each season;
  never declare \u{201c}grows all year\u{201d} on a guess. Recovery half as fast as believed harms
  some 2 to 4 % of untested fast leaves and 1 % of slow ones; where the full crop swings 6 to 9 % and
  3 to 5 % with a curve; only a test helps. In the measured world, where the full crop differs much from
  year to year, the book sends away one visit in 22 to a slow leaf that stands full where nobody
  glances, and one in 50 of all others; one in 20 to 30 where plants remember. On dry ground a test, in
  June or in July, halves the harm that the profile\u{2019}s word does, and no more: one summer tells little of
  the next. Visits that nobody writes down at all do more harm than baskets written down too light: a visit spends its share whatever the basket weighs,
  but only if it is in the book. An eye that drifts doubles the harm; surveys are the only
  check.
- **Plants that remember** are played with what asparagus lost that was cut on too long, and with a
  guess of how fast they forget. No wild leaf was measured.
- **Small patches.** Where a visit\u{2019}s share comes to less than a handful nobody is let cut, and the share
  adds up until it does; that is no fault of the patch, and these tables leave it out.
- **Not played:** winter die-back, pests, stands that shrink, cheating.
- A dug-out bed of bulbs is not to be trusted to any of this: ten years say little of a crop that
  takes decades.
";
