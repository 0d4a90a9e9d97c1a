//! Where the numbers stand: on their patch where it is large enough, else beside it.

use geo::Rect;

use super::MapOf;
use super::outline::Shape;
use super::view::{Place, View};

const HEIGHT: f64 = 17.0;
const DIGIT: f64 = 7.0;
const PADDING: f64 = 8.0;
/// How far beside a patch a number may stand: the least, and the steps further out, in page
/// units.
const REACH: f64 = 17.0;
const REACH_STEP: f64 = 6.0;
const REACHES: usize = 60;
const DIRECTIONS: usize = 16;
/// Of so many nearest places one that hides no patch is wanted; then any free one.
const NEAREST: usize = 8 * DIRECTIONS;
/// A patch larger than its number by this much, and as wide all along, carries it: most of it
/// still shows.
const ROOM: f64 = 1.8;
/// A narrow patch is drawn this much wider on each side than it is.
const SWELLING: f64 = 3.0;
/// The box of a landmark's sign.
const SIGN: f64 = 10.0;

/// A number, or the letter of no-take ground, with its place.
pub(super) struct Label {
    pub text: String,
    pub middle: Place,
    pub size: (f64, f64),
    /// Places in the patch from which lines lead to its number: its middle, where the two stand
    /// apart, and every part of it where it has several.
    pub leaders: Vec<Place>,
    pub of: Of,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Of {
    Patch,
    Zone,
    Landmark,
}

/// A box on the page.
#[derive(Clone, Copy, Debug)]
struct Field {
    middle: Place,
    size: (f64, f64),
}

/// A label for each patch that is in the frame, and for each piece of no-take ground; none
/// covers another, and where there is any room none hides a patch.
pub(super) fn placed(
    map: &MapOf,
    shapes: &[Shape],
    zones: &[Shape],
    landmarks: &[Place],
    view: &View,
) -> Vec<Label> {
    let frame = Field::frame(view);
    let numbers = map.patches.iter().map(|patch| patch.number.to_string());
    let numbers = numbers.zip(shapes).map(|(text, shape)| (text, shape, Of::Patch));
    let letters = (1..).map(letter).zip(zones).map(|(text, zone)| (text, zone, Of::Zone));
    let mut taken: Vec<Field> = Vec::with_capacity(shapes.len() + zones.len());
    let mut labels = Vec::with_capacity(shapes.len() + zones.len());
    // A sign at its place is hidden by nothing either.
    let signs = landmarks.iter().map(|middle| Field { middle: *middle, size: (SIGN, SIGN) });
    taken.extend(signs.filter(|sign| frame.holds(*sign)));
    let signs: Vec<Shape> = landmarks.iter().map(|middle| Shape::of_place(*middle)).collect();
    let signed = (1..).map(sign).zip(&signs).map(|(text, shape)| (text, shape, Of::Landmark));
    for (text, shape, of) in numbers.chain(letters).chain(signed) {
        let is_zone = of == Of::Zone;
        if !frame.holds(Field { middle: shape.middle, size: (0.0, 0.0) }) {
            continue;
        }
        let size = (text.len() as f64 * DIGIT + PADDING, HEIGHT);
        let own = Field { middle: shape.middle, size };
        let free =
            |field: &Field| frame.holds(*field) && !taken.iter().any(|other| other.meets(*field));
        let clear = |field: &Field| {
            let on_itself = field.is_at(own) && (is_zone || shape.has_room(size));
            let hides =
                |other: &Shape| Field::of(other).meets(*field) && other.meets(&field.swollen());
            free(field)
                && !shapes
                    .iter()
                    .any(|other| !(on_itself && std::ptr::eq(other, shape)) && hides(other))
        };
        let places: Vec<Field> = candidates(shape, size, is_zone).collect();
        let near = &places[..places.len().min(NEAREST)];
        let chosen = near.iter().find(|field| clear(field));
        let chosen = chosen.or_else(|| places.iter().find(|field| free(field)));
        let field = chosen.copied().unwrap_or(own);
        taken.push(field);
        let leaders = match &shape.parts[..] {
            [] | [_] if field.is_at(own) => Vec::new(),
            [] | [_] => vec![shape.middle],
            parts => parts.to_vec(),
        };
        labels.push(Label { text, middle: field.middle, size, leaders, of });
    }
    labels
}

/// `a` for the first landmark.
pub fn sign(number: usize) -> String {
    letter(number).to_lowercase()
}

/// `A` for the first, `B` for the second, `AA` after `Z`.
pub(super) fn letter(number: usize) -> String {
    const LETTERS: usize = 26;
    let last = char::from(b'A' + ((number.saturating_sub(1)) % LETTERS) as u8);
    match number.saturating_sub(1) / LETTERS {
        0 => last.to_string(),
        before => letter(before) + &last.to_string(),
    }
}

/// On the patch if it has room; then all around it, nearest first, right of it first.
fn candidates(shape: &Shape, size: (f64, f64), is_zone: bool) -> impl Iterator<Item = Field> {
    let (x, y) = shape.middle;
    let on_it = (is_zone || shape.has_room(size)).then_some(Field { middle: (x, y), size });
    let around = (0..REACHES).flat_map(move |step| {
        let reach = REACH + step as f64 * REACH_STEP;
        (0..DIRECTIONS).map(move |n| {
            let (sin, cos) = (n as f64 / DIRECTIONS as f64 * std::f64::consts::TAU).sin_cos();
            Field { middle: (x + reach * cos, y - reach * sin), size }
        })
    });
    on_it.into_iter().chain(around)
}

impl Shape {
    fn has_room(&self, size: (f64, f64)) -> bool {
        let (_, around) = self.around;
        around.0 > ROOM * size.0 && around.1 > ROOM * size.1 && self.breadth > ROOM * size.1
    }
}

impl Field {
    fn of(shape: &Shape) -> Self {
        let (middle, size) = shape.around;
        Self { middle, size: (size.0.max(8.0), size.1.max(8.0)) }
    }

    fn frame(view: &View) -> Self {
        let ((left, top), (width, height)) = view.frame();
        Self { middle: (left + width / 2.0, top + height / 2.0), size: (width, height) }
    }

    /// As a box that is drawn over what it meets.
    fn swollen(&self) -> Rect {
        let ((x, y), (width, height)) = (self.middle, self.size);
        let half = (width / 2.0 + SWELLING, height / 2.0 + SWELLING);
        Rect::new((x - half.0, y - half.1), (x + half.0, y + half.1))
    }

    fn is_at(&self, other: Self) -> bool {
        self.middle == other.middle
    }

    fn meets(&self, other: Self) -> bool {
        let apart = |a: f64, b: f64, sizes: f64| (a - b).abs() >= sizes / 2.0;
        !apart(self.middle.0, other.middle.0, self.size.0 + other.size.0)
            && !apart(self.middle.1, other.middle.1, self.size.1 + other.size.1)
    }

    fn holds(&self, other: Self) -> bool {
        let within = |a: f64, b: f64, room: f64| (a - b).abs() <= room / 2.0;
        within(self.middle.0, other.middle.0, self.size.0 - other.size.0)
            && within(self.middle.1, other.middle.1, self.size.1 - other.size.1)
    }
}
