//! What hides what is sewn before it.

use hoopwright_sdk::geometry::hidden_ways::HiddenWays;
use hoopwright_sdk::hiding;
use hoopwright_sdk::prelude::*;

/// The ways beneath `objects`: beneath regions and wide lines that cover stitches lie over.
pub(crate) fn ways_beneath(objects: &[Object]) -> HiddenWays {
    HiddenWays::beneath(objects.iter().map(hiding::hidden_area))
}

#[cfg(test)]
mod tests {
    use super::*;
    use hoopwright_sdk::geometry::geo::polygon;
    use hoopwright_sdk::geometry::hidden_ways::EDGE;
    use hoopwright_sdk::geometry::measure;

    fn sewn_box(x: f64, width: f64) -> Object {
        let area =
            polygon![(x: x, y: 0.), (x: x + width, y: 0.), (x: x + width, y: 10.), (x: x, y: 10.)];
        let mut object = Object::of_region("box", &area.into());
        object.stitches = rows(x, width, 10.0, 0.4);
        object
    }

    /// Rows from `x` on that lie so far `apart`.
    fn rows(x: f64, width: f64, height: f64, apart: f64) -> Vec<StitchBlock> {
        let mut stitches = StitchList::new();
        for row in 0..=(height / apart) as u32 {
            let y = f64::from(row) * apart;
            stitches.needle(StitchRole::Cover, at(x, y));
            stitches.needle(StitchRole::Cover, at(x + width, y));
        }
        stitches.into_blocks()
    }

    fn at(x: f64, y: f64) -> Coord<f64> {
        Coord { x, y }
    }

    #[test]
    fn only_later_cover_hides() {
        let objects = [sewn_box(0., 20.), sewn_box(0., 20.)];
        let covers = ways_beneath(&objects);
        assert!(covers.way(at(1., 5.), at(19., 5.), 0, 60.0).is_some());
        assert!(covers.way(at(1., 5.), at(19., 5.), 1, 60.0).is_some());
        assert_eq!(covers.way(at(1., 5.), at(19., 5.), 2, 60.0), None);
    }

    #[test]
    fn a_gap_between_two_covers_shows() {
        let (near, far) = (sewn_box(0., 10.), sewn_box(11.5, 10.));
        let bridge = sewn_box(9., 4.);
        assert!(
            ways_beneath(&[near.clone(), far.clone()])
                .way(at(1., 5.), at(20., 5.), 0, 60.0)
                .is_none()
        );
        assert!(
            ways_beneath(&[near, far, bridge])
                .way(at(1., 5.), at(20., 5.), 0, 60.0)
                .is_some()
        );
    }

    #[test]
    fn a_region_hides_a_way_bent_in_from_its_edge_and_without_cover_stitches_nothing() {
        let mut bare = sewn_box(0., 20.);
        let along_edge =
            |objects: &[Object]| ways_beneath(objects).way(at(1., 0.1), at(19., 0.1), 0, 60.0);
        let way = along_edge(std::slice::from_ref(&bare)).expect("it is hidden");
        assert_eq!(way.len(), 4);
        assert!((way[1].y - EDGE).abs() < 1e-6 && (way[2].y - EDGE).abs() < 1e-6);
        bare.stitches.clear();
        assert_eq!(along_edge(&[bare]), None);
    }

    /// Around the hole of a ring: two tangents and an arc of the hole grown by the inset.
    #[test]
    fn a_way_bends_around_what_is_not_covered() {
        let ring = polygon!(
            exterior: [(x: 0., y: 0.), (x: 30., y: 0.), (x: 30., y: 30.), (x: 0., y: 30.)],
            interiors: [[(x: 10., y: 10.), (x: 20., y: 10.), (x: 20., y: 20.), (x: 10., y: 20.)]],
        );
        let mut object = Object::of_region("ring", &ring.into());
        object.stitches = rows(0., 30., 30., 0.4);
        let covers = ways_beneath(&[object]);
        let way = covers
            .way(at(5., 12.), at(25., 12.), 0, 60.0)
            .expect("around");
        let length: f64 = way.windows(2).map(|s| measure::distance(s[0], s[1])).sum();
        // Longer than over the very corners of the hole, 10 + 2 sqrt(5² + 2²), and shorter than over
        // the corners of a square 0.3 mm larger: 10.6 + 2 sqrt(4.7² + 2.3²).
        assert!(length > 20.770 && length < 21.065, "{length}");
        assert!(
            way.iter()
                .all(|p| p.y <= 12.0 && (p.y < 9.8 || p.x < 9.8 || p.x > 20.2))
        );
        assert_eq!(covers.way(at(5., 12.), at(25., 12.), 0, 21.0), None);
    }

    #[test]
    fn an_open_fill_and_a_run_along_the_edge_hide_nothing() {
        let mut object = sewn_box(0., 20.);
        for (apart, hides) in [(0.3, true), (1.5, false), (10.0, false)] {
            object.stitches = rows(0., 20., 10., apart);
            let way = ways_beneath(&[object.clone()]).way(at(1., 5.), at(19., 5.), 0, 60.0);
            assert_eq!(way.is_some(), hides, "{apart}");
        }
    }

    #[test]
    fn satin_lines_hide_and_a_run_along_the_middle_does_not() {
        use hoopwright_sdk::geometry::geo::line_string;
        let line = line_string![(x: 0., y: 0.), (x: 20., y: 0.)];
        let columns = [
            (3.0, 0.4, true),
            (3.0, 4.0, false),
            (0.8, 0.4, true),
            (0.7, 0.4, false),
        ];
        for (width, density, hides) in columns {
            let mut object = Object::of_line("column", &line, width);
            let mut stitches = StitchList::new();
            let mut x = 0.0;
            while x < 20.0 {
                stitches.needle(StitchRole::Cover, at(x, -width / 2.0));
                stitches.needle(StitchRole::Cover, at(x + density / 2.0, width / 2.0));
                x += density;
            }
            object.stitches = stitches.into_blocks();
            let way = ways_beneath(&[object]).way(at(1., 0.), at(19., 0.), 0, 60.0);
            assert_eq!(way.is_some(), hides, "{width} mm at {density}");
        }
    }
}
