//! An order made better by all means, cheapest first.

use crate::cost::{Cost, Costs};
use crate::covers::Scratch;
use crate::exact::{self, Limits, Stretch};
use crate::improve::improve;
use crate::phases::Phase;
use crate::precedence::Precedence;

/// How many beginnings are looked at to find the best order of a whole design.
const WHOLE: usize = 20_000;

/// The longest stretch of an order that is put in its best order at once, in a small design and in
/// a large one.
const STRETCH: usize = 10;
const SHORT_STRETCH: usize = 7;

/// A design of at most so many objects is small.
const SMALL: usize = 300;

/// The best order found, starting from `order`.
pub(crate) fn polished(
    order: Vec<usize>,
    precedence: &Precedence,
    phases: &[Phase],
    costs: &Costs,
) -> Vec<usize> {
    let mut all: Vec<usize> = order.clone();
    all.sort_unstable();
    let whole = Stretch {
        places: &all,
        prior: None,
        next: None,
        later: &vec![false; all.len()],
    };
    let limits = Limits {
        beginnings: WHOLE,
        changes: costs.of(&order).changes,
    };
    if let Some((best, cost)) = exact::best(&whole, precedence, phases, costs, &limits) {
        // Of equals the one that was walked, which begins at the upper left.
        let walked = costs.of(&order).at_most(&cost);
        return if walked { order } else { best };
    }
    let mut order = improve(order, precedence, phases, costs);
    if stretches(&mut order, precedence, phases, costs) {
        order = improve(order, precedence, phases, costs);
    }
    order
}

/// Puts every short stretch in its best order, the last first. True where any got better.
fn stretches(
    order: &mut [usize],
    precedence: &Precedence,
    phases: &[Phase],
    costs: &Costs,
) -> bool {
    let count = order.len();
    let length = if count <= SMALL {
        STRETCH
    } else {
        SHORT_STRETCH
    };
    let mut later = vec![false; count];
    let mut better = false;
    let mut end = count;
    loop {
        let start = end.saturating_sub(length);
        let prior = start.checked_sub(1).and_then(|at| order.get(at)).copied();
        let next = order.get(end).copied();
        let stretch = Stretch {
            places: &order[start..end],
            prior,
            next,
            later: &later,
        };
        let now = cost_of(&stretch, costs);
        let limits = Limits {
            beginnings: usize::MAX,
            changes: now.changes,
        };
        let found = exact::best(&stretch, precedence, phases, costs, &limits);
        if let Some((best, cost)) = found
            && cost.is_under(&now)
        {
            order[start..end].copy_from_slice(&best);
            better = true;
        }
        if start == 0 {
            return better;
        }
        // Half of the stretch is looked at again with what comes before it.
        let kept = end - length.div_ceil(2);
        for &place in &order[kept..end] {
            later[place] = true;
        }
        end = kept;
    }
}

/// What a stretch costs in the order that it has.
fn cost_of(stretch: &Stretch, costs: &Costs) -> Cost {
    let mut scratch = Scratch::default();
    let all = stretch
        .prior
        .iter()
        .chain(stretch.places)
        .chain(&stretch.next);
    let all: Vec<usize> = all.copied().collect();
    let mut cost = Cost::default();
    for (at, pair) in all.windows(2).enumerate() {
        let rest = &all[at + 1..];
        let later = |place: usize| stretch.later[place] || rest.contains(&place);
        cost = cost.and(costs.step(pair[0], pair[1], later, &mut scratch));
    }
    cost
}
