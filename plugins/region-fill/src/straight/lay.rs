//! Sews the cells of a region in the order of a walk, as one thread.

use crate::ground::cells::Door;
use crate::ground::links::Side;
use crate::ground::route::route;
use crate::ground::{Ground, Spot};
use crate::seam::Seam;
use crate::straight::cover::{End, SewnRow, Step, lay};
use crate::straight::lengthwise::{self, Part};
use crate::straight::style::Style;
use crate::straight::walk::Walk;
use hoopwright_sdk::StitchRole;
use hoopwright_sdk::geometry::geo::Coord;
use hoopwright_sdk::geometry::measure::distance;

/// Sews rows over all cells of `walk`, from where `seam` ends, or from `start`, to near `finish`.
pub fn sew(
    ground: &Ground,
    walk: &Walk,
    style: &Style,
    start: Option<Spot>,
    finish: Option<Spot>,
    seam: &mut Seam,
) {
    let links = start.zip(walk.spine.first()).and_then(|(start, first)| {
        let span = ground.cells.end(first.cell, Side::Above);
        ground.way(start, Spot { span, at: start.at })
    });
    let mut sewing = Sewing {
        ground,
        walk,
        style,
        finish,
        here: start.filter(|_| links.is_some()),
        links: links.unwrap_or_default(),
        seam,
    };
    for place in 0..walk.spine.len() {
        sewing.spine_cell(place);
    }
}

/// Sewing under way.
struct Sewing<'a, 's> {
    ground: &'a Ground,
    walk: &'a Walk,
    style: &'a Style,
    finish: Option<Spot>,
    /// Where the thread is.
    here: Option<Spot>,
    /// The links to pass from there before the next needle point.
    links: Vec<usize>,
    seam: &'a mut Seam<'s>,
}

/// A cell being sewn: the branches where its cover begins, all rows but the last, the branches
/// where its cover ends, the last row.
struct Visit {
    cell: usize,
    /// Its rows in the order of sewing; those before `sewn` are done.
    rows: Vec<SewnRow>,
    sewn: usize,
    /// Branches still to be sewn before the first row.
    before_first: Vec<Door>,
    /// Branches still to be sewn before the last row.
    before_last: Vec<Door>,
    /// The door to leave through.
    exit: Option<Door>,
    /// Whether the thread's end is here.
    is_last: bool,
}

impl Sewing<'_, '_> {
    fn spine_cell(&mut self, place: usize) {
        let stage = self.walk.spine[place];
        let next = self.walk.spine.get(place + 1);
        let exit = next.and_then(|next| next.entry);
        let leaves = self
            .walk
            .leaves(place)
            .unwrap_or_else(|| self.best_side(stage.cell));
        let mut visits = vec![self.visit(stage.cell, leaves, exit, next.is_none())];
        // Not recursive: a walk can be deeper than a plugin's stack.
        while let Some(mut visit) = visits.pop() {
            if let Some(branch) = self.step(&mut visit) {
                let back = Door {
                    link: branch.link,
                    to: visit.cell,
                    side: branch.far_side,
                    far_side: branch.side,
                };
                visits.push(visit);
                self.pass(branch.link);
                visits.push(self.visit(branch.to, back.side, Some(back), false));
            } else if let Some(exit) = visit.exit {
                self.pass(exit.link);
            }
        }
    }

    fn visit(&self, cell: usize, leaves: Side, exit: Option<Door>, is_last: bool) -> Visit {
        let spans = &self.ground.cells.cells[cell].spans;
        let row = |&span: &usize| SewnRow::of(self.ground, span, self.style);
        let mut rows: Vec<SewnRow> = spans.iter().filter_map(row).collect();
        if leaves == Side::Above {
            rows.reverse();
        }
        // A thread that ends where it is told to may end in any row: no branch waits for the last.
        let ends_here = is_last && self.end().is_some();
        let (before_last, before_first) = self.walk.branches[cell]
            .iter()
            .partition(|door| door.side == leaves && !ends_here);
        Visit {
            cell,
            rows,
            sewn: 0,
            before_first,
            before_last,
            exit,
            is_last,
        }
    }

    /// Goes on with a visit until a branch is to be sewn, which is returned, or until it is done.
    fn step(&mut self, visit: &mut Visit) -> Option<Door> {
        if let Some(branch) = self.take_nearest(&mut visit.before_first) {
            return Some(branch);
        }
        let count = visit.rows.len();
        let before_last = if visit.before_last.is_empty() {
            count
        } else {
            count.saturating_sub(1)
        };
        if visit.sewn < before_last {
            self.sew_rows(visit, before_last);
        }
        if let Some(branch) = self.take_nearest(&mut visit.before_last) {
            return Some(branch);
        }
        if visit.sewn < count {
            self.sew_rows(visit, count);
        }
        None
    }

    /// The branch whose door is nearest.
    fn take_nearest(&self, doors: &mut Vec<Door>) -> Option<Door> {
        let away = |door: &Door| {
            let (left, right) = self.opening(door.link);
            self.here.map_or(0.0, |here| {
                let x = here.at.x.max(left).min(right);
                (x - here.at.x).abs()
            })
        };
        let (nearest, _) = doors
            .iter()
            .enumerate()
            .min_by(|(_, a), (_, b)| away(a).total_cmp(&away(b)))?;
        Some(doors.swap_remove(nearest))
    }

    /// Where, from left to right, one can pass a link.
    fn opening(&self, link: usize) -> (f64, f64) {
        let link = &self.ground.links[link];
        match &link.bridge {
            Some(way) => (way[0].x, way[0].x),
            None => {
                let [a, b] = link.ends.map(|end| self.ground.rows.spans()[end.span]);
                (a.left.max(b.left), a.right.min(b.right))
            }
        }
    }

    /// Sews the rows of a visit up to, but without, the row `until`.
    fn sew_rows(&mut self, visit: &mut Visit, until: usize) {
        let rows = &visit.rows[visit.sewn..until];
        let last_row = until == visit.rows.len();
        // The last row ends where the next cell lies: what lies beyond that is sewn back, over the way
        // out to it. The way from an underlay lies under the cover wherever it leads.
        let exit = visit
            .exit
            .filter(|_| last_row && self.style.role == StitchRole::Cover);
        let opening = exit.map(|exit| match &self.ground.links[exit.link].bridge {
            None => self.opening(exit.link),
            Some(way) => {
                let here = self.ground.cells.of[self.ground.links[exit.link].ends[0].span];
                let x = if here == visit.cell {
                    way[0].x
                } else {
                    way[way.len() - 1].x
                };
                (x, x)
            }
        });
        if let Some(end) = self.end().filter(|_| visit.is_last && last_row) {
            self.sew_to(rows, end);
            visit.sewn = until;
            return;
        }
        let finish = self.finish.filter(|_| visit.is_last && last_row);
        let parts = if self.ground.rows.all_sewn() && self.style.reach >= 0.0 {
            lengthwise::parts(rows, self.style.shortest)
        } else {
            vec![Part {
                rows: 0..rows.len(),
                lengthwise: false,
            }]
        };
        for part in parts {
            let last = part.rows.end == rows.len();
            let rows = &rows[part.rows];
            if part.lengthwise {
                self.sew_band(rows);
            } else {
                let (opening, finish) = (opening.filter(|_| last), finish.filter(|_| last));
                self.sew_across(rows, opening, finish);
            }
        }
        visit.sewn = until;
    }

    /// Where the cover is to end. An underlay may end anywhere: the way on lies under the cover.
    fn end(&self) -> Option<Spot> {
        self.finish.filter(|_| self.style.role == StitchRole::Cover)
    }

    /// Sews the last rows so that the thread ends at `end`: up to there, then, after a travel
    /// under them, the rows beyond it from the far side back.
    fn sew_to(&mut self, rows: &[SewnRow], end: Spot) {
        let away = |row: &SewnRow| (row.y - end.at.y).abs();
        let nearest = rows
            .iter()
            .enumerate()
            .min_by(|(_, a), (_, b)| away(a).total_cmp(&away(b)));
        let Some((nearest, row)) = nearest else {
            return;
        };
        let x = end.at.x.max(row.left).min(row.right);
        let (before, beyond) = rows.split_at(nearest);
        if beyond.len() == 1 {
            self.sew_across(rows, Some((x, x)), Some(end));
            return;
        }
        if !before.is_empty() {
            self.sew_across(before, None, None);
        }
        let back: Vec<SewnRow> = beyond.iter().rev().copied().collect();
        self.sew_across(&back, Some((x, x)), Some(end));
    }

    /// Sews a narrow band from its first row to its last.
    fn sew_band(&mut self, rows: &[SewnRow]) {
        let way = lengthwise::way(rows);
        let (Some(first), Some(last)) = (rows.first(), rows.last()) else {
            return;
        };
        let (Some(&begin), Some(&end)) = (way.first(), way.last()) else {
            return;
        };
        self.go_to(Spot {
            span: first.span,
            at: begin,
        });
        let leave = |at: Coord<f64>| self.ground.frame.leave(at);
        self.seam.needle(leave(begin), self.style.role);
        for &at in &way[1..way.len() - 1] {
            self.seam.bend(leave(at), self.style.role);
        }
        self.seam.needle(leave(end), self.style.role);
        self.here = Some(Spot {
            span: last.span,
            at: end,
        });
    }

    /// Sews rows back and forth.
    fn sew_across(&mut self, rows: &[SewnRow], opening: Option<(f64, f64)>, finish: Option<Spot>) {
        let start = self.best_end(rows, opening, finish);
        let (Some(first), Some(last)) = (rows.first(), rows.last()) else {
            return;
        };
        self.go_to(Spot {
            span: first.span,
            at: first.end(start),
        });
        for step in lay(self.ground, rows, start, opening, self.style) {
            match step {
                Step::Needle(at) => {
                    self.seam
                        .needle(self.ground.frame.leave(at), self.style.role);
                    self.here = Some(Spot {
                        span: last.span,
                        at,
                    });
                }
                Step::Near(at) => {
                    self.seam
                        .needle_near(self.ground.frame.leave(at), self.style.role);
                    self.here = Some(Spot {
                        span: last.span,
                        at,
                    });
                }
                Step::Bend(at, role) => self.seam.bend(self.ground.frame.leave(at), role),
            }
        }
    }

    /// The end at which to begin the first of `rows`: near where the thread is, and such that the
    /// last row ends near where the thread goes.
    fn best_end(&self, rows: &[SewnRow], opening: Option<(f64, f64)>, finish: Option<Spot>) -> End {
        let (Some(first), Some(last)) = (rows.first(), rows.last()) else {
            return End::Left;
        };
        let cost = |start: End| {
            let entry = self
                .here
                .map_or(0.0, |here| distance(here.at, first.end(start)));
            let end = last.end(start.after(rows.len()));
            let exit = opening.map_or(0.0, |(left, right)| {
                (end.x.max(left).min(right) - end.x).abs()
            });
            entry + exit + finish.map_or(0.0, |finish| 4.0 * distance(end, finish.at))
        };
        if cost(End::Right) < cost(End::Left) {
            End::Right
        } else {
            End::Left
        }
    }

    /// The side at which to end a cell that is the whole spine: near the finish, or else far from
    /// where the thread is.
    fn best_side(&self, cell: usize) -> Side {
        let y = |side: Side| {
            let span = self.ground.cells.end(cell, side);
            self.ground.rows.y(self.ground.rows.spans()[span].row)
        };
        let above_is_nearer =
            |spot: Spot| (y(Side::Above) - spot.at.y).abs() < (y(Side::Below) - spot.at.y).abs();
        match (self.finish, self.here) {
            (Some(finish), _) if above_is_nearer(finish) => Side::Above,
            (Some(_), _) => Side::Below,
            (None, Some(here)) if !above_is_nearer(here) => Side::Above,
            _ => Side::Below,
        }
    }

    /// Notes that a link is to be passed; to pass it and come back is to stay.
    fn pass(&mut self, link: usize) {
        if self.links.last() == Some(&link) {
            self.links.pop();
        } else {
            self.links.push(link);
        }
    }

    /// Travels to a spot.
    fn go_to(&mut self, to: Spot) {
        let links = std::mem::take(&mut self.links);
        if let Some(here) = self.here.filter(|_| !self.seam.is_empty()) {
            let way = route(self.ground, here, &links, to);
            let inner = way.len().saturating_sub(1);
            for &at in way.iter().take(inner) {
                self.bend(at);
            }
        }
        self.here = Some(to);
    }

    fn bend(&mut self, at: Coord<f64>) {
        self.seam
            .bend(self.ground.frame.leave(at), StitchRole::Travel);
    }
}
