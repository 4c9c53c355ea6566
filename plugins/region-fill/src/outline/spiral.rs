//! Rings that follow one another without a fork, as a double spiral: in along every second ring,
//! back out between.
//!
//! This is the Fermat spiral of H. Zhao et al., "Connected Fermat spirals for layered fabrication"
//! (SIGGRAPH 2016). All the steps from a ring to the next but one lie side by side, slanting
//! gently, so that the lines go on evenly and none turns back but the innermost and the outermost.

use super::splice::Splice;
use super::tree::Edge;
use hoopwright_sdk::geometry::geo::Coord;
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::geometry::measured::Ring;

/// A step takes this many mm along the line, or this share of a shorter ring.
const STEP: f64 = 3.0;
const STEP_SHARE: f64 = 0.2;

/// How far through the step the outermost turn lies, and how deep between its two rings: so that it
/// fills the corner between the edge and the first step. The innermost mirrors it.
const TURN: f64 = 0.4;
const TURN_DEPTH: f64 = 0.15;

/// The same where there are only two rings, so that no step lies between the two turns.
const TURN_OF_TWO: f64 = 0.55;

/// How far apart the places are that a step is tried at, in mm, and the most of them on a ring.
const TRIES: f64 = 1.5;
const MOST_TRIES: usize = 64;

/// Runs of rings that follow one another inward without a fork, each from the outside; what is
/// left of `edges` comes second.
pub fn chains(rings: usize, edges: &[Edge]) -> (Vec<Vec<usize>>, Vec<Edge>) {
    let (mut inward, mut outward) = (vec![0usize; rings], vec![0usize; rings]);
    for edge in edges.iter().filter(|edge| edge.nested) {
        inward[edge.outer] += 1;
        outward[edge.inner] += 1;
    }
    let (along, forks): (Vec<Edge>, Vec<Edge>) = edges
        .iter()
        .partition(|edge| edge.nested && inward[edge.outer] == 1 && outward[edge.inner] == 1);
    let (mut next, mut first) = (vec![None; rings], vec![true; rings]);
    for edge in &along {
        next[edge.outer] = Some(edge.inner);
        first[edge.inner] = false;
    }
    let chains = (0..rings)
        .filter(|&ring| first[ring])
        .map(|ring| std::iter::successors(Some(ring), |&ring| next[ring]).collect())
        .collect();
    (chains, forks)
}

/// A stretch of a ring.
struct Stretch<'a> {
    ring: &'a Ring,
    from: f64,
    wide: f64,
}

impl Stretch<'_> {
    fn place(&self, share: f64) -> Coord<f64> {
        self.ring.place(self.from + self.wide * share)
    }
}

fn blend(a: Coord<f64>, b: Coord<f64>, share: f64) -> Coord<f64> {
    a + (b - a) * share
}

/// Winds the rings of a chain into one closed line, stepping near `wanted` where that is known.
pub fn wind(rings: &[Ring], chain: &[usize], wanted: Option<Coord<f64>>, splice: &mut Splice) {
    let Some(&deepest) = chain.last().filter(|_| chain.len() > 1) else {
        return;
    };
    // Outward, the nearest places lie on a straight line across all rings.
    let mut at = straightest(&rings[deepest], wanted);
    let mut stretches = Vec::with_capacity(chain.len());
    let mut ends = Vec::with_capacity(chain.len());
    for (i, &ring) in chain.iter().enumerate().rev() {
        let wide = STEP.min(rings[ring].length() * STEP_SHARE);
        let from = at - wide / 2.0;
        let stretch = Stretch {
            ring: &rings[ring],
            from,
            wide,
        };
        ends.push(splice.cut(ring, from, from + wide));
        if i > 0 {
            at = rings[chain[i - 1]].nearest(rings[ring].place(at));
        }
        stretches.push(stretch);
    }
    stretches.reverse();
    ends.reverse();
    for k in 0..chain.len().saturating_sub(2) {
        let (a, b) = (&stretches[k], &stretches[k + 2]);
        let steps = (1..8).map(|i| f64::from(i) / 8.0);
        let by = steps
            .map(|share| blend(a.place(share), b.place(share), share))
            .collect();
        splice.join(ends[k].0, ends[k + 2].1, by);
    }
    let last = chain.len() - 1;
    let (share, depth) = if last == 1 {
        (TURN_OF_TWO, 0.5)
    } else {
        (TURN, TURN_DEPTH)
    };
    let turn = |near: usize, far: usize, share: f64| {
        let (near, far) = (stretches[near].place(share), stretches[far].place(share));
        vec![blend(near, far, depth)]
    };
    splice.join(
        ends[last].0,
        ends[last - 1].0,
        turn(last, last - 1, 1.0 - share),
    );
    splice.join(ends[0].1, ends[1].1, turn(0, 1, share));
}

/// The middle of a stretch as straight as any, and near `wanted` where several are.
fn straightest(ring: &Ring, wanted: Option<Coord<f64>>) -> f64 {
    let half = STEP.min(ring.length() * STEP_SHARE) / 2.0;
    let bent = |at: f64| {
        let chord = distance(ring.place(at - half), ring.place(at + half));
        let off = wanted.map_or(0.0, |wanted| distance(wanted, ring.place(at)));
        (1.0 - chord / (2.0 * half)) + 1e-3 * off
    };
    let tries = ring.samples(TRIES, MOST_TRIES).map(|at| (bent(at), at));
    tries
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map_or(0.0, |(_, at)| at)
}
