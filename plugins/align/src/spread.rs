//! Objects spread evenly along one axis.

use crate::Spread;
use hoopwright_sdk::bounds::Extent;
use hoopwright_sdk::prelude::*;

/// How far each of `extents` moves so that they are spread evenly, in their own order.
///
/// They keep their order of centres. The outer two reach to the ends of `within`. Where there is
/// no room for gaps, the centres are spread evenly instead: negative gaps could turn the order
/// round. Where there is no room for that either, all stay. One object alone does not move.
pub(crate) fn shifts(extents: &[Extent], within: Extent, spread: Spread) -> Vec<f64> {
    let mut order: Vec<usize> = (0..extents.len()).collect();
    // A stable sort: objects on one spot stay in sewing order.
    order.sort_by(|&a, &b| extents[a].centre().total_cmp(&extents[b].centre()));
    let taken: f64 = extents.iter().map(|extent| extent.length()).sum();
    let room = within.length() - taken;
    if extents.len() < 2 || spread == Spread::Keep {
        vec![0.0; extents.len()]
    } else if spread == Spread::EqualGaps && room >= 0.0 {
        equal_gaps(
            extents,
            &order,
            within.least,
            room / (extents.len() - 1) as f64,
        )
    } else {
        if spread == Spread::EqualGaps {
            messages::report(Finding::note(format!(
                "There is no room for equal gaps: the objects take {taken:.1} mm of {:.1} mm, so \
                 equal distances between their centres are wanted instead.",
                within.length()
            )));
        }
        equal_centres(extents, &order, within)
    }
}

fn equal_gaps(extents: &[Extent], order: &[usize], start: f64, gap: f64) -> Vec<f64> {
    let mut shifts = vec![0.0; extents.len()];
    let mut edge = start;
    for &i in order {
        shifts[i] = edge - extents[i].least;
        edge += extents[i].length() + gap;
    }
    shifts
}

fn equal_centres(extents: &[Extent], order: &[usize], within: Extent) -> Vec<f64> {
    let mut shifts = vec![0.0; extents.len()];
    let half = |place: Option<&usize>| place.map_or(0.0, |&i| extents[i].length() / 2.0);
    let from = within.least + half(order.first());
    let to = within.greatest - half(order.last());
    if from >= to {
        messages::report(Finding::note(format!(
            "The outer objects are too wide to be spread over {:.1} mm, so all stay.",
            within.length()
        )));
        return shifts;
    }
    let steps = (order.len() - 1) as f64;
    for (rank, &i) in order.iter().enumerate() {
        shifts[i] = from + (to - from) * (rank as f64 / steps) - extents[i].centre();
    }
    shifts
}

#[cfg(test)]
mod tests {
    use super::*;

    fn extent(least: f64, length: f64) -> Extent {
        Extent {
            least,
            greatest: least + length,
        }
    }

    #[test]
    fn gaps_become_equal_and_the_outer_ones_stay() {
        // 2 + 4 + 1 mm wide in 0 to 20: two gaps of 6.5 mm each.
        let row = [extent(0., 2.), extent(19., 1.), extent(3., 4.)];
        let shifts = shifts(&row, extent(0., 20.), Spread::EqualGaps);
        assert_eq!(shifts, [0.0, 0.0, 5.5]);
    }

    #[test]
    fn centres_become_equally_far_apart() {
        // Centres at 1, 19.5 and 5: the middle one goes to 10.25.
        let row = [extent(0., 2.), extent(19., 1.), extent(3., 4.)];
        let shifts = shifts(&row, extent(0., 20.), Spread::EqualCentres);
        assert_eq!(shifts, [0.0, 0.0, 5.25]);
    }

    #[test]
    fn a_wider_frame_draws_the_outer_ones_to_its_edges() {
        let row = [extent(5., 2.), extent(8., 2.)];
        for spread in [Spread::EqualGaps, Spread::EqualCentres] {
            assert_eq!(shifts(&row, extent(0., 20.), spread), [-5.0, 10.0]);
        }
    }

    #[test]
    fn without_room_for_gaps_the_centres_are_spread_and_it_is_said() {
        messages::take();
        let row = [extent(0., 10.), extent(6., 2.), extent(4., 20.)];
        let once = shifts(&row, extent(0., 24.), Spread::EqualGaps);
        assert_eq!(once, [0.0, 2.5, 0.0]);
        assert!(messages::take()[0].message.contains("32.0 mm of 24.0 mm"));
    }

    #[test]
    fn one_alone_and_none_stay() {
        assert_eq!(
            shifts(&[extent(5., 2.)], extent(0., 9.), Spread::EqualGaps),
            [0.0]
        );
        assert!(shifts(&[], extent(0., 9.), Spread::EqualCentres).is_empty());
    }
}
