//! Designs and settings made at random, for property tests.

use super::draft::{along, circle};
use crate::{
    Design, DirectionMark, Lines, Object, Point, Polygon, Polyline, Region, Sewing, Shape,
    StitchBlock, StitchKind, StitchRole, Thread,
};
use geo::Coord;
use proptest::collection::{btree_map, vec};
use proptest::option;
use proptest::prelude::*;
use proptest::sample::select;
use proptest::strategy::Union;
use serde_json::{Map, Value};
use std::f64::consts::TAU;
use std::sync::Arc;

/// The most objects of a design.
const MOST_OBJECTS: usize = 6;
/// How far a settings schema is followed into itself.
const DEEPEST: usize = 5;

/// Sound designs as artwork and earlier steps may leave them, each with the places of the selected
/// objects: regions with and without holes, separate parts, tangled and flat ones; lines, closed,
/// bent back, of one place; stitches by hand; objects without anything; from a thousandth of a mm to
/// half a metre.
pub fn designs() -> BoxedStrategy<(Design, Vec<usize>)> {
    let objects = vec((object(), any::<bool>()), 1..=MOST_OBJECTS);
    (objects, 1..4_u32)
        .prop_map(|(objects, threads)| {
            let mut design = Design::on_page(120.0, 100.0, Vec::new());
            design.title = "Made at random".to_owned();
            design.threads = (0..threads).map(thread).collect();
            let mut selected = Vec::new();
            for (place, (mut object, chosen)) in objects.into_iter().enumerate() {
                object.id = format!("object-{}", place + 1);
                object.name.clone_from(&object.id);
                object.thread %= threads;
                design.objects.push(object);
                if chosen {
                    selected.push(place);
                }
            }
            if selected.is_empty() {
                // Without a selected object no step runs.
                selected.extend(0..design.objects.len());
            }
            (design, selected)
        })
        .boxed()
}

fn thread(number: u32) -> Thread {
    Thread {
        name: format!("Thread {}", number + 1),
        code: format!("T{}", number + 1),
        red: (number * 90) as u8,
        green: 60,
        blue: 120,
        weight: if number == 2 { 60 } else { 40 },
    }
}

fn object() -> impl Strategy<Value = Object> {
    let tags = vec(
        select(vec!["outline", "wing", "background", "direction-mark"]),
        0..3,
    );
    let sewn = prop_oneof![
        3 => Just(Vec::new()).boxed(),
        1 => vec(block(), 1..4).boxed(),
    ];
    let stitched = option::weighted(0.4, 0.5..6.0);
    (shape(), tags, 0..3_u32, sewing(), sewn, stitched).prop_map(
        |(shape, tags, thread, sewing, mut stitches, stitched)| {
            if let Some(length) = stitched {
                stitches.extend(along(&shape, length));
            }
            let mut object = Object::new("", shape);
            object.tags = tags.into_iter().map(str::to_owned).collect();
            object.thread = thread;
            object.sewing = sewing;
            object.stitches = stitches;
            object
        },
    )
}

/// The size of a shape, in mm.
fn size() -> impl Strategy<Value = f64> {
    prop_oneof![
        1 => 0.0005..0.01,
        2 => 0.1..2.0,
        6 => 2.0..40.0,
        1 => 100.0..250.0,
    ]
}

fn place() -> impl Strategy<Value = Coord<f64>> {
    (-60.0..120.0, -60.0..120.0).prop_map(|(x, y)| Coord { x, y })
}

fn shape() -> impl Strategy<Value = Shape> {
    let region = |polygons| Shape::Region(Region { polygons });
    prop_oneof![
        5 => star().prop_map(move |polygon| region(vec![polygon])),
        1 => vec(star(), 2..4).prop_map(move |parts| region(apart(parts))),
        1 => tangle().prop_map(move |polygon| region(vec![polygon])),
        1 => select(vec![
            region(Vec::new()),
            region(vec![Polygon { outer: Polyline::new([], true), holes: Vec::new() }]),
            Shape::Lines(Lines { paths: Vec::new(), width: 1.0 }),
            Shape::Lines(Lines { paths: vec![Polyline::new([], false)], width: 0.0 }),
        ]),
        5 => lines().prop_map(Shape::Lines),
        1 => Just(Shape::Manual),
    ]
}

/// A region without crossings: corners at rising angles around a place, and up to two holes near it.
fn star() -> impl Strategy<Value = Polygon> {
    let reaches = vec(0.5..1.0_f64, 3..12);
    (place(), size(), reaches, 0..3_usize).prop_map(|(centre, size, reaches, holes)| {
        let count = reaches.len() as f64;
        let corners = reaches.iter().enumerate().map(|(i, reach)| {
            let (sin, cos) = (TAU * i as f64 / count).sin_cos();
            centre + Coord { x: cos, y: sin } * (reach * size)
        });
        // Of a triangle with corners at half the reach, the edges come as near as a quarter of it.
        let hole = |side: f64| {
            let by = centre
                + Coord {
                    x: side * size * 0.1,
                    y: 0.0,
                };
            Polyline::new(
                circle(size * 0.08).corners().map(|corner| corner + by),
                true,
            )
        };
        Polygon {
            outer: Polyline::new(corners, true),
            holes: [-1.0, 1.0].into_iter().take(holes).map(hole).collect(),
        }
    })
}

/// The same parts side by side, so that their insides do not overlap.
fn apart(parts: Vec<Polygon>) -> Vec<Polygon> {
    let mut right = 0.0_f64;
    let mut moved = Vec::new();
    for mut part in parts {
        let least = part.outer.x.iter().copied().fold(f64::INFINITY, f64::min);
        let by = right - least;
        for ring in std::iter::once(&mut part.outer).chain(&mut part.holes) {
            ring.x.iter_mut().for_each(|x| *x += by);
        }
        let greatest = part
            .outer
            .x
            .iter()
            .copied()
            .fold(f64::NEG_INFINITY, f64::max);
        right = greatest + 1.0;
        moved.push(part);
    }
    moved
}

/// A region as a slip of the hand draws it: edges cross, corners repeat.
fn tangle() -> impl Strategy<Value = Polygon> {
    vec(place(), 1..8).prop_map(|corners| Polygon {
        outer: Polyline::new(corners, true),
        holes: Vec::new(),
    })
}

fn lines() -> impl Strategy<Value = Lines> {
    let path = (
        place(),
        size(),
        vec((-1.0..1.0, -1.0..1.0), 1..8),
        any::<bool>(),
    )
        .prop_map(|(centre, size, corners, closed)| {
            let corners = corners
                .into_iter()
                .map(|(x, y)| centre + Coord { x, y } * size);
            Polyline::new(corners, closed)
        });
    let width = prop_oneof![Just(0.0), 0.01..0.5, 0.5..8.0];
    (vec(path, 1..4), width).prop_map(|(paths, width)| Lines { paths, width })
}

fn sewing() -> impl Strategy<Value = Sewing> {
    let point = || option::weighted(0.1, place().prop_map(Point::from));
    let mark = (place(), place()).prop_map(|(tail, head)| DirectionMark {
        tail: tail.into(),
        head: head.into(),
    });
    (
        option::weighted(0.2, -180.0..180.0),
        option::weighted(0.1, 0.2..5.0),
        option::weighted(0.1, 0.5..10.0),
        point(),
        point(),
        option::weighted(0.1, mark),
    )
        .prop_map(
            |(angle, density, stitch_length, start, finish, mark)| Sewing {
                angle,
                density,
                stitch_length,
                start,
                finish,
                direction_marks: mark.into_iter().collect(),
            },
        )
}

fn block() -> impl Strategy<Value = StitchBlock> {
    let kind = select(vec![
        StitchKind::Needle,
        StitchKind::Needle,
        StitchKind::Needle,
        StitchKind::Jump,
        StitchKind::Trim,
        StitchKind::Stop,
    ]);
    let role = select(vec![
        StitchRole::Underlay,
        StitchRole::Cover,
        StitchRole::Cover,
        StitchRole::Travel,
        StitchRole::Tie,
    ]);
    (kind, role, vec(place(), 0..12)).prop_map(|(kind, role, places)| {
        let (x, y) = places.into_iter().map(|at| (at.x, at.y)).unzip();
        StitchBlock { kind, role, x, y }
    })
}

/// Settings that fit `schema`, each left out about every second time.
///
/// # Panics
/// When the schema cannot be used.
pub fn settings(schema: &Value) -> BoxedStrategy<Value> {
    let validator = match jsonschema::draft202012::new(schema) {
        Ok(validator) => Arc::new(validator),
        Err(error) => panic!("the settings schema cannot be used: {error}"),
    };
    value(schema, schema, 0)
        .prop_filter(
            "the settings do not fit the schema as a whole",
            move |value| validator.is_valid(value),
        )
        .boxed()
}

/// What the part `schema` of the schema `root` allows.
fn value(schema: &Value, root: &Value, depth: usize) -> BoxedStrategy<Value> {
    let otherwise = schema.get("default").cloned().unwrap_or(Value::Null);
    if depth > DEEPEST {
        return Just(otherwise).boxed();
    }
    let target = schema["$ref"]
        .as_str()
        .and_then(|reference| root.pointer(reference.strip_prefix('#')?));
    if let Some(target) = target {
        return value(target, root, depth + 1);
    }
    if let Some(only) = schema.get("const") {
        return Just(only.clone()).boxed();
    }
    if let Some(words) = schema["enum"].as_array().filter(|words| !words.is_empty()) {
        return select(words.clone()).boxed();
    }
    for several in ["oneOf", "anyOf"] {
        if let Some(branches) = schema[several].as_array().filter(|all| !all.is_empty()) {
            let branches = branches.iter().map(|branch| value(branch, root, depth + 1));
            return Union::new(branches).boxed();
        }
    }
    match &schema["type"] {
        Value::Array(types) if !types.is_empty() => {
            let of = |kind: &Value| of_type(kind, schema, root, depth);
            Union::new(types.iter().map(of)).boxed()
        }
        kind => of_type(kind, schema, root, depth),
    }
}

fn of_type(kind: &Value, schema: &Value, root: &Value, depth: usize) -> BoxedStrategy<Value> {
    let otherwise = schema.get("default").cloned().unwrap_or(Value::Null);
    match kind.as_str().unwrap_or_default() {
        "boolean" => any::<bool>().prop_map(Value::from).boxed(),
        "number" => {
            let [least, greatest] = bounds(schema);
            prop_oneof![
                Just(least),
                Just(greatest),
                least..=greatest,
                least..=greatest
            ]
            .prop_map(Value::from)
            .boxed()
        }
        "integer" => {
            let [least, greatest] = bounds(schema).map(|bound| bound as i64);
            prop_oneof![Just(least), Just(greatest), least..=greatest]
                .prop_map(Value::from)
                .boxed()
        }
        "string" => {
            let words = ["", "wing", "outline", "object-1", "no such word"].map(Value::from);
            let given = schema.get("default").cloned();
            select(words.into_iter().chain(given).collect::<Vec<_>>()).boxed()
        }
        "array" if schema["prefixItems"].is_array() => {
            let items = schema["prefixItems"].as_array().into_iter().flatten();
            let each: Vec<_> = items.map(|item| value(item, root, depth + 1)).collect();
            each.prop_map(Value::from).boxed()
        }
        "array" => {
            let count = |name: &str| schema[name].as_u64().map(|count| count as usize);
            let least = count("minItems").unwrap_or(0);
            let most = count("maxItems").unwrap_or(least + 3).min(least + 3);
            vec(value(&schema["items"], root, depth + 1), least..=most)
                .prop_map(Value::from)
                .boxed()
        }
        "object" => properties(schema, root, depth),
        _ => Just(otherwise).boxed(),
    }
}

/// The least and the greatest number that a schema allows; a thousand where it has no bound.
fn bounds(schema: &Value) -> [f64; 2] {
    let bound = |name: &str, otherwise| schema[name].as_f64().unwrap_or(otherwise);
    let least = bound("minimum", -1000.0);
    [least, bound("maximum", 1000.0).max(least)]
}

fn properties(schema: &Value, root: &Value, depth: usize) -> BoxedStrategy<Value> {
    let required: Vec<&str> = schema["required"]
        .as_array()
        .into_iter()
        .flatten()
        .filter_map(Value::as_str)
        .collect();
    let mut object = Just(Map::new()).boxed();
    for (name, property) in schema["properties"].as_object().into_iter().flatten() {
        let given = if required.contains(&name.as_str()) {
            1.0
        } else {
            0.5
        };
        let entry = option::weighted(given, value(property, root, depth + 1));
        let name = name.clone();
        object = (object, entry)
            .prop_map(move |(mut object, entry)| {
                if let Some(entry) = entry {
                    object.insert(name.clone(), entry);
                }
                object
            })
            .boxed();
    }
    let others = &schema["additionalProperties"];
    if others.is_object() {
        let words = select(vec!["wing", "outline", "1"]).prop_map(str::to_owned);
        let others = btree_map(words, value(others, root, depth + 1), 0..3);
        object = (object, others)
            .prop_map(|(mut object, others)| {
                for (name, value) in others {
                    object.entry(name).or_insert(value);
                }
                object
            })
            .boxed();
    }
    object.prop_map(Value::from).boxed()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::strategy::ValueTree as _;
    use proptest::test_runner::TestRunner;

    crate::settings! {
        /// Settings of kinds that are seldom used.
        struct Seldom {
            /// Two numbers.
            pair: (f64, f64) = (0.0, 0.0);
            /// Numbers by name.
            by_name: std::collections::BTreeMap<String, u8> = Default::default();
        }
    }

    #[test]
    fn settings_of_every_kind_are_varied() {
        let schema = serde_json::to_value(schemars::schema_for!(Seldom)).expect("a schema");
        let mut runner = TestRunner::deterministic();
        let (mut pairs, mut names) = (0, 0);
        for _ in 0..100 {
            let tree = settings(&schema).new_tree(&mut runner).expect("settings");
            let given: Seldom = serde_json::from_value(tree.current()).expect("they fit");
            pairs += usize::from(given.pair != (0.0, 0.0));
            names += usize::from(!given.by_name.is_empty());
        }
        assert!(pairs > 20 && names > 20, "{pairs} {names}");
    }

    #[test]
    fn designs_are_sound_and_of_every_sort() {
        let mut runner = TestRunner::deterministic();
        let mut sorts = [0; 6];
        for _ in 0..500 {
            let tree = designs().new_tree(&mut runner).expect("a design");
            let (design, selected) = tree.current();
            assert_eq!(crate::valid::problems(&design), [""; 0]);
            assert!(selected.iter().all(|&place| place < design.objects.len()));
            for object in &design.objects {
                match &object.shape {
                    Shape::Region(region) if region.polygons.is_empty() => sorts[0] += 1,
                    Shape::Region(region)
                        if region.polygons.iter().any(|part| !part.holes.is_empty()) =>
                    {
                        sorts[1] += 1;
                    }
                    Shape::Region(_) => sorts[2] += 1,
                    Shape::Lines(_) => sorts[3] += 1,
                    Shape::Manual => sorts[4] += 1,
                }
                sorts[5] += usize::from(!object.stitches.is_empty());
            }
        }
        assert!(sorts.iter().all(|&count| count > 20), "{sorts:?}");
    }
}
