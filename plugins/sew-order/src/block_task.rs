//! One block of one thread: what its objects touch, and what an order of them costs.
//!
//! Nodes are the pieces of the block's objects, and what hangs together under all later blocks as
//! far as it touches any of these.

use crate::contacts::{Contacts, Hanging};
use crate::cost::Costs;
use std::collections::BTreeMap;

/// Trims, and mm of travel.
pub(crate) type Toll = (usize, f64);

/// Objects of one block, numbered from 0, and what is sewn after the block.
pub(crate) struct BlockTask<'a> {
    pub objects: Vec<usize>,
    /// The objects of the block that must come after each.
    pub after: Vec<Vec<usize>>,
    pub costs: &'a Costs<'a>,
    /// A way of at most so many mm needs no trim.
    pub trim_over: f64,
    nodes_of: Vec<Vec<usize>>,
    hides: Vec<bool>,
    touching: Vec<Vec<usize>>,
    /// The nodes that stand for what is sewn after the block.
    later: Vec<usize>,
}

impl<'a> BlockTask<'a> {
    /// `later` is what hangs together of all pieces that are sewn after the block.
    pub fn new(
        objects: Vec<usize>,
        after: Vec<Vec<usize>>,
        contacts: &Contacts,
        later: &mut Hanging,
        costs: &'a Costs<'a>,
        trim_over: f64,
    ) -> Self {
        let mut task = Self {
            nodes_of: Vec::with_capacity(objects.len()),
            objects,
            after,
            costs,
            trim_over,
            hides: Vec::new(),
            touching: Vec::new(),
            later: Vec::new(),
        };
        let mut node_of: BTreeMap<usize, usize> = BTreeMap::new();
        for &object in &task.objects {
            let mut nodes = Vec::new();
            for &piece in &contacts.of_object[object] {
                node_of.insert(piece, task.hides.len());
                nodes.push(task.hides.len());
                task.hides.push(contacts.hides[piece]);
            }
            task.nodes_of.push(nodes);
        }
        task.touching = vec![Vec::new(); task.hides.len()];
        let own: Vec<(usize, usize)> = node_of
            .iter()
            .map(|(&piece, &node)| (piece, node))
            .collect();
        let mut node_of_whole: BTreeMap<usize, usize> = BTreeMap::new();
        for (piece, node) in own {
            for &other in &contacts.touching[piece] {
                let other = match (node_of.get(&other), later.whole(other)) {
                    (Some(&node), _) => node,
                    (None, Some(whole)) => *node_of_whole.entry(whole).or_insert_with(|| {
                        task.hides.push(true);
                        task.touching.push(Vec::new());
                        task.later.push(task.hides.len() - 1);
                        task.hides.len() - 1
                    }),
                    (None, None) => continue,
                };
                task.touching[node].push(other);
                if other >= own_count(&task) {
                    task.touching[other].push(node);
                }
            }
        }
        for touching in &mut task.touching {
            touching.sort_unstable();
            touching.dedup();
        }
        task
    }

    pub fn len(&self) -> usize {
        self.objects.len()
    }

    /// How much an object covers, in mm².
    pub fn size(&self, one: usize) -> f64 {
        self.costs.sizes[self.objects[one]]
    }

    /// The way from one object to another, in mm.
    pub fn way(&self, from: usize, to: usize) -> f64 {
        self.costs.way(self.objects[from], self.objects[to])
    }

    /// A length that the way is never shorter than.
    pub fn way_at_least(&self, from: usize, to: usize) -> f64 {
        self.costs
            .way_at_least(self.objects[from], self.objects[to])
    }

    /// What hangs together when only later blocks are sewn yet: sewing is looked at backwards.
    pub fn end(&self) -> Hanging {
        let mut hanging = Hanging::nothing(self.hides.len());
        for &node in &self.later {
            hanging.add(node, &[]);
        }
        hanging
    }

    /// The object is sewn before all that was added so far.
    pub fn add(&self, hanging: &mut Hanging, one: usize) {
        for &node in &self.nodes_of[one] {
            if self.hides[node] {
                hanging.add(node, &self.touching[node]);
            }
        }
    }

    /// What an object is or touches of all that counts, by number.
    pub fn wholes(&self, hanging: &mut Hanging, one: usize) -> Vec<usize> {
        let mut wholes = Vec::new();
        for &node in &self.nodes_of[one] {
            wholes.extend(hanging.whole(node));
            for &other in &self.touching[node] {
                wholes.extend(hanging.whole(other));
            }
        }
        wholes.sort_unstable();
        wholes.dedup();
        wholes
    }

    /// Whether one object can be sewn right before another without a trim for what they touch:
    /// each other, or one of `wholes`, which are the other's.
    pub fn hangs(&self, hanging: &mut Hanging, one: usize, other: usize, wholes: &[usize]) -> bool {
        let theirs = &self.nodes_of[other];
        self.nodes_of[one].iter().any(|&node| {
            self.touching[node].iter().any(|touched| {
                theirs.contains(touched)
                    || hanging
                        .whole(*touched)
                        .is_some_and(|whole| wholes.binary_search(&whole).is_ok())
            })
        })
    }

    /// What an order costs.
    pub fn toll(&self, order: &[usize]) -> Toll {
        let mut toll = (0, 0.0);
        let mut hanging = self.end();
        for pair in order.windows(2).rev() {
            let (from, to) = (pair[0], pair[1]);
            self.add(&mut hanging, to);
            let way = self.way(from, to);
            toll.1 += way;
            if way > self.trim_over {
                let wholes = self.wholes(&mut hanging, to);
                toll.0 += usize::from(!self.hangs(&mut hanging, from, to, &wholes));
            }
        }
        toll
    }

    /// The trims that no order of the block goes below: the parts that hang together when
    /// everything hides, less one.
    pub fn least_trims(&self) -> usize {
        let (nodes, count) = (self.hides.len(), self.len());
        let mut parts = Hanging::nothing(nodes + count);
        for node in 0..nodes {
            for &other in &self.touching[node] {
                parts.join(node, other);
            }
        }
        for one in 0..count {
            for &node in &self.nodes_of[one] {
                parts.join(nodes + one, node);
            }
            for other in 0..count {
                if one != other
                    && self.way_at_least(one, other) <= self.trim_over
                    && self.way(one, other) <= self.trim_over
                {
                    parts.join(nodes + one, nodes + other);
                }
            }
        }
        parts.roots(nodes..nodes + count).saturating_sub(1)
    }
}

/// How many nodes are pieces of the block's own objects: they come first.
fn own_count(task: &BlockTask) -> usize {
    task.hides.len() - task.later.len()
}
