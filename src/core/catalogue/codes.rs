//! Published codes of practice that a crop may name, and what each asks.

use crate::records::{CodeCap, Sourced};
use crate::units::Amount;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Code {
    Plants,
    Seaweeds,
    Rockweed,
    Fungi,
}

impl Code {
    pub(super) const ALL: [Self; 4] = [Self::Plants, Self::Seaweeds, Self::Rockweed, Self::Fungi];

    pub(super) fn name(self) -> &'static str {
        match self {
            Self::Plants => "plants",
            Self::Seaweeds => "seaweeds",
            Self::Rockweed => "rockweed",
            Self::Fungi => "fungi",
        }
    }

    /// The most of a stand for one visit.
    pub(super) fn cap(self) -> Sourced<CodeCap> {
        let fraction = match self {
            Self::Plants => 0.05,
            Self::Seaweeds => 0.33,
            Self::Rockweed => 0.17,
            Self::Fungi => 0.5,
        };
        Sourced { value: CodeCap { fraction }, source: self.source().into() }
    }

    /// The most for one person and visit.
    pub(super) fn per_person_visit(self) -> Option<Sourced<Amount>> {
        let value = match self {
            Self::Fungi => Amount::grams(1500.0),
            Self::Plants | Self::Seaweeds | Self::Rockweed => return None,
        };
        Some(Sourced { value, source: self.source().into() })
    }

    fn source(self) -> &'static str {
        match self {
            Self::Plants => {
                "BSBI code of conduct (2017): one in twenty at most, and none where fewer than \
                 twenty plants are seen; as given at \
                 https://thewildflowersociety.com/wfs_new_pages/1f_code_of_coduct.htm"
            }
            Self::Seaweeds => {
                "Natural England and others, Seaweed Harvesting Code of Conduct: less than a \
                 third of any one plant"
            }
            Self::Rockweed => {
                "17 % of the harvestable biomass a year in Cobscook Bay, Maine \
                 (http://fishermensvoice.com/archives/201310SeaweedMoreQuestions.html) and in \
                 New Brunswick (https://link.springer.com/article/10.1007%2Fs10811-006-9044-8)"
            }
            Self::Fungi => {
                "Wild Mushroom Pickers' Code of Conduct (England, 1998): the lower of 1.5 kg a \
                 visit and half the fruit bodies of a species; as given at \
                 https://www.dorsetfungusgroup.com/wild-mushroom-pickers-guide/"
            }
        }
    }
}
