//! Where a ray meets a line.

use hoopwright_sdk::geometry::measure::crossing;
use hoopwright_sdk::prelude::*;

/// Where a ray meets a line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Met {
    /// How far along the ray, as a multiple of its direction.
    pub ahead: f64,
    /// On which straight piece of the line.
    pub piece: usize,
    /// How far along that piece, as a share of it.
    pub share: f64,
}

/// Where the ray from `from` first meets `line`.
pub fn first_met(line: &[Coord<f64>], from: Coord<f64>, direction: Coord<f64>) -> Option<Met> {
    let mut first: Option<Met> = None;
    for (piece, ends) in line.windows(2).enumerate() {
        if let Some([ahead, share]) = crossing((from, direction), (ends[0], ends[1] - ends[0]))
            && ahead > 0.0
            && (0.0..=1.0).contains(&share)
            && first.is_none_or(|first| ahead < first.ahead)
        {
            first = Some(Met {
                ahead,
                piece,
                share,
            });
        }
    }
    first
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ray_stops_at_the_first_piece_ahead() {
        let at = |x, y| Coord { x, y };
        let line = [
            at(-1., -1.),
            at(-1., 1.),
            at(4., 1.),
            at(4., -3.),
            at(9., 9.),
        ];
        let met = Met {
            ahead: 2.0,
            piece: 2,
            share: 0.25,
        };
        assert_eq!(first_met(&line, at(0., 0.), at(2., 0.)), Some(met));
        assert_eq!(first_met(&line, at(0., 0.), at(0., -1.)), None);
    }
}
