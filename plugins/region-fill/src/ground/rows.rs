//! The rows of a fill: scan lines about 0.2 mm apart, some or all of which are sewn.

use crate::ground::grade::Grade;
use hoopwright_sdk::geometry::geo::{BoundingRect, Coord, Polygon};
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::geometry::scan;
use std::ops::Range;

/// Where rows show the cloth, scan lines lie about this far apart at most, in mm, so that whatever
/// passes from one to the next stays this near to the region. In low regions they lie up to half as
/// far again, because the pitch is fitted to the height.
const FINEST: f64 = 0.204;

/// Rows up to this far apart hide the cloth, in mm: a full fill's row pitch (density 0.4 to 0.45, a
/// line to the SECOND next) and a little. They are scanned where they are sewn.
const FULL: f64 = 0.23;

/// A part of a scan line inside the region.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    /// The place of its scan line, from the top.
    pub row: usize,
    /// Where it begins, in mm.
    pub left: f64,
    /// Where it ends, in mm.
    pub right: f64,
}

impl Span {
    /// The place in the span nearest to `x`.
    pub fn clamp(&self, x: f64) -> f64 {
        x.max(self.left).min(self.right)
    }
}

/// All scan lines of one polygon, in the frame of its rows.
#[derive(Debug)]
pub struct Rows {
    /// Where the scan lines lie, exactly as they were scanned.
    ys: Vec<f64>,
    pitch: f64,
    /// From the top, and from left to right in a row.
    spans: Vec<Span>,
    /// Where each row's spans begin; one more entry than rows.
    begins: Vec<usize>,
    /// The number of each scan line among the sewn ones, if it is sewn.
    numbers: Vec<Option<usize>>,
    /// The greatest distance between sewn rows.
    sewn_pitch: f64,
    /// Which line of the grid the first scan line is.
    first_number: i64,
}

impl Rows {
    /// Cuts `polygon` for sewn rows about `pitch` mm apart. The pitch is fitted to the polygon's
    /// height, so that the outermost rows lie half a pitch inside the edge: none falls on the
    /// edge, and none leaves a gap there.
    ///
    /// Nothing comes back where the polygon has no height, or needs more scan lines than
    /// [`scan::MOST_ROWS`].
    pub fn new(polygon: &Polygon<f64>, pitch: f64) -> Option<Self> {
        let bounds = polygon.bounding_rect()?;
        let height = bounds.height();
        let every = if pitch <= FULL {
            1.0
        } else {
            (pitch / FINEST).ceil()
        };
        let sewn = (height / pitch).round().max(1.0);
        let pitch = height / sewn;
        let mut rows = Self::scanned(polygon, pitch / every, pitch / 2.0)?;
        let first = rows.first_number.rem_euclid(every as i64);
        let sewn = |&row: &usize| (row as i64 + first).rem_euclid(every as i64) == 0;
        let sewn: Vec<usize> = (0..rows.count()).filter(sewn).collect();
        rows.number(sewn, pitch);
        Some(rows)
    }

    /// Cuts `polygon`, a part of the area of `grade`, for sewn rows whose distance changes evenly.
    ///
    /// Nothing comes back where [`Rows::new`] would give nothing.
    pub fn graded(polygon: &Polygon<f64>, grade: &Grade) -> Option<Self> {
        /// Each distance is met to within half a scan line: so many of them to the least distance.
        const TO_LEAST: f64 = 8.0;
        let bounds = polygon.bounding_rect()?;
        let height = bounds.height();
        let above = grade.depth(bounds.min().y);
        let pitches = [grade.pitch(above), grade.pitch(above + height)];
        let fine = (pitches[0].min(pitches[1]) / TO_LEAST).min(FINEST);
        let fine = height / (height / fine).ceil().max(1.0);
        let mut rows = Self::scanned(polygon, fine, fine / 2.0)?;
        let mut sewn: Vec<usize> = Vec::new();
        let mut from_top = pitches[0] / 2.0;
        while from_top < height {
            let y = bounds.min().y + from_top;
            let row = ((y - rows.ys[0]) / fine).round().max(0.0) as usize;
            if row < rows.count() && sewn.last().is_none_or(|&last| row > last) {
                sewn.push(row);
            }
            from_top += grade.pitch(above + from_top);
        }
        if sewn.is_empty() {
            sewn.push(rows.count() / 2);
        }
        rows.number(sewn, pitches[0].max(pitches[1]));
        Some(rows)
    }

    /// Scan lines `fine` mm apart, the first so far below the top as `first` says; none is sewn yet.
    fn scanned(polygon: &Polygon<f64>, fine: f64, first: f64) -> Option<Self> {
        let top = polygon.bounding_rect()?.min().y;
        let scanned = scan::rows(&polygon.clone().into(), fine, top + first);
        let mut rows = Self {
            ys: scanned.iter().map(|line| line.y).collect(),
            pitch: fine,
            spans: Vec::new(),
            begins: vec![0],
            numbers: vec![None; scanned.len()],
            sewn_pitch: fine,
            first_number: scanned.first()?.number,
        };
        for (row, line) in scanned.iter().enumerate() {
            rows.spans.extend(line.spans.iter().map(|span| Span {
                row,
                left: span.left,
                right: span.right,
            }));
            rows.begins.push(rows.spans.len());
        }
        (!rows.spans.is_empty()).then_some(rows)
    }

    /// Numbers the scan lines to be sewn.
    fn number(&mut self, sewn: Vec<usize>, pitch: f64) {
        self.sewn_pitch = pitch;
        for (number, row) in sewn.into_iter().enumerate() {
            self.numbers[row] = Some(number);
        }
    }

    /// The distance between scan lines, in mm.
    pub fn pitch(&self) -> f64 {
        self.pitch
    }

    /// The distance between sewn rows, in mm; the greatest of them where they differ.
    pub fn sewn_pitch(&self) -> f64 {
        self.sewn_pitch
    }

    /// Whether every scan line is sewn.
    pub fn all_sewn(&self) -> bool {
        self.numbers.iter().all(Option::is_some)
    }

    /// How many scan lines there are.
    pub fn count(&self) -> usize {
        self.ys.len()
    }

    /// Where a scan line lies, in mm.
    pub fn y(&self, row: usize) -> f64 {
        self.ys[row]
    }

    /// All spans.
    pub fn spans(&self) -> &[Span] {
        &self.spans
    }

    /// The places, in [`spans`](Self::spans), of a row's spans.
    pub fn in_row(&self, row: usize) -> Range<usize> {
        self.begins[row]..self.begins[row + 1]
    }

    /// The number of a scan line among the sewn ones, if it is sewn.
    pub fn sewn(&self, row: usize) -> Option<usize> {
        self.numbers[row]
    }

    /// The place in the region nearest to `place`, as seen from the scan lines: a span, and where in it.
    pub fn nearest(&self, place: Coord<f64>) -> (usize, Coord<f64>) {
        let mut best = (0, place, f64::INFINITY);
        for (i, span) in self.spans.iter().enumerate() {
            let y = self.y(span.row);
            let x = span.clamp(place.x);
            let away = distance(Coord { x, y }, place);
            if away < best.2 {
                best = (i, Coord { x, y }, away);
            }
        }
        (best.0, best.1)
    }

    /// Whether a straight move keeps to the region, at most `slack` mm beyond its edge.
    ///
    /// It does where it meets each scan line it crosses within one span, and the spans follow one
    /// another without a gap between.
    pub fn allow(&self, from: Coord<f64>, to: Coord<f64>, slack: f64) -> bool {
        let (upper, lower) = if from.y <= to.y {
            (from, to)
        } else {
            (to, from)
        };
        let place = |y: f64| (y - self.ys[0]) / self.pitch;
        let last = self.count() - 1;
        let first_row = (place(upper.y).ceil().max(0.0) as usize).min(last);
        let last_row = (place(lower.y).floor().max(0.0) as usize).min(last);
        if first_row > last_row {
            // Between two scan lines: it keeps to one of them.
            return [last_row, first_row.min(last)]
                .iter()
                .any(|&row| self.meets(row, upper.x, lower.x, slack).is_some());
        }
        let height = lower.y - upper.y;
        let x_at = |row: usize| {
            if height < 1e-9 {
                upper.x
            } else {
                let along = ((self.y(row) - upper.y) / height).clamp(0.0, 1.0);
                upper.x + along * (lower.x - upper.x)
            }
        };
        if height < 1e-9 {
            return self.meets(first_row, upper.x, lower.x, slack).is_some();
        }
        let mut before: Option<Span> = None;
        for row in first_row..=last_row {
            let x = x_at(row);
            let Some(span) = self.meets(row, x, x, slack) else {
                return false;
            };
            if let Some(above) = before
                && above.left.max(span.left) > above.right.min(span.right) + 2.0 * slack
            {
                return false;
            }
            before = Some(span);
        }
        // What sticks out past the first and the last scan line.
        let (top, bottom) = (x_at(first_row), x_at(last_row));
        self.meets(first_row, upper.x, top, slack + self.pitch / 2.0)
            .is_some()
            && self
                .meets(last_row, bottom, lower.x, slack + self.pitch / 2.0)
                .is_some()
    }

    /// The span of a row that holds everything from `a` to `b`, at most `slack` mm beyond its ends.
    fn meets(&self, row: usize, a: f64, b: f64, slack: f64) -> Option<Span> {
        let (least, greatest) = (a.min(b), a.max(b));
        let spans = &self.spans[self.in_row(row)];
        let after = spans.partition_point(|span| span.right + slack < greatest);
        spans
            .get(after)
            .filter(|span| span.left - slack <= least)
            .copied()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use hoopwright_sdk::geometry::geo::polygon;

    fn square_with_hole() -> Polygon<f64> {
        polygon!(
            exterior: [(x: 0., y: 0.), (x: 10., y: 0.), (x: 10., y: 10.), (x: 0., y: 10.)],
            interiors: [[(x: 4., y: 4.), (x: 6., y: 4.), (x: 6., y: 6.), (x: 4., y: 6.)]],
        )
    }

    fn place(x: f64, y: f64) -> Coord<f64> {
        Coord { x, y }
    }

    #[test]
    fn outer_rows_lie_half_a_pitch_inside() {
        let rows = Rows::new(&square_with_hole(), 0.2).expect("it has rows");
        assert_eq!(rows.count(), 50);
        assert!((rows.y(0) - 0.1).abs() < 1e-9);
        assert!((rows.y(49) - 9.9).abs() < 1e-9);
        assert!(rows.all_sewn());
    }

    #[test]
    fn wide_pitches_are_scanned_finely_and_sewn_sparsely() {
        let rows = Rows::new(&square_with_hole(), 2.5).expect("it has rows");
        assert!(rows.pitch() <= 0.204);
        let sewn: Vec<f64> = (0..rows.count())
            .filter(|&row| rows.sewn(row).is_some())
            .map(|row| rows.y(row))
            .collect();
        for (y, expected) in sewn.iter().zip([1.25, 3.75, 6.25, 8.75]) {
            assert!((y - expected).abs() < 1e-9);
        }
        assert_eq!(sewn.len(), 4);
    }

    /// The distances between rows follow the asked ones, at both ends within a twentieth.
    #[test]
    fn graded_rows_spread_evenly() {
        let square = polygon![(x: 0., y: 0.), (x: 10., y: 0.), (x: 10., y: 60.), (x: 0., y: 60.)];
        for pitches in [[0.2, 1.0], [1.5, 0.25]] {
            let grade = Grade::over(&square.clone().into(), 0.0, pitches[0], pitches[1]);
            let rows = Rows::graded(&square, &grade).expect("it has rows");
            let ys: Vec<f64> = (0..rows.count())
                .filter(|&row| rows.sewn(row).is_some())
                .map(|row| rows.y(row))
                .collect();
            for pair in ys.windows(2) {
                let asked = pitches[0] + (pitches[1] - pitches[0]) * pair[0] / 60.0;
                assert!((pair[1] - pair[0] - asked).abs() <= rows.pitch() + 1e-9);
            }
            let mean = |ys: &[f64]| (ys[ys.len() - 1] - ys[0]) / (ys.len() - 1) as f64;
            let (few, end) = (8, ys.len() - 8);
            for (found, at) in [
                (mean(&ys[..few]), ys[3] + ys[4]),
                (mean(&ys[end..]), ys[end + 3] + ys[end + 4]),
            ] {
                let asked = pitches[0] + (pitches[1] - pitches[0]) * at / 120.0;
                assert!((found / asked - 1.0).abs() < 0.05, "{found} for {asked}");
            }
        }
    }

    #[test]
    fn a_move_across_a_hole_is_not_allowed() {
        let rows = Rows::new(&square_with_hole(), 0.2).expect("it has rows");
        assert!(rows.allow(place(1.0, 1.0), place(9.0, 3.0), 0.2));
        assert!(rows.allow(place(1.0, 1.0), place(1.0, 9.0), 0.2));
        assert!(!rows.allow(place(1.0, 5.0), place(9.0, 5.0), 0.2));
        assert!(!rows.allow(place(5.0, 1.0), place(5.0, 9.0), 0.2));
        assert!(!rows.allow(place(1.0, 4.93), place(9.0, 5.07), 0.2));
        assert!(!rows.allow(place(-2.0, 1.0), place(9.0, 1.1), 0.2));
    }

    #[test]
    fn the_nearest_place_is_in_the_region() {
        let rows = Rows::new(&square_with_hole(), 0.2).expect("it has rows");
        let (_, at) = rows.nearest(place(4.2, 5.0));
        assert_eq!(at.x, 4.0);
        let (_, at) = rows.nearest(place(50.0, -50.0));
        assert!((at.x - 10.0).abs() < 1e-9 && at.y < 0.2);
    }
}
