//! `stintbook visit`: record what was seen, or what the occupier said, without cutting.

use std::fs;
use std::path::Path;

use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;
use sha2::{Digest, Sha256};

use super::args::{Signed, day, words};
use super::close::Tried;
use super::context::Context;
use super::failure::{Failure, Status};
use super::place::Place;
use super::typed;
use crate::book::{Decision, Moment, Scope, beside};
use crate::gate::{Admitted, Places, Question, Surroundings, Turned};
use crate::records::{
    Answer, Directory, Fact, Ledger, LookAlike, Photo, Ripe, Stage, Trouble, Visit, folded,
};
use crate::report::effects_list;
use crate::report::layout::paragraph;
use crate::units::spoken_day;

#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  \
    stintbook visit \"mill bank\" --stage bud --ground soft --by Ida\n  \
    stintbook visit \"mill bank\" --look-alike lords-and-ladies --photo IMG_1.jpg --by Ida\n  \
    stintbook visit \"mill hedge\" --stage fruit --ripe 40% --by Ida\n  \
    stintbook visit shore --trouble sewage --by Ida\n  \
    stintbook visit shore --over sewage --note \"the water office says so\" --by Ida\n  \
    stintbook visit \"north wood\" --asked yes --for 2027-03-20 --by Ida\n\n\
    A look-alike that was found stands before all else in `check`, `week` and on the sheet until \
    someone clears it. Spray, sewage and flood shut the place until somebody says that it is over. \
    What others cut, grazed or mown is doubted more. An answer counts for the day that was asked \
    for.")]
pub struct VisitMade {
    /// The site or patch; `shore/` is the site where a patch is called `shore` too.
    place: String,
    /// How far the plants are: leaf, bud, flower, fruit, `dying back`.
    #[arg(long)]
    stage: Option<Stage>,
    /// Of fruit: how much of what will ripen this season is ripe, like 40%.
    #[arg(long, value_name = "PERCENT")]
    ripe: Option<Ripe>,
    /// What befell it: sprayed, sewage, flooded, `cut by others`, grazed, mown, poached,
    /// `brambled over`.
    #[arg(long, value_name = "TROUBLE,…", value_delimiter = ',')]
    trouble: Vec<Trouble>,
    /// Troubles that are over.
    #[arg(long, value_name = "TROUBLE,…", value_delimiter = ',')]
    over: Vec<Trouble>,
    /// A plant found growing there that is taken for the crop.
    #[arg(long, value_name = "NAME", value_parser = words)]
    look_alike: Option<String>,
    /// One that was found before and grows there no longer.
    #[arg(long, value_name = "NAME", value_parser = words)]
    cleared: Option<String>,
    /// What nests there.
    #[arg(long, value_name = "WHAT", value_parser = words)]
    nesting: Option<String>,
    /// What the occupier said: yes or no.
    #[arg(long)]
    asked: Option<Answer>,
    /// Who was asked; kept, and told to nobody else.
    #[arg(long, value_name = "NAME", value_parser = words, requires = "asked")]
    whom: Option<String>,
    /// The day that was asked for (default: --on, or today).
    #[arg(long = "for", value_name = "DATE", value_parser = day, requires = "asked")]
    asked_for: Option<Date>,
    /// The weather, in plain words.
    #[arg(long, value_name = "WORDS", value_parser = words)]
    weather: Option<String>,
    /// The tide, in plain words.
    #[arg(long, value_name = "WORDS", value_parser = words)]
    tide: Option<String>,
    /// How the ground is underfoot, in plain words.
    #[arg(long, value_name = "WORDS", value_parser = words)]
    ground: Option<String>,
    /// A photo: its file, day, size and checksum are kept, and not the picture.
    #[arg(long, value_name = "FILE")]
    photo: Option<String>,
    /// Anything else.
    #[arg(long, value_name = "WORDS", value_parser = words)]
    note: Option<String>,
    #[command(flatten)]
    signed: Signed,
    #[command(flatten)]
    tried: Tried,
}

pub fn run(context: &Context, made: &VisitMade) -> Result<Status, Failure> {
    if made.says_nothing() {
        return Err(Failure::wrong(
            "the visit says nothing\n  expected something that was seen or said: --stage, \
             --ripe, --trouble, --over, --look-alike, --cleared, --nesting, --asked, --weather, --tide, \
             --ground, --photo or --note\n  (nothing was recorded)",
        ));
    }
    let mut book = context.open()?;
    let place = Place::called(&made.place, &book.directory()?)?;
    book.is_about(Scope::Site(place.site().clone()), None);
    let photo = made.photo.as_deref().map(|file| photo(context, file)).transpose()?;
    let decide = |moment: &Moment<'_>| made.decide(context, &place, photo.as_ref(), moment);
    let scope = |_: &Moment<'_>| Ok(place.scope());
    let done = context.gate()?.foresee(&mut book, made.tried.dry, scope, decide)?;
    let (ids, gist) = &done.answer;
    let start = if made.tried.dry { String::new() } else { format!("Recorded as {ids}: ") };
    let said = format!("{start}{gist}, on {}.", spoken_day(context.on));
    context.print(&paragraph(&said, context.width, ""))?;
    context.print(&effects_list(&done.effects, made.tried.dry, context.width))?;
    Ok(Status::Done)
}

impl VisitMade {
    fn decide(
        &self,
        context: &Context,
        place: &Place,
        photo: Option<&Photo>,
        moment: &Moment,
    ) -> Result<Decision<(String, String)>, Failure> {
        let ledger = moment.ledger(&place.scope())?;
        let places = Places::named(Directory::of(&ledger));
        let surroundings = Surroundings::of(&places, context.catalogue()?);
        let (columns, row) =
            self.row(context, place, photo).into_iter().unzip::<_, _, Vec<_>, Vec<_>>();
        let entry = typed::entry(&columns, &[row], surroundings.known())?;
        let gist = entry.record.gist();
        let asks = self.questions(context, place, &ledger)?;
        if !(self.tried.sure || asks.is_empty()) {
            return Err(Turned::Questions(asks).into());
        }
        let gate = context.gate()?;
        let decision: Decision<Admitted> =
            gate.decision(moment, &self.tried.answers(), places, vec![entry])?;
        let answer = (decision.answer.short_ids(), gist);
        Ok(Decision::new(decision.facts, decision.corrections, answer))
    }

    fn row(
        &self,
        context: &Context,
        place: &Place,
        photo: Option<&Photo>,
    ) -> Vec<(&'static str, String)> {
        fn said<T: ToString>(value: Option<&T>) -> String {
            value.map(T::to_string).unwrap_or_default()
        }
        let list = |all: &[Trouble]| all.iter().map(|it| it.name()).collect::<Vec<_>>().join(";");
        vec![
            ("site", place.site().to_string()),
            ("patch", place.patch().unwrap_or_default().to_owned()),
            ("stage", said(self.stage.as_ref())),
            ("ripe", said(self.ripe.as_ref())),
            ("trouble", list(&self.trouble)),
            ("over", list(&self.over)),
            ("look_alike", said(self.look_alike.as_ref())),
            ("cleared", said(self.cleared.as_ref())),
            ("nesting", said(self.nesting.as_ref())),
            ("asked", said(self.asked.as_ref())),
            ("asked_of", said(self.whom.as_ref())),
            ("asked_for", said(self.asked_for.as_ref())),
            ("weather", said(self.weather.as_ref())),
            ("tide", said(self.tide.as_ref())),
            ("ground", said(self.ground.as_ref())),
            ("photo", said(photo)),
            ("note", said(self.note.as_ref())),
            ("date", context.on.to_string()),
            ("by", self.signed.by.clone()),
            ("recorded_on", self.signed.recorded_on()),
        ]
    }

    fn says_nothing(&self) -> bool {
        let words = [
            &self.look_alike,
            &self.cleared,
            &self.nesting,
            &self.weather,
            &self.tide,
            &self.ground,
            &self.photo,
            &self.note,
        ];
        words.iter().all(|said| said.is_none())
            && self.stage.is_none()
            && self.ripe.is_none()
            && self.asked.is_none()
            && self.trouble.is_empty()
            && self.over.is_empty()
    }

    /// What looks as if something else was meant.
    fn questions(
        &self,
        context: &Context,
        place: &Place,
        ledger: &Ledger,
    ) -> Result<Vec<Question>, Failure> {
        let mut asks = Vec::new();
        let mut ask = |found: String, way_out: &str| {
            let way_out = way_out.to_owned();
            asks.push(Question { place: String::new(), found, way_out });
        };
        if let Some(name) = &self.look_alike {
            let catalogue = context.catalogue()?;
            let here = ledger.patches().map(|(_, patch)| &patch.patch.record);
            let here = here.filter(|patch| {
                patch.name.site() == place.site()
                    && place.patch().is_none_or(|own| patch.name.patch() == own)
            });
            let crops = here.filter_map(|patch| catalogue.crop(&patch.crop));
            let known: Vec<&LookAlike> = crops.flat_map(|crop| &crop.look_alikes).collect();
            if known.iter().all(|known| !known.may_be_called(name)) {
                let mut known: Vec<&str> = known.iter().map(|known| &*known.name).collect();
                known.sort_unstable();
                known.dedup();
                ask(
                    format!(
                        "`{name}` is not among the look-alikes that the catalogue names for what \
                         grows on {place}: {}",
                        known.join(", ")
                    ),
                    "write it as it is there; or say --sure, and it counts with those that kill",
                );
            }
        }
        let visits: Vec<_> = ledger
            .sites
            .iter()
            .filter(|site| site.site.record.name == *place.site())
            .flat_map(|site| &site.visits)
            .map(|fact| &fact.record)
            .filter(|visit| place.patch().is_none_or(|patch| visit.covers_patch(patch)))
            .collect();
        for over in &self.over {
            if visits.iter().all(|visit| !visit.troubles.contains(over)) {
                ask(format!("nobody found {place} {over}"), "leave it out; or say --sure");
            }
        }
        if let Some(name) = &self.cleared {
            let is_it = |found: &std::sync::Arc<str>| folded(found) == folded(name);
            if visits.iter().all(|visit| !visit.look_alike.as_ref().is_some_and(is_it)) {
                let mut found: Vec<String> = visits
                    .iter()
                    .filter_map(|visit| visit.look_alike.as_deref())
                    .map(|it| format!("`{it}`"))
                    .collect();
                found.dedup();
                let found = if found.is_empty() { "nothing".to_owned() } else { found.join(", ") };
                ask(
                    format!("nobody found `{name}` growing on {place}; {found} was"),
                    "write it as it was found; or say --sure",
                );
            }
        }
        Ok(asks)
    }
}

/// The photo in a file, by its name from the book's folder on where it lies below it.
fn photo(context: &Context, file: &str) -> Result<Photo, Failure> {
    let path = Path::new(file);
    let bytes = fs::read(path).map_err(|error| Failure::file("read", path, &error))?;
    let written = fs::metadata(path).and_then(|about| about.modified());
    let written = written.map_err(|error| Failure::file("read", path, &error))?;
    let day = Timestamp::try_from(written)
        .map_or(context.today, |written| written.to_zoned_datetime(TimeZone::system()).date());
    let folder = folder(context).canonicalize().ok();
    let whole = path.canonicalize().unwrap_or_else(|_| path.to_owned());
    let below = folder.and_then(|folder| whole.strip_prefix(folder).ok().map(Path::to_owned));
    let name = below.unwrap_or_else(|| Path::new(path.file_name().unwrap_or_default()).to_owned());
    Ok(Photo {
        file: name.display().to_string().into(),
        day,
        bytes: bytes.len() as u64,
        sha256: checksum(&bytes).into(),
    })
}

/// In which the book lies.
fn folder(context: &Context) -> &Path {
    let folder = beside(&context.book).parent().filter(|folder| !folder.as_os_str().is_empty());
    folder.unwrap_or(Path::new("."))
}

fn checksum(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}

/// What is to be said of photos that visits name: files that are missing or changed.
pub fn photos_amiss(context: &Context, visits: &[Fact<Visit>]) -> Vec<String> {
    let folder = folder(context);
    let amiss = visits.iter().filter_map(|fact| {
        let photo = fact.record.photo.as_ref()?;
        let what = match fs::read(folder.join(&*photo.file)) {
            Err(_) => "is missing",
            Ok(bytes) if checksum(&bytes) != *photo.sha256 => "is another picture by now",
            Ok(_) => return None,
        };
        let (id, on) = (fact.id.short(), spoken_day(fact.happened_on));
        Some(format!("{}, of the visit {id} on {on}, {what}", photo.file))
    });
    amiss.collect()
}
