//! The stock step `cut-layers`: cuts upper objects out of the lower ones, less an underlap.
//!
//! The way of the data: from the top of the [`stack`] down, each selected object meets the
//! [`upper`]s that lie on it, and with them is a [`piece`] of work that is given out. [`shown`] tells what of it can be seen; a [`region`] keeps that and
//! what lies within the underlap of it, and so does a [`line`](mod@line) along its way, but for what shows only
//! where ends are sewn unlike what is [`drawn`]. A [`border`] may come after the fill that is painted over it. Lines that are too [`fine`] to be uppers are so for lines of
//! their own thread. [`account`] adds up what was done.

mod account;
mod border;
mod drawn;
mod fine;
mod line;
mod piece;
mod region;
mod shown;
mod spikes;
mod stack;
mod upper;

use hoopwright_sdk::prelude::*;

choices! {
    /// Which objects cut what lies beneath them.
    pub enum CutBy {
        /// All objects of the design, also those that the step may not change.
        #[default]
        All,
        /// Only the objects selected for this step.
        Selected,
    }
}

choices! {
    /// When borders are sewn: regions of which only a narrow band shows along the edge of a fill above them,
    /// such as the rim of a badge.
    pub enum Borders {
        /// As painted, before the fill: the ends of its rows lie on the border.
        #[default]
        AsPainted,
        /// After the fill, which goes on beneath the border by `under-borders`: the border covers the ends of
        /// its rows. Where something else lies between the two, the painted order stays.
        AfterFills,
    }
}

settings! {
    /// Cuts upper objects out of the lower ones, less an underlap: how far the lower one goes on
    /// beneath its upper neighbour.
    pub struct CutLayers {
        /// Underlap beneath wide regions, which are sewn as fills. Default 0.8. Stretchy cloth
        /// wants more: 0.8 suits firm woven cloth, 1 to 1.2 pique and jersey, up to 1.5 fleece and
        /// terry. Pull compensation comes on top, in the steps that make the stitches.
        pub under_fills: f64 = 0.8, in "mm", from 0.1 to 5.0;
        /// Underlap beneath narrow regions, which are sewn as satin. Default 0.5; 0.3 to 0.5 is
        /// usual beneath outlines, and up to 1 on stretchy cloth.
        pub under_narrow: f64 = 0.5, in "mm", from 0.1 to 5.0;
        /// Underlap beneath lines. Default 0.5; 0.3 to 0.5 is usual beneath outlines.
        pub under_lines: f64 = 0.5, in "mm", from 0.1 to 5.0;
        /// Regions at least this wide count as fills, all others as narrow; measured as the
        /// largest circle that fits inside. Default 5: set it to the width from which the
        /// pipeline fills regions.
        pub fills_from: f64 = 5.0, in "mm", from 0.5 to 50.0;
        /// Lines drawn at least this wide hide what lies beneath them, and so cut it; finer ones
        /// are sewn on top and cut nothing but lines of their own thread that run along the same
        /// way, as the border that two neighbours share. Default 1.
        pub line_hides_from: f64 = 1.0, in "mm", from 0.3 to 50.0;
        /// When borders are sewn: narrow bands along a fill that is painted over them. Default
        /// `as-painted`; `after-fills` covers the ends of the fill's rows.
        pub borders: Borders = Borders::AsPainted;
        /// How far a fill goes on beneath a border that is sewn after it. Default 0.6: the ends of rows
        /// that run nearly along the border leave gaps of up to half a mm.
        pub under_borders: f64 = 0.6, in "mm", from 0.1 to 5.0;
        /// Which objects cut. Default `all`.
        pub cut_by: CutBy = CutBy::All;
        /// Objects with one of these tags are never cut. Default none.
        pub keep_whole: Vec<String> = Vec::new();
        /// Objects with one of these tags never cut what lies beneath, such as a sheer decoration
        /// that lets the lower thread shine through. Default none.
        pub never_cut: Vec<String> = Vec::new();
        /// Smaller holes and notches, counted after the underlap, are not cut: small details are
        /// sewn on top of the full fill. Default 4.
        pub least_cut_area: f64 = 4.0, in "mm²", from 0.1 to 1000.0;
        /// Holes and gaps narrower than this, counted after the underlap, are not cut. Default 1.5.
        pub least_cut_width: f64 = 1.5, in "mm", from 0.1 to 20.0;
        /// Of a line, a hidden stretch shorter than this, counted after the underlap, is sewn
        /// through, since a stop costs more. Default 3.
        pub least_line_cut: f64 = 3.0, in "mm", from 0.5 to 100.0;
        /// Where what shows of a lower region is a thin crescent, it goes on beneath its upper
        /// neighbour until it is this wide, so that it can be sewn. Default 1.
        pub least_width: f64 = 1.0, in "mm", from 0.3 to 10.0;
        /// What shows of a lower object along an upper one's edge and is narrower than this, no
        /// thread could show: it counts as hidden. Default 0.25.
        pub least_visible_width: f64 = 0.25, in "mm", from 0.02 to 1.0;
        /// A separate piece of which less than this shows is left out. Default 0.1, about a dot of
        /// one thread's width.
        pub least_visible_area: f64 = 0.1, in "mm²", from 0.001 to 10.0;
    }
}

/// Cuts the objects at the places `selected`.
///
/// # Errors
/// None: what cannot be cut stays as it is.
pub fn cut_layers(
    design: Design,
    selected: &[usize],
    settings: &CutLayers,
) -> Result<Design, Failure> {
    let (design, account) = stack::cut(design, selected, settings);
    account.report();
    Ok(design)
}

design_step! {
    name: "cut-layers",
    summary: "Cuts upper objects out of the lower ones, less an underlap.",
    manual: include_str!("../manual.md"),
    settings: CutLayers,
    process: cut_layers,
}

hoopwright_sdk::piece_worker!(CutLayers);
