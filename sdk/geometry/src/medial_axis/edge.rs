//! The edge of a region: its rings, and samples of them.

use crate::measured::Ring;
use geo::{Coord, MultiPolygon};

/// The rings of a cleaned region, those of each polygon together.
pub(super) fn rings_of(area: &MultiPolygon<f64>) -> Vec<Ring> {
    area.iter()
        .flat_map(|polygon| std::iter::once(polygon.exterior()).chain(polygon.interiors()))
        .filter_map(Ring::new)
        .filter(|ring| ring.corners().len() > 3)
        .collect()
}

/// Whether two corners of the region, of one ring or two, lie at the same place.
pub(super) fn touches_itself(area: &MultiPolygon<f64>) -> bool {
    let mut corners: Vec<Coord<f64>> = rings_of(area)
        .iter()
        .flat_map(|ring| ring.corners()[1..].to_vec())
        .collect();
    corners.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    corners.windows(2).any(|pair| pair[0] == pair[1])
}

/// A place of the edge that the triangulation joins.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sample {
    pub at: Coord<f64>,
    pub ring: usize,
    pub along: f64,
    /// The next sample of the ring.
    pub next: usize,
    /// The one before.
    pub previous: usize,
}

/// How finely each stretch between two corners is sampled.
pub(super) struct Sampling {
    /// For each ring, its corners' lengths and what was added, rising.
    alongs: Vec<Vec<f64>>,
}

impl Sampling {
    /// All corners, and places between them no more than `step` apart.
    pub fn even(rings: &[Ring], step: f64) -> Self {
        let alongs = rings
            .iter()
            .map(|ring| {
                // A hole too small for the common step still needs a round of samples.
                let step = step.min(ring.length() / 16.0);
                let mut alongs = Vec::new();
                for pair in ring.lengths().windows(2) {
                    divide(pair[0], pair[1], (pair[1] - pair[0]) / step, &mut alongs);
                }
                alongs
            })
            .collect();
        Self { alongs }
    }

    /// Divides the stretch after each sample into the given number of parts.
    pub fn refine(&mut self, rings: &[Ring], parts: &[f64]) {
        let mut sample = 0;
        for (alongs, ring) in self.alongs.iter_mut().zip(rings) {
            let mut finer = Vec::with_capacity(alongs.len());
            for (i, &along) in alongs.iter().enumerate() {
                let end = alongs.get(i + 1).copied().unwrap_or(ring.length());
                divide(along, end, parts[sample], &mut finer);
                sample += 1;
            }
            *alongs = finer;
        }
    }

    pub fn samples(&self, rings: &[Ring]) -> Vec<Sample> {
        let mut samples = Vec::new();
        for (number, (alongs, ring)) in self.alongs.iter().zip(rings).enumerate() {
            let (first, count) = (samples.len(), alongs.len());
            samples.extend(alongs.iter().enumerate().map(|(i, &along)| Sample {
                at: ring.place(along),
                ring: number,
                along,
                next: first + (i + 1) % count,
                previous: first + (i + count - 1) % count,
            }));
        }
        samples
    }
}

/// Adds `start` and the places that divide the stretch up to `end` into `parts`, rounded up.
fn divide(start: f64, end: f64, parts: f64, alongs: &mut Vec<f64>) {
    let parts = parts.ceil().clamp(1.0, 1e6);
    let count = parts as usize;
    alongs.extend((0..count).map(|i| start + (end - start) * i as f64 / parts));
}
