//! Under the map: scale bar, north, and what the shades and hatching mean.

use maud::{Markup, html};

use super::ink::{self, Fill};
use super::label::{letter, sign};
use super::view::View;
use super::{MapOf, Shade, at};
use crate::units::Metres;

const FIRST_LINE: f64 = 34.0;
const LINE: f64 = 20.0;
const LEFT: f64 = 24.0;
/// The longest scale bar, in page units.
const LONGEST_BAR: f64 = 150.0;
const SAMPLE: (f64, f64) = (20.0, 12.0);
/// About the width of a letter of the legend.
const LETTER: f64 = 5.6;
const GAP: f64 = 16.0;
const LAST_GAP: f64 = 10.0;

pub(super) struct Legend {
    title: Option<String>,
    /// Lines of entries that fit the page.
    lines: Vec<Vec<Entry>>,
}

struct Entry {
    sample: Sample,
    words: String,
}

enum Sample {
    Patch(Shade),
    NoTake,
    Start,
    /// A patch by its number, or a piece of no-take ground by its letter.
    Mark(String),
}

impl Entry {
    fn width(&self) -> f64 {
        SAMPLE.0 + 6.0 + self.words.chars().count() as f64 * LETTER + GAP
    }

    /// What its words have of a line; `None` where they have no need to be squeezed into it.
    fn bound_to(&self, right: f64) -> Option<f64> {
        let room = right - LEFT - SAMPLE.0 - 6.0;
        (self.width() - GAP > right - LEFT).then_some(room)
    }
}

impl Legend {
    pub(super) fn of(map: &MapOf, view: &View) -> Self {
        let shading = map.shading.into_iter();
        let shades = shading.clone().flat_map(|shading| {
            let steps = shading.steps.iter().enumerate();
            let steps = steps.map(|(step, words)| (Shade::Step(step), *words));
            steps.chain(shading.unknown.map(|words| (Shade::Unknown, words)))
        });
        let shades = shades.map(|(shade, words)| (Sample::Patch(shade), words));
        let start = view.start.map(|_| (Sample::Start, "start"));
        let zones = (!map.zones.is_empty()).then_some((Sample::NoTake, "no-take ground"));
        let entries = shades.chain(start).chain(zones);
        let entries = entries.map(|(sample, words)| Entry { sample, words: words.to_owned() });
        let marked =
            |mark: String, name: &str| Entry { sample: Sample::Mark(mark), words: name.to_owned() };
        let zones =
            (1..).map(letter).zip(map.zones).map(|(letter, zone)| marked(letter, &zone.name));
        let landmarks = (1..).map(sign).zip(map.landmarks).map(|(sign, landmark)| {
            let what = landmark.what.told();
            let has_it = landmark.name.to_lowercase().contains(what);
            let what = if has_it { String::new() } else { format!(", {what}") };
            marked(sign, &format!("{}{what}", landmark.name))
        });
        let names = map.patches.iter().filter(|_| map.keyed);
        let names = names.map(|patch| marked(patch.number.to_string(), patch.patch.name.patch()));
        let mut lines = broken(entries.chain(zones).chain(landmarks), view.right());
        lines.extend(broken(names, view.right()));
        Self { title: map.shading.map(|shading| shading.title.clone()), lines }
    }

    /// From the frame's lower edge to that of the page.
    pub(super) fn height(&self) -> f64 {
        let lines = self.lines.len() + usize::from(self.title.is_some());
        FIRST_LINE + lines as f64 * LINE + LAST_GAP
    }

    pub(super) fn drawn(&self, view: &View, hatch: &str) -> Markup {
        let first = view.bottom() + FIRST_LINE;
        let below_title = first + LINE * (1.0 + f64::from(u8::from(self.title.is_some())));
        html! {
            (scale_bar(view, first))
            (north(first, view.right()))
            @if let Some(title) = &self.title {
                text class="map-text" fill=(ink::INK) font-size=(ink::LETTERING) font-weight="bold"
                    x=(LEFT) y=(at(first + LINE + 2.0)) { (title) }
            }
            @for (n, line) in self.lines.iter().enumerate() {
                @let y = below_title + n as f64 * LINE;
                @for (x, entry) in along(line) {
                    (entry.sample.drawn((x, y), hatch))
                    text class="map-text" fill=(ink::INK) font-size=(ink::LETTERING)
                        textLength=[entry.bound_to(view.right()).map(at)]
                        lengthAdjust=[entry.bound_to(view.right()).map(|_| "spacingAndGlyphs")]
                        x=(at(x + SAMPLE.0 + 6.0)) y=(at(y)) { (entry.words) }
                }
            }
        }
    }
}

/// As many entries a line as fit.
fn broken(entries: impl Iterator<Item = Entry>, right: f64) -> Vec<Vec<Entry>> {
    let mut lines: Vec<Vec<Entry>> = Vec::new();
    let mut used = f64::INFINITY;
    for entry in entries {
        let width = entry.width();
        if used + width - GAP > right - LEFT {
            lines.push(Vec::new());
            used = 0.0;
        }
        used += width;
        if let Some(line) = lines.last_mut() {
            line.push(entry);
        }
    }
    lines
}

fn along(line: &[Entry]) -> impl Iterator<Item = (f64, &Entry)> {
    line.iter().scan(LEFT, |x, entry| {
        let here = *x;
        *x += entry.width();
        Some((here, entry))
    })
}

impl Sample {
    /// `y` is the base line of the words beside it.
    fn drawn(&self, (x, y): (f64, f64), hatch: &str) -> Markup {
        let (width, height) = SAMPLE;
        let top = at(y - height + 2.0);
        match self {
            Self::Patch(shade) => {
                let fill = Fill::of(*shade);
                html! {
                    rect class={ "map-patch " (fill.class) } fill=(fill.fill) stroke=(fill.line)
                        stroke-width=(fill.line_width) stroke-dasharray=[fill.dashes] x=(at(x)) y=(top) width=(width) height=(height) {}
                }
            }
            Self::NoTake => html! {
                rect class="map-zone" fill={ "url(#" (hatch) ")" } stroke=(ink::INK)
                    stroke-width="0.7" stroke-dasharray="2 2" x=(at(x)) y=(top) width=(width)
                    height=(height) {}
            },
            Self::Start => super::furniture::start((x + width / 2.0, y + 2.0)),
            Self::Mark(mark) => html! {
                text class="map-text" fill=(ink::INK) font-size=(ink::LETTERING) font-weight="bold"
                    text-anchor="end" x=(at(x + width)) y=(at(y)) { (mark) }
            },
        }
    }
}

/// A round length, half of it filled.
fn scale_bar(view: &View, y: f64) -> Markup {
    let metres = round_at_most(LONGEST_BAR / view.units_per_metre);
    let width = metres * view.units_per_metre;
    html! {
        rect class="map-solid" fill=(ink::INK) x=(LEFT) y=(at(y - 5.0)) width=(at(width / 2.0)) height="5" {}
        rect class="map-edge" fill="none" stroke=(ink::INK) stroke-width="1" x=(LEFT) y=(at(y - 5.0))
            width=(at(width)) height="5" {}
        text class="map-text" fill=(ink::INK) font-size=(ink::LETTERING) x=(at(LEFT + width + 8.0)) y=(at(y)) {
            (length(metres))
        }
    }
}

fn length(metres: f64) -> String {
    match metres {
        m if m < 1.0 => format!("{:.0} cm", 100.0 * m),
        m if m >= 1000.0 => format!("{} km", m / 1000.0),
        m => Metres(m).to_string(),
    }
}

fn north(y: f64, right: f64) -> Markup {
    let x = right - 18.0;
    html! {
        path class="map-solid" fill=(ink::INK) d={ "M" (at(x)) " " (at(y - 14.0)) "l5 14l-5 -4l-5 4z" } {}
        text class="map-text" fill=(ink::INK) font-size=(ink::LETTERING) font-weight="bold" text-anchor="end"
            x=(at(x - 9.0)) y=(at(y)) { "N" }
    }
}

/// 1, 2 or 5 times a power of ten, the largest that is not over `most`; 1 for nonsense.
pub(super) fn round_at_most(most: f64) -> f64 {
    if !(most.is_finite() && most > 0.0) {
        return 1.0;
    }
    let power = 10_f64.powf(most.log10().floor());
    let rounds = [5.0, 2.0, 1.0].map(|digit| digit * power);
    rounds.into_iter().find(|round| *round <= most).unwrap_or(power)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_scale_bar_has_a_round_length() {
        for (most, expected) in
            [(163.0, 100.0), (99.0, 50.0), (0.3, 0.2), (5.0, 5.0), (f64::NAN, 1.0), (0.0, 1.0)]
        {
            assert!((round_at_most(most) - expected).abs() < 1e-9, "at most {most}");
        }
        assert_eq!(length(0.5), "50 cm");
        assert_eq!(length(200.0), "200 m");
        assert_eq!(length(5000.0), "5 km");
    }
}
