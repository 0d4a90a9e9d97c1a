//! Ground: areas and lengths against PROJ, hand cases, brute force, and laws.

mod drawing;
mod grid;
mod harvest;
mod measures;
mod near;
mod place;
mod plot;
