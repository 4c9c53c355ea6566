//! In which manners a chain can be sewn, and what each costs in travel that nothing hides.
//!
//! A chain that is sewn from end to end leaves the thread where its last line ends. Where that is far
//! from what is still to be sewn, the way there would lie on finished cover. Such a chain is sewn from
//! both its ends towards the place beside what follows: the way from that place to the far end lies
//! under its own second half.

use crate::flow::beside::REACH;
use crate::flow::chains::{Chain, Chains, Run};
use crate::flow::streamlines::Streamlines;
use hoopwright_sdk::geometry::edge_grid::EdgeGrid;
use hoopwright_sdk::geometry::geo::Coord;
use hoopwright_sdk::geometry::measure::distance;

/// To end away from what is sewn later counts so many times as much as to begin away from where the
/// thread is: the way in can be hidden, the way out cannot.
const EXIT: f64 = 8.0;

/// A chain that ends no farther than this from what follows, in mm, is sewn from end to end: a way so
/// short hardly shows.
const SHORT_EXIT: f64 = 3.0;

/// Where two halves meet at the ends of lines, what follows lies no farther away than this, in mm.
const NEAR: f64 = 1.0;

/// No line is cut nearer to its end than this, in mm.
const SHORTEST_PART: f64 = 2.0;

/// Chains' distances are measured at one place in so many.
const SPARSE: usize = 5;

/// A manner to sew a chain.
#[derive(Clone, Copy, Debug)]
pub struct Manner {
    /// Where it begins.
    pub begin: Coord<f64>,
    /// What it costs beside the way to where it begins, in mm.
    pub cost: f64,
    /// The two halves' meeting place, if it is sewn from both ends.
    meeting: Option<Meeting>,
    /// Whether its end is sewn first.
    backward: bool,
}

/// A place in a chain where two halves of it meet.
#[derive(Clone, Copy, Debug)]
struct Meeting {
    /// Which of the chain's runs it lies on.
    run: usize,
    /// The last place of the line that belongs to the first half.
    place: usize,
}

impl Manner {
    /// The two manners to sew a chain after which nothing comes.
    pub fn last(chain: &Chain, lines: &Streamlines) -> Vec<Self> {
        manners(chain, lines, [0.0; 2], None)
    }

    /// All manners to sew a chain after which its `parent` is still to be sewn.
    pub fn before(
        chain: usize,
        parent: usize,
        chains: &Chains,
        lines: &Streamlines,
        edges: &EdgeGrid,
    ) -> Vec<Self> {
        let (runs, later) = (&chains.all[chain], &chains.all[parent]);
        let (Some(first), Some(last)) = (runs.first(), runs.last()) else {
            return Vec::new();
        };
        // From just inside the ends, which may lie on the edge itself.
        let inside = [first.reversed(), *last].map(|run| run.leaves(lines).0);
        let exits = away(inside, later, lines, edges);
        let meeting = (exits[0].min(exits[1]) > SHORT_EXIT)
            .then(|| meeting(chain, parent, chains, lines, edges))
            .flatten();
        manners(runs, lines, exits, meeting)
    }

    /// Whether it begins at the chain's end.
    pub fn is_backward(&self) -> bool {
        self.backward
    }

    /// The runs of the chain as they are sewn.
    pub fn runs(&self, chain: &Chain) -> Vec<Run> {
        let (onward, back) = match self.meeting {
            None => (chain.clone(), Chain::new()),
            Some(meeting) => meeting.halves(chain),
        };
        let back = back.iter().rev().map(Run::reversed);
        match (self.meeting, self.backward) {
            (None, true) => onward.iter().rev().map(Run::reversed).collect(),
            (Some(_), true) => back.chain(onward).collect(),
            (_, false) => onward.iter().copied().chain(back).collect(),
        }
    }
}

fn manners(
    chain: &Chain,
    lines: &Streamlines,
    exits: [f64; 2],
    meeting: Option<(Meeting, f64)>,
) -> Vec<Manner> {
    let (Some(first), Some(last)) = (chain.first(), chain.last()) else {
        return Vec::new();
    };
    let ends = [first.begin(lines), last.end(lines)];
    let mut manners = Vec::new();
    for backward in [false, true] {
        let (begin, far) = (ends[usize::from(backward)], ends[usize::from(!backward)]);
        manners.push(Manner {
            begin,
            cost: EXIT * exits[usize::from(!backward)],
            meeting: None,
            backward,
        });
        if let Some((meeting, away)) = meeting {
            manners.push(Manner {
                begin,
                cost: EXIT * away + distance(meeting.at(chain, lines), far),
                meeting: Some(meeting),
                backward,
            });
        }
    }
    manners
}

impl Meeting {
    fn at(&self, chain: &Chain, lines: &Streamlines) -> Coord<f64> {
        lines.point(chain[self.run].line, self.place)
    }

    /// The chain up to here and from here on.
    fn halves(&self, chain: &Chain) -> (Chain, Chain) {
        let cut = chain[self.run];
        let mut first = chain[..self.run].to_vec();
        first.push(Run {
            to: self.place,
            ..cut
        });
        let mut second = Chain::new();
        if self.place != cut.to {
            let from = if cut.from <= cut.to {
                self.place + 1
            } else {
                self.place - 1
            };
            second.push(Run { from, ..cut });
        }
        second.extend(&chain[self.run + 1..]);
        (first, second)
    }
}

/// How far places lie from a chain, straight through the region; infinitely far where no such way leads to it.
fn away(from: [Coord<f64>; 2], chain: &Chain, lines: &Streamlines, edges: &EdgeGrid) -> [f64; 2] {
    let places: Vec<Coord<f64>> = chain
        .iter()
        .flat_map(|run| run.points(lines).into_iter().step_by(SPARSE))
        .collect();
    let nearer = |a: &(f64, Coord<f64>), b: &(f64, Coord<f64>)| a.0.total_cmp(&b.0);
    from.map(|from| {
        let ways = places.iter().map(|&at| (distance(at, from), at));
        let open = |&(_, at): &(f64, Coord<f64>)| edges.first_meeting(from, at).is_none();
        // Whether the edge stands between is dear to ask. Mostly it does not, of the nearest.
        let nearest = ways.clone().min_by(nearer).filter(open);
        let found = nearest.or_else(|| {
            let mut ways: Vec<_> = ways.collect();
            ways.sort_unstable_by(nearer);
            ways.into_iter().find(open)
        });
        found.map_or(f64::INFINITY, |way| way.0)
    })
}

/// The place of a chain beside its parent from which both its ends are sewn with the least way between
/// them, and how far from the parent that place lies. An end of a line rather than a place amid one.
fn meeting(
    chain: usize,
    parent: usize,
    chains: &Chains,
    lines: &Streamlines,
    edges: &EdgeGrid,
) -> Option<(Meeting, f64)> {
    let runs = &chains.all[chain];
    let ends = [runs.first()?.begin(lines), runs.last()?.end(lines)];
    let beside = |run: Run, reach: f64| {
        let at = run.leaves(lines).0;
        let mut nearest = f64::INFINITY;
        lines.samples.around(at, reach, |i, sample| {
            let line = sample.line as usize;
            let away = distance(sample.at, at);
            if away < nearest
                && chains.of(line, lines.place(line, i)) == Some(parent)
                && edges.first_meeting(at, sample.at).is_none()
            {
                nearest = away;
            }
        });
        (nearest <= reach).then_some(nearest)
    };
    let mut best: Option<(f64, Meeting, f64)> = None;
    let mut see = |run: usize, place: usize, reach: f64| {
        let meeting = Meeting { run, place };
        let at = meeting.at(runs, lines);
        let way = distance(at, ends[0]).min(distance(at, ends[1]));
        if best.is_none_or(|best| way < best.0)
            && let Some(away) = beside(
                Run {
                    to: place,
                    ..runs[run]
                },
                reach,
            )
        {
            best = Some((way, meeting, away));
        }
        best.is_some()
    };
    let mut found = false;
    for (run, its) in runs.iter().enumerate() {
        found |= see(run, its.to, NEAR);
    }
    let spacing = lines.samples.spacing;
    let least = (SHORTEST_PART / spacing) as usize;
    for (run, its) in runs.iter().enumerate().filter(|_| !found) {
        let (low, high) = (its.from.min(its.to), its.from.max(its.to));
        for place in (low + least..high.saturating_sub(least)).step_by(2) {
            see(run, place, REACH * spacing);
        }
    }
    best.map(|(_, meeting, away)| (meeting, away))
}
