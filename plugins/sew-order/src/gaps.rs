//! How far the thread must go from each object to the next.

use crate::ends::Ends;
use crate::outline::Outline;
use hoopwright_sdk::geometry::boxes::Boxes;
use hoopwright_sdk::geometry::geo::Rect;
use hoopwright_sdk::geometry::measure::{between_rects, distance};
use hoopwright_sdk::hiding::TOUCH;
use hoopwright_sdk::prelude::*;

/// Gaps up to this, in mm, are measured between the shapes, longer ones between their bounds.
pub(crate) const MEASURED: f64 = 12.0;

/// The gaps between the end of each object and the beginning of every other.
pub(crate) struct Gaps {
    sites: Vec<Site>,
    starts: Vec<Rect<f64>>,
    finishes: Vec<Rect<f64>>,
    /// The measured gaps, by the number of the next object.
    near: Vec<Vec<(usize, f64)>>,
}

/// Where an object lies, and where its sewing may begin and end.
pub(crate) struct Site {
    pub ends: Ends,
    pub outline: Option<Outline>,
}

impl Site {
    /// The bounds of all places where sewing may begin.
    pub fn start(&self) -> Rect<f64> {
        self.bounds_of(self.ends.start)
    }

    /// The bounds of all places where sewing may end.
    pub fn finish(&self) -> Rect<f64> {
        self.bounds_of(self.ends.finish)
    }

    fn bounds_of(&self, end: Option<Coord<f64>>) -> Rect<f64> {
        match (end, &self.outline) {
            (None, Some(outline)) => outline.bounds,
            (Some(place), _) => Rect::new(place, place),
            (None, None) => Rect::new(self.ends.middle, self.ends.middle),
        }
    }

    /// The gap from the end of this object to the beginning of `next`, about `guess` mm.
    fn gap(&self, next: &Self, guess: f64) -> f64 {
        match (
            self.ends.finish,
            next.ends.start,
            &self.outline,
            &next.outline,
        ) {
            (Some(finish), Some(start), ..) => distance(finish, start),
            (Some(place), None, _, Some(outline)) | (None, Some(place), Some(outline), _) => {
                outline.edges.gap_to(place)
            }
            (None, None, Some(from), Some(to)) => from.edges.gap(&to.edges, guess),
            _ => between_rects(&self.finish(), &next.start()),
        }
    }
}

impl Gaps {
    /// Measures the gaps between objects of one thread up to `reach`.
    pub fn of(sites: Vec<Site>, threads: &[usize], reach: f64) -> Self {
        let reach = reach.clamp(TOUCH, MEASURED);
        let starts = Boxes::new(sites.iter().map(Site::start).enumerate());
        let mut near: Vec<Vec<(usize, f64)>> = Vec::with_capacity(sites.len());
        for (from, site) in sites.iter().enumerate() {
            let rect = site.finish();
            let mut gaps = Vec::new();
            for to in starts.near(rect, reach) {
                let next = &sites[to];
                let tells = to != from
                    && threads[from] == threads[to]
                    && between_rects(&rect, &next.start()) <= reach;
                if tells {
                    // The way back is as long where all ends are free.
                    let known = (to < from && site.ends.are_free() && next.ends.are_free())
                        .then(|| found(&near[to], from))
                        .flatten();
                    gaps.push((to, known.unwrap_or_else(|| site.gap(next, reach))));
                }
            }
            near.push(gaps);
        }
        Self {
            starts: sites.iter().map(Site::start).collect(),
            finishes: sites.iter().map(Site::finish).collect(),
            sites,
            near,
        }
    }

    /// How far the thread must go from the end of one object to the beginning of another; beyond
    /// what is measured, no more than that.
    pub fn between(&self, from: usize, to: usize) -> f64 {
        found(&self.near[from], to).unwrap_or_else(|| self.at_least(from, to))
    }

    /// No more than the gap, as quickly as can be told.
    pub fn at_least(&self, from: usize, to: usize) -> f64 {
        between_rects(&self.finishes[from], &self.starts[to])
    }

    /// The objects of the same thread whose gap was measured.
    pub fn near(&self, from: usize) -> &[(usize, f64)] {
        &self.near[from]
    }

    /// Where the objects lie.
    pub fn sites(&self) -> &[Site] {
        &self.sites
    }
}

fn found(gaps: &[(usize, f64)], to: usize) -> Option<f64> {
    let at = gaps.binary_search_by_key(&to, |&(place, _)| place).ok()?;
    gaps.get(at).map(|&(_, gap)| gap)
}
