//! The ways of deciding what a visit takes: the book's, and the rules of thumb.

/// What decides how much a visit may take.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Practice {
    /// The book's rules.
    Book {
        /// Whether somebody glances at each visit.
        glances: bool,
    },
    /// This fraction of what is seen, at every visit.
    Fraction(f64),
    /// This fraction, and then nothing for the crop's recovery interval.
    ThenRest(f64),
}

impl Practice {
    /// Those that people go by.
    pub const THUMBS: [Self; 5] = [
        Self::Fraction(1.0 / 3.0),
        Self::Fraction(0.1),
        Self::Fraction(1.0 / 20.0),
        Self::ThenRest(0.5),
        Self::ThenRest(1.0 / 3.0),
    ];

    /// As the proof's tables have it: `a third at each visit`.
    pub fn name(self) -> String {
        match self {
            Self::Book { glances: false } => "the book".to_owned(),
            Self::Book { glances: true } => "the book, with glances".to_owned(),
            Self::Fraction(part) => format!("{} at each visit", in_words(part)),
            Self::ThenRest(part) => format!("{}, then rest", in_words(part)),
        }
    }
}

fn in_words(part: f64) -> String {
    let n = 1.0 / part;
    match n.round() as u32 {
        2 if (n - 2.0).abs() < 1e-9 => "a half".to_owned(),
        3 if (n - 3.0).abs() < 1e-9 => "a third".to_owned(),
        10 if (n - 10.0).abs() < 1e-9 => "a tenth".to_owned(),
        whole if (n - f64::from(whole)).abs() < 1e-9 => format!("one in {whole}"),
        _ => format!("one in {n:.1}"),
    }
}
