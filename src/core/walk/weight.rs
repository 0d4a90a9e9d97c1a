//! How much a party counts when a quota is split.

/// The weight of a party, in thousandths of an adult, so that weights compare exactly.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Weight {
    thousandths: u32,
}

impl Weight {
    /// Of somebody who takes nothing.
    pub const NONE: Self = Self::thousandths(0);
    /// Of one adult.
    pub const ADULT: Self = Self::thousandths(1000);
    /// Half an adult: common practice, no source. The leader may say otherwise.
    pub const CHILD: Self = Self::thousandths(500);

    /// So many thousandths of an adult.
    pub const fn thousandths(thousandths: u32) -> Self {
        Self { thousandths }
    }

    /// In thousandths of an adult.
    pub const fn in_thousandths(self) -> u32 {
        self.thousandths
    }

    /// The weight of so many people of one weight; more than four million adults count as that
    /// many.
    pub const fn times(self, people: u32) -> Self {
        Self::thousandths(self.thousandths.saturating_mul(people))
    }

    /// The weight of adults together with children.
    pub const fn and(self, others: Self) -> Self {
        Self::thousandths(self.thousandths.saturating_add(others.thousandths))
    }
}
