//! What was seen without cutting.

use std::sync::Arc;

use jiff::civil::Date;

use super::column::{Column, NOTE, Need, RIPE, SITE, part_of_site};
use super::declared::fields;
use super::{Answer, Contradiction, Land, Photo, Recorded, Ripe, SiteName, Stage, Trouble};

/// A visit to a site or a patch, and all that was seen and said there.
#[derive(Clone, Debug, PartialEq)]
pub struct Visit {
    /// The site that was visited, or on which the patch lies.
    pub site: SiteName,
    /// The patch's name on its site; `None` where it is about all of the site.
    pub patch: Option<Arc<str>>,
    /// How far the plants were.
    pub stage: Option<Stage>,
    /// How much was ripe of what will ripen this season.
    pub ripe: Option<Ripe>,
    /// What was found amiss, and still is.
    pub troubles: Vec<Trouble>,
    /// Troubles that are over, as whoever the fact is by says.
    pub over: Vec<Trouble>,
    /// What was found growing there that is taken for the crop.
    pub look_alike: Option<Arc<str>>,
    /// What was found before and grows there no longer.
    pub cleared: Option<Arc<str>>,
    /// What nests there.
    pub nesting: Option<Arc<str>>,
    /// What the occupier said to a visit.
    pub asked: Option<Answer>,
    /// Who was asked, or who said it.
    pub asked_of: Option<Arc<str>>,
    /// The day that was asked for; `None` for the day of the asking.
    pub asked_for: Option<Date>,
    /// In words of one's own.
    pub weather: Option<Arc<str>>,
    /// In words of one's own.
    pub tide: Option<Arc<str>>,
    /// What it was like underfoot, in words of one's own.
    pub ground: Option<Arc<str>>,
    /// Which picture was taken.
    pub photo: Option<Photo>,
    /// In words of one's own; kept out of every report.
    pub note: Option<Arc<str>>,
}

fields! { Visit {
    site: site([SITE]),
    patch: part_of_site([part_of_site("bank")]),
    stage: maybe_written([Column::text(
        "stage",
        Need::Telling,
        "`leaf`, `bud`, `flower`, `fruit` or `dying back`",
        "leaf",
    )]),
    ripe: maybe_written([RIPE]),
    troubles: list([Column::text(
        "trouble",
        Need::Telling,
        "`sprayed`, `sewage`, `flooded`, `cut by others`, `grazed`, `mown`, `poached` or `brambled \
         over`, separated by `;`",
        "",
    )]),
    over: list([Column::text(
        "over", Need::Optional, "troubles that are over, separated by `;`", "",
    )]),
    look_alike: maybe_word([Column::text(
        "look_alike",
        Need::Optional,
        "what was found growing there that is taken for the crop",
        "lords-and-ladies",
    )]),
    cleared: maybe_word([Column::text(
        "cleared", Need::Optional, "what was found before and grows there no longer", "",
    )]),
    nesting: maybe_word([Column::text("nesting", Need::Optional, "what nests there", "wren")]),
    asked: maybe_written([Column::text(
        "asked", Need::Optional, "what the occupier said, `yes` or `no`", "yes",
    )]),
    asked_of: maybe_word([Column::text("asked_of", Need::Optional, "who was asked", "")]),
    asked_for: later_day([Column::text(
        "asked_for",
        Need::Optional,
        "the day that was asked for, like `2027-03-20`; empty for the day of the asking",
        "",
    )]),
    weather: maybe_word([Column::text("weather", Need::Optional, "plain words", "dry")]),
    tide: maybe_word([Column::text("tide", Need::Optional, "plain words", "")]),
    ground: maybe_word([Column::text(
        "ground", Need::Optional, "how the ground is underfoot, in plain words", "soft",
    )]),
    photo: maybe_written([Column::text(
        "photo",
        Need::Optional,
        "a photo's file, day, size and checksum: `IMG_1.jpg, 2027-03-14, 182733 bytes, SHA-256 …`",
        "",
    )]),
    note: maybe_word([NOTE]),
} }

impl Recorded for Visit {
    const NAME: &'static str = "visit";
    const PLURAL: &'static str = "visits";
    const WHAT: &'static str =
        "Visits: a row for each time someone came to look, or asked, and did not cut.";
    const LAND: Land = Land::SiteOrPatch;
    const IS_DEED: bool = true;

    fn site(&self) -> &SiteName {
        &self.site
    }

    fn patch(&self) -> Option<&str> {
        self.patch.as_deref()
    }

    fn key(&self, happened_on: Date, by: &str) -> String {
        let patch = self.patch.as_deref().unwrap_or("the whole site");
        format!("{}/{patch} {happened_on} {by}", self.site)
    }

    fn gist(&self) -> String {
        let place = match &self.patch {
            Some(patch) => format!("{}/{patch}", self.site),
            None => self.site.to_string(),
        };
        format!("{place}: {}", self.told().join("; "))
    }

    fn contradiction(&self) -> Option<Contradiction> {
        let column = |column, found: &str, expected| {
            Some(Contradiction { column, found: found.to_owned(), expected })
        };
        if self.asked.is_none() && (self.asked_of.is_some() || self.asked_for.is_some()) {
            return column("asked", "nothing says what was answered", "`yes` or `no`");
        }
        if self.told().is_empty() {
            return column("stage", "the visit says nothing", "something that was seen or said");
        }
        if let Some(both) = self.troubles.iter().find(|trouble| self.over.contains(trouble)) {
            let found = format!("`{both}` is found and over at once");
            return column("over", &found, "one of the two");
        }
        None
    }
}

impl Visit {
    /// Whether it is about the patch of that name: by itself, or with its whole site.
    pub fn covers_patch(&self, patch: &str) -> bool {
        self.patch.as_deref().is_none_or(|about| about == patch)
    }

    /// Whether it says something that may shut a patch, open one or widen a doubt.
    pub fn bears_on_cuts(&self) -> bool {
        let of_growth = self.look_alike.is_some() || self.cleared.is_some();
        let of_state = !self.troubles.is_empty() || !self.over.is_empty() || self.nesting.is_some();
        of_growth || of_state || self.asked.is_some() || self.ripe.is_some()
    }

    /// The day for which an answer is given.
    pub fn answer_for(&self, happened_on: Date) -> Option<(Date, Answer)> {
        Some((self.asked_for.unwrap_or(happened_on), self.asked?))
    }

    /// All that it says, a clause each, without who was asked: that is nobody else's business.
    pub fn told(&self) -> Vec<String> {
        let mut told = Vec::new();
        let mut say = |text: Option<String>| told.extend(text);
        say(self.look_alike.as_ref().map(|name| format!("{name} grows there")));
        say(self.cleared.as_ref().map(|name| format!("{name} grows there no longer")));
        for trouble in &self.troubles {
            say(Some(trouble.told().to_owned()));
        }
        for trouble in &self.over {
            say(Some(format!("no longer {trouble}")));
        }
        say(self.nesting.as_ref().map(|name| format!("{name} nesting")));
        say(self.stage.map(|stage| format!("in {stage}").replace("in dying", "dying")));
        say(self.ripe.map(|ripe| format!("{ripe} ripe")));
        say(self.asked.map(|answer| match self.asked_for {
            Some(day) => format!("asked for {day}: {answer}"),
            None => format!("asked: {answer}"),
        }));
        say(self.weather.as_ref().map(|words| format!("weather: {words}")));
        say(self.tide.as_ref().map(|words| format!("tide: {words}")));
        say(self.ground.as_ref().map(|words| format!("ground: {words}")));
        say(self.photo.as_ref().map(|photo| format!("photo {}", photo.file)));
        say(self.note.as_ref().map(ToString::to_string));
        told
    }
}
