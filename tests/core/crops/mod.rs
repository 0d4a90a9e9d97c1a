//! A plainly synthetic crop profile for tests.

use std::sync::Arc;

use stintbook_core::records::{Crop, Habit, PlantPart, Recovery, Sourced, Status};
use stintbook_core::units::{Amount, Measure, Window};

fn synthetic<T>(value: T) -> Sourced<T> {
    Sourced { value, source: "synthetic, for tests".into() }
}

/// A crop in season all year, without caps, with the careful theta of its habit.
pub fn crop(habit: Habit, recovery: Recovery) -> Crop {
    let kept_standing = match habit {
        Habit::FastLeaf => 0.78,
        Habit::SlowLeaf => 0.77,
        Habit::OnceAYear => 0.65,
        Habit::Slow => 0.83,
    };
    let nothing: Arc<str> = "".into();
    Crop {
        name: "test-crop".into(),
        common_name: "Test crop".into(),
        scientific_name: "Nomen nescio".into(),
        part: PlantPart::Leaf,
        kitchen_role: "green leaf".into(),
        habit,
        measure: Measure::Mass,
        piece: nothing.clone(),
        window: synthetic(Window::all_year()),
        recovery: synthetic(recovery),
        growth_by_month: None,
        full_by_month: None,
        full_late_days: None,
        kept_standing: synthetic(kept_standing),
        reserve: synthetic(0.0),
        leave_per_m2: None,
        cuts_per_season: None,
        code_cap: None,
        per_person_visit: None,
        smallest_useful: synthetic(Amount::grams(50.0)),
        status: Status::Ordinary,
        countable: true,
        cut_method: synthetic(nothing.clone()),
        look_alikes: Vec::new(),
        look_alikes_source: nothing.clone(),
        cautions: synthetic(nothing.clone()),
        legal_note: synthetic(nothing),
    }
}
