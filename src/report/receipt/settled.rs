//! What came back from a walk, and what of it was not as it was promised.

use jiff::civil::Date;

use super::walks::section;
use crate::assess::{Remark, SettledCut, Settlement, UntoldShare};
use crate::records::{Taken, WalkName};
use crate::report::charge::charged;
use crate::report::page::Section;
use crate::units::{Amount, counted, spoken_day};

/// What came back from a walk.
#[derive(Clone, Copy, Debug)]
pub struct Settled<'a> {
    /// Which walk.
    pub walk: &'a WalkName,
    /// Its day.
    pub day: Date,
    /// What it took.
    pub settlement: &'a Settlement,
    /// On the word that every party took its whole share.
    pub on_their_word: bool,
    /// How many promises are free again.
    pub holds: usize,
    /// How many cuts recorded before it takes the place of.
    pub replaced: usize,
}

/// Without a heading.
pub fn settled(done: &Settled) -> Section {
    let Settled { walk, day, settlement, on_their_word, holds, replaced } = *done;
    let assumed = match (on_their_word, settlement.untold.len()) {
        (true, _) => ", on the word that every party took its whole share".to_owned(),
        (false, 0) => String::new(),
        (false, 1) => ", one share of it taken for granted".to_owned(),
        (false, n) => format!(", {n} shares of it taken for granted"),
    };
    let held = if holds > 0 { " What was set aside is free again." } else { "" };
    let anew = match replaced {
        0 => String::new(),
        n => format!(" It takes the place of {} recorded before.", counted(n, "cut")),
    };
    let said = format!("Settled {walk} of {}{assumed}.{held}{anew} Recorded:", spoken_day(day));
    let mut all = vec![(said, settlement.cuts.iter().map(cut_line).collect())];
    if !settlement.remarks.is_empty() {
        all.push((
            "Not as it was promised:".to_owned(),
            settlement.remarks.iter().map(remark).collect(),
        ));
    }
    if !on_their_word && !settlement.untold.is_empty() {
        all.push(("Taken for granted:".to_owned(), untold_shares(settlement)));
    }
    section(all)
}

fn cut_line(cut: &SettledCut) -> String {
    let quota = cut.quota.map(|quota| format!(" of {quota}")).unwrap_or_default();
    let how = match cut.taken {
        _ if cut.amount.value <= 0.0 => "nothing was taken".to_owned(),
        Taken::All => "all that was allowed, so the share is spent".to_owned(),
        Taken::OneIn(n) => format!("all that was allowed: 1 in {n} of what was seen"),
        Taken::ByWeight => "charged by weight".to_owned(),
    };
    let people = cut.people.map(|people| format!("; {}", counted(people, "person")));
    format!("{}: {}{quota}, {how}{}", cut.patch, cut.amount, people.unwrap_or_default())
}

/// Without its full stop.
fn remark(remark: &Remark) -> String {
    match remark {
        Remark::Stranger { name, amount } => {
            format!("`{name}` is no party of this walk; its {amount} counts all the same")
        }
        Remark::OverShare { party, patch, crop, took, share } => {
            let (over, took, share) =
                (crop.show(took - share), crop.show(*took), crop.show(*share));
            format!("party {party} took {took} on {patch}, {over} over its share of {share}")
        }
        Remark::OverQuota { patch, amount, quota } => {
            let over = Amount { value: amount.value - quota.value, ..*quota };
            format!("{patch}: {amount} was taken, {over} over the {quota} of the walk")
        }
        Remark::OffWalk { patch, amount } => {
            format!("{patch} was not on this walk, but {amount} was taken there")
        }
        Remark::OverAllowed { patch, crop, amount, ruling, was_said } => {
            let said = charged(ruling, amount.value, *was_said, crop);
            format!("{patch}: {amount} was taken, {said}")
        }
        Remark::MayHaveStoppedShort { patch } => format!(
            "{patch}: if they stopped short of what was allowed there, settle it anew with `part` \
             in the column `taken`"
        ),
        Remark::TakenForAPart { patch, amount } => format!(
            "{patch}: {amount} is far under what was promised, and taken for a part of it; if they \
             counted off all that they were allowed, settle it anew with `all` in the column \
             `taken`"
        ),
    }
}

/// Shares of which nothing was told, a phrase each.
pub fn untold_shares(settlement: &Settlement) -> Vec<String> {
    let phrase = |share: &UntoldShare| {
        let UntoldShare { party, patch, crop, amount } = share;
        format!("party {party}, {patch}: {} of {}", crop.show(*amount), crop.name)
    };
    settlement.untold.iter().map(phrase).collect()
}
