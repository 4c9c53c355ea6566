//! An object moved across the cloth with all that belongs to it.

use hoopwright_sdk::prelude::*;

/// Moves the shape, the stitches, the start and finish places and the direction marks.
pub(crate) fn object(object: &mut Object, by: Coord<f64>) {
    shape(&mut object.shape, by);
    let sewing = &mut object.sewing;
    let ends = sewing.start.iter_mut().chain(&mut sewing.finish);
    let marks = sewing.direction_marks.iter_mut();
    let marks = marks.flat_map(|mark| [&mut mark.tail, &mut mark.head]);
    for point in ends.chain(marks) {
        point.x += by.x;
        point.y += by.y;
    }
    for block in &mut object.stitches {
        columns(&mut block.x, &mut block.y, by);
    }
}

fn shape(shape: &mut Shape, by: Coord<f64>) {
    match shape {
        Shape::Region(region) => {
            for polygon in &mut region.polygons {
                for ring in std::iter::once(&mut polygon.outer).chain(&mut polygon.holes) {
                    columns(&mut ring.x, &mut ring.y, by);
                }
            }
        }
        Shape::Lines(lines) => {
            for path in &mut lines.paths {
                columns(&mut path.x, &mut path.y, by);
            }
        }
        Shape::Manual => {}
    }
}

fn columns(x: &mut [f64], y: &mut [f64], by: Coord<f64>) {
    x.iter_mut().for_each(|x| *x += by.x);
    y.iter_mut().for_each(|y| *y += by.y);
}

#[cfg(test)]
mod tests {
    use hoopwright_sdk::geometry::geo::polygon;
    use hoopwright_sdk::prelude::*;
    use hoopwright_sdk::{DirectionMark, StitchBlock};

    #[test]
    fn everything_that_has_a_place_moves() {
        let area = polygon!(
            exterior: [(x: 0., y: 0.), (x: 9., y: 0.), (x: 9., y: 9.)],
            interiors: [[(x: 5., y: 1.), (x: 8., y: 1.), (x: 8., y: 4.)]],
        );
        let mut object = Object::of_region("r", &area.into());
        object.sewing.start = Some(Point { x: 1., y: 1. });
        object.sewing.finish = Some(Point { x: 2., y: 2. });
        object.sewing.direction_marks = vec![DirectionMark {
            tail: Point { x: 3., y: 3. },
            head: Point { x: 4., y: 4. },
        }];
        object.stitches = vec![StitchBlock {
            kind: StitchKind::Needle,
            role: StitchRole::Cover,
            x: vec![5., 6.],
            y: vec![5., 6.],
        }];
        let before = format!("{object:?}");
        super::object(&mut object, Coord { x: 10., y: 20. });
        let Shape::Region(region) = &object.shape else {
            panic!("it stays a region")
        };
        assert_eq!(region.polygons[0].outer.y[0], 20.0);
        assert_eq!(region.polygons[0].holes[0].corners().len(), 3);
        assert!(region.polygons[0].holes[0].x.iter().all(|&x| x >= 15.0));
        assert_eq!(object.sewing.start, Some(Point { x: 11., y: 21. }));
        assert_eq!(object.sewing.finish, Some(Point { x: 12., y: 22. }));
        assert_eq!(object.sewing.direction_marks[0].tail.y, 23.0);
        assert_eq!(object.sewing.direction_marks[0].head.x, 14.0);
        assert_eq!(object.stitches[0].x, [15., 16.]);
        super::object(&mut object, Coord { x: -10., y: -20. });
        assert_eq!(format!("{object:?}"), before);
    }
}
