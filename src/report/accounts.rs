//! How a survey came to its number, in words.

use crate::crop::Account;
use crate::units::percent;

/// Without a full stop.
pub fn accounted(account: &Account) -> String {
    match account {
        Account::TooAlike => {
            "its quadrats are more alike than plants stand; they are taken to vary \
                              by a fifth, by our own choice, no source"
                .to_owned()
        }
        Account::PutRight { judged, measured, by_ratio, by_regression, is_by_ratio } => {
            let used = if *is_by_ratio { "ratio" } else { "regression" };
            let [ratio, regression] = [by_ratio, by_regression].map(|error| {
                error.map_or("not to be had".to_owned(), |error| format!("±{}", percent(error)))
            });
            format!(
                "{judged} judged by eye are put right by {measured} measured ones, by {used}, which \
                 fits better (ratio {ratio}, regression {regression})"
            )
        }
        Account::Counted { all, weighed } => {
            let counted = match all {
                true => "every unit of the patch was counted",
                false => "units were counted in samples",
            };
            weighed.map_or(counted.to_owned(), |(n, grams)| {
                format!("{counted}, and {n} of them weighed {grams:.1} g on average")
            })
        }
        Account::Covered { cover, full_cover_g_m2, weighings } => format!(
            "{:.0} % of the ground is covered, and full cover bears {full_cover_g_m2:.0} g a square \
             metre ({weighings} weighings)",
            100.0 * cover
        ),
        Account::Drawn(None) => "its places were drawn by chance".to_owned(),
        Account::Drawn(Some(plan)) => format!("its places were drawn by chance ({plan})"),
        Account::ByChoice(penalty) => format!(
            "quadrats placed by choice: the estimate is divided by {} and its relative standard \
             error widened by {} (our own choice, no source)",
            penalty.overstatement,
            percent(penalty.relative_standard_error)
        ),
        Account::TakenAsDrawn => {
            "its places are taken to have been drawn by chance; it does not say so".to_owned()
        }
    }
}
