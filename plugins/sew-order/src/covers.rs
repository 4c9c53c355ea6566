//! Which travel lies hidden beneath what is sewn later.
//!
//! The way is not laid out, only shown to exist: a chain of objects, each touching the next, that
//! are all sewn later and hide thread. `ties-and-trims` finds the way itself.

use crate::gaps::Gaps;
use crate::outline::Outline;
use hoopwright_sdk::geometry::boxes::Boxes;
use hoopwright_sdk::geometry::geo::Rect;
use hoopwright_sdk::geometry::measure::between_rects;
use hoopwright_sdk::groups::Groups;
use hoopwright_sdk::hiding::TOUCH;
use hoopwright_sdk::prelude::*;

/// Which objects hide thread, and which of them touch.
pub(crate) struct Covers {
    /// The objects that hide thread and touch the end of each object.
    at_finish: Vec<Vec<usize>>,
    /// Those that touch the beginning of each, itself among them.
    at_start: Vec<Vec<usize>>,
    /// Those that touch each one that hides thread.
    touching: Vec<Vec<usize>>,
    bounds: Vec<Option<Rect<f64>>>,
    /// What hangs together where everything that hides thread is counted: a number for each object.
    pieces: Vec<usize>,
}

/// What a search for a way keeps from one to the next, so that memory is taken once.
#[derive(Default)]
pub(crate) struct Scratch {
    seen: Vec<u32>,
    turn: u32,
    /// How many objects were looked at, all in all.
    pub looked_at: usize,
    waiting: Vec<usize>,
}

impl Covers {
    /// Finds what touches. `hide` says which objects hide thread.
    pub fn of(gaps: &Gaps, hide: &[bool]) -> Self {
        let sites = gaps.sites();
        let covers: Vec<Option<&Outline>> = sites
            .iter()
            .zip(hide)
            .map(|(site, &hides)| site.outline.as_ref().filter(|_| hides))
            .collect();
        let bounds: Vec<Option<Rect>> = covers.iter().map(|c| c.map(|c| c.bounds)).collect();
        let boxes = Boxes::new(bounds.iter().copied().enumerate());
        let count = sites.len();
        let mut touching: Vec<Vec<usize>> = Vec::with_capacity(count);
        for (place, site) in sites.iter().enumerate() {
            let mut mine = Vec::new();
            if let Some(outline) = &site.outline {
                for other in boxes.near(outline.bounds, TOUCH) {
                    // What was found once from the other side need not be measured again.
                    let known = (other < place && hide[place])
                        .then(|| touching[other].binary_search(&place).is_ok());
                    let touches = || {
                        covers[other].is_some_and(|cover| cover.edges.meets(&outline.edges, TOUCH))
                    };
                    if other != place && known.unwrap_or_else(touches) {
                        mine.push(other);
                    }
                }
            }
            touching.push(mine);
        }
        let at = |place: usize, end: Option<Coord<f64>>| match end {
            None => touching[place].clone(),
            Some(end) => {
                let mut near = boxes.near(Rect::new(end, end), TOUCH);
                near.retain(|&other| {
                    other != place
                        && covers[other].is_some_and(|cover| cover.edges.reaches(end, TOUCH))
                });
                near
            }
        };
        let at_finish: Vec<Vec<usize>> = (0..count).map(|i| at(i, sites[i].ends.finish)).collect();
        let at_start = (0..count).map(|place| {
            let mut near = at(place, sites[place].ends.start);
            if covers[place].is_some() {
                near.insert(near.partition_point(|&other| other < place), place);
            }
            near
        });
        let at_start: Vec<Vec<usize>> = at_start.collect();
        let mut pieces = Groups::new(count);
        for place in 0..count {
            for &other in at_finish[place].iter().chain(&at_start[place]) {
                pieces.merge(place, other);
            }
        }
        Self {
            at_finish,
            at_start,
            touching,
            bounds,
            pieces: (0..count).map(|place| pieces.of(place)).collect(),
        }
    }

    /// Whether there could be a hidden way at all if enough were sewn later.
    pub fn may_hide(&self, from: usize, to: usize) -> bool {
        self.pieces[from] == self.pieces[to] && !self.at_finish[from].is_empty()
    }

    /// Whether there is a way of no more than `reach` mm, as far as bounds tell, from the end of
    /// `from` to the beginning of `to`, beneath objects that are `later`.
    pub fn hide(
        &self,
        (from, to): (usize, usize),
        gaps: &Gaps,
        reach: f64,
        later: impl Fn(usize) -> bool,
        scratch: &mut Scratch,
    ) -> bool {
        if !self.may_hide(from, to) {
            return false;
        }
        let sites = gaps.sites();
        let (finish, start) = (sites[from].finish(), sites[to].start());
        let near = |cover: usize| {
            self.bounds[cover].as_ref().is_some_and(|bounds| {
                between_rects(bounds, &finish) + between_rects(bounds, &start) <= reach
            })
        };
        scratch.begin(self.touching.len());
        let mut reached = &self.at_finish[from];
        loop {
            scratch.looked_at += reached.len();
            for &cover in reached {
                if scratch.is_new(cover) && later(cover) && near(cover) {
                    if self.at_start[to].binary_search(&cover).is_ok() {
                        return true;
                    }
                    scratch.waiting.push(cover);
                }
            }
            match scratch.waiting.pop() {
                Some(cover) => reached = &self.touching[cover],
                None => return false,
            }
        }
    }

    /// The objects that hide thread and touch the end or the beginning of `place`.
    pub fn at_ends(&self, place: usize) -> impl Iterator<Item = usize> + '_ {
        let ends = self.at_finish[place].iter().chain(&self.at_start[place]);
        ends.copied()
    }

    /// The objects that hide thread and touch `cover`, which does too.
    pub fn touching(&self, cover: usize) -> &[usize] {
        &self.touching[cover]
    }
}

impl Scratch {
    fn begin(&mut self, count: usize) {
        self.waiting.clear();
        self.turn = self.turn.wrapping_add(1);
        if self.seen.len() != count || self.turn == 0 {
            self.seen = vec![0; count];
            self.turn = 1;
        }
    }

    fn is_new(&mut self, place: usize) -> bool {
        let new = self.seen[place] != self.turn;
        self.seen[place] = self.turn;
        new
    }
}
