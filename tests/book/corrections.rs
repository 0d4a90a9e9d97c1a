use stintbook::book::{Decision, NewFact, Refusal, Scope};
use stintbook::records::{Kind, Record, Replacement};

use crate::trial::{
    Trial, correction, cut, day, fact, glance, patch, patch_name, refusal, site, site_name, survey,
};

#[test]
fn a_patch_that_is_called_otherwise_keeps_its_surveys_and_cuts() {
    let mut trial = Trial::with_two_patches();
    trial.record(1, survey("wood/bank", &[10.0, 12.0]));
    trial.record(2, cut("wood/bank", 100.0));
    let bank = trial.book.patch("bank").unwrap().id.unwrap();
    trial.correct(3, bank, patch("wood/north bank", "nettle-shoot"));
    trial.record(4, cut("wood/north bank", 50.0));

    assert_eq!(trial.cuts_of("wood/north bank", None), [100.0, 50.0]);
    assert_eq!(trial.cuts_of("wood/bank", None), Vec::<f64>::new());
    assert_eq!(trial.cuts_of("wood/bank", Some(2)), [100.0]);
    let ledger = trial.book.ledger(&Scope::Patch(patch_name("wood/north bank")), None).unwrap();
    let (_, facts) = ledger.patches().next().unwrap();
    assert_eq!(facts.surveys.len(), 1);
    assert!(facts.cuts.iter().all(|cut| cut.record.patch == patch_name("wood/north bank")));
}

#[test]
fn a_site_that_is_called_otherwise_keeps_its_patches() {
    let mut trial = Trial::with_two_patches();
    trial.record(2, cut("wood/bank", 100.0));
    let wood = trial.book.history(&Scope::Site(site_name("wood"))).unwrap()[0].fact.id;
    trial.correct(3, wood, site("old wood"));
    assert_eq!(trial.cuts_of("old wood/bank", None), [100.0]);
    assert_eq!(trial.cuts_of("wood/bank", Some(2)), [100.0]);
    assert_eq!(trial.book.patch("bank").unwrap().name, patch_name("old wood/bank"));
}

#[test]
fn two_patches_can_change_names_in_one_command() {
    let mut trial = Trial::with_two_patches();
    trial.record(1, cut("wood/bank", 100.0));
    let bank = trial.book.patch("bank").unwrap().id.unwrap();
    let ride = trial.book.patch("ride").unwrap().id.unwrap();
    let new_ride = fact(trial.new_id(), day(2), patch("wood/ride", "nettle-shoot"));
    let new_bank = fact(trial.new_id(), day(2), patch("wood/bank", "nettle-shoot"));
    let corrections = [
        correction(trial.new_id(), bank, Some(new_ride.fact.id), day(2)),
        correction(trial.new_id(), ride, Some(new_bank.fact.id), day(2)),
    ];
    trial.book.append(&[new_ride, new_bank], &corrections).unwrap();
    assert_eq!(trial.cuts_of("wood/ride", None), [100.0]);
    assert_eq!(trial.cuts_of("wood/bank", None), Vec::<f64>::new());
}

#[test]
fn what_puts_a_patch_right_in_the_same_command_stands_behind_it() {
    let mut trial = Trial::with_two_patches();
    let wrong = fact(trial.new_id(), day(1), patch("wood/slope", "nettle-shoot"));
    let right = fact(trial.new_id(), day(1), patch("wood/terrace", "nettle-shoot"));
    let made = [correction(trial.new_id(), wrong.fact.id, Some(right.fact.id), day(1))];
    let turned_round = trial.book.append(&[right.clone(), wrong.clone()], &made);
    let asked = wrong.fact.id.short();
    assert_eq!(refusal(turned_round), Refusal::UnknownFact { asked, near: None });
    trial.book.append(&[wrong, right], &made).unwrap();
    trial.record(2, cut("wood/terrace", 100.0));
    assert_eq!(trial.cuts_of("wood/terrace", None), [100.0]);
    assert_eq!(trial.book.ledger(&Scope::All, None).unwrap().patches().count(), 3);
}

#[test]
fn a_correction_may_move_a_cut_to_another_patch() {
    let mut trial = Trial::with_two_patches();
    let wrong = trial.record(1, cut("wood/bank", 100.0));
    trial.correct(2, wrong, cut("wood/ride", 100.0));
    assert_eq!(trial.cuts_of("wood/bank", None), Vec::<f64>::new());
    assert_eq!(trial.cuts_of("wood/ride", None), [100.0]);
    let history = trial.book.history(&Scope::Patch(patch_name("wood/bank"))).unwrap();
    let moved = history.iter().find(|line| line.fact.id == wrong).unwrap();
    assert_eq!(moved.correction.as_ref().unwrap().recorded_on, day(2));
}

#[test]
fn of_a_chain_of_corrections_only_the_last_counts() {
    let mut trial = Trial::with_two_patches();
    let first = trial.record(1, cut("wood/bank", 100.0));
    let second = trial.correct(3, first, cut("wood/bank", 110.0));
    let third = trial.correct(5, second, cut("wood/bank", 120.0));
    for (known_on, grams) in
        [(Some(1), 100.0), (Some(3), 110.0), (Some(4), 110.0), (Some(5), 120.0), (None, 120.0)]
    {
        assert_eq!(trial.cuts_of("wood/bank", known_on), [grams], "as known on {known_on:?}");
    }
    trial.withdraw(7, third).unwrap();
    assert_eq!(trial.cuts_of("wood/bank", Some(6)), [120.0]);
    assert_eq!(trial.cuts_of("wood/bank", None), Vec::<f64>::new());
    assert_eq!(trial.book.integrity().unwrap(), Vec::<String>::new());
}

#[test]
fn what_was_corrected_already_is_refused_with_the_newest_named() {
    let mut trial = Trial::with_two_patches();
    let first = trial.record(1, cut("wood/bank", 100.0));
    let second = trial.correct(2, first, cut("wood/bank", 110.0));
    let third = trial.correct(3, second, cut("wood/bank", 120.0));
    let refused = refusal(trial.try_correct(4, first, cut("wood/bank", 130.0)));
    assert_eq!(refused, Refusal::AlreadyReplaced { old: first, newest: third });
    assert_eq!(
        refused.to_string(),
        format!(
            "fact `{}` was corrected already; correct the newest, `{}`",
            first.short(),
            third.short()
        )
    );
    trial.withdraw(5, third).unwrap();
    assert_eq!(
        refusal(trial.withdraw(6, first)),
        Refusal::AlreadyWithdrawn { id: third, on: day(5) }
    );
}

#[test]
fn a_correction_brings_a_fact_of_the_same_kind_and_comes_after_it() {
    let mut trial = Trial::with_two_patches();
    let wrong = trial.record(5, cut("wood/bank", 100.0));
    let other = trial.record(5, cut("wood/ride", 50.0));
    let nobody = trial.new_id();
    let about = correction(trial.new_id(), wrong, Some(other), day(6));
    assert_eq!(refusal(trial.book.append(&[], &[about])), Refusal::NoReplacement(wrong));
    assert!(matches!(
        refusal(trial.try_correct(6, wrong, glance("wood/bank", 100.0))),
        Refusal::OtherKind { was: Kind::Cut, becomes: Kind::Glance, .. }
    ));
    assert!(matches!(
        refusal(trial.try_correct(4, wrong, cut("wood/bank", 90.0))),
        Refusal::CorrectedTooEarly { known_from, on, .. } if known_from == day(5) && on == day(4)
    ));
    assert!(matches!(refusal(trial.withdraw(6, nobody)), Refusal::UnknownFact { .. }));
    assert_eq!(trial.cuts_of("wood/bank", None), [100.0]);
}

#[test]
fn corrections_that_lead_in_a_circle_are_refused() {
    let mut trial = Trial::with_two_patches();
    let one = fact(trial.new_id(), day(1), cut("wood/bank", 1.0));
    let two = fact(trial.new_id(), day(1), cut("wood/bank", 2.0));
    let (a, b) = (one.fact.id, two.fact.id);
    let corrections = [
        correction(trial.new_id(), a, Some(b), day(1)),
        correction(trial.new_id(), b, Some(a), day(1)),
    ];
    assert!(matches!(refusal(trial.book.append(&[one, two], &corrections)), Refusal::Circle(_)));
}

#[test]
fn a_name_stands_for_one_place_on_any_day() {
    let mut trial = Trial::with_two_patches();
    assert_eq!(
        refusal(trial.try_record(1, patch("wood/Bank", "sorrel-leaf"))).to_string(),
        "another patch is called `wood/Bank` at that time; choose another name, or correct \
         that patch"
    );
    assert!(matches!(
        refusal(trial.try_record(1, site("wood"))),
        Refusal::NameTaken { what: "site", .. }
    ));
    let bank = trial.book.patch("bank").unwrap().id.unwrap();
    trial.correct(5, bank, patch("wood/slope", "nettle-shoot"));
    // The name was another's until day 5.
    assert!(matches!(
        refusal(trial.try_record(3, patch("wood/bank", "sorrel-leaf"))),
        Refusal::NameTaken { what: "patch", .. }
    ));
    trial.record(5, patch("wood/bank", "sorrel-leaf"));
}

#[test]
fn a_place_is_withdrawn_only_when_nothing_rests_on_it() {
    let mut trial = Trial::with_two_patches();
    let one = trial.record(1, cut("wood/bank", 1.0));
    let two = trial.record(1, cut("wood/bank", 2.0));
    trial.record(1, survey("wood/ride", &[1.0]));
    let bank = trial.book.patch("bank").unwrap().id.unwrap();
    assert_eq!(
        refusal(trial.withdraw(2, bank)).to_string(),
        "patch `bank` still has 2 cuts; withdraw or move them first"
    );
    let wood = trial.book.history(&Scope::Site(site_name("wood"))).unwrap()[0].fact.id;
    assert_eq!(
        refusal(trial.withdraw(2, wood)).to_string(),
        "site `wood` still has 2 patches; withdraw or move them first"
    );
    let withdrawals: Vec<_> = [bank, one, two]
        .into_iter()
        .map(|wrong| correction(trial.new_id(), wrong, None, day(2)))
        .collect();
    trial.book.append(&[], &withdrawals).unwrap();
    assert!(trial.book.patch("bank").is_err());
    let history = trial.book.history(&Scope::Patch(patch_name("wood/bank"))).unwrap();
    assert_eq!(history.len(), 3);
    assert!(history.iter().all(|line| {
        line.correction.as_ref().is_some_and(|it| it.replacement == Replacement::Withdrawn)
    }));
    assert_eq!(trial.book.integrity().unwrap(), Vec::<String>::new());
}

#[test]
fn what_one_command_put_right_is_told_in_the_order_of_its_ids() {
    let mut trial = Trial::with_two_patches();
    let cuts = [1.0, 2.0].map(|grams| trial.record(1, cut("wood/bank", grams)));
    let ids = [trial.new_id(), trial.new_id()];
    let made = [(1, 0), (0, 1)].map(|(id, of)| correction(ids[id], cuts[of], None, day(2)));
    trial.book.append(&[], &made).unwrap();
    let acts = trial.book.decide(|moment| Err::<Decision<()>, _>(moment.acts_of("a keeper")));
    let acts = acts.unwrap().unwrap_err().unwrap();
    assert_eq!(acts[0].corrections.iter().map(|made| made.id).collect::<Vec<_>>(), ids);
}

#[test]
fn a_fact_is_found_by_the_end_of_its_id_and_a_slip_is_guessed() {
    let mut trial = Trial::with_two_patches();
    let id = trial.record(1, cut("wood/bank", 100.0));
    let found = trial.book.fact(&id.short()).unwrap();
    assert_eq!(found.fact.id, id);
    assert!(matches!(found.fact.record, Record::Cut(_)));
    assert_eq!(trial.book.fact(&id.to_string()).unwrap().fact.id, id);
    assert_eq!(
        refusal(trial.book.fact("01000004")).to_string(),
        "no fact is called `01000004`; did you mean `00000004`?"
    );
    assert_eq!(refusal(trial.book.fact("ffffffff")).to_string(), "no fact is called `ffffffff`");
    assert!(matches!(refusal(trial.book.fact("bank")), Refusal::NotAFactName(_)));
}

#[test]
fn an_ending_that_several_facts_share_is_refused_with_all_of_them() {
    let mut trial = Trial::with_two_patches();
    let twins: Vec<NewFact> = [0x1_2345_6789_u128, 0x2_2345_6789]
        .map(|number| fact(crate::trial::id(number), day(1), cut("wood/bank", 1.0)))
        .into();
    trial.book.append(&twins, &[]).unwrap();
    let Refusal::SeveralFacts { all, .. } = refusal(trial.book.fact("23456789")) else {
        panic!("one was chosen");
    };
    assert_eq!(all.len(), 2);
    assert_eq!(trial.book.fact("223456789").unwrap().fact.id, twins[1].fact.id);
}
