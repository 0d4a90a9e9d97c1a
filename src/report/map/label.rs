//! Where the numbers stand: on their patch where it is large enough, else beside it.

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
/// Of so many nearest places one that hides no small patch is wanted; then any free one.
const NEAREST: usize = 8 * DIRECTIONS;
/// A patch larger than its number by this much carries it.
const ROOM: f64 = 1.6;

/// A number with its place.
pub(super) struct Label {
    pub text: String,
    pub middle: Place,
    pub size: (f64, f64),
    /// From the patch to its number, where they stand apart.
    pub leader: Option<(Place, Place)>,
}

/// A box on the page.
#[derive(Clone, Copy, Debug)]
struct Field {
    middle: Place,
    size: (f64, f64),
}

/// A label for each patch that is in the frame; none covers another.
pub(super) fn placed(map: &MapOf, shapes: &[Shape], view: &View) -> Vec<Label> {
    let small: Vec<Field> = shapes.iter().map(Field::of).filter(|field| field.is_small()).collect();
    let mut taken: Vec<Field> = Vec::with_capacity(shapes.len());
    let mut labels = Vec::with_capacity(shapes.len());
    for (patch, shape) in map.patches.iter().zip(shapes) {
        let frame = Field::frame(view);
        if !frame.holds(Field { middle: shape.middle, size: (0.0, 0.0) }) {
            continue;
        }
        let text = patch.number.to_string();
        let size = (text.len() as f64 * DIGIT + PADDING, HEIGHT);
        let free =
            |field: &Field| frame.holds(*field) && !taken.iter().any(|other| other.meets(*field));
        let clear = |field: &Field| free(field) && !small.iter().any(|other| other.meets(*field));
        let places: Vec<Field> = candidates(shape, size).collect();
        let own = Field { middle: shape.middle, size };
        let near = &places[..places.len().min(NEAREST)];
        let chosen = near.iter().find(|field| clear(field) || (field.is_at(own) && free(field)));
        let chosen = chosen.or_else(|| places.iter().find(|field| free(field)));
        let field = chosen.copied().unwrap_or(own);
        taken.push(field);
        let leader = (!field.is_at(own)).then_some((shape.middle, field.middle));
        labels.push(Label { text, middle: field.middle, size, leader });
    }
    labels
}

/// On the patch if it has room; then all around it, nearest first, right of it first.
fn candidates(shape: &Shape, size: (f64, f64)) -> impl Iterator<Item = Field> {
    let (x, y) = shape.middle;
    let (_, around) = shape.around;
    let has_room = around.0 > ROOM * size.0 && around.1 > ROOM * size.1;
    let on_it = has_room.then_some(Field { middle: (x, y), size });
    let around = (0..REACHES).flat_map(move |step| {
        let reach = REACH + step as f64 * REACH_STEP;
        (0..DIRECTIONS).map(move |n| {
            let (sin, cos) = (n as f64 / DIRECTIONS as f64 * std::f64::consts::TAU).sin_cos();
            Field { middle: (x + reach * cos, y - reach * sin), size }
        })
    });
    on_it.into_iter().chain(around)
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

    /// Whether a number over it would hide it.
    fn is_small(&self) -> bool {
        self.size.0.max(self.size.1) < 4.0 * HEIGHT
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
