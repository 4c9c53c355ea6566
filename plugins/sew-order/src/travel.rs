//! The order within blocks: the nearest next object, or an order for caps.

use crate::CapsOrder;
use crate::cost::Costs;
use crate::phases::Phase;
use crate::precedence::Precedence;
use hoopwright_sdk::prelude::*;

/// Which object comes next of those that could.
pub(crate) enum Choose<'a> {
    /// The one that starts nearest.
    Nearest,
    /// The one with the smallest key.
    Smallest(&'a [(f64, f64)]),
}

/// All objects in the order of their blocks, each block by phases, and by `choose` within.
pub(crate) fn within_blocks(
    blocks: &[Vec<usize>],
    precedence: &Precedence,
    phases: &[Phase],
    costs: &Costs,
    choose: &Choose,
) -> Vec<usize> {
    let mut order: Vec<usize> = Vec::with_capacity(precedence.len());
    let mut sewn = vec![false; precedence.len()];
    for block in blocks {
        for phase in [Phase::First, Phase::Main, Phase::Last] {
            let mut waiting: Vec<usize> = block
                .iter()
                .copied()
                .filter(|&p| phases[p] == phase)
                .collect();
            // So that of equals the same one comes first whatever the search did.
            waiting.sort_unstable();
            while let Some(at) = next_of(
                &waiting,
                order.last().copied(),
                &sewn,
                precedence,
                costs,
                choose,
            ) {
                let place = waiting.remove(at);
                sewn[place] = true;
                order.push(place);
            }
        }
    }
    order
}

fn next_of(
    waiting: &[usize],
    last: Option<usize>,
    sewn: &[bool],
    precedence: &Precedence,
    costs: &Costs,
    choose: &Choose,
) -> Option<usize> {
    let mut best: Option<(usize, (f64, f64))> = None;
    for (at, &place) in waiting.iter().enumerate() {
        let key = match choose {
            Choose::Nearest => {
                let [least, _] = costs.ends[place].start.bounds();
                let way = |last| costs.way_at_least(last, place);
                (last.map_or(least.x + least.y, way), 0.0)
            }
            Choose::Smallest(keys) => keys[place],
        };
        if best.is_none_or(|(_, least)| key < least)
            && precedence.before[place].iter().all(|&b| sewn[b])
        {
            best = Some((at, key));
        }
    }
    best.map(|(at, _)| at)
}

/// The keys by which objects follow each other on a cap, given their middles. Smaller is earlier.
pub(crate) fn caps_keys(middles: &[Coord<f64>], order: CapsOrder) -> Vec<(f64, f64)> {
    let least = middles.iter().map(|m| m.x).fold(f64::INFINITY, f64::min);
    let most = middles
        .iter()
        .map(|m| m.x)
        .fold(f64::NEG_INFINITY, f64::max);
    let seam = (least + most) / 2.0;
    middles
        .iter()
        .map(|m| match order {
            // y grows down, so the brim has the largest.
            CapsOrder::BottomUp => (-m.y, (m.x - seam).abs()),
            CapsOrder::CentreOut | CapsOrder::Free => ((m.x - seam).abs(), -m.y),
        })
        .collect()
}
