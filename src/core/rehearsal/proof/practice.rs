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
}
