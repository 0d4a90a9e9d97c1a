//! Figures that look like a slip of the pen: asked about, never refused.

use geo::{BoundingRect, Distance, Geodesic, Point};

use super::places::Places;
use super::turned::Question;
use crate::catalogue::{Catalogue, Per, dense_stand};
use crate::ground::footprint_area;
use crate::records::{
    Counted, Footprint, Frame, Party, Record, Site, Stratum, Survey, SurveyMethod,
};
use crate::units::Measure;

/// One sampling unit may hold this many times what the dense stand does on the whole.
const DENSEST_QUADRAT: f64 = 2.0;
/// A frame under this area in square metres, 20 cm by 20 cm, is likelier a slipped point.
/// Common practice, no source.
const SMALL_FRAME_M2: f64 = 0.04;
/// Sites further than this from all others in kilometres were likelier swapped or mistyped.
/// Common practice, no source.
const FAR_KM: f64 = 500.0;
/// More children than this to an adult are likelier a slip. Common practice, no source.
const MOST_CHILDREN: u32 = 12;

/// What looks like a slip in a new record, if anything does. `key` tells it from others of its
/// kind; `places` has the places that come along.
pub(super) fn slip(
    record: &Record,
    key: &str,
    places: &Places,
    catalogue: &Catalogue,
) -> Option<Question> {
    match record {
        Record::Survey(survey) => {
            small_frame(survey, key).or_else(|| dense_quadrat(survey, key, places, catalogue))
        }
        Record::Glance(glance) => {
            let patch = places.patch(&glance.patch)?;
            let stand = dense_stand(&patch.crop)?;
            let units = match (stand.per, &patch.footprint) {
                (Per::SquareMetre, Footprint::Plants { .. }) => return None,
                (Per::SquareMetre, footprint) => footprint_area(footprint).0,
                (Per::Plant, Footprint::Plants { count, .. }) => f64::from(*count),
                (Per::Plant, _) => return None,
            };
            let crop = catalogue.crop(&patch.crop)?;
            let most = stand.most * units;
            (glance.standing.value > most).then(|| {
                asked(
                    format!(
                        "the glance of {} saw {}, where a dense stand of {} carries some {}",
                        key,
                        crop.show(glance.standing.value),
                        crop.name,
                        crop.show(most)
                    ),
                    "the amount",
                )
            })
        }
        Record::Site(site) => far_site(site, places),
        Record::Walk(walk) => crowded(&walk.parties, key),
        _ => None,
    }
}

fn asked(found: String, what: &str) -> Question {
    let way_out = format!("see that {what} is right; if it is, say --sure");
    Question { place: String::new(), found, way_out }
}

fn small_frame(survey: &Survey, key: &str) -> Option<Question> {
    let mut areas = frames(survey).into_iter().filter_map(|frame| match frame {
        Frame::Area(area) => Some(area.0),
        _ => None,
    });
    let area = areas.find(|area| *area < SMALL_FRAME_M2)?;
    let side_cm = 100.0 * area.sqrt();
    Some(asked(
        format!(
            "the survey of {} used a frame of {area} m², {side_cm:.0} cm by {side_cm:.0} cm",
            key
        ),
        "the frame",
    ))
}

fn frames(survey: &Survey) -> Vec<Frame> {
    let of_strata = |strata: &[Stratum]| strata.iter().map(|part| part.frame).collect();
    match &survey.method {
        SurveyMethod::Quadrats(strata) => of_strata(strata),
        SurveyMethod::Judged(judged) => vec![judged.frame],
        SurveyMethod::Units(units) => match &units.counted {
            Counted::Sampled(strata) => of_strata(strata),
            Counted::InAll(_) => Vec::new(),
        },
        SurveyMethod::Cover(_) => Vec::new(),
    }
}

/// Amounts with the frame that each stood in, where they are in the crop's own measure.
fn measured(survey: &Survey) -> Vec<(f64, Frame)> {
    match &survey.method {
        SurveyMethod::Quadrats(strata) => strata
            .iter()
            .flat_map(|part| part.quadrats.iter().map(|quadrat| (quadrat.amount, part.frame)))
            .collect(),
        SurveyMethod::Judged(judged) => judged
            .quadrats
            .iter()
            .map(|quadrat| (quadrat.measured.unwrap_or(quadrat.judged), judged.frame))
            .collect(),
        SurveyMethod::Units(_) | SurveyMethod::Cover(_) => Vec::new(),
    }
}

fn dense_quadrat(
    survey: &Survey,
    key: &str,
    places: &Places,
    catalogue: &Catalogue,
) -> Option<Question> {
    let known = places.names.patches.get(places.patch_number(&survey.patch)?)?;
    let stand = dense_stand(&known.crop)?;
    let crop = catalogue.crop(&known.crop)?;
    let per_unit = |(amount, frame): (f64, Frame)| match (stand.per, frame) {
        (Per::SquareMetre, Frame::Area(area)) => Some((amount / area.0, amount)),
        (Per::Plant, Frame::Plant) => Some((amount, amount)),
        _ => None,
    };
    let densest = measured(survey).into_iter().filter_map(per_unit);
    let (density, amount) = densest.max_by(|one, other| one.0.total_cmp(&other.0))?;
    if density <= DENSEST_QUADRAT * stand.most {
        return None;
    }
    let unit = match (stand.per, crop.measure) {
        (Per::SquareMetre, _) => "a square metre",
        (Per::Plant, Measure::Mass | Measure::Count) => "a plant",
    };
    Some(asked(
        format!(
            "the survey of {} found {} in one place, {} {unit}, where a dense stand of {} carries \
             some {}",
            key,
            crop.show(amount),
            crop.show(density),
            crop.name,
            crop.show(stand.most)
        ),
        "the amount",
    ))
}

fn far_site(site: &Site, places: &Places) -> Option<Question> {
    let here = centre(site)?;
    let others = || places.sites().filter(|other| other.name != site.name).filter_map(centre);
    let away = |from: Point, other: Point| Geodesic.distance(from, other) / 1000.0;
    // Mostly the first is near, so that a map of many sites is not held against all of them.
    let has_near = |from: Point| others().any(|other| away(from, other) <= FAR_KM);
    if has_near(here) {
        return None;
    }
    let nearest = others().map(|other| away(here, other)).reduce(f64::min)?;
    let swapped = Point::new(here.y(), here.x());
    let hint = if swapped.y().abs() <= 90.0 && has_near(swapped) {
        "; with longitude and latitude the other way round it would lie among them"
    } else {
        ""
    };
    Some(asked(
        format!(
            "site {} lies {nearest:.0} km from the nearest of the other sites{hint}",
            site.name
        ),
        "the place",
    ))
}

fn centre(site: &Site) -> Option<Point> {
    site.boundary.bounding_rect().map(|bounds| bounds.center().into())
}

fn crowded(parties: &[Party], key: &str) -> Option<Question> {
    let adults: u32 = parties.iter().map(|party| party.adults).sum();
    let children: u32 = parties.iter().map(|party| party.children).sum();
    (children > MOST_CHILDREN.saturating_mul(adults)).then(|| {
        asked(
            format!("the walk {} has {children} children with {adults} adults", key),
            "the number",
        )
    })
}
