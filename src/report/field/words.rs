//! Every word of the page, that of its script too.

use super::FieldPage;
use crate::records::SiteName;
use crate::units::{counted, spoken_day};

pub(super) const FIELD_PAGE: &str = "Field page";
pub(super) const PATCHES: &str = "Patches";
pub(super) const MAP: &str = "Map";
pub(super) const RECORDS: &str = "Records";
pub(super) const EMERGENCY: &str = "In an emergency";
pub(super) const AT_MOST: &str = "at most";
pub(super) const ASK_FIRST: &str = "The occupier wants to be asked before each visit.";
pub(super) const SHUT: &str = "Not to be cut that day";
pub(super) const NOTHING_OPEN: &str = "Nothing may be cut that day.";
pub(super) const NO_SCRIPT: &str = "No script runs here, so nothing can be recorded, and the page \
     cannot see what day it is: look at the date above before anyone cuts.";

pub(super) const COMPASS: [&str; 8] =
    ["north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"];

/// A name in the script, and what is said; `{0}` and `{1}` stand for figures and names.
#[derive(Clone, Copy, Debug)]
pub(super) struct Word(pub &'static str, pub &'static str);

pub(super) const FOR_SCRIPT: &[Word] = &[
    // Views
    Word("views", "Views"),
    Word("patches", "Patches"),
    Word("walk", "Walk"),
    Word("map", "Map"),
    Word("records", "Records"),
    // The day
    Word("notToday", "{0} by this phone's clock"),
    Word(
        "tooOld",
        "This page is too old: it ends on {0}. No amount is shown. Ask the book for a new one; what \
         you record here still counts.",
    ),
    Word(
        "clockBack",
        "This phone's clock says {0}, which is before the page was made, on {1}. No amount is shown \
         until the clock is right.",
    ),
    Word("onlyOn", "The amounts are for {0} and for no other day."),
    Word(
        "othersMayCut",
        "Asked on {0}. Others may have cut since: the amounts are what the book knew then, for all \
         who cut that day together.",
    ),
    Word(
        "onlyWalk",
        "This page shows what this walk may take and nothing else, as asked on {0}. Two phones with \
         it show the same amounts: tell one another what was taken.",
    ),
    Word("noAmounts", "Which patch may be cut today, and how much, this page does not know."),
    // A patch
    Word("atMost", "At most {0}."),
    Word("atMostShort", "at most"),
    Word("leftOf", "{0} left of {1}"),
    Word("left", "left today"),
    Word("leftWhy", "Of {0}; the rest is in this phone's records. The count holds no more: weigh."),
    Word(
        "sharedWhy",
        "Of {0}; the rest is in this phone's records, some of it from other patches of the site, \
         which share its cap. The count holds no more: weigh.",
    ),
    Word("oneIn", "1 in {0}"),
    Word("askTheBook", "Ask the book"),
    Word(
        "askWhy",
        "Something was recorded here that the book has not heard of, and only it can say what is \
         left. Bring it the records.",
    ),
    Word("askFirst", "The occupier wants to be asked before each visit."),
    Word(
        "alikeSeen",
        "Seen here and recorded on this phone: {0}. Cut nothing until it is cleared.",
    ),
    Word("shutByNote", "Recorded on this phone: {0}. Cut nothing here until the book was asked."),
    Word("nothingOpen", "Nothing may be cut today."),
    Word("shutToday", "Not today ({0})"),
    Word("whyAndWatch", "Why, cautions, coming days"),
    Word("cutItSo", "Cut it so: {0}"),
    Word("comingDays", "If nothing more is cut till then"),
    // What is recorded
    Word("cut", "Cut"),
    Word("glance", "Glance"),
    Word("note", "Note"),
    Word("cutOf", "Cut: {0}"),
    Word("glanceAt", "Glance: {0}"),
    Word("noteOn", "Note: {0}"),
    Word("howMuch", "How much was cut"),
    Word("weighIt", "By the scale; grams, or write kg behind it."),
    Word("countIt", "A number of {0}."),
    Word("howFar", "How much of what was allowed"),
    Word("asWeighed", "By its amount"),
    Word("allOfIt", "all of it"),
    Word("partOfIt", "a part of it"),
    Word("oneInSome", "one in so many"),
    Word("oneInHowMany", "One in how many"),
    Word("howManyPeople", "People who cut"),
    Word("who", "Your name, kept on this phone"),
    Word("whichDay", "The day it happened"),
    Word("keepCut", "Keep this cut"),
    Word("keepGlance", "Keep this glance"),
    Word("keepNote", "Keep this note"),
    Word("keepReturn", "Keep this"),
    Word("cancel", "Back"),
    Word("more", "More"),
    Word("glanceHint", "What stands on the whole patch by eye, before anything is cut."),
    Word("whatStands", "What stands there"),
    Word("someOf", "some {0} by eye"),
    Word("alikeFound", "Found growing here, and taken for the crop"),
    Word("otherAlike", "Another plant that is taken for it"),
    Word("whatBefell", "What befell it"),
    Word("whichStage", "How far the plants are"),
    Word("whatIsOver", "What is over"),
    Word("whatIsCleared", "A look-alike that grows here no longer"),
    Word("whatNests", "What nests here"),
    Word("whatWasAnswered", "The occupier was asked, and said"),
    Word("howIsGround", "The ground underfoot"),
    Word("whichWeather", "The weather"),
    Word("freeNote", "In your own words"),
    Word("whichPhoto", "A photo"),
    Word("photoHint", "Its name and checksum are kept, not the picture."),
    // What is wrong with it
    Word("noWeight", "Write a weight, like 250 or 1.2 kg, with a point and no comma."),
    Word("noCount", "Write a number of pieces, like 14."),
    Word("noOneIn", "Write a whole number, like 12 for one in twelve."),
    Word("noPeople", "Write how many people cut: 1 or more."),
    Word("whoIsMissing", "Write your name: the book wants to know who saw it."),
    Word("dayIsMissing", "Write the day it happened."),
    Word("nothingSaid", "Nothing is noted yet: choose or write something."),
    Word("bothAtOnce", "The same thing is found and over at once: choose one."),
    // Records
    Word("kept", "Kept: {0}."),
    Word("notKept", "In memory alone, not kept: {0}."),
    Word("noRecords", "Nothing is recorded on this phone yet."),
    Word("keptHere", "{0} on this phone that this page does not have from the book."),
    Word("isSafe", "The browser has promised to keep them until you clear them."),
    Word(
        "maybeUnsafe",
        "The browser may clear them when the phone runs full, and does when its data are cleared. \
         Any other page opened from a file may read them. Hand them over soon.",
    ),
    Word(
        "notKeptHere",
        "This phone does not keep what you record ({0}). It is in memory alone and gone when this \
         page closes: hand it over before you close it.",
    ),
    Word("returnsKept", "What came back from the walk: {0} told."),
    Word("handOver", "Hand over as one file"),
    Word(
        "handedOverSaid",
        "Handed over. The records stay here until a page from the book knows them: the book takes \
         the file as often as it comes and adds each record once.",
    ),
    Word("kindCut", "Cut"),
    Word("kindGlance", "Glance"),
    Word("kindVisit", "Note"),
    Word("onThisPhone", "only on this phone"),
    Word("handedOver", "handed over, not yet known to be in the book"),
    Word("inTheBook", "in the book"),
    Word("struckOut", "struck out"),
    Word("strikeOut", "Strike out"),
    Word("putBack", "Put back"),
    Word("clearKnown", "Clear {0} that the book has"),
    // At the desk
    Word("isSending", "{0} on the way to the book."),
    Word(
        "waitsForSignal",
        "{0} on this phone, and nothing answers from the book now. It goes by itself once there is a \
         signal and this page is open.",
    ),
    Word("waitsForSignIn", "{0} on this phone: sign in, and come back here, to send it."),
    Word("waitsForDesk", "{0} on this phone: the book cannot take it now. It is tried again."),
    Word(
        "waitsForHand",
        "{0} on this phone recorded by somebody else: it goes once they sign in here.",
    ),
    Word("signIn", "Sign in"),
    Word("sendNow", "Send it now"),
    Word("allSent", "All that was recorded here is in the book."),
    Word("refused", "The book did not take this:"),
    Word("rightAllTheSame", "It is right all the same"),
    Word("sendAgain", "Send it again"),
    Word("askAnew", "Ask the book anew, with what was recorded"),
    Word("settleWalk", "Settle the walk in the book"),
    Word("assumeTaken", "Settle it; what is not told was taken in full"),
    Word("walkSettled", "The walk is settled in the book:"),
    Word("asAFile", "The page as a file"),
    Word(
        "notTrusted",
        "This address is not one that browsers trust (no HTTPS): the page does not open again \
         without a signal, and is told no position. Take it along as a file instead, and open that.",
    ),
    Word(
        "notYetKept",
        "This page is not kept on the phone yet: wait before you go out of the net.",
    ),
    Word("forgetPage", "Keep this page no longer on this phone"),
    // Position
    Word("findMe", "Show where I am"),
    Word("tryAgain", "Try again"),
    Word("looking", "Looking for where you are…"),
    Word("noPosition", "This phone tells no position now. The map and the list hold all the same."),
    Word(
        "positionRefused",
        "The browser was told to give no position. It can be allowed in the browser's settings; the \
         map and the list hold all the same.",
    ),
    Word("positionSlow", "No position yet: try in the open."),
    Word("positionOld", "This position is more than a minute old."),
    Word("tooRough", "Known only to {0}: too rough to name a patch."),
    Word("youStandOn", "You stand on {0}, known to {1}."),
    Word("onNoPatch", "You stand on no patch of this page, known to {0}."),
    Word("youAreHere", "You are here"),
    Word("nextOpen", "The next that are open, in a straight line:"),
    Word("nextStops", "The next stops, in a straight line:"),
    // The walk
    Word("held", "These amounts are set aside in the book for this walk."),
    Word(
        "notHeld",
        "Nothing is set aside for this walk: another may take these amounts. Hold them in the book, \
         and make this page anew, before you go.",
    ),
    Word("stopsTold", "{0} of {1} stops told"),
    Word("forAll", "for the whole walk"),
    Word("party", "Party {0}: {1}"),
    Word("partyShort", "party {0}"),
    Word("mayTake", "may take {0}, in turn {1}"),
    Word("tookWhole", "Took it all"),
    Word("untick", "Not yet"),
    Word("otherAmount", "Other amount"),
    Word("took", "took {0}"),
    Word("tookAll", "took {0}, all of it"),
    Word("whatCameBack", "What came back"),
    Word("howFarOfShare", "How much of its share"),
    Word("letAmountsTell", "By its amount"),
    Word("cameBackFrom", "What {0} took: {1}"),
];

pub(super) fn sites(count: usize) -> String {
    counted(count, "site")
}

pub(super) fn map_of(site: &SiteName) -> String {
    format!("Map of {site}")
}

pub(super) fn made_on(page: &FieldPage) -> String {
    format!("Made on {}", spoken_day(page.made_on))
}

/// The heading of what stands there without a script.
pub(super) fn only_for(page: &FieldPage) -> String {
    let day = page.days.first().copied().unwrap_or(page.made_on);
    format!("For {} and no other day", day.strftime("%A %-d %B %Y"))
}

/// Whose amounts these are.
pub(super) fn whose(page: &FieldPage) -> String {
    let made_on = spoken_day(page.made_on);
    match page.walk {
        Some(walk) if walk.is_held => {
            format!(
                "What is set aside for this walk and nothing else, as the book stood on {made_on}."
            )
        }
        Some(_) => format!(
            "What would be allowed to this walk as the book stood on {made_on}; nothing is set \
             aside, and another may take it."
        ),
        None => format!("As the book stood on {made_on}. Others may have cut since."),
    }
}
