//! Needle points along the rows of a cell.

use crate::ground::Ground;
use crate::straight::style::Style;
use hoopwright_sdk::StitchRole;
use hoopwright_sdk::geometry::geo::Coord;
use hoopwright_sdk::geometry::measure::distance;

/// An end of a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// Toward smaller x.
    Left,
    /// Toward larger x.
    Right,
}

impl End {
    /// The other end.
    pub fn opposite(self) -> Self {
        match self {
            Self::Left => Self::Right,
            Self::Right => Self::Left,
        }
    }

    /// The end at which the last of `rows` rows ends, when the first begins here and each begins
    /// where the one before it ended.
    pub fn after(self, rows: usize) -> Self {
        if rows.is_multiple_of(2) {
            self
        } else {
            self.opposite()
        }
    }

    /// Of two things, the left one and the right one, the one at this end.
    fn of<T>(self, both: &mut [T; 2]) -> &mut T {
        match self {
            Self::Left => &mut both[0],
            Self::Right => &mut both[1],
        }
    }

    /// +1 to the right, -1 to the left.
    fn outward(self) -> f64 {
        match self {
            Self::Left => -1.0,
            Self::Right => 1.0,
        }
    }
}

/// A row as it is sewn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SewnRow {
    /// Its span.
    pub span: usize,
    /// Its number among the sewn rows of the region, which staggers its needle points.
    pub number: usize,
    /// Where it lies, in mm.
    pub y: f64,
    /// Where it begins, in mm, with pull compensation.
    pub left: f64,
    /// Where it ends, in mm, with pull compensation.
    pub right: f64,
}

impl SewnRow {
    /// The row of a span, or nothing where the span is not sewn.
    pub fn of(ground: &Ground, span: usize, style: &Style) -> Option<Self> {
        let row = ground.rows.spans()[span].row;
        let number = ground.rows.sewn(row)?;
        let (left, right) = reach(ground, span, style);
        if style.reach < 0.0 && right - left < style.shortest {
            return None;
        }
        Some(Self {
            span,
            number,
            y: ground.rows.y(row),
            left,
            right,
        })
    }

    /// How long it is, in mm.
    pub fn width(&self) -> f64 {
        self.right - self.left
    }

    /// One of its ends.
    pub fn end(&self, end: End) -> Coord<f64> {
        let x = match end {
            End::Left => self.left,
            End::Right => self.right,
        };
        Coord { x, y: self.y }
    }
}

/// Where the ends of a span are sewn: moved out by the pull compensation, but no farther than half
/// way to the next span, and moved out a little more where the row would be too short to sew.
/// Moved in, they stop at the middle.
fn reach(ground: &Ground, span: usize, style: &Style) -> (f64, f64) {
    /// Rows are widened toward this length in mm, by at most [`WIDER`] at each end.
    const SEWABLE: f64 = 0.5;
    const WIDER: f64 = 0.15;
    let spans = ground.rows.spans();
    let here = spans[span];
    let width = here.right - here.left;
    if style.reach < 0.0 {
        let by = (-style.reach).min(width / 2.0);
        return (here.left + by, here.right - by);
    }
    let short = (SEWABLE - width - 2.0 * style.reach).max(0.0) / 2.0;
    let by = style.reach + short.min(WIDER);
    let row = ground.rows.in_row(here.row);
    let gap_left = if span > row.start {
        here.left - spans[span - 1].right
    } else {
        f64::INFINITY
    };
    let gap_right = if span + 1 < row.end {
        spans[span + 1].left - here.right
    } else {
        f64::INFINITY
    };
    (
        here.left - by.min(gap_left / 2.0),
        here.right + by.min(gap_right / 2.0),
    )
}

/// A needle point or a bend of the way to one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Step {
    /// The needle goes down.
    Needle(Coord<f64>),
    /// The needle goes down here, or nearby where that makes a better stitch: at a tip narrower
    /// than the shortest stitch.
    Near(Coord<f64>),
    /// The thread passes here on its way to the next needle point.
    Bend(Coord<f64>, StitchRole),
}

/// The needle points of rows sewn back and forth, the first beginning at its end `start`.
///
/// Where one row ends near the next one's beginning, the outer of the two places is the needle
/// point of both: the rows then meet the edge at every second line, which is how the trade
/// measures density. Where the next row begins farther in, the row's outer part is sewn last, back to
/// that place, so that the way out to it lies under it. Where the next row begins farther out,
/// the way there lies under that row. The last row ends inside `exit` in the same manner.
pub fn lay(
    ground: &Ground,
    rows: &[SewnRow],
    start: End,
    exit: Option<(f64, f64)>,
    style: &Style,
) -> Vec<Step> {
    let mut steps = Vec::new();
    let Some(first) = rows.first() else {
        return steps;
    };
    let style = &style.leaning(ground.rows.sewn_pitch());
    // A tip of something wide, where a thread or two are as wide as the region, may be sewn with
    // longer stitches; a narrow band must not.
    let wide = rows.iter().any(|row| row.width() >= 2.0 * style.shortest);
    let turn_at = |row: &SewnRow, at: Coord<f64>| {
        if wide && row.width() < 0.75 * style.shortest {
            Step::Near(at)
        } else {
            Step::Needle(at)
        }
    };
    let mut begin = first.end(start);
    // Where the last needle point at each edge lies, the left and the right.
    let mut edges: [Option<f64>; 2] = [None; 2];
    *start.of(&mut edges) = Some(begin.y);
    steps.push(Step::Needle(begin));
    for (i, row) in rows.iter().enumerate() {
        let end = start.opposite().after(i);
        let tip = row.end(end);
        let Some(next) = rows.get(i + 1) else {
            let (left, right) = exit.unwrap_or((tip.x, tip.x));
            // The way out may lie beside the last row, where not all lines are sewn.
            let x = tip.x.max(left).min(right).max(row.left).min(row.right);
            finish_at(row, begin.x, tip.x, x, style, &mut steps);
            break;
        };
        let turn = next.end(end);
        let outward = (turn.x - tip.x) * end.outward();
        let dense = ground.rows.all_sewn();
        let edge = end.of(&mut edges);
        let outer = if outward > 0.0 { turn } else { tip };
        let outer = match *edge {
            Some(before) if dense => evened(outer, [tip, turn], before, ground.rows.pitch()),
            _ => outer,
        };
        if distance(tip, turn) < style.shortest
            && (dense
                || merges(
                    ground,
                    [(row, begin), (next, next.end(end.opposite()))],
                    outer,
                    style,
                ))
        {
            along(row, begin.x, outer.x, style, &mut steps);
            steps.push(turn_at(row, outer));
            begin = outer;
        } else if dense && outward < -style.step() {
            let x = turn.x;
            finish_at(row, begin.x, tip.x, x, style, &mut steps);
            // The next row begins right beside: one needle point serves both.
            steps.pop();
            steps.push(Step::Needle(turn));
            begin = turn;
        } else if !dense && slants(ground, begin, turn, style) {
            // The way to where the next row begins is the row: nothing is laid along the edge.
            steps.push(Step::Needle(turn));
            begin = turn;
        } else {
            along(row, begin.x, tip.x, style, &mut steps);
            steps.push(Step::Needle(tip));
            let role = if outward > style.step() {
                StitchRole::Travel
            } else {
                style.role
            };
            if !dense {
                let edge = edge_between(ground, row.span, next.span, end, style);
                steps.extend(edge.into_iter().map(|at| Step::Bend(at, role)));
            } else if outward > style.step() {
                steps.push(Step::Bend(tip, role));
            }
            steps.push(Step::Needle(turn));
            begin = turn;
        }
        *edge = Some(begin.y);
    }
    steps
}

/// The needle point that serves for the `ends` of two rows, of which `outer` is the outer one, where the edge's
/// last needle point lies at `before`.
///
/// They lie two lines apart along an edge. Where it turns, the outer one can lie three lines from the last,
/// which would leave a wedge of cloth bare: the middle of both ends serves there, if they are near together.
fn evened(outer: Coord<f64>, ends: [Coord<f64>; 2], before: f64, pitch: f64) -> Coord<f64> {
    const TOO_FAR: f64 = 2.3;
    const NEAR: f64 = 0.6;
    let far = (outer.y - before).abs() > TOO_FAR * pitch;
    if far && (ends[0].x - ends[1].x).abs() < NEAR {
        (ends[0] + ends[1]) / 2.0
    } else {
        outer
    }
}

/// Sews a row from `begin` toward its end `tip` so that it ends at `x`.
fn finish_at(row: &SewnRow, begin: f64, tip: f64, x: f64, style: &Style, steps: &mut Vec<Step>) {
    let place = |x: f64| Coord { x, y: row.y };
    if (tip - x).abs() < style.shortest {
        along(row, begin, tip, style, steps);
        steps.push(Step::Needle(place(tip)));
        return;
    }
    if (x - begin).abs() >= style.shortest {
        along(row, begin, x, style, steps);
        steps.push(Step::Needle(place(x)));
    }
    steps.push(Step::Bend(place(x), StitchRole::Travel));
    steps.push(Step::Needle(place(tip)));
    along(row, tip, x, style, steps);
    steps.push(Step::Needle(place(x)));
}

/// Whether `outer` may serve for the ends of two rows that are not neighbours, given the far end of
/// each: whether the stitches to it from both rows keep to the region.
fn merges(
    ground: &Ground,
    rows: [(&SewnRow, Coord<f64>); 2],
    outer: Coord<f64>,
    style: &Style,
) -> bool {
    let slack = style.reach.max(0.0) + 0.1;
    rows.into_iter().all(|(row, far)| {
        // The needle point before lies between the far end and this one.
        let reach = (far.x - outer.x).clamp(-style.shortest, style.shortest);
        let near = Coord {
            x: outer.x + reach,
            y: row.y,
        };
        ground.rows.allow(near, outer, slack) && ground.rows.allow(far, outer, slack)
    })
}

/// Whether a sparse row may slant from where it begins to where the next row begins.
fn slants(ground: &Ground, begin: Coord<f64>, turn: Coord<f64>, style: &Style) -> bool {
    /// So many times as long as it is high, at least: a row leans by 27 degrees at most.
    const LONG: f64 = 2.0;
    style.slants
        && (turn.x - begin.x).abs() >= LONG * (turn.y - begin.y).abs()
        && ground.rows.allow(begin, turn, style.reach / 2.0)
}

/// The region's edge between two rows of a cell, in the middle of which scan lines are not sewn.
fn edge_between(
    ground: &Ground,
    from: usize,
    to: usize,
    end: End,
    style: &Style,
) -> Vec<Coord<f64>> {
    let stack = &ground.cells.cells[ground.cells.of[from]].spans;
    let (from, to) = (ground.cells.place[from], ground.cells.place[to]);
    let place = |&span: &usize| {
        let (left, right) = reach(ground, span, style);
        Coord {
            x: match end {
                End::Left => left,
                End::Right => right,
            },
            y: ground.rows.y(ground.rows.spans()[span].row),
        }
    };
    if from < to {
        stack[from + 1..to].iter().map(place).collect()
    } else {
        stack[to + 1..from].iter().rev().map(place).collect()
    }
}

/// Adds the needle points between `from` and `to`, neither of them in it.
///
/// They lie on a grid one stitch length wide that is shifted from row to row, so that they realign
/// after `style.stagger` rows. None lies nearer to an end than the shortest stitch; where that
/// makes the stitch to an end too long, it is halved.
fn along(row: &SewnRow, from: f64, to: f64, style: &Style, steps: &mut Vec<Step>) {
    let (grid, longest) = (style.longest, style.longest_at_end);
    let (left, right) = (from.min(to), from.max(to));
    let shift = style.shift(row.number);
    let mut xs = Vec::new();
    let least = (left + style.shortest - shift) / grid;
    let most = (right - style.shortest - shift) / grid;
    let mut line = least.ceil();
    while line <= most {
        xs.push(shift + line * grid);
        line += 1.0;
    }
    // The grid itself fits; only the stitches to the two ends can be too long.
    let first = xs.first().copied().unwrap_or(right);
    if first - left > longest {
        xs.insert(0, (left + first) / 2.0);
    }
    let last = xs.last().copied().unwrap_or(left);
    if right - last > longest {
        xs.push((last + right) / 2.0);
    }
    if from > to {
        xs.reverse();
    }
    steps.extend(xs.into_iter().map(|x| Step::Needle(Coord { x, y: row.y })));
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rows 0.2 mm apart, the edge's last needle point at the first line.
    #[test]
    fn where_an_edge_turns_its_needle_points_keep_their_distance() {
        let at = |x, y| Coord { x, y };
        let near = [at(0.0, 0.4), at(0.4, 0.6)];
        assert_eq!(evened(near[0], near, 0.0, 0.2), near[0]);
        assert_eq!(evened(near[1], near, 0.0, 0.2), at(0.2, 0.5));
        // The middle of ends far apart would leave a corner bare.
        let apart = [at(0.0, 0.4), at(0.8, 0.6)];
        assert_eq!(evened(apart[1], apart, 0.0, 0.2), apart[1]);
    }
}
