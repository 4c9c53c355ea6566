//! Rings cut open and joined end to end, so that all become one closed line.

use hoopwright_sdk::geometry::geo::Coord;
use hoopwright_sdk::geometry::measured::Ring;

/// A place where a ring is cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct End(usize);

#[derive(Clone, Debug)]
struct Loose {
    ring: usize,
    at: f64,
    /// The end across the cut is the one after this one, or else before it.
    opens: bool,
    /// The end it is joined to, and the places passed on the way there.
    joined: Option<(End, Vec<Coord<f64>>)>,
}

/// Cuts of rings, and how their ends are joined.
#[derive(Clone, Debug)]
pub struct Splice<'a> {
    rings: &'a [Ring],
    ends: Vec<Loose>,
    /// The ends that open a cut, by ring.
    cuts: Vec<Vec<usize>>,
}

impl<'a> Splice<'a> {
    /// No ring is cut.
    pub fn new(rings: &'a [Ring]) -> Self {
        Self {
            rings,
            ends: Vec::new(),
            cuts: vec![Vec::new(); rings.len()],
        }
    }

    /// How far the middle of a free stretch, `half` to each side, lies from the nearest cut, in mm
    /// along the ring; nothing where it would touch a cut.
    pub fn room(&self, ring: usize, at: f64, half: f64) -> Option<f64> {
        let all = self.rings[ring].length();
        let mut room = all / 2.0;
        for &cut in &self.cuts[ring] {
            let (from, to) = (self.ends[cut].at, self.ends[cut + 1].at);
            let wide = (to - from).rem_euclid(all);
            let off = (at - from).rem_euclid(all);
            if off <= wide {
                return None;
            }
            room = room.min(off - wide).min(all - off);
        }
        (room > half).then_some(room)
    }

    /// The middle of the longest stretch without a cut.
    pub fn roomiest(&self, ring: usize) -> f64 {
        let all = self.rings[ring].length();
        let mut cuts: Vec<(f64, f64)> = self.cuts[ring]
            .iter()
            .map(|&cut| (self.ends[cut].at, self.ends[cut + 1].at))
            .collect();
        cuts.sort_by(|a, b| a.0.total_cmp(&b.0));
        let gaps = (0..cuts.len()).map(|i| {
            let (from, to) = (cuts[i].1, cuts[(i + 1) % cuts.len()].0);
            let gap = if cuts.len() == 1 {
                all - (cuts[0].1 - from + (cuts[0].1 - cuts[0].0).rem_euclid(all))
            } else {
                (to - from).rem_euclid(all)
            };
            (gap, from + gap / 2.0)
        });
        gaps.max_by(|a, b| a.0.total_cmp(&b.0))
            .map_or(0.0, |(_, middle)| middle)
    }

    /// Takes out the stretch of a ring from `from` forward to `to`; gives the ends before and after it.
    pub fn cut(&mut self, ring: usize, from: f64, to: f64) -> (End, End) {
        let all = self.rings[ring].length();
        let first = self.ends.len();
        self.cuts[ring].push(first);
        for (at, opens) in [(from, true), (to, false)] {
            let at = at.rem_euclid(all);
            self.ends.push(Loose {
                ring,
                at,
                opens,
                joined: None,
            });
        }
        (End(first), End(first + 1))
    }

    /// Joins two ends by way of some places.
    pub fn join(&mut self, a: End, b: End, by: Vec<Coord<f64>>) {
        let mut back = by.clone();
        back.reverse();
        self.ends[a.0].joined = Some((b, by));
        self.ends[b.0].joined = Some((a, back));
    }

    /// The closed line through all rings, as long as joining made one of them. Its last place
    /// repeats the first.
    pub fn line(&self) -> Vec<Coord<f64>> {
        let Some(first) = self.ends.iter().position(|end| !end.opens) else {
            return self
                .rings
                .first()
                .map_or(Vec::new(), |ring| ring.corners().to_vec());
        };
        let sorted: Vec<Vec<usize>> = self
            .cuts
            .iter()
            .map(|cuts| {
                let mut cuts = cuts.clone();
                cuts.sort_by(|&a, &b| self.ends[a].at.total_cmp(&self.ends[b].at));
                cuts
            })
            .collect();
        let mut line = Vec::new();
        let mut here = first;
        for _ in 0..self.ends.len() {
            let start = &self.ends[here];
            let ring = &self.rings[start.ring];
            let cuts = &sorted[start.ring];
            let stop;
            if start.opens {
                // Backward, to where the cut before it closes.
                let place = cuts.iter().position(|&cut| cut == here).unwrap_or(0);
                stop = cuts[(place + cuts.len() - 1) % cuts.len()] + 1;
                let mut piece = ring.piece(self.ends[stop].at, start.at);
                piece.reverse();
                line.extend(piece);
            } else {
                let place = cuts.iter().position(|&cut| cut + 1 == here).unwrap_or(0);
                stop = cuts[(place + 1) % cuts.len()];
                line.extend(ring.piece(start.at, self.ends[stop].at));
            }
            let Some((next, by)) = &self.ends[stop].joined else {
                break;
            };
            line.extend(by);
            here = next.0;
            if here == first {
                break;
            }
        }
        line.dedup();
        line.extend(line.first().copied());
        line
    }
}
