//! What people said: closed, permitted, asked, set aside.

use jiff::civil::Date;

use crate::records::{Answer, Permission, Purpose};
use crate::rules::{CapLeft, Reason, Retired};
use crate::units::{counted, listed, spoken_day};

/// `None` for what nature says.
pub(super) fn told(reason: &Reason) -> Option<String> {
    Some(match reason {
        Reason::ProtectedCrop(why) => format!("protected crop: {why}"),
        Reason::ProtectedSite(why) => format!("protected site: {why}"),
        Reason::NotProtected => "neither crop nor site is marked protected".to_owned(),
        Reason::Retired(retired) => no_longer(retired),
        Reason::StillAPatch => "it is a patch still".to_owned(),
        Reason::Closed(last, why) => format!("closed {}: {why}", until(*last)),
        Reason::NotClosed => "no closure that day".to_owned(),
        Reason::Trouble(what, day) => format!(
            "{}, found on {}; shut until somebody says that it is over",
            what.told(),
            spoken_day(*day)
        ),
        Reason::NoTrouble => "no spray, sewage or flood is known of".to_owned(),
        Reason::Asked(answer, on) => {
            let said = match answer {
                Answer::Yes => "yes",
                Answer::No => "no",
            };
            format!("asked on {}, and the answer was {said}", spoken_day(*on))
        }
        Reason::NotRefused => "nobody said no to that day".to_owned(),
        Reason::NothingHeld => "nothing is set aside for another walk".to_owned(),
        Reason::CapPromised => "the site's cap is promised in part to other walks".to_owned(),
        Reason::Held(amount, walk, day, more) => {
            let more = if *more == 0 { String::new() } else { format!(", and {more} more") };
            format!("set aside: {amount} for {walk} on {}{more}", spoken_day(*day))
        }
        _ => return permission(reason),
    })
}

fn permission(reason: &Reason) -> Option<String> {
    Some(match reason {
        Reason::PartyTooLarge { basis, largest, people } => {
            format!("the {basis} permission is for parties of {largest} at most, not {people}")
        }
        Reason::Permitted { basis, purposes: all, until: last, cap } => format!(
            "{basis} permission for {} {}{}",
            purposes(all),
            until(*last),
            cap.as_ref().map_or(", no cap".to_owned(), what_is_left)
        ),
        Reason::ForAnotherUse { basis, purposes: all, said, wanted } => {
            let unsaid = if *said { "" } else { ", since it does not say what for" };
            let (kept_for, wanted) = (purposes(all), wanted.spoken());
            format!("the {basis} permission is for {kept_for} only{unsaid}, and not for {wanted}")
        }
        Reason::PermissionBegins(from) => format!("the permission begins on {}", spoken_day(*from)),
        Reason::PermissionLapsed(last, days) => {
            let (last, ago) = (spoken_day(*last), counted(*days, "day"));
            format!("the permission lapsed on {last}, {ago} ago")
        }
        Reason::NotCovered { crop, method } => {
            let how = method.as_ref().map(|method| format!(" by {method}")).unwrap_or_default();
            format!("no permission on this site covers {crop}{how}")
        }
        Reason::NoPermission => "no permission is recorded for this site".to_owned(),
        _ => return None,
    })
}

fn until(last: Option<Date>) -> String {
    match last {
        Some(last) => format!("until {}", spoken_day(last)),
        None => "until further notice".to_owned(),
    }
}

fn what_is_left(CapLeft { left, cap, a_season }: &CapLeft) -> String {
    let span = if *a_season { "a season" } else { "a day" };
    format!("; {left} left of {cap} {span} on the site")
}

/// `own use and walks`.
pub(in crate::report) fn what_for(permission: &Permission) -> String {
    purposes(&permission.counts_for().collect::<Vec<_>>())
}

fn purposes(all: &[Purpose]) -> String {
    let spoken: Vec<&str> = all.iter().map(|purpose| purpose.spoken()).collect();
    listed(&spoken)
}

fn no_longer(retired: &Retired) -> String {
    let since = spoken_day(retired.since);
    let why = retired.why.as_ref().map(|why| format!(": {why}")).unwrap_or_default();
    let names: Vec<String> =
        retired.into.iter().map(|patch| format!("`{}`", patch.patch())).collect();
    let ground = match names.as_slice() {
        [] => String::new(),
        into => format!(", its ground is that of {}", listed(into)),
    };
    format!("a patch no longer since {since}{ground}{why}")
}
