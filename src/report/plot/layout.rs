//! Where each panel stands on the page: four in a row, the patches of one crop together.

use super::CropScale;
use super::pen::Place;
use crate::assess::PatchSeason;

/// A page of 720 units prints 190 mm wide: the width of A4 between its margins.
pub(super) const PAGE_WIDTH: f64 = 720.0;
pub(super) const MARGIN: f64 = 16.0;
pub(super) const HEAD_HEIGHT: f64 = 111.0;
const FOOT_HEIGHT: f64 = 8.0;
const PANELS_IN_ROW: usize = 4;
/// Rows of panels on a printed page, under the head and over a caption.
const ROWS_ON_SHEET: usize = 4;
const ROW_HEIGHT: f64 = 172.0;
/// From the top of a row down to where its plots begin; the heights of the crop above the
/// floor and of the cuts that hang below it.
const PLOT_DROP: f64 = 50.0;
const CROP_HEIGHT: f64 = 60.0;
const CUT_HEIGHT: f64 = 34.0;
/// Left of each plot, for the scale's figures, and right of it.
const GUTTER: f64 = 34.0;
const RIGHT_GAP: f64 = 6.0;

pub(super) struct Page<'a> {
    pub width: f64,
    pub height: f64,
    pub runs: Vec<Run<'a>>,
}

/// Panels of one crop side by side in one row.
pub(super) struct Run<'a> {
    pub panels: Vec<(Frame, &'a PatchSeason)>,
    /// Shared by all runs of the crop.
    pub scale: CropScale,
}

/// The plotting ground of one panel, in page units.
#[derive(Clone, Copy, Debug)]
pub(super) struct Frame {
    /// The panel's own left edge: of its titles and of the scale's figures.
    pub edge: f64,
    pub left: f64,
    pub right: f64,
    pub top: f64,
    /// Where the crop stands and the cuts hang.
    pub floor: f64,
    pub bottom: f64,
}

impl<'a> Page<'a> {
    pub(super) fn of(patches: &[&'a PatchSeason]) -> Self {
        let ordered = in_crop_order(patches);
        let mut runs = Vec::new();
        let mut slot = 0;
        for of_crop in ordered.chunk_by(|a, b| a.crop.name == b.crop.name) {
            slot = first_slot(slot, of_crop.len());
            runs.extend(crop_runs(of_crop, slot));
            slot += of_crop.len();
        }
        Self { width: PAGE_WIDTH, height: height_for(slot), runs }
    }
}

/// Of a page with so many panels.
pub(super) fn height_for(panels: usize) -> f64 {
    let rows = panels.div_ceil(PANELS_IN_ROW).max(1);
    HEAD_HEIGHT + rows as f64 * ROW_HEIGHT + FOOT_HEIGHT
}

/// The patches in crop order, parted so that each part fits a printed page.
pub(super) fn sheets(patches: &[PatchSeason]) -> Vec<Vec<&PatchSeason>> {
    const MOST: usize = ROWS_ON_SHEET * PANELS_IN_ROW;
    let ordered = in_crop_order(&patches.iter().collect::<Vec<_>>());
    let mut sheets: Vec<Vec<&PatchSeason>> = Vec::new();
    let mut slot = MOST;
    let crops = ordered.chunk_by(|a, b| a.crop.name == b.crop.name);
    for part in crops.flat_map(|of_crop| of_crop.chunks(MOST)) {
        let first = first_slot(slot, part.len());
        if first + part.len() > MOST {
            sheets.push(Vec::new());
            slot = part.len();
        } else {
            slot = first + part.len();
        }
        if let Some(sheet) = sheets.last_mut() {
            sheet.extend(part);
        }
    }
    sheets
}

/// The patches of one crop together.
pub(super) fn in_crop_order<'a>(patches: &[&'a PatchSeason]) -> Vec<&'a PatchSeason> {
    let mut ordered = patches.to_vec();
    ordered.sort_by(|a, b| (&a.crop.name, &a.patch).cmp(&(&b.crop.name, &b.patch)));
    ordered
}

/// A crop that does not fit into what is left of a row begins the next.
fn first_slot(slot: usize, panels: usize) -> usize {
    let used = slot % PANELS_IN_ROW;
    let fits = used + panels <= PANELS_IN_ROW;
    if used == 0 || fits { slot } else { slot + PANELS_IN_ROW - used }
}

fn crop_runs<'a>(of_crop: &[&'a PatchSeason], first: usize) -> Vec<Run<'a>> {
    let scale = CropScale::of(of_crop.iter().copied());
    let slots: Vec<(usize, &PatchSeason)> = (first..).zip(of_crop.iter().copied()).collect();
    let rows = slots.chunk_by(|a, b| a.0 / PANELS_IN_ROW == b.0 / PANELS_IN_ROW);
    let run = |row: &[(usize, &'a PatchSeason)]| Run {
        panels: row.iter().map(|(slot, patch)| (Frame::at(*slot), *patch)).collect(),
        scale,
    };
    rows.map(run).collect()
}

impl Frame {
    pub(super) fn at(slot: usize) -> Self {
        let (row, column) = ((slot / PANELS_IN_ROW) as f64, (slot % PANELS_IN_ROW) as f64);
        let width = (PAGE_WIDTH - 2.0 * MARGIN) / PANELS_IN_ROW as f64;
        let top = HEAD_HEIGHT + row * ROW_HEIGHT + PLOT_DROP;
        let edge = MARGIN + column * width;
        let floor = top + CROP_HEIGHT;
        Self {
            edge,
            left: edge + GUTTER,
            right: edge + width - RIGHT_GAP,
            top,
            floor,
            bottom: floor + CUT_HEIGHT,
        }
    }

    /// By its part of the season, 0 to 1.
    pub(super) fn across(&self, part: f64) -> f64 {
        self.left + part * (self.right - self.left)
    }

    /// How high the crop stands, by its part of the scale.
    pub(super) fn up(&self, part: f64) -> f64 {
        self.floor - part * (self.floor - self.top)
    }

    /// How deep a cut hangs, by its part of the scale.
    pub(super) fn down(&self, part: f64) -> f64 {
        self.floor + part * (self.bottom - self.floor)
    }
}

/// Where the page's own heading stands.
pub(super) fn head_line(below_top: f64) -> Place {
    (MARGIN, below_top)
}

/// The key's places: four to a line.
pub(super) fn key_place(n: usize, first_line: f64) -> Place {
    const IN_LINE: usize = 4;
    const LINE_HEIGHT: f64 = 15.0;
    let (line, column) = ((n / IN_LINE) as f64, (n % IN_LINE) as f64);
    let width = (PAGE_WIDTH - 2.0 * MARGIN) / IN_LINE as f64;
    (MARGIN + column * width, first_line + line * LINE_HEIGHT)
}
