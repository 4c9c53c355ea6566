//! Needle points along a hidden way.

use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::geometry::measured::Measured;
use hoopwright_sdk::prelude::*;

/// Stitches of travel are no shorter than this along the way, in mm: safe from 1 mm (Printwear, Dec
/// 2016).
const SHORTEST: f64 = 1.0;

/// Places along `way` at steps of at most `longest` mm, without its ends: in the bends, and evenly
/// between.
///
/// Where a bend follows the last place, or precedes the end, by less than 1 mm, the needle goes down
/// 1 mm along the way instead. So a stitch cuts a corner only over that millimetre. (Had the bend been
/// left out, the thread would have run straight from the last place to the next bend, which may lie
/// far off, and come out from beneath what hides it.)
pub(crate) fn travel_places(way: &[Coord<f64>], longest: f64) -> Vec<Coord<f64>> {
    let shortest = SHORTEST.min(longest / 2.0);
    let along = Measured::new(way.to_vec());
    let whole = along.length();
    let mut marks = vec![0.0];
    let mut last = 0.0;
    for &bend in &along.lengths()[along.between(0.0, whole)] {
        let mut mark = bend.max(last + shortest).min(whole - shortest);
        // Around a hairpin two places that lie apart along the way may nearly meet.
        while distance(along.place(last), along.place(mark)) < shortest / 2.0
            && whole - mark >= shortest
        {
            mark += shortest / 4.0;
        }
        if bend > last && mark - last >= shortest && whole - mark >= shortest - 1e-9 {
            marks.push(mark);
            last = mark;
        }
    }
    marks.push(whole);
    let corners: Vec<Coord<f64>> = marks.into_iter().map(|mark| along.place(mark)).collect();
    let mut places = Vec::new();
    for leg in corners.windows(2) {
        let steps = (distance(leg[0], leg[1]) / longest - 1e-9).ceil().max(1.0) as usize;
        let between = (1..=steps).map(|i| leg[0] + (leg[1] - leg[0]) * (i as f64 / steps as f64));
        places.extend(between);
    }
    places.pop();
    places
}

#[cfg(test)]
mod tests {
    use super::*;
    use hoopwright_sdk::geometry::geo::{LineString, MultiPolygon, Polygon};
    use hoopwright_sdk::geometry::inside_way::InsideWays;
    use proptest::prelude::*;

    fn at(x: f64, y: f64) -> Coord<f64> {
        Coord { x, y }
    }

    #[test]
    fn a_straight_way_is_stepped_evenly() {
        let places = travel_places(&[at(0., 0.), at(10., 0.)], 4.0);
        assert_eq!(places.len(), 2);
        assert!(distance(places[0], at(10. / 3., 0.)) < 1e-9);
    }

    #[test]
    fn there_is_a_needle_point_in_each_bend() {
        let way = [at(0., 0.), at(5., 0.), at(5., 5.)];
        assert!(travel_places(&way, 2.5).contains(&at(5., 0.)));
    }

    /// The second bend comes 0.4 mm after the first and turns into a long leg. Left out, the thread
    /// would run from the first bend to the end, up to 0.4 mm beside the way all along.
    #[test]
    fn a_bend_near_the_last_place_is_cut_over_a_millimetre_only() {
        let way = [at(0., 0.), at(5., 0.), at(5., 0.4), at(25., 0.4)];
        let places = travel_places(&way, 40.0);
        assert_eq!(places.len(), 2, "{places:?}");
        assert!(distance(places[0], at(5., 0.)) < 1e-9);
        assert!(distance(places[1], at(5.6, 0.4)) < 1e-9);
    }

    #[test]
    fn short_and_empty_ways_have_no_place_between() {
        assert!(travel_places(&[], 2.5).is_empty());
        assert!(travel_places(&[at(1., 1.)], 2.5).is_empty());
        assert!(travel_places(&[at(0., 0.), at(0.5, 0.), at(0.5, 0.5)], 2.5).is_empty());
    }

    /// A comb: a back 3 mm high with teeth of cover that are parted by slits.
    fn comb(slits: &[(f64, f64)]) -> MultiPolygon<f64> {
        let mut ring = vec![(0.0, 0.0), (0.0, 12.0)];
        let mut x = 0.0;
        for &(tooth, slit) in slits {
            ring.extend([(x + tooth, 12.0), (x + tooth, 3.0)]);
            x += tooth + slit;
            ring.extend([(x, 3.0), (x, 12.0)]);
        }
        ring.extend([(x + 2.0, 12.0), (x + 2.0, 0.0)]);
        let edge = ring.into_iter().map(|(x, y)| at(x, y)).collect();
        Polygon::new(LineString(edge), Vec::new()).into()
    }

    proptest! {
        /// No stitch is shorter than half a millimetre or longer than asked for, and none leaves the
        /// area by more than the part of a corner that a millimetre can cut: 0.5 mm at a hairpin.
        #[test]
        fn what_is_sewn_stays_beneath_its_cover(
            slits in proptest::collection::vec((0.6f64..4.0, 0.05f64..1.5), 1..6),
            longest in 2.0f64..6.0,
            from in 4.0f64..11.0,
            to in 4.0f64..11.0,
        ) {
            let area = comb(&slits);
            let wide: f64 = slits.iter().map(|(tooth, slit)| tooth + slit).sum();
            let (a, b) = (at(0.3, from), at(wide + 1.5, to));
            let ways = InsideWays::new(&area);
            let way = ways.shortest(a, b, 1000.0).expect("the back joins all teeth");
            let mut sewn = vec![a];
            sewn.extend(travel_places(&way, longest));
            sewn.push(b);
            for stitch in sewn.windows(2) {
                let length = distance(stitch[0], stitch[1]);
                prop_assert!(length >= 0.5 - 1e-9 && length <= longest + 1e-9, "{length}");
                for i in 0..=40 {
                    let place = stitch[0] + (stitch[1] - stitch[0]) * (f64::from(i) / 40.0);
                    let beneath = ways.contains(place) || !ways.entries(place, 0.5).is_empty();
                    prop_assert!(beneath, "outside at {place:?}: {sewn:?}");
                }
            }
        }
    }
}
