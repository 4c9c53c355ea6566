//! The order within blocks: the nearest next object, or an order for caps.

use crate::caps::Key;
use crate::cost::Costs;
use crate::covers::Scratch;
use crate::phases::Phase;
use crate::precedence::Precedence;

/// Which object comes next of those that could.
pub(crate) enum Choose<'a> {
    /// The nearest that needs no trim.
    Nearest,
    /// The one with the smallest key.
    Smallest(&'a [Key]),
}

/// All objects in the order of their blocks, each block by phases, and by `choose` within.
pub(crate) fn within_blocks(
    blocks: &[Vec<usize>],
    precedence: &Precedence,
    phases: &[Phase],
    costs: &Costs,
    choose: &Choose,
) -> Vec<usize> {
    let mut walk = Walk {
        order: Vec::with_capacity(precedence.len()),
        sewn: vec![false; precedence.len()],
        is_waiting: vec![false; precedence.len()],
        precedence,
        costs,
        scratch: Scratch::default(),
    };
    for block in blocks {
        for phase in [Phase::First, Phase::Main, Phase::Last] {
            let mut waiting: Vec<usize> = block
                .iter()
                .copied()
                .filter(|&p| phases[p] == phase)
                .collect();
            // So that of equals the same one comes first whatever the search did.
            waiting.sort_unstable();
            walk.visit(waiting, choose);
        }
    }
    walk.order
}

struct Walk<'a> {
    order: Vec<usize>,
    sewn: Vec<bool>,
    is_waiting: Vec<bool>,
    precedence: &'a Precedence,
    costs: &'a Costs<'a>,
    scratch: Scratch,
}

impl Walk<'_> {
    fn visit(&mut self, mut waiting: Vec<usize>, choose: &Choose) {
        for &place in &waiting {
            self.is_waiting[place] = true;
        }
        loop {
            let next = match choose {
                Choose::Nearest => self.beside().or_else(|| self.nearest(&waiting)),
                Choose::Smallest(keys) => self.smallest(&waiting, |place| keys[place]),
            };
            let Some(place) = next else {
                return;
            };
            self.is_waiting[place] = false;
            if let Ok(at) = waiting.binary_search(&place) {
                waiting.remove(at);
            }
            self.sewn[place] = true;
            self.order.push(place);
        }
    }

    fn is_ready(&self, place: usize) -> bool {
        self.precedence.before[place].iter().all(|&b| self.sewn[b])
    }

    /// The nearest within reach without a trim; of those equally near, the one with the fewest
    /// others left beside it (H. von Warnsdorff's rule, 1823): small things that hang on a large one
    /// come before it.
    fn beside(&self) -> Option<usize> {
        let last = *self.order.last()?;
        let left_beside = |place: usize| {
            let near = self.costs.gaps.near(place).iter();
            near.filter(|&&(other, _)| self.is_waiting[other]).count()
        };
        self.costs
            .gaps
            .near(last)
            .iter()
            .filter(|&&(place, gap)| {
                gap <= self.costs.trim_over && self.is_waiting[place] && self.is_ready(place)
            })
            .map(|&(place, gap)| (gap, left_beside(place), place))
            .min_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))))
            .map(|(_, _, place)| place)
    }

    /// The nearest that a hidden way leads to, or else the nearest.
    fn nearest(&mut self, waiting: &[usize]) -> Option<usize> {
        let Some(&last) = self.order.last() else {
            return self.smallest(waiting, |place| {
                let start = self.costs.gaps.sites()[place].start().min();
                [start.x + start.y, 0.0, 0.0]
            });
        };
        let ready = waiting.iter().filter(|&&place| self.is_ready(place));
        let mut ready: Vec<(f64, usize)> = ready
            .map(|&place| (self.costs.gap(last, place), place))
            .collect();
        ready.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let sewn = &self.sewn;
        let hidden = ready.iter().find(|(_, place)| {
            let later = |other: usize| !sewn[other];
            let step = self.costs.step(last, *place, later, &mut self.scratch);
            step.changes == 0 && step.trims == 0
        });
        hidden.or(ready.first()).map(|&(_, place)| place)
    }

    fn smallest(&self, waiting: &[usize], key: impl Fn(usize) -> Key) -> Option<usize> {
        let mut best: Option<(usize, Key)> = None;
        for &place in waiting {
            let key = key(place);
            if best.is_none_or(|(_, least)| key < least) && self.is_ready(place) {
                best = Some((place, key));
            }
        }
        best.map(|(place, _)| place)
    }
}
