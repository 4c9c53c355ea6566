//! On random layered drawings: what the artwork shows on top stays covered by the same object, and
//! nothing covers what it did not cover before.
//!
//! The truth is reckoned place by place, with the geometry library's own point-in-polygon and
//! distance, and none of the overlays that the step works with.

mod drawings;

use drawings::{cut, cut_with, disc, ids, line, oblong, region};
use hoopwright_cut_layers::{Borders, CutLayers};
use hoopwright_sdk::geometry::geo::{
    BoundingRect, Contains, Distance, Euclidean, MultiPolygon, Point as Place, Rotate,
};
use hoopwright_sdk::prelude::*;
use proptest::prelude::*;

/// Places that lie this near to an edge, in mm, may fall to either side.
const EDGE: f64 = 0.001;

/// The defaults of what is too small for a thread: hairs of 0.25 mm, specks of 0.1 mm².
const HAIR: f64 = 0.25;
const SPECK_RADIUS: f64 = 0.18;

fn area_of(object: &Object) -> MultiPolygon<f64> {
    match &object.shape {
        Shape::Region(region) => region.to_multi_polygon(),
        _ => MultiPolygon::new(Vec::new()),
    }
}

/// Whether an object covers a place, and how far that is from changing.
fn covers(object: &Object, at: Place<f64>) -> (bool, f64) {
    match &object.shape {
        Shape::Lines(lines) => {
            let paths = lines.paths.iter().map(Polyline::to_line_string);
            let nearest = paths.map(|path| Euclidean.distance(&at, &path));
            let nearest = nearest.fold(f64::INFINITY, f64::min);
            let half = lines.width / 2.0;
            (nearest <= half, (nearest - half).abs())
        }
        _ => {
            let area = area_of(object);
            let edges = area
                .iter()
                .flat_map(|polygon| std::iter::once(polygon.exterior()).chain(polygon.interiors()))
                .map(|ring| Euclidean.distance(&at, ring));
            (area.contains(&at), edges.fold(f64::INFINITY, f64::min))
        }
    }
}

/// The colour on top at a place, and how near it is to change: colours are told apart by the ids, as given.
fn top(objects: &[Object], at: Place<f64>) -> (Option<&str>, f64) {
    let mut nearest = f64::INFINITY;
    for object in objects.iter().rev() {
        let (covers, edge) = covers(object, at);
        nearest = nearest.min(edge);
        if covers {
            return (Some(&object.id), nearest);
        }
    }
    (None, nearest)
}

/// Whether the object at `place` of `objects` is on top at a place of the cloth and within
/// `reach` mm around it, as far as the eight directions tell.
fn on_top(objects: &[Object], place: usize, at: Place<f64>, reach: f64) -> bool {
    let around = [
        (0., 0.),
        (1., 0.),
        (0., 1.),
        (-1., 0.),
        (0., -1.),
        (0.7, 0.7),
        (-0.7, 0.7),
        (-0.7, -0.7),
        (0.7, -0.7),
    ];
    around.iter().all(|&(x, y)| {
        let at = Place::new(at.x() + x * reach, at.y() + y * reach);
        covers(&objects[place], at).0
            && objects[place + 1..]
                .iter()
                .all(|upper| !covers(upper, at).0)
    })
}

fn shape() -> impl Strategy<Value = Object> {
    let middle = (2.0..38.0, 2.0..38.0);
    prop_oneof![
        (middle.clone(), 0.5..14.0).prop_map(|((x, y), radius)| region("", &disc(x, y, radius))),
        (middle.clone(), 0.5..25.0, 0.5..25.0, 0.0..180.0).prop_map(|((x, y), w, h, turn)| {
            region(
                "",
                &oblong(x - w / 2.0, y - h / 2.0, w, h).rotate_around_point(turn, Place::new(x, y)),
            )
        }),
        (prop::collection::vec((0.0..40.0, 0.0..40.0), 3..9)).prop_map(|corners| {
            let ring = geo::LineString::from(corners);
            let area = geometry::area::from_rings([ring], geometry::FillRule::EvenOdd);
            region("", &area)
        }),
        (
            prop::collection::vec((0.0..40.0, 0.0..40.0), 2..5),
            0.4..6.0
        )
            .prop_map(|(corners, width)| line("", &corners, width)),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn what_shows_stays_and_nothing_is_added(shapes in prop::collection::vec(shape(), 2..8)) {
        let mut before = shapes;
        for (i, object) in before.iter_mut().enumerate() {
            object.id = format!("{i}");
            object.name = object.id.clone();
        }
        let after = cut(before.clone());
        prop_assert_eq!(&cut(before.clone()), &after);
        let order: Vec<usize> = ids(&after).iter().map(|id| id.parse().unwrap_or(0)).collect();
        prop_assert!(order.windows(2).all(|pair| pair[0] < pair[1]), "{:?}", order);
        for (place, object) in before.iter().enumerate() {
            let left = after.objects.iter().find(|one| one.id == object.id);
            let bounds = area_of(object).bounding_rect().map_or((0., 0., 40., 40.), |b| {
                (b.min().x, b.min().y, b.max().x, b.max().y)
            });
            for i in 0..12 {
                for j in 0..12 {
                    let share = |low: f64, high: f64, k: u32| low + (high - low) * (f64::from(k) + 0.37) / 12.0;
                    let at = Place::new(share(bounds.0, bounds.2, i), share(bounds.1, bounds.3, j));
                    let (did, edge) = covers(object, at);
                    let does = left.map(|left| covers(left, at));
                    if let Some((true, its)) = does {
                        prop_assert!(did || edge < EDGE || its < EDGE, "{} covers {:?} anew", object.id, at);
                    }
                    // A place with a thread's room around it on top is no hair and no speck.
                    if did && on_top(&before, place, at, HAIR.max(SPECK_RADIUS)) {
                        let (does, edge) = does.unwrap_or((false, f64::INFINITY));
                        prop_assert!(does || edge < EDGE, "{} has a gap at {:?}", object.id, at);
                    }
                }
            }
        }
    }

    /// Borders that come after their fills change the order, never what is on top, but for hairs and specks.
    #[test]
    fn borders_after_fills_leave_the_same_on_top(
        middle in (20.0..30.0, 20.0..30.0),
        radius in 12.0..19.0,
        rim in 1.2..4.5,
        off in (-0.8..0.8, -0.8..0.8),
        shapes in prop::collection::vec(shape(), 0..3),
        place in 0_usize..4,
    ) {
        let mut before = vec![
            region("", &disc(middle.0, middle.1, radius)),
            region("", &disc(middle.0 + off.0, middle.1 + off.1, radius - rim)),
        ];
        let place = place.min(before.len());
        before.splice(place..place, shapes);
        for (i, object) in before.iter_mut().enumerate() {
            object.id = format!("{i}");
        }
        let settings = CutLayers { borders: Borders::AfterFills, ..CutLayers::default() };
        let after = cut_with(before.clone(), &settings).objects;
        for i in 0..24 {
            for j in 0..24 {
                let at = Place::new((f64::from(i) + 0.37) * 2.0, (f64::from(j) + 0.41) * 2.0);
                let (was, its_edge) = top(&before, at);
                let (is, edge) = top(&after, at);
                let Some(place) = was.and_then(|id| before.iter().position(|one| one.id == id)) else {
                    prop_assert!(is.is_none() || edge < EDGE, "{is:?} covers bare cloth at {at:?}");
                    continue;
                };
                let clear = its_edge >= EDGE && edge >= EDGE;
                if clear && on_top(&before, place, at, HAIR.max(SPECK_RADIUS)) {
                    prop_assert_eq!(is, was, "at {:?}", at);
                }
            }
        }
    }
}
