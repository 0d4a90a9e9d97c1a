//! What the drawing says in words, and how a screen reader finds it.

use std::fmt::Write as _;

use super::brief::brief;
use super::panel::figures;
use super::pen::{PIXELS, TYPEFACE};
use super::whole::squeezed;
use crate::assess::PatchSeason;
use crate::records::SiteName;
use crate::report::markup::escaped;
use crate::units::Season;

/// The library's words for what is so without saying.
const SAID_IN_VAIN: [&str; 3] =
    [" opacity=\"1\"", " text-anchor=\"start\"", " stroke=\"none\" stroke-width=\"1\""];

/// The room of title and lead at the top, in page units: a page that says them leaves it out.
const HEAD_SAID: f64 = 48.0;

pub(super) struct Words {
    /// Begins the ids of the drawing, so that a page may hold several.
    pub id: String,
    pub title: String,
    /// One line on what is shown.
    pub lead: String,
    /// The lead and then each patch, for those who do not see the picture.
    pub description: String,
    /// Whether it stands on a page that says its title and lead beside it.
    pub on_page: bool,
}

/// What a drawing is made to say, and how large it is in page units.
pub(super) struct Dress<'a> {
    pub words: &'a Words,
    pub width: f64,
    pub height: f64,
}

impl Words {
    pub(super) fn of(site: &SiteName, patches: &[&PatchSeason], season: Season) -> Self {
        let title = format!("{site}: use of the patches in {season}");
        let lead = if patches.is_empty() {
            "No patches are recorded for this site.".to_owned()
        } else {
            "What stood on each patch, and below the line what was cut; patches of one crop share \
             one scale."
                .to_owned()
        };
        let description = described(&lead, patches);
        Self { id: "pressure".to_owned(), title, lead, description, on_page: false }
    }

    pub(super) fn on_sheet(self, number: usize) -> Self {
        Self { id: format!("{}-{number}", self.id), on_page: true, ..self }
    }
}

fn described(lead: &str, patches: &[&PatchSeason]) -> String {
    let mut text = lead.to_owned();
    for patch in patches {
        let known = if patch.series.latest().is_some() { "" } else { "no survey yet; " };
        let (name, crop) = (patch.patch.patch(), &patch.crop.common_name);
        let _ = write!(text, " {name} ({crop}): {known}{}.", figures(patch));
    }
    text
}

/// The drawing with a size in page units, a role, a title and a description. The typeface,
/// which the library repeats for each text, is named once.
pub(super) fn accessible(drawing: &str, dress: &Dress) -> String {
    let Dress { words, width, height } = dress;
    let (opening, body) = drawing.split_once('>').unwrap_or(("", drawing));
    let typeface = format!(" font-family=\"{TYPEFACE}\"");
    let in_vain = SAID_IN_VAIN.into_iter().chain([&*typeface]);
    let body =
        squeezed(&brief(&in_vain.fold(body.to_owned(), |body, words| body.replace(words, ""))));
    let top = if words.on_page { HEAD_SAID } else { 0.0 };
    let height = height - top;
    let [x, y, wide, high] = [0.0, top, *width, height].map(|length| (PIXELS * length).round());
    debug_assert!(opening.contains(&format!("0 0 {wide} ")), "{opening}");
    let id = &words.id;
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" \
         aria-labelledby=\"{id}-title {id}-description\" width=\"{width}\" height=\"{height}\" \
         viewBox=\"{x} {y} {wide} {high}\" font-family=\"{TYPEFACE}\">\n\
         <title id=\"{id}-title\">{}</title>\n<desc id=\"{id}-description\">{}</desc>{body}",
        escaped(&words.title),
        escaped(&words.description),
    )
}
