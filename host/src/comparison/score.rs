//! How near the stitches come to the artwork, in figures.

use super::Drawn;
use crate::preview::capsule::Grid;
use crate::rack::{Colour, distance};
use crate::rounding::rounded;
use serde::Serialize;
use std::collections::BTreeMap;

/// How near the stitches come to the artwork, pixel by pixel inside what is drawn.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Score {
    /// The drawn area, in mm2.
    pub drawn_area: f64,
    /// The share of it where the thread on top is the one wound for the artwork's colour.
    pub right_thread: f64,
    /// The share of it where another thread lies on top.
    pub other_thread: f64,
    /// The share of it where fabric shows.
    pub bare: f64,
    /// Thread where nothing is drawn, as a share of the drawn area.
    pub beyond: f64,
    /// The mean difference (CIEDE2000) between what is seen, thread or fabric, and the threads
    /// wound for the artwork's colours: what sewing loses.
    pub difference_as_wound: f64,
    /// The mean difference (CIEDE2000) between what is seen and the artwork's own colours: what
    /// sewing and the rack lose.
    pub difference_as_drawn: f64,
    /// How fine the look was, in pixels a mm.
    pub pixels_per_mm: f64,
}

/// What became of a pixel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Nothing is drawn and nothing sewn.
    Nothing,
    /// Drawn, and sewn in the thread wound for its colour.
    Right,
    /// Drawn, and sewn in another thread.
    Other,
    /// Drawn, and fabric shows.
    Bare,
    /// Sewn where nothing is drawn.
    Beyond,
}

/// The verdict of each pixel, and what they come to.
pub struct Judged {
    /// Nothing where nothing is drawn.
    pub score: Option<Score>,
    /// Row by row.
    pub verdicts: Vec<Verdict>,
}

/// Judges what is seen, which is `tops` over `fabric`, by what is drawn, which is `art`.
pub fn judge(
    art: &[Option<Colour>],
    tops: &[Option<Colour>],
    drawn: &Drawn<'_>,
    fabric: Colour,
    grid: &Grid,
) -> Judged {
    let mut counts: BTreeMap<(Colour, Option<Colour>), u64> = BTreeMap::new();
    let mut wound: BTreeMap<Colour, Colour> = BTreeMap::new();
    let mut beyond = 0_u64;
    let verdicts = art
        .iter()
        .zip(tops)
        .map(|(art, top)| match (art, top) {
            (None, None) => Verdict::Nothing,
            (None, Some(_)) => {
                beyond += 1;
                Verdict::Beyond
            }
            (Some(art), top) => {
                *counts.entry((*art, *top)).or_default() += 1;
                let wound = *wound.entry(*art).or_insert_with(|| wound_for(*art, drawn));
                match top {
                    None => Verdict::Bare,
                    Some(top) if *top == wound => Verdict::Right,
                    Some(_) => Verdict::Other,
                }
            }
        })
        .collect();
    let score = figures(&counts, &wound, beyond, fabric, grid);
    Judged { score, verdicts }
}

fn figures(
    counts: &BTreeMap<(Colour, Option<Colour>), u64>,
    wound: &BTreeMap<Colour, Colour>,
    beyond: u64,
    fabric: Colour,
    grid: &Grid,
) -> Option<Score> {
    let all: u64 = counts.values().sum();
    if all == 0 {
        return None;
    }
    let mut right = 0;
    let mut bare = 0;
    let (mut as_wound, mut as_drawn) = (0.0, 0.0);
    for ((art, top), count) in counts {
        let wound = wound.get(art).copied().unwrap_or(*art);
        match top {
            None => bare += count,
            Some(top) if *top == wound => right += count,
            Some(_) => {}
        }
        let seen = top.unwrap_or(fabric);
        as_wound += distance(seen, wound) * *count as f64;
        as_drawn += distance(seen, *art) * *count as f64;
    }
    let share = |count: u64| rounded(count as f64 / all as f64, 4);
    Some(Score {
        drawn_area: rounded(all as f64 / (grid.scale * grid.scale), 2),
        right_thread: share(right),
        other_thread: share(all - right - bare),
        bare: share(bare),
        beyond: share(beyond),
        difference_as_wound: rounded(as_wound / all as f64, 2),
        difference_as_drawn: rounded(as_drawn / all as f64, 2),
        pixels_per_mm: grid.scale,
    })
}

/// The thread wound for a colour of the artwork. A colour that no object has, as where the artwork
/// blends two, counts as the nearest that one has.
fn wound_for(art: Colour, drawn: &Drawn<'_>) -> Colour {
    let colours = drawn.read.threads.iter().map(Colour::of);
    let nearest = colours
        .zip(drawn.wound)
        .map(|(colour, wound)| (distance(art, colour), wound))
        .min_by(|a, b| a.0.total_cmp(&b.0));
    nearest.map_or(art, |(_, wound)| *wound)
}

impl Score {
    /// The figures in words, on one line.
    pub fn in_words(&self) -> String {
        let percent = |share: f64| format!("{:.1} %", share * 100.0);
        format!(
            "against the artwork: {} in the right thread, {} in another, {} bare; {} of its \
             area sewn beyond it; mean colour \
             difference {:.1} from the artwork, {:.1} from the threads wound for it (CIEDE2000)",
            percent(self.right_thread),
            percent(self.other_thread),
            percent(self.bare),
            percent(self.beyond),
            self.difference_as_drawn,
            self.difference_as_wound,
        )
    }
}
