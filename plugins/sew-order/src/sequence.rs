//! The whole search, from a design to the order of its objects.

use crate::account;
use crate::arrange::{self, Budget};
use crate::block_task::BlockTask;
use crate::blocks::{self, Task};
use crate::contacts::{Contacts, Hanging};
use crate::cost::{Cost, Costs};
use crate::ends::Ends;
use crate::footprint::Footprint;
use crate::improve::improve;
use crate::phases::{self, Phase};
use crate::precedence::{self, Precedence};
use crate::travel::{self, Choose};
use crate::{CapsOrder, MoveTo, SewOrder, moves};
use hoopwright_sdk::prelude::*;
use std::collections::BTreeMap;

/// Lines drawn at least this wide hide what is sewn beneath them, in mm.
const HIDING_LINE: f64 = 1.0;

/// An order, and what is known of it.
#[derive(Clone, Debug)]
pub struct Sequence {
    /// The places of all objects in the incoming order.
    pub order: Vec<usize>,
    /// Pairs of places of which the first must be sewn before the second, without those that
    /// follow from others.
    pub pairs: Vec<(usize, usize)>,
    /// Thread changes of the order found.
    pub changes: usize,
    /// Thread changes that no order goes below, as far as is known.
    pub least_changes: usize,
    /// Trims between objects of one thread, estimated before there are stitches.
    pub trims: usize,
    /// Trims that no order within the same blocks goes below.
    pub least_trims: usize,
    /// Travel between objects of one thread, in mm.
    pub travel: f64,
}

/// The best order found.
///
/// # Errors
/// When the object that others shall follow is not there, or is to be moved itself.
pub fn best(design: &Design, selected: &[usize], settings: &SewOrder) -> Result<Sequence, Failure> {
    let objects = &design.objects;
    let mut is_selected = vec![false; objects.len()];
    for &place in selected {
        if let Some(flag) = is_selected.get_mut(place) {
            *flag = true;
        }
    }
    let footprints: Vec<Option<Footprint>> = objects.iter().map(Footprint::of).collect();
    let in_drawing = precedence::of_overlaps(&footprints, &is_selected, settings.overlap);
    let by_move = (settings.move_to != MoveTo::Free)
        .then(|| moves::moved(objects, &is_selected, &in_drawing, settings))
        .transpose()?;
    let phases = match by_move {
        Some(_) => vec![Phase::Main; objects.len()],
        None => phases::of(objects, &is_selected, &footprints, &in_drawing, settings),
    };

    // From here on objects are numbered by their ids, so that the result does not hang on the
    // incoming order where several are equally good: ordering twice changes nothing.
    let mut by_id: Vec<usize> = (0..objects.len()).collect();
    by_id.sort_by(|&a, &b| objects[a].id.cmp(&objects[b].id));
    let mut numbers = vec![0; objects.len()];
    for (number, &place) in by_id.iter().enumerate() {
        numbers[place] = number;
    }
    let bound = in_drawing.renumbered(&numbers);
    let phases: Vec<Phase> = by_id.iter().map(|&place| phases[place]).collect();
    let page = page_middle(design);
    let ends: Vec<Ends> = by_id
        .iter()
        .map(|&place| Ends::of(&objects[place], footprints[place].as_ref(), page))
        .collect();
    let covered: Vec<Option<&Footprint>> = by_id
        .iter()
        .map(|&place| footprints[place].as_ref())
        .collect();
    let sizes: Vec<f64> = covered.iter().map(|f| f.map_or(0.0, |f| f.size)).collect();
    let hiding: Vec<bool> = by_id.iter().map(|&place| hides(&objects[place])).collect();
    let contacts = Contacts::of(&covered, &hiding);
    let (threads, thread_count) = thread_numbers(by_id.iter().map(|&place| objects[place].thread));
    let costs = Costs::new(&threads, &ends, &sizes);
    let ground = Ground {
        bound: &bound,
        phases: &phases,
        contacts: &contacts,
        costs: &costs,
        trim_over: settings.trim_over,
    };

    let incoming = numbers.clone();
    let before = ground.judged(&incoming, false);
    let (found, least_changes) = if let Some(order) = by_move {
        let order: Vec<usize> = order.into_iter().map(|place| numbers[place]).collect();
        (ground.judged(&order, false), 0)
    } else {
        let (with_barriers, barrier_threads) = with_barriers(&bound, &phases, &threads);
        let blocks = blocks::fewest(&Task {
            precedence: &with_barriers,
            threads: &barrier_threads,
            thread_count,
        });
        let in_blocks = |choose: &Choose| {
            travel::within_blocks(&blocks.blocks, &bound, &phases, &costs, choose)
        };
        let found = if settings.caps_order == CapsOrder::Free {
            let near = improve(in_blocks(&Choose::Nearest), &bound, &phases, &costs);
            let found = ground.judged(&near, true);
            // An order that is already as good stays.
            if phases_rise(&incoming, &phases) && before.cost.at_most(&found.cost) {
                before.clone()
            } else {
                found
            }
        } else {
            let middle = |f: &Option<&Footprint>| f.map_or(page, |f| f.bounds.center());
            let middles: Vec<Coord<f64>> = covered.iter().map(middle).collect();
            let keys = travel::caps_keys(&middles, settings.caps_order);
            ground.judged(&in_blocks(&Choose::Smallest(&keys)), false)
        };
        (found, blocks.at_least.saturating_sub(1))
    };
    let least = by_move_or(settings, least_changes);
    account::report(before.cost, found.cost, least, found.least_trims);
    let Judged {
        order,
        cost,
        least_trims,
    } = found;
    let pairs = in_drawing.after.iter().enumerate();
    Ok(Sequence {
        order: order.into_iter().map(|number| by_id[number]).collect(),
        pairs: pairs
            .flat_map(|(first, after)| after.iter().map(move |&later| (first, later)))
            .collect(),
        changes: cost.changes,
        least_changes,
        trims: cost.trims,
        least_trims,
        travel: cost.travel,
    })
}

/// The bound on thread changes, which is not reckoned where objects are only moved.
fn by_move_or(settings: &SewOrder, least: usize) -> Option<usize> {
    (settings.move_to == MoveTo::Free).then_some(least)
}

/// An order and what it costs.
#[derive(Clone, Debug)]
struct Judged {
    order: Vec<usize>,
    cost: Cost,
    least_trims: usize,
}

/// What the order of a design is judged by.
struct Ground<'a> {
    bound: &'a Precedence,
    phases: &'a [Phase],
    contacts: &'a Contacts,
    costs: &'a Costs<'a>,
    trim_over: f64,
}

impl Ground<'_> {
    /// What an order costs; arranged anew within its blocks if `arrange` is set.
    fn judged(&self, order: &[usize], arrange: bool) -> Judged {
        let threads = self.costs.threads;
        let mut later = Hanging::nothing(self.contacts.object.len());
        let mut budget = Budget::whole();
        let mut blocks: Vec<Vec<usize>> = Vec::new();
        let (mut trims, mut travel, mut least_trims) = (0, 0.0, 0);
        let same = |a: &usize, b: &usize| threads[*a] == threads[*b];
        let runs: Vec<&[usize]> = order.chunk_by(same).collect();
        for run in runs.iter().rev() {
            let task = self.task(run, &mut later);
            let known: Vec<usize> = (0..run.len()).collect();
            let order = if arrange {
                arrange::best(&task, &known, &mut budget)
            } else {
                known
            };
            let toll = task.toll(&order);
            trims += toll.0;
            travel += toll.1;
            least_trims += task.least_trims();
            blocks.push(order.iter().map(|&one| run[one]).collect());
            for &object in *run {
                for &piece in &self.contacts.of_object[object] {
                    if self.contacts.hides[piece] {
                        later.add(piece, &self.contacts.touching[piece]);
                    }
                }
            }
        }
        blocks.reverse();
        Judged {
            cost: Cost {
                changes: blocks.len().saturating_sub(1),
                trims,
                travel,
            },
            order: blocks.concat(),
            least_trims,
        }
    }

    /// A block, and what its objects must come before.
    fn task(&self, run: &[usize], later: &mut Hanging) -> BlockTask<'_> {
        let number: BTreeMap<usize, usize> = run
            .iter()
            .enumerate()
            .map(|(one, &object)| (object, one))
            .collect();
        let after = run.iter().map(|&object| {
            let bound = self.bound.after[object].iter();
            let bound = bound.filter_map(|later| number.get(later).copied());
            let phase = self.phases[object];
            let by_phase = run.iter().enumerate();
            let by_phase = by_phase.filter(|&(_, &other)| self.phases[other] > phase);
            let mut after: Vec<usize> = bound.chain(by_phase.map(|(one, _)| one)).collect();
            after.sort_unstable();
            after.dedup();
            after
        });
        let after = after.collect();
        BlockTask::new(
            run.to_vec(),
            after,
            self.contacts,
            later,
            self.costs,
            self.trim_over,
        )
    }
}

/// Whether travel can lie hidden beneath an object.
fn hides(object: &Object) -> bool {
    match &object.shape {
        Shape::Region(_) => true,
        Shape::Lines(lines) => lines.width >= HIDING_LINE,
        Shape::Manual => false,
    }
}

fn page_middle(design: &Design) -> Coord<f64> {
    let (least, greatest) = (
        Coord::from(design.page.least),
        Coord::from(design.page.greatest),
    );
    let middle = (least + greatest) / 2.0;
    if middle.x.is_finite() && middle.y.is_finite() {
        middle
    } else {
        Coord::zero()
    }
}

/// Threads numbered from 0 without gaps, by their place on the rack.
fn thread_numbers(threads: impl Iterator<Item = u32>) -> (Vec<usize>, usize) {
    let threads: Vec<u32> = threads.collect();
    let mut numbers: BTreeMap<u32, usize> = threads.iter().map(|&thread| (thread, 0)).collect();
    for (number, entry) in numbers.values_mut().enumerate() {
        *entry = number;
    }
    let numbered = threads.iter().map(|thread| numbers[thread]).collect();
    (numbered, numbers.len())
}

/// Each phase before the next, by one barrier between them rather than by all pairs.
fn with_barriers(
    bound: &Precedence,
    phases: &[Phase],
    threads: &[usize],
) -> (Precedence, Vec<Option<usize>>) {
    let count = bound.len();
    let mut all = bound.clone();
    let mut threads: Vec<Option<usize>> = threads.iter().copied().map(Some).collect();
    if phases.iter().all(|&phase| phase == Phase::Main) {
        return (all, threads);
    }
    let (after_first, before_last) = (count, count + 1);
    all.before.resize(count + 2, Vec::new());
    all.after.resize(count + 2, Vec::new());
    threads.extend([None, None]);
    all.add(after_first, before_last);
    for (place, phase) in phases.iter().enumerate() {
        match phase {
            Phase::First => all.add(place, after_first),
            Phase::Main => {
                all.add(after_first, place);
                all.add(place, before_last);
            }
            Phase::Last => all.add(before_last, place),
        }
    }
    (all, threads)
}

fn phases_rise(order: &[usize], phases: &[Phase]) -> bool {
    order
        .windows(2)
        .all(|pair| phases[pair[0]] <= phases[pair[1]])
}
