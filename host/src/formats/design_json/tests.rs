use super::*;
use crate::design::{
    DirectionMark, Object, Point, Polyline, Rectangle, Region, Shape, StitchList, StitchRole,
    Thread,
};
use crate::diagnostics::Severity;
use geo::Coord;
use proptest::prelude::*;

fn design() -> Design {
    let mut list = StitchList::new();
    list.needle(StitchRole::Underlay, Coord { x: 0.1, y: 0.2 });
    list.needle(
        StitchRole::Underlay,
        Coord {
            x: 1.0 / 3.0,
            y: -2.5,
        },
    );
    list.trim(Coord { x: 4.0, y: 4.0 });
    let corners = [(0.0, 0.0), (10.0, 0.0), (10.0, 5.0)];
    let outer = Polyline::new(corners.map(|(x, y)| Coord { x, y }), true);
    let mut wing = Object::new(
        "wing",
        Shape::Region(Region {
            polygons: vec![crate::design::Polygon {
                outer,
                holes: Vec::new(),
            }],
        }),
    );
    wing.tags = vec!["left".to_owned(), "feathers".to_owned()];
    wing.stitches = list.into_blocks();
    wing.sewing.density = Some(0.4);
    wing.sewing.direction_marks.push(DirectionMark {
        tail: Point { x: 0.0, y: 0.0 },
        head: Point { x: 1.0, y: 1.0 },
    });
    Design {
        title: "Barn \"owl\"".to_owned(),
        page: Rectangle {
            least: Point { x: 0.0, y: 0.0 },
            greatest: Point { x: 90.0, y: 90.0 },
        },
        threads: vec![Thread {
            name: "tan".to_owned(),
            code: "R-7".to_owned(),
            red: 200,
            green: 150,
            blue: 100,
            weight: 40,
        }],
        objects: vec![wing, Object::new("hand", Shape::Manual)],
    }
}

fn read_text(text: &str) -> Result<Design, Failed> {
    read(text, Path::new("owl.design.json"))
}

/// RFC 8259, section 8.1: a reader may ignore a byte order mark.
#[test]
fn a_mark_before_the_text_is_skipped() {
    let text = write(&design());
    assert_eq!(read_text(&format!("\u{feff}{text}")), read_text(&text));
    let lean = "{\"objects\": [{\"id\": \"a\"}]}";
    assert!(read_text(lean).is_ok());
    assert_eq!(read_text(&format!("\u{feff}{lean}")), read_text(lean));
}

fn refused(text: &str) -> Vec<Diagnostic> {
    let Err(Failed(why)) = read_text(text) else {
        panic!("must be refused");
    };
    assert!(
        why.iter()
            .all(|d| d.severity == Severity::Error && d.file.is_some())
    );
    why
}

#[test]
fn a_design_comes_back_as_it_was() {
    let text = write(&design());
    assert_eq!(read_text(&text).expect("valid"), design());
    assert_eq!(write(&read_text(&text).expect("valid")), text);
}

#[test]
fn columns_of_numbers_have_one_line_each() {
    let text = write(&design());
    assert!(
        text.contains("\n          \"x\": [0.1,0.3333333333333333],\n"),
        "{text}"
    );
    assert!(text.contains("\"tags\": [\"left\",\"feathers\"]"));
    assert!(text.contains("\"direction_marks\": [\n"));
    assert!(text.ends_with("\n}\n"));
}

#[test]
fn the_schema_is_closed_and_every_name_described() {
    let schema = schema();
    assert_eq!(
        schema["$schema"],
        "https://json-schema.org/draft/2020-12/schema"
    );
    assert!(jsonschema::meta::is_valid(&schema));
    let validator = jsonschema::draft202012::new(&schema).expect("a schema");
    let value: Value = serde_json::from_str(&write(&design())).expect("JSON");
    assert!(validator.is_valid(&value));
    assert_eq!(schema["$defs"]["Thread"]["additionalProperties"], false);
    let density = schema["$defs"]["Sewing"]["properties"]["density"]["description"].as_str();
    assert!(density.is_some_and(|words| words.contains("line 1 to line 3")));
}

#[test]
fn what_is_no_json_has_its_line() {
    let why = refused("{\n  \"title\": nope\n}");
    assert_eq!((why[0].code, why[0].line), ("not-json", Some(2)));
}

#[test]
fn every_misfit_is_told_with_its_place() {
    let text = write(&design())
        .replace("\"title\"", "\"titel\"")
        .replace("\"red\": 200", "\"red\": 256")
        .replace("\"density\"", "\"densty\"");
    let why = refused(&text);
    let told: Vec<(&str, Option<usize>)> = why.iter().map(|d| (d.code, d.line)).collect();
    let line_of = |needle: &str| {
        text.lines()
            .position(|line| line.contains(needle))
            .map(|i| i + 1)
    };
    for (code, needle) in [
        ("unknown-name", "titel"),
        ("unknown-name", "densty"),
        ("out-of-range", "256"),
    ] {
        assert!(
            told.contains(&(code, line_of(needle))),
            "{needle}: {why:#?}"
        );
    }
    let titel = why.iter().find(|d| d.message.contains("titel"));
    let help = titel.and_then(|d| d.help.as_deref());
    assert_eq!(help, Some("Did you mean \"title\"?"));
}

#[test]
fn a_wrong_shape_says_what_is_wrong_in_it() {
    let text = write(&design())
        .replace("\"outer\"", "\"outher\"")
        .replace("\"shape\": \"Manual\"", "\"shape\": {\"Line\": 3}");
    let why = refused(&text);
    let told: Vec<(&str, Option<&str>)> = why.iter().map(|d| (d.code, d.help.as_deref())).collect();
    let outer = Some("Did you mean \"outer\"?");
    let lines = Some("Did you mean \"Lines\"?");
    assert_eq!(why.len(), 3, "{why:#?}");
    assert!(told.contains(&("unknown-name", outer)), "{why:#?}");
    assert!(told.contains(&("unknown-name", lines)), "{why:#?}");
    assert!(told.contains(&("missing-name", None)), "{why:#?}");
    let line = text.lines().position(|line| line.contains("outher"));
    assert!(
        why.iter().any(|d| d.line == line.map(|i| i + 1)),
        "{why:#?}"
    );
}

/// The least that one can write: an id and the places of the needle.
const BY_HAND: &str = r#"{
  "$schema": "design.schema.json",
  "objects": [
    { "id": "whisker", "stitches": [{ "x": [0, 2.5, 5], "y": [0, 1, 0] }] },
    { "id": "eye", "shape": { "Region": { "polygons": [{ "outer": { "x": [8, 10, 9], "y": [0, 0, 3] } }] } } },
    {
      "id": "feather",
      "sewing": { "start": { "x": 1, "y": -2 } },
      "shape": { "Lines": { "paths": [{ "x": [0, 4], "y": [-2, -2] }] } }
    }
  ]
}"#;

#[test]
fn what_is_left_out_has_its_default() {
    let design = read_text(BY_HAND).expect("it is enough");
    assert_eq!(design.title, "owl", "the file's own name");
    assert_eq!(design.threads.len(), 1);
    assert_eq!(design.threads[0].weight, 40);
    let [whisker, eye, feather] = design.objects.as_slice() else {
        panic!("three objects")
    };
    assert_eq!((whisker.name.as_str(), whisker.thread), ("whisker", 0));
    assert!(whisker.tags.is_empty());
    assert_eq!(whisker.shape, Shape::Manual);
    assert_eq!(whisker.sewing, crate::design::Sewing::default());
    let places: Vec<_> = whisker
        .each_stitch()
        .map(|s| (s.kind, s.role, s.at.x))
        .collect();
    let cover = |x| (crate::design::StitchKind::Needle, StitchRole::Cover, x);
    assert_eq!(places, [cover(0.0), cover(2.5), cover(5.0)]);
    let Shape::Region(region) = &eye.shape else {
        panic!("a region")
    };
    assert!(region.polygons[0].outer.closed && region.polygons[0].holes.is_empty());
    let Shape::Lines(lines) = &feather.shape else {
        panic!("lines")
    };
    assert_eq!((lines.paths[0].closed, lines.width), (false, 0.0));
    assert_eq!(feather.sewing.start, Some(Point { x: 1.0, y: -2.0 }));
    // Close around all of it.
    assert_eq!(design.page.least, Point { x: 0.0, y: -2.0 });
    assert_eq!(design.page.greatest, Point { x: 10.0, y: 3.0 });
    // Written in full, it is read as the same.
    assert_eq!(read_text(&write(&design)).expect("valid"), design);
}

#[test]
fn an_empty_design_is_a_design() {
    let design = read_text(r#"{ "objects": [] }"#).expect("it is enough");
    assert_eq!(design.page.greatest, Point { x: 0.0, y: 0.0 });
    assert_eq!(refused("{}")[0].code, "missing-name");
}

#[test]
fn mistakes_by_hand_are_told_with_line_and_nearest_name() {
    let text = BY_HAND
        .replace("\"x\": 1, \"y\": -2", "\"x\": 1, \"why\": -2")
        .replace("\"stitches\"", "\"stiches\"")
        .replace("\"outer\": { \"x\"", "\"outer\": { \"xs\"");
    let why = refused(&text);
    let told: Vec<(&str, Option<usize>, &str)> = why
        .iter()
        .map(|d| (d.code, d.line, d.help.as_deref().unwrap_or_default()))
        .collect();
    for expected in [
        ("unknown-name", Some(4), "Did you mean \"stitches\"?"),
        ("unknown-name", Some(5), "Did you mean \"x\"?"),
        ("missing-name", Some(5), ""),
        ("missing-name", Some(8), ""),
    ] {
        assert!(told.contains(&expected), "{expected:?} {told:#?}");
    }
    assert!(
        told.iter().any(|t| t.0 == "unknown-name" && t.1 == Some(8)),
        "{told:#?}"
    );
    assert!(why.iter().all(|d| d.column.is_some()));
    assert_eq!(why.len(), 5, "{told:#?}");
}

#[test]
fn names_given_twice_and_unsound_objects_have_their_line() {
    let twice = BY_HAND.replace("\"id\": \"whisker\"", "\"id\": \"a\", \"id\": \"whisker\"");
    assert_eq!(
        (refused(&twice)[0].code, refused(&twice)[0].line),
        ("given-twice", Some(4))
    );
    let twins = BY_HAND.replace("\"id\": \"eye\"", "\"id\": \"whisker\"");
    assert_eq!(
        (refused(&twins)[0].code, refused(&twins)[0].line),
        ("unsound-design", Some(5))
    );
    // As whoever sews it would refuse it: no step is to blame for it.
    let commanding = BY_HAND.replace("\"id\": \"eye\"", "\"id\": \"e\\u001bye\"");
    assert_eq!(
        (refused(&commanding)[0].code, refused(&commanding)[0].line),
        ("unsound-design", Some(5))
    );
    let thread = BY_HAND.replace(
        "\"id\": \"feather\",",
        "\"id\": \"feather\", \"thread\": 2,",
    );
    assert_eq!(refused(&thread)[0].line, Some(7));
}

#[test]
fn unsound_designs_are_refused_with_every_problem() {
    let mut design = design();
    design.objects[0].thread = 9;
    design.objects[0].stitches[0].x.push(1.0);
    let why = refused(&write(&design));
    assert_eq!(why.len(), 2, "{why:#?}");
}

proptest! {
    #[test]
    fn every_number_comes_back_to_the_last_bit(values in proptest::collection::vec(-9999.0f64..9999.0, 1..50)) {
        let mut design = design();
        design.objects[0].stitches[0].x = values.clone();
        design.objects[0].stitches[0].y = values;
        prop_assert_eq!(read_text(&write(&design)).expect("valid"), design);
    }

    #[test]
    fn any_text_is_read_or_refused(text in "[\\[\\]{}\",:a-z0-9. -]{0,200}") {
        let _ = read_text(&text);
    }

    #[test]
    fn a_design_cut_anywhere_is_refused(at in 0usize..1500) {
        let text = write(&design());
        let cut = text.get(..at).unwrap_or_default();
        prop_assert!(read_text(cut).is_err());
    }
}
