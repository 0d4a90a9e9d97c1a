//! Grid references against GEOTRANS and PROJ.

use geo::Point;
use stintbook_core::ground::grid_reference;

/// `tests/fixtures/ground/make_grid.py` made the table.
#[test]
fn grid_references_are_those_of_geotrans_and_proj_to_the_metre() {
    let mut rows = 0;
    for line in include_str!("../../fixtures/ground/grid.csv").lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let place = Point::new(cells[0].parse().unwrap(), cells[1].parse().unwrap());
        assert_eq!(grid_reference(place).as_deref(), Some(cells[2]), "{line}");
        rows += 1;
    }
    assert!(rows > 200, "{rows} rows");
}
