//! A system in well-known text (OGC 01-009), in the words of either dialect.

/// Datums that are WGS84, or within a metre of it.
const DATUMS: [&str; 10] = [
    "wgs1984",
    "wgs84",
    "worldgeodeticsystem1984",
    "etrs1989",
    "etrs89",
    "europeanterrestrialreferencesystem1989",
    "rgf1993",
    "rgf93",
    "reseaugeodesiquefrancais1993",
    "sweref99",
];
/// How deep brackets nest at most.
const DEEPEST: usize = 12;
const MOST_BYTES: usize = 64 * 1024;

pub(super) struct Told {
    pub called: String,
    /// As PROJ writes it; `None` for longitude and latitude.
    pub definition: Option<String>,
}

/// `NAME["text", 12.5, OTHER[…]]`.
#[derive(Default)]
struct Element {
    keyword: String,
    texts: Vec<String>,
    numbers: Vec<f64>,
    inner: Vec<Element>,
}

/// # Errors
/// What it is called, where it is not known.
pub(super) fn definition(text: &str) -> Result<Told, String> {
    let short = || text.chars().take(40).collect::<String>();
    if text.len() > MOST_BYTES {
        return Err(short());
    }
    let (system, _) = element(text.trim(), DEEPEST).ok_or_else(short)?;
    let called = system.texts.first().cloned().unwrap_or_else(short);
    let is_known = system.find("DATUM").and_then(|datum| datum.texts.first()).is_some_and(|name| {
        let name = letters(name);
        let name = name.strip_prefix('d').filter(|rest| DATUMS.contains(rest)).unwrap_or(&name);
        DATUMS.contains(&name)
    });
    let greenwich = system.find("PRIMEM").and_then(|meridian| meridian.numbers.first());
    if !is_known || greenwich.is_some_and(|degrees| *degrees != 0.0) {
        return Err(called);
    }
    let definition = match system.keyword.as_str() {
        "GEOGCS" => None,
        "PROJCS" => Some(projected(&system).ok_or_else(|| called.clone())?),
        _ => return Err(called),
    };
    Ok(Told { called, definition })
}

fn projected(system: &Element) -> Option<String> {
    let by = |names: &[&str]| {
        let parameters = system.inner.iter().filter(|inner| inner.keyword == "PARAMETER");
        let mut named = parameters.filter(|parameter| {
            parameter.texts.first().is_some_and(|name| names.contains(&letters(name).as_str()))
        });
        named.next().and_then(|parameter| parameter.numbers.first().copied())
    };
    let lon = by(&["centralmeridian", "longitudeofcenter", "longitudeoforigin"]).unwrap_or(0.0);
    let lat = by(&["latitudeoforigin", "latitudeofcenter"]).unwrap_or(0.0);
    let scale = by(&["scalefactor"]).unwrap_or(1.0);
    let parallels = (by(&["standardparallel1"]), by(&["standardparallel2"]));
    let named = system.inner.iter().find(|inner| inner.keyword == "PROJECTION")?;
    let shape = match (letters(named.texts.first()?).as_str(), parallels) {
        ("transversemercator" | "gausskruger", _) => {
            format!("+proj=tmerc +lat_0={lat} +lon_0={lon} +k={scale}")
        }
        ("lambertconformalconic" | "lambertconformalconic2sp", (Some(one), Some(other))) => {
            format!("+proj=lcc +lat_0={lat} +lon_0={lon} +lat_1={one} +lat_2={other}")
        }
        ("lambertazimuthalequalarea", _) => format!("+proj=laea +lat_0={lat} +lon_0={lon}"),
        ("mercatorauxiliarysphere" | "popularvisualisationpseudomercator", _) => {
            let origin = by(&["falseeasting"]).unwrap_or(0.0) == 0.0 && lon == 0.0;
            return origin.then(|| super::codes::definition("EPSG:3857").flatten()).flatten();
        }
        ("mercator1sp", _)
            if system
                .texts
                .first()
                .is_some_and(|name| letters(name).contains("pseudomercator")) =>
        {
            return super::codes::definition("EPSG:3857").flatten();
        }
        _ => return None,
    };
    // The unit of the map itself stands last; that of its degrees stands within.
    let unit = system.inner.iter().rev().find(|inner| inner.keyword == "UNIT")?;
    let metres = unit.numbers.first().copied().filter(|metres| *metres > 0.0)?;
    let (east, north) = (
        by(&["falseeasting"]).unwrap_or(0.0) * metres,
        by(&["falsenorthing"]).unwrap_or(0.0) * metres,
    );
    Some(format!("{shape} +x_0={east} +y_0={north} +to_meter={metres} {}", "+ellps=GRS80 +no_defs"))
}

impl Element {
    fn find(&self, keyword: &str) -> Option<&Self> {
        let here = self.inner.iter().find(|inner| inner.keyword == keyword);
        here.or_else(|| self.inner.iter().find_map(|inner| inner.find(keyword)))
    }
}

/// The element at the beginning, and what is behind it.
fn element(text: &str, deepest: usize) -> Option<(Element, &str)> {
    let open = text.find(['[', '('])?;
    let keyword = text[..open].trim();
    let is_word =
        !keyword.is_empty() && keyword.chars().all(|c| c.is_ascii_alphanumeric() || c == '_');
    if deepest == 0 || !is_word {
        return None;
    }
    let mut found = Element { keyword: keyword.to_uppercase(), ..Element::default() };
    let mut rest = text[open + 1..].trim_start();
    loop {
        let first = rest.chars().next()?;
        if let Some(behind) = rest.strip_prefix('"') {
            let end = behind.find('"')?;
            found.texts.push(behind[..end].to_owned());
            rest = &behind[end + 1..];
        } else if first.is_ascii_digit() || matches!(first, '-' | '+' | '.') {
            let end = rest.find([',', ']', ')'])?;
            found.numbers.push(rest[..end].trim().parse().ok().filter(|n: &f64| n.is_finite())?);
            rest = &rest[end..];
        } else {
            let end = rest.find([',', ']', ')', '[', '('])?;
            if rest[end..].starts_with(['[', '(']) {
                let (inner, behind) = element(rest, deepest - 1)?;
                found.inner.push(inner);
                rest = behind;
            } else {
                rest = &rest[end..];
            }
        }
        rest = rest.trim_start();
        match rest.chars().next()? {
            ',' => rest = rest[1..].trim_start(),
            ']' | ')' => return Some((found, &rest[1..])),
            _ => return None,
        }
    }
}

/// Small letters and digits alone.
fn letters(text: &str) -> String {
    text.chars().filter(char::is_ascii_alphanumeric).map(|c| c.to_ascii_lowercase()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_grid_is_known_by_its_figures_whatever_it_is_called() {
        let grid = |unit: &str| {
            definition(&format!(
                "PROJCS[\"our own\", GEOGCS[\"GCS\", DATUM[\"D_WGS_1984\", SPHEROID[\"WGS_1984\", \
                 6378137.0, 298.257223563]], PRIMEM[\"Greenwich\", 0.0], UNIT[\"Degree\", 0.0174]], \
                 PROJECTION[\"Transverse_Mercator\"], PARAMETER[\"False_Easting\", 500000.0], \
                 PARAMETER[\"Central_Meridian\", -21.0], PARAMETER[\"Scale_Factor\", 0.9996], \
                 UNIT[{unit}]]"
            ))
        };
        let told = grid("\"Meter\", 1.0").unwrap_or_else(|called| panic!("{called}"));
        let wanted = "+proj=tmerc +lat_0=0 +lon_0=-21 +k=0.9996 +x_0=500000 +y_0=0 +to_meter=1 \
                      +ellps=GRS80 +no_defs";
        assert_eq!((&*told.called, told.definition.as_deref()), ("our own", Some(wanted)));
        assert_eq!(grid("\"Meter\"").map(|told| told.called), Err("our own".to_owned()));
    }
}
