//! Says with few letters what the plotting library says with many.
//!
//! It writes each dash as an element of its own, and each corner by its place on the page.

use std::fmt::Write as _;

/// The same drawing: lines that follow each other in one look are one path, and a corner is told
/// from the one before.
pub(super) fn brief(drawing: &str) -> String {
    let lines: Vec<&str> = drawing.lines().collect();
    let mut brief = String::with_capacity(drawing.len());
    for run in lines.chunk_by(|a, b| look(a).is_some() && look(a) == look(b)) {
        let path = one_path(run).or_else(|| filled(run[0]));
        brief += path.as_deref().unwrap_or(run[0]);
        brief.push('\n');
    }
    brief
}

/// How a line is drawn, and its corners.
fn line(element: &str) -> Option<(&str, &str)> {
    element.strip_prefix("<polyline ")?.strip_suffix("\"/>")?.split_once(" points=\"")
}

fn look(element: &str) -> Option<&str> {
    line(element).map(|(look, _)| look)
}

fn one_path(run: &[&str]) -> Option<String> {
    let steps: Option<String> = run.iter().map(|element| steps(line(element)?.1)).collect();
    Some(format!("<path {} d=\"{}\"/>", look(run.first()?)?, steps?))
}

/// Never made one with its neighbours: where two overlap, they could cut holes in each other.
fn filled(element: &str) -> Option<String> {
    let outline = element.strip_prefix("<polygon ")?.strip_suffix("\"/>")?;
    let (look, corners) = outline.split_once(" points=\"")?;
    Some(format!("<path {look} d=\"{}z\"/>", steps(corners)?))
}

/// `M160 600h200l3-4` for `160,600 360,600 363,596`.
fn steps(corners: &str) -> Option<String> {
    let mut steps = String::new();
    let mut before: Option<(i32, i32)> = None;
    for corner in corners.split_whitespace() {
        let (x, y) = corner.split_once(',')?;
        let (x, y): (i32, i32) = (x.parse().ok()?, y.parse().ok()?);
        let _ = match before.map(|(old_x, old_y)| (x - old_x, y - old_y)) {
            None => write!(steps, "M{x} {y}"),
            Some((right, 0)) => write!(steps, "h{right}"),
            Some((0, down)) => write!(steps, "v{down}"),
            Some((right, up @ ..0)) => write!(steps, "l{right}{up}"),
            Some((right, down)) => write!(steps, "l{right} {down}"),
        };
        before = Some((x, y));
    }
    Some(steps)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_of_one_look_are_one_path_and_fills_stay_apart() {
        let look = "fill=\"none\" stroke=\"#545454\" stroke-width=\"12\"";
        let drawing = format!(
            "<polyline {look} points=\"160,600 360,600 363,596 \"/>\n\
             <polyline {look} points=\"10,20 10,25 12,27 \"/>\n\
             <polygon fill=\"#D4E4EF\" points=\"0,0 5,0 5,5 \"/>\n\
             <polygon fill=\"#D4E4EF\" points=\"1,1 6,1 6,6 \"/>\n\
             <text x=\"1\" y=\"2\">\nBank\n</text>\n"
        );
        assert_eq!(
            brief(&drawing),
            format!(
                "<path {look} d=\"M160 600h200l3-4M10 20v5l2 2\"/>\n\
                 <path fill=\"#D4E4EF\" d=\"M0 0h5v5z\"/>\n\
                 <path fill=\"#D4E4EF\" d=\"M1 1h5v5z\"/>\n\
                 <text x=\"1\" y=\"2\">\nBank\n</text>\n"
            )
        );
    }
}
