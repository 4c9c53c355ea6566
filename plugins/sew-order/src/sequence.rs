//! The whole search, from a design to the order of its objects.

use crate::blocks::{self, Task};
use crate::caps::{self, Key};
use crate::cost::{Cost, Costs};
use crate::covers::Covers;
use crate::ends::Ends;
use crate::footprint::Footprint;
use crate::gaps::{Gaps, Site};
use crate::moved::{self, End};
use crate::outline::Outline;
use crate::phases::{self, Phase};
use crate::polish;
use crate::precedence::{self, Precedence};
use crate::travel::{self, Choose};
use crate::{CapsOrder, MoveSelected, SewOrder};
use hoopwright_sdk::geometry::geo::Rect;
use hoopwright_sdk::hiding::will_hide_from;
use hoopwright_sdk::prelude::*;
use hoopwright_sdk::selection;
use std::collections::BTreeMap;

/// An order of a design's objects, with what it costs.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// The objects, by their places in the incoming order.
    pub order: Vec<usize>,
    /// Which must be sewn before which, by overlap or because neither was selected: pairs of places
    /// in the incoming order. Pairs that follow from others are left out.
    pub before: Vec<(usize, usize)>,
    /// What the incoming order costs.
    pub incoming: Cost,
    /// What this one costs.
    pub reached: Cost,
    /// What no order goes below, as far as is known: thread changes over all orders, trims over
    /// those with the same blocks of one thread.
    pub at_least: Cost,
}

/// The best order found.
pub fn plan(design: &Design, selected: &[usize], settings: &SewOrder) -> Plan {
    let objects = &design.objects;
    let is_selected = selection::flags(objects.len(), selected);
    let footprints: Vec<Option<Footprint>> = objects.iter().map(Footprint::of).collect();
    let end = match settings.move_selected {
        MoveSelected::ByCost => None,
        MoveSelected::First => Some(End::Beginning),
        MoveSelected::Last => Some(End::End),
    };
    let free = if end.is_some() {
        // What is moved by hand passes whatever it does not overlap.
        vec![true; objects.len()]
    } else {
        is_selected.clone()
    };
    let will_hide = |object: &Object| will_hide_from(object, settings.line_hides_from);
    let hide: Vec<bool> = objects.iter().map(will_hide).collect();
    let covers = objects.iter().zip(&hide);
    // A line too narrow to hide travel is sewn over its stroke all the same, unless it is sewn otherwise.
    let covers: Vec<bool> = covers
        .map(|(object, &hides)| hides || object.stitches.is_empty())
        .collect();
    let bound = precedence::of_overlaps(&footprints, &covers, &free, settings.overlap);
    let moved = end.map(|end| moved::to(end, objects, &is_selected, &bound));
    let pairs = bound.pairs();
    let phases = if moved.is_some() {
        vec![Phase::Main; objects.len()]
    } else {
        phases::of(objects, &is_selected, &footprints, &bound, settings)
    };

    // From here on objects are numbered by their ids, so that the result does not hang on the
    // incoming order where several are equally good: ordering twice changes nothing.
    let mut by_id: Vec<usize> = (0..objects.len()).collect();
    by_id.sort_by(|&a, &b| objects[a].id.cmp(&objects[b].id));
    let mut numbers = vec![0; objects.len()];
    for (number, &place) in by_id.iter().enumerate() {
        numbers[place] = number;
    }
    let bound = bound.renumbered(&numbers);
    let phases: Vec<Phase> = by_id.iter().map(|&place| phases[place]).collect();
    let page = page_middle(design);
    let middle = |place: usize| footprints[place].as_ref().map(|f| f.bounds.center());
    let sites = by_id.iter().map(|&place| Site {
        ends: Ends::of(&objects[place], middle(place), page),
        outline: footprints[place]
            .as_ref()
            .and_then(|f| Outline::of(&f.area)),
    });
    let (threads, thread_count) = thread_numbers(by_id.iter().map(|&place| objects[place].thread));
    let gaps = Gaps::of(sites.collect(), &threads, settings.trim_over);
    let hide: Vec<bool> = by_id.iter().map(|&place| hide[place]).collect();
    let covers = Covers::of(&gaps, &hide);
    let costs = Costs {
        threads: &threads,
        gaps: &gaps,
        covers: &covers,
        trim_over: settings.trim_over,
        hidden_travel: settings.hidden_travel,
    };

    if let Some(order) = moved {
        let numbered: Vec<usize> = order.iter().map(|&place| numbers[place]).collect();
        return Plan {
            incoming: costs.of(&numbers),
            reached: costs.of(&numbered),
            at_least: Cost::default(),
            before: pairs,
            order,
        };
    }
    let (with_barriers, barrier_threads) = with_barriers(&bound, &phases, &threads);
    let blocks = blocks::fewest(&Task {
        precedence: &with_barriers,
        threads: &barrier_threads,
        thread_count,
    });
    let incoming = numbers;
    let before = costs.of(&incoming);
    let walk =
        |choose: &Choose| travel::within_blocks(&blocks.blocks, &bound, &phases, &costs, choose);
    let on_cap = |key: fn(&Rect<f64>, f64) -> Key| {
        let place_of = |place: &usize| {
            let bounds = footprints[*place].as_ref().map(|f| f.bounds);
            bounds.unwrap_or_else(|| Rect::new(page, page))
        };
        let keys = by_id.iter().map(|place| key(&place_of(place), page.x));
        walk(&Choose::Smallest(&keys.collect::<Vec<Key>>()))
    };
    let order = match settings.caps_order {
        CapsOrder::Free => {
            let found = polish::polished(walk(&Choose::Nearest), &bound, &phases, &costs);
            // An order that is already as good stays.
            if phases_rise(&incoming, &phases) && before.at_most(&costs.of(&found)) {
                incoming
            } else {
                found
            }
        }
        CapsOrder::CentreOut => on_cap(caps::centre_out),
        CapsOrder::BottomUp => on_cap(caps::bottom_up),
    };
    let at_least = Cost {
        changes: blocks.at_least.saturating_sub(1),
        trims: costs.fewest_trims(&order),
        travel: 0.0,
    };
    Plan {
        incoming: before,
        reached: costs.of(&order),
        at_least,
        before: pairs,
        order: order.into_iter().map(|number| by_id[number]).collect(),
    }
}

fn page_middle(design: &Design) -> Coord<f64> {
    let middle = design.page.middle();
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
