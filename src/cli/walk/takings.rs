//! What a file of returns says, in the names of the book.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::parties::party_called;
use crate::assess::{Prepared, TakenFrom, Taker, Taking};
use crate::catalogue::Catalogue;
use crate::cli::failure::Failure;
use crate::intake::{Return, ReturnOf};
use crate::records::{Crop, Directory, KnownPatch, Walk};
use crate::units::{Amount, Measure};

/// `labels` are what the parties are called, by number.
///
/// # Errors
/// A name that several parties have, a patch that the book does not have, a crop that the walk does not have, an amount in the
/// wrong measure.
pub fn takings(
    returns: &[Return],
    walk: &Walk,
    labels: &BTreeMap<u32, String>,
    prepared: &[Prepared],
    catalogue: &Catalogue,
) -> Result<Vec<Taking>, Failure> {
    let names = directory(prepared);
    let meant = |asked: &str| catalogue.meant(asked).map(|crop| &*crop.name);
    let taking = |told: &Return| {
        let (of, crop) = match &told.of {
            ReturnOf::Patch(asked) => of_patch(asked, &names, prepared)?,
            ReturnOf::Crop(asked) => of_crop(asked, walk, prepared)?,
            ReturnOf::Either(asked) => match (names.patch_meant(asked), meant(asked)) {
                (Ok(patch), _) => of_patch(&patch.name.to_string(), &names, prepared)?,
                (Err(_), Ok(crop)) => of_crop(crop, walk, prepared)?,
                (Err(unknown), Err(_)) => return Err(unknown.into()),
            },
        };
        Ok(Taking {
            by: taker(told.party.as_ref(), walk, labels)?,
            amount: in_measure_of(crop, told.amount)?,
            taken: told.taken,
            of,
        })
    };
    returns.iter().map(taking).collect()
}

fn directory(prepared: &[Prepared]) -> Directory {
    let patches = prepared.iter().map(|patch| KnownPatch {
        name: patch.facts.patch.record.name.clone(),
        crop: patch.crop().name.clone(),
        id: Some(patch.facts.patch.id),
    });
    Directory { patches: patches.collect(), ..Directory::default() }
}

fn taker(
    asked: Option<&Arc<str>>,
    walk: &Walk,
    labels: &BTreeMap<u32, String>,
) -> Result<Taker, Failure> {
    let Some(asked) = asked else { return Ok(Taker::Everyone) };
    Ok(match party_called(asked, walk, labels)? {
        Some(number) => Taker::Party(number),
        None => Taker::Stranger(asked.clone()),
    })
}

fn of_patch<'p>(
    asked: &str,
    names: &Directory,
    prepared: &'p [Prepared],
) -> Result<(TakenFrom, &'p Arc<Crop>), Failure> {
    let known = &names.patch(asked)?.name;
    let found = prepared.iter().find(|patch| patch.facts.patch.record.name == *known);
    let found = found.ok_or_else(|| Failure::wrong(format!("`{known}` is not in the book")))?;
    Ok((TakenFrom::Patch(known.clone()), found.crop()))
}

fn of_crop<'p>(
    asked: &str,
    walk: &Walk,
    prepared: &'p [Prepared],
) -> Result<(TakenFrom, &'p Arc<Crop>), Failure> {
    let on_walk = |patch: &&Prepared| {
        let holds = patch.facts.holds.iter().map(|hold| &hold.record.walk);
        walk.sites().any(|site| *site == patch.site.site.record.name)
            || holds.into_iter().any(|held_for| *held_for == walk.name)
    };
    let asked_for = |patch: &&Prepared| patch.crop().name.eq_ignore_ascii_case(asked);
    let found = prepared.iter().filter(on_walk).find(asked_for);
    let found = found.ok_or_else(|| {
        Failure::wrong(format!(
            "no patch of `{}` has `{asked}`; name the patch where it was taken",
            walk.name
        ))
    })?;
    Ok((TakenFrom::Crop(found.crop().name.clone()), found.crop()))
}

fn in_measure_of(crop: &Crop, amount: Amount) -> Result<Amount, Failure> {
    if amount.measure == crop.measure {
        return Ok(amount);
    }
    let (name, column) = (
        &crop.name,
        match crop.measure {
            Measure::Mass => "weighed: write it under `mass_g`",
            Measure::Count => "counted: write it under `count`",
        },
    );
    Err(Failure::wrong(format!("`{name}` is {column}")))
}
