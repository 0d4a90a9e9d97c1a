//! What is wanted, told apart: a crop by its name, or a role in the kitchen.

use std::collections::BTreeSet;
use std::sync::Arc;

use crate::catalogue::Catalogue;
use crate::records::{Want, nearest};
use crate::units::Measure;
use crate::walk::{Demand, Wanted};

/// A want that the catalogue cannot make sense of.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum UnfitWant {
    /// Neither a crop nor a role.
    #[error("`{asked}` is neither a crop nor a kitchen role; {}", match .near {
        Some(name) => format!("did you mean `{name}`?"),
        None => format!("`stintbook crops` lists the crops, and the roles are {roles}"),
    })]
    Unknown {
        /// As it was written.
        asked: Arc<str>,
        /// A name that is spelt nearly so.
        near: Option<String>,
        /// All kitchen roles, as a list.
        roles: String,
    },
    /// Pieces of what is weighed.
    #[error("`{crop}` is weighed; write grams, like `{crop}=650g` or `{crop}=1.2kg`")]
    IsWeighed {
        /// Its name.
        crop: Arc<str>,
    },
    /// Grams of what is counted.
    #[error("`{crop}` is counted; write pieces, like `{crop}=14`")]
    IsCounted {
        /// Its name.
        crop: Arc<str>,
    },
    #[error("every crop for `{role}` is {}; write {}", if *.counted { "counted" } else { "weighed" },
        if *.counted { "pieces, like `14`" } else { "grams, like `650g`" })]
    /// A role whose crops are reckoned otherwise than is asked.
    RoleOtherwise {
        /// The role.
        role: Arc<str>,
        /// Whether its crops are counted; else they are weighed.
        counted: bool,
    },
}

/// # Errors
/// The first want that names no crop and no role, or is in the wrong measure.
pub fn understood(wants: &[Want], catalogue: &Catalogue) -> Result<(), UnfitWant> {
    wants.iter().try_for_each(|want| fits(want, catalogue))
}

fn fits(want: &Want, catalogue: &Catalogue) -> Result<(), UnfitWant> {
    let measure = want.amount.measure;
    if let Some(crop) = catalogue.crop(&want.what) {
        return match crop.measure {
            same if same == measure => Ok(()),
            Measure::Mass => Err(UnfitWant::IsWeighed { crop: crop.name.clone() }),
            Measure::Count => Err(UnfitWant::IsCounted { crop: crop.name.clone() }),
        };
    }
    let mut of_role = catalogue.crops().filter(|crop| crop.kitchen_role == want.what).peekable();
    if of_role.peek().is_some() {
        let counted = measure == Measure::Mass;
        let role = want.what.clone();
        let one_fits = of_role.any(|crop| crop.measure == measure);
        return if one_fits { Ok(()) } else { Err(UnfitWant::RoleOtherwise { role, counted }) };
    }
    let roles: BTreeSet<&str> = catalogue.crops().map(|crop| &*crop.kitchen_role).collect();
    let names = catalogue.crops().map(|crop| crop.name.to_string());
    let names = names.chain(roles.iter().map(|role| (*role).to_owned()));
    let quoted: Vec<String> = roles.iter().map(|role| format!("`{role}`")).collect();
    Err(UnfitWant::Unknown {
        asked: want.what.clone(),
        near: nearest(&want.what, names),
        roles: quoted.join(", "),
    })
}

/// The crops that an outing must know of to meet these wants: those that serve them, and those
/// that might do instead. Unfit wants have none.
pub fn crops_for(wants: &[Want], catalogue: &Catalogue) -> BTreeSet<Arc<str>> {
    let role = |want: &Want| match catalogue.crop(&want.what) {
        Some(crop) => crop.kitchen_role.clone(),
        None => want.what.clone(),
    };
    let roles: BTreeSet<Arc<str>> = wants.iter().map(role).collect();
    let wanted = catalogue.crops().filter(|crop| roles.contains(&crop.kitchen_role));
    wanted.map(|crop| crop.name.clone()).collect()
}

/// What a walk that wants something asks its patches for.
pub(super) fn demand(want: &Want, catalogue: &Catalogue) -> Demand {
    let wanted = match catalogue.crop(&want.what) {
        Some(crop) => {
            Wanted::Crop { crop: crop.name.clone(), kitchen_role: crop.kitchen_role.clone() }
        }
        None => Wanted::Role(want.what.clone()),
    };
    Demand { wanted, amount: want.amount }
}
