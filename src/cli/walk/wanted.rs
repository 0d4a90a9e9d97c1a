//! What is wanted, as it is typed.

use crate::assess::understood;
use crate::catalogue::Catalogue;
use crate::cli::failure::Failure;
use crate::records::Want;

/// `ramsons-leaf=1.5kg,green leaf=2kg`.
pub fn wants(text: &str) -> Result<Wants, String> {
    if let Some(wrong) = comma_in_amount(text) {
        return Err(wrong);
    }
    let parts = text.split([',', ';']).filter(|part| !part.trim().is_empty());
    let wants: Result<Vec<Want>, _> = parts.map(str::parse).collect();
    let wants = wants.map_err(|error| error.to_string())?;
    if wants.is_empty() {
        return Err(
            "nothing is wanted; write a crop or a kitchen role, like `green leaf=2kg`".into()
        );
    }
    Ok(Wants(wants))
}

/// Commas part wants, so that `sour=1,5kg` would read as a want of 1 and something else.
fn comma_in_amount(text: &str) -> Option<String> {
    let at = text.match_indices(',').map(|(at, _)| at).find(|at| {
        let (before, after) = (&text[..*at], &text[at + 1..]);
        let next = after.split([',', ';']).next().unwrap_or_default();
        let is_cut = before.ends_with(|c: char| c.is_ascii_digit())
            && next.starts_with(|c: char| c.is_ascii_digit());
        is_cut && !next.contains('=')
    })?;
    let (before, after) = (&text[..at], &text[at + 1..]);
    Some(format!(
        "`{text}` has a comma in an amount; write it with a point, like `{before}.{after}`"
    ))
}

/// A crop by the name that the catalogue has for it; what is a role in the kitchen stays so, and
/// what is neither is told of later.
fn as_catalogued(want: &mut Want, catalogue: &Catalogue) {
    let is_role = catalogue.crops().any(|crop| crop.kitchen_role == want.what);
    if let (false, Ok(crop)) = (is_role, catalogue.meant(&want.what)) {
        want.what = crop.name.clone();
    }
}

/// What one `--want` says.
#[derive(Clone, Debug)]
pub struct Wants(Vec<Want>);

/// All that is wanted, once for each crop or role.
///
/// # Errors
/// What is neither a crop nor a kitchen role, is in the wrong measure, or is there twice.
pub fn all_wants(stated: &[Wants], catalogue: &Catalogue) -> Result<Vec<Want>, Failure> {
    let mut wants: Vec<Want> = stated.iter().flat_map(|wants| wants.0.clone()).collect();
    wants.iter_mut().for_each(|want| as_catalogued(want, catalogue));
    understood(&wants, catalogue).map_err(Failure::wrong)?;
    let twice = wants
        .iter()
        .enumerate()
        .find(|(n, want)| wants[..*n].iter().any(|earlier| earlier.what == want.what));
    match twice {
        Some((_, want)) => Err(Failure::wrong(format!(
            "`{}` is wanted twice; write it once, with all of it",
            want.what
        ))),
        None => Ok(wants),
    }
}
