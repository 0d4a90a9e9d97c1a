//! Where things lie: metres, areas, the ground that may be cut, which patch is near,
//! and a short way round.
//!
//! Shapes are WGS84 longitude and latitude in degrees, edges straight between them, and
//! cut in two at the antimeridian, as RFC 7946 wants. A shape that is not on Earth (`NaN`,
//! a latitude of 95) covers no ground here: refusing it is intake's business.

mod area;
mod blur;
mod bounds;
mod centre;
mod distance;
mod grid;
mod harvest;
mod index;
mod order;
mod outline;
mod placing;
mod projection;
mod region;
mod remnant;
mod shape;

pub use area::{footprint_area, geodesic_area, geodesic_length};
pub use blur::{Blur, Square};
pub(crate) use bounds::boxes_that_meet;
pub use centre::{centre, site_centre};
pub use distance::geodesic_distance;
pub use grid::grid_reference;
pub use harvest::{Harvestable, SiteGround};
pub(crate) use index::boxes_of;
pub use index::{PatchIndex, footprint_holds, shared_area};
pub use order::walking_order;
pub use outline::{footprint_outline, zone_outline};
pub use placing::Placing;
pub use projection::{LocalMetres, short_way_round};
pub use remnant::SLIVER;
pub use shape::{HarvestableShape, Stretch};
