//! Systems by their number in the EPSG register (<https://epsg.org>, version 12), as PROJ writes
//! them.

/// The ellipsoid of ETRS89; WGS84's differs by a tenth of a millimetre.
const GRS80: &str = "+ellps=GRS80 +units=m +no_defs";

/// Those of one country or all of Europe that rest on ETRS89.
const OTHERS: [(u32, &str); 10] = [
    (2154, "+proj=lcc +lat_0=46.5 +lon_0=3 +lat_1=49 +lat_2=44 +x_0=700000 +y_0=6600000"),
    (2157, "+proj=tmerc +lat_0=53.5 +lon_0=-8 +k=0.99982 +x_0=600000 +y_0=750000"),
    (2180, "+proj=tmerc +lat_0=0 +lon_0=19 +k=0.9993 +x_0=500000 +y_0=-5300000"),
    (3006, "+proj=utm +zone=33"),
    (3034, "+proj=lcc +lat_0=52 +lon_0=10 +lat_1=35 +lat_2=65 +x_0=4000000 +y_0=2800000"),
    (3035, "+proj=laea +lat_0=52 +lon_0=10 +x_0=4321000 +y_0=3210000"),
    (3067, "+proj=utm +zone=35"),
    (
        3301,
        "+proj=lcc +lat_0=57.5175539305556 +lon_0=24 +lat_1=59.3333333333333 +lat_2=58 +x_0=500000 +y_0=6375000",
    ),
    (3763, "+proj=tmerc +lat_0=39.6682583333333 +lon_0=-8.13310833333333 +k=1 +x_0=0 +y_0=0"),
    (3765, "+proj=tmerc +lat_0=0 +lon_0=16.5 +k=0.9999 +x_0=500000 +y_0=0"),
];

/// `Some(None)` for longitude and latitude; `None` for what is not known.
pub(super) fn definition(code: &str) -> Option<Option<String>> {
    let name = code.trim().to_uppercase();
    if name.ends_with("CRS84") {
        return Some(None);
    }
    let number: u32 = name.strip_prefix("EPSG:").unwrap_or(&name).parse().ok()?;
    let on_wgs84 = |zone: u32, south: &str| {
        Some(Some(format!("+proj=utm +zone={zone}{south} +ellps=WGS84 +units=m +no_defs")))
    };
    match number {
        4326 | 4258 => Some(None),
        3857 | 900_913 | 3785 | 102_100 | 102_113 => Some(Some(
            "+proj=merc +a=6378137 +b=6378137 +lat_ts=0 +lon_0=0 +x_0=0 +y_0=0 +k=1 +units=m \
             +no_defs"
                .to_owned(),
        )),
        32601..=32660 => on_wgs84(number - 32600, ""),
        32701..=32760 => on_wgs84(number - 32700, " +south"),
        25828..=25838 => Some(Some(format!("+proj=utm +zone={} {GRS80}", number - 25800))),
        _ => {
            let other = OTHERS.iter().find(|(known, _)| *known == number);
            other.map(|(_, definition)| Some(format!("{definition} {GRS80}")))
        }
    }
}
