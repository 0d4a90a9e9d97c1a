//! What whoever leads on a site needs to know when something goes wrong.

use std::sync::Arc;

use jiff::civil::Date;

use super::column::{Column, NOTE, Need, SITE};
use super::declared::fields;
use super::{Land, Recorded, SiteName};

/// Recorded once for a site, and filled into every card.
#[derive(Clone, Debug, PartialEq)]
pub struct Emergency {
    /// Where the card holds.
    pub site: SiteName,
    /// The number that holds there.
    pub number: Option<Arc<str>>,
    /// The number of a poisons information service.
    pub poison_line: Option<Arc<str>>,
    /// Whom to call of those whose land it is, and where: nobody else's business.
    pub occupier_phone: Option<Arc<str>>,
    /// The nearest way in for a vehicle.
    pub way_in: Option<Arc<str>>,
    /// The nearest emergency ward.
    pub hospital: Option<Arc<str>>,
    /// Whose tables hold for its shore.
    pub tide_station: Option<Arc<str>>,
    /// In words of one's own; it stands on the card.
    pub note: Option<Arc<str>>,
}

fields! { Emergency {
    site: site([SITE]),
    number: maybe_word([Column::text(
        "emergency_number", Need::Telling, "the emergency number that holds there", "",
    )]),
    poison_line: maybe_word([Column::text(
        "poison_line", Need::Optional, "an advice line for poisons", "",
    )]),
    occupier_phone: maybe_word([Column::text(
        "occupier_phone",
        Need::Optional,
        "whom to call of those whose land it is, with the number; kept out of what goes to others",
        "",
    )]),
    way_in: maybe_word([Column::text(
        "vehicle_way_in", Need::Telling, "the nearest way in for a vehicle", "the farm track",
    )]),
    hospital: maybe_word([Column::text(
        "hospital", Need::Telling, "the nearest emergency ward", "the county hospital",
    )]),
    tide_station: maybe_word([Column::text(
        "tide_station", Need::Telling, "the station whose tide tables hold there", "",
    )]),
    note: maybe_word([NOTE]),
} }

impl Recorded for Emergency {
    const NAME: &'static str = "emergency";
    const PLURAL: &'static str = "emergencies";
    const WHAT: &'static str =
        "Emergencies: a row for each site, with what the emergency card of a walk there says.";
    const LAND: Land = Land::Site;

    fn site(&self) -> &SiteName {
        &self.site
    }

    fn key(&self, _: Date, _: &str) -> String {
        self.site.to_string()
    }

    fn gist(&self) -> String {
        let told = [
            self.number.as_ref().map(|number| format!("call {number}")),
            self.way_in.as_ref().map(|way| format!("way in {way}")),
            self.hospital.as_ref().map(|ward| format!("ward {ward}")),
            self.tide_station.as_ref().map(|station| format!("tides of {station}")),
        ];
        let told: Vec<String> = told.into_iter().flatten().collect();
        format!("{}: {}", self.site, told.join("; "))
    }
}
