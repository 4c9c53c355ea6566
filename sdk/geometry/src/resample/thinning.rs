//! A line without the corners that it does not need: those of dense curves and of trembling hands.

use crate::measure::{cross, distance, greater};
use geo::Coord;

/// Some of `corners`, with both ends, so that none of the others lies farther than `stray` mm from
/// the line through those kept.
///
/// From each kept corner a sleeve is followed as long as one direction passes all corners and none
/// falls back; the last corner in the sleeve is kept next. One pass, however many
/// corners there are.
pub(crate) fn thin(corners: Vec<Coord<f64>>, stray: f64) -> Vec<Coord<f64>> {
    let (Some(&first), Some(&last)) = (corners.first(), corners.last()) else {
        return corners;
    };
    // A corner may stray to the side and, where it falls back a little, along the line as well.
    let stray = stray * std::f64::consts::FRAC_1_SQRT_2;
    let mut kept = vec![first];
    let mut sleeve = Sleeve::new(first, stray);
    let mut previous = first;
    for &corner in &corners[1..] {
        if !sleeve.takes(corner) {
            kept.push(previous);
            sleeve = Sleeve::new(previous, stray);
            sleeve.takes(corner);
        }
        previous = corner;
    }
    kept.push(last);
    kept.dedup();
    kept
}

/// The directions from `from` that pass all corners so far.
struct Sleeve {
    from: Coord<f64>,
    stray: f64,
    /// The outermost directions, the second to the left of the first.
    between: Option<[Coord<f64>; 2]>,
    farthest: f64,
}

impl Sleeve {
    fn new(from: Coord<f64>, stray: f64) -> Self {
        Self {
            from,
            stray,
            between: None,
            farthest: 0.0,
        }
    }

    /// Narrows the sleeve to pass `corner` too. Whether it could.
    fn takes(&mut self, corner: Coord<f64>) -> bool {
        let away = distance(self.from, corner);
        let back_home = away <= self.stray && self.farthest > self.stray;
        if back_home || away < self.farthest - self.stray {
            return false;
        }
        self.farthest = greater(away, self.farthest);
        if away <= self.stray {
            return true;
        }
        let ahead = (corner - self.from) / away;
        let sine = self.stray / away;
        let cosine = (1.0 - sine * sine).sqrt();
        let turned = |sine: f64| Coord {
            x: ahead.x * cosine - ahead.y * sine,
            y: ahead.x * sine + ahead.y * cosine,
        };
        let own = [turned(-sine), turned(sine)];
        let Some([low, high]) = self.between else {
            self.between = Some(own);
            return true;
        };
        let behind = ahead.x * (low.x + high.x) + ahead.y * (low.y + high.y) <= 0.0;
        if behind || cross(low, ahead) < 0.0 || cross(ahead, high) < 0.0 {
            return false;
        }
        self.between = Some([
            if cross(low, own[0]) > 0.0 {
                own[0]
            } else {
                low
            },
            if cross(own[1], high) > 0.0 {
                own[1]
            } else {
                high
            },
        ]);
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::nearest_on;
    use proptest::prelude::*;

    #[test]
    fn corners_stay_and_what_lies_between_goes() {
        let line: Vec<Coord<f64>> = (0..=100)
            .map(|i| f64::from(i) * 0.1)
            .flat_map(|x| [Coord { x, y: 0.0 }])
            .chain([Coord { x: 10.0, y: 10.0 }])
            .collect();
        let kept = thin(line.clone(), 0.02);
        assert_eq!(kept, [line[0], line[100], line[101]]);
    }

    #[test]
    fn a_spike_keeps_its_tip() {
        let spike = [(0., 0.), (5., 0.), (0.01, 0.)].map(|(x, y)| Coord { x, y });
        assert_eq!(thin(spike.to_vec(), 0.02), spike);
    }

    proptest! {
        #[test]
        fn no_corner_strays(
            steps in prop::collection::vec((-1.0..1.0f64, -1.0..1.0f64), 1..200),
            size in 0.005..1.0f64,
        ) {
            let mut at = Coord { x: 0.0, y: 0.0 };
            let mut line = vec![at];
            for (x, y) in steps {
                at = at + Coord { x, y } * size;
                line.push(at);
            }
            let kept = thin(line.clone(), 0.02);
            prop_assert_eq!(kept.first(), line.first());
            prop_assert_eq!(kept.last(), line.last());
            for corner in line {
                let strays = kept
                    .windows(2)
                    .map(|pair| distance(corner, nearest_on([pair[0], pair[1]], corner)))
                    .fold(distance(corner, kept[0]), f64::min);
                prop_assert!(strays <= 0.0201, "{}", strays);
            }
        }
    }
}
