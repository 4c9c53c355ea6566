//! The order within a block: fewest trims, then least travel.
//!
//! Blocks are looked at from the last to the first, and so are the objects within each: what is
//! sewn later is what hides. Small blocks are solved by an exact dynamic programme over the sets of
//! objects sewn last (M. Held and R. Karp 1962); larger ones are grown backwards by the nearest
//! object that needs no trim, and then made better by moving one object at a time (or-opt).

use crate::block_task::{BlockTask, Toll};

/// The most objects for the exact search.
const EXACT: usize = 12;

/// How many sets of objects the exact searches of a whole design may look at: a bound on time.
const SETS: usize = 30_000;

/// How many steps the moves of a whole design may look at.
const STEPS: usize = 3_000_000;

/// So many objects are tried as the last of a block, at the most.
const LAST_TRIED: usize = 6;

/// Of a block of more objects than this only the largest and the smallest are tried as its last.
const LARGE: usize = 200;

/// What the search may still spend on a design.
pub(crate) struct Budget {
    sets: usize,
    steps: usize,
}

impl Budget {
    pub fn whole() -> Self {
        Self {
            sets: SETS,
            steps: STEPS,
        }
    }
}

/// The best order found for a block; of a small one, the best of all. `known` is an order that keeps the
/// precedence.
pub(crate) fn best(task: &BlockTask, known: &[usize], budget: &mut Budget) -> Vec<usize> {
    let count = task.len();
    if count <= 1 {
        return known.to_vec();
    }
    if count <= EXACT && 1 << count <= budget.sets {
        budget.sets -= 1 << count;
        return exact(task);
    }
    let mut found = (task.toll(known), known.to_vec());
    for last in lasts(task) {
        let order = grown(task, last);
        let toll = task.toll(&order);
        if less(toll, found.0) {
            found = (toll, order);
        }
    }
    moved(task, found.1, found.0, budget)
}

/// Whether one toll is less than another by more than rounding.
fn less(a: Toll, b: Toll) -> bool {
    a.0 < b.0 || a.0 == b.0 && a.1 < b.1 - 1e-6
}

/// Objects that may be last: the largest and the smallest of those that nothing must follow.
fn lasts(task: &BlockTask) -> Vec<usize> {
    let mut free: Vec<usize> = (0..task.len())
        .filter(|&one| task.after[one].is_empty())
        .collect();
    free.sort_by(|&a, &b| task.size(b).total_cmp(&task.size(a)).then(a.cmp(&b)));
    let tried = if task.len() > LARGE { 2 } else { LAST_TRIED };
    if free.len() > tried {
        free.drain(tried / 2..free.len() - tried / 2);
    }
    free
}

/// An order grown backwards from its last object.
fn grown(task: &BlockTask, last: usize) -> Vec<usize> {
    let count = task.len();
    let mut left: Vec<usize> = task.after.iter().map(Vec::len).collect();
    let mut before: Vec<Vec<usize>> = vec![Vec::new(); count];
    for (one, after) in task.after.iter().enumerate() {
        for &other in after {
            before[other].push(one);
        }
    }
    let mut open: Vec<usize> = (0..count).filter(|&one| left[one] == 0).collect();
    let mut hanging = task.end();
    let mut order = Vec::with_capacity(count);
    let mut next = Some(last);
    while let Some(now) = next {
        order.push(now);
        task.add(&mut hanging, now);
        open.retain(|&one| one != now);
        for &one in &before[now] {
            left[one] -= 1;
            if left[one] == 0 {
                open.push(one);
            }
        }
        let wholes = task.wholes(&mut hanging, now);
        // Of equals the smaller one is sewn later: large to small.
        let mut best: Option<(usize, bool, f64)> = None;
        for &one in &open {
            let near = task.way_at_least(one, now);
            if best.is_some_and(|(_, trim, least)| !trim && near > least) {
                continue;
            }
            let hangs = task.hangs(&mut hanging, one, now, &wholes);
            let worse = |trim: bool, way: f64| {
                best.is_some_and(|(_, least_trim, least)| (least_trim, least) < (trim, way))
            };
            if worse(!hangs && near > task.trim_over, near) {
                continue;
            }
            let way = task.way(one, now);
            let trim = !hangs && way > task.trim_over;
            let equal = best.is_some_and(|(_, t, w)| t == trim && (w - way).abs() < 1e-9);
            let smaller = || best.is_some_and(|(other, ..)| task.size(one) < task.size(other));
            if !worse(trim, way) && (!equal || smaller()) {
                best = Some((one, trim, way));
            }
        }
        next = best.map(|(one, ..)| one);
    }
    order.reverse();
    order
}

/// The order after moving one object at a time, as long as that costs less.
fn moved(task: &BlockTask, mut order: Vec<usize>, toll: Toll, budget: &mut Budget) -> Vec<usize> {
    let mut least = toll;
    let count = order.len();
    loop {
        let mut better = false;
        for from in 0..count {
            for to in 0..count {
                if budget.steps < count {
                    return order;
                }
                if to == from || !may_move(task, &order, from, to) {
                    continue;
                }
                budget.steps -= count;
                shift(&mut order, from, to);
                let toll = task.toll(&order);
                if less(toll, least) {
                    least = toll;
                    better = true;
                    break;
                }
                shift(&mut order, to, from);
            }
        }
        if !better {
            return order;
        }
    }
}

fn shift(order: &mut [usize], from: usize, to: usize) {
    if from < to {
        order[from..=to].rotate_left(1);
    } else {
        order[to..=from].rotate_right(1);
    }
}

fn may_move(task: &BlockTask, order: &[usize], from: usize, to: usize) -> bool {
    let one = order[from];
    if from < to {
        order[from + 1..=to]
            .iter()
            .all(|other| !task.after[one].contains(other))
    } else {
        order[to..from]
            .iter()
            .all(|&other| !task.after[other].contains(&one))
    }
}

/// The best of all orders.
fn exact(task: &BlockTask) -> Vec<usize> {
    let count = task.len();
    let must: Vec<usize> = task
        .after
        .iter()
        .map(|after| after.iter().fold(0, |set, &one| set | 1 << one))
        .collect();
    // For each set sewn last and each first object of it: the least toll, and what follows.
    let mut best: Vec<Option<(Toll, Option<usize>)>> = vec![None; (1 << count) * count];
    for one in (0..count).filter(|&one| must[one] == 0) {
        best[(1 << one) * count + one] = Some(((0, 0.0), None));
    }
    for set in 1..1usize << count {
        let within = |one: usize| set >> one & 1 == 1;
        if (0..count).all(|first| best[set * count + first].is_none()) {
            continue;
        }
        let mut hanging = task.end();
        for one in (0..count).filter(|&one| within(one)) {
            task.add(&mut hanging, one);
        }
        for first in 0..count {
            let Some((toll, _)) = best[set * count + first] else {
                continue;
            };
            let wholes = task.wholes(&mut hanging, first);
            for one in 0..count {
                if within(one) || must[one] & !set != 0 {
                    continue;
                }
                let way = task.way(one, first);
                let trim = way > task.trim_over && !task.hangs(&mut hanging, one, first, &wholes);
                let toll = (toll.0 + usize::from(trim), toll.1 + way);
                let place = &mut best[(set | 1 << one) * count + one];
                if place.is_none_or(|(least, _)| less(toll, least)) {
                    *place = Some((toll, Some(first)));
                }
            }
        }
    }
    // Of equals the order that begins with the larger object.
    let all = (1 << count) - 1;
    let mut first: Option<(Toll, usize)> = None;
    for one in 0..count {
        if let Some((toll, _)) = best[all * count + one] {
            let better = first.is_none_or(|(least, other)| {
                less(toll, least) || !less(least, toll) && task.size(one) > task.size(other)
            });
            if better {
                first = Some((toll, one));
            }
        }
    }
    let (mut order, mut set) = (Vec::with_capacity(count), all);
    let mut next = first.map(|(_, one)| one);
    while let Some(one) = next {
        order.push(one);
        next = best[set * count + one].and_then(|(_, following)| following);
        set &= !(1 << one);
    }
    order
}
