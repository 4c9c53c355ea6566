use super::*;
use hoopwright_sdk::THREAD_WIDTH;

fn sewn(id: &str, places: &[(f64, f64)]) -> Object {
    let mut stitches = StitchList::new();
    for &(x, y) in places {
        stitches.needle(StitchRole::Cover, Coord { x, y });
    }
    Object {
        stitches: stitches.into_blocks(),
        ..Object::new(id, Shape::Manual)
    }
}

fn design() -> Design {
    let mut design = Design::on_page(
        100.0,
        100.0,
        vec![
            sewn("moon", &[(30.0, 20.0), (40.0, 25.0)]),
            sewn("twig", &[(20.0, 60.0), (70.0, 50.0)]),
        ],
    );
    design.threads = ["Gold", "Soot"]
        .map(|name| Thread {
            name: name.into(),
            code: String::new(),
            red: 0,
            green: 0,
            blue: 0,
            weight: 40,
        })
        .to_vec();
    design.objects[1].thread = 1;
    design
}

fn boxed(settings: &BastingBox) -> Design {
    basting_box(design(), &[0, 1], settings).unwrap_or_else(|why| panic!("{why:?}"))
}

#[test]
fn the_box_lies_as_far_outside_as_asked() {
    let after = boxed(&BastingBox::default());
    assert_eq!(after.objects.len(), 3);
    assert_eq!(after.objects[1..], design().objects[..]);
    let needles: Vec<Stitch> = stitches_of(&after.objects[0].stitches).collect();
    // Needle points from (20, 20) to (70, 60); half a thread and 5 mm further out.
    let out = 5.0 + THREAD_WIDTH / 2.0;
    for needle in &needles {
        let Coord { x, y } = needle.at;
        let on_a_side = [
            (x, 20.0 - out),
            (x, 70.0 + out),
            (y, 20.0 - out),
            (y, 60.0 + out),
        ]
        .iter()
        .any(|(at, side)| (at - side).abs() < 1e-9);
        assert!(on_a_side, "{x} {y}");
    }
    assert_eq!(needles.first().map(|n| n.at), needles.last().map(|n| n.at));
    for pair in needles.windows(2) {
        let step = measure::distance(pair[0].at, pair[1].at);
        assert!((5.0..=7.0).contains(&step), "{step}");
    }
}

#[test]
fn it_ends_in_the_corner_where_the_design_begins() {
    // The needle first goes down at (30, 20): the upper left corner is nearest.
    let after = boxed(&BastingBox::default());
    let first = stitches_of(&after.objects[0].stitches).next();
    let at = first.map(|stitch| stitch.at);
    assert_eq!(at, Some(Coord { x: 14.8, y: 14.8 }));
}

#[test]
fn the_thread_is_the_first_one_or_the_one_named() {
    assert_eq!(boxed(&BastingBox::default()).objects[0].thread, 0);
    let named = BastingBox {
        thread: "soot".into(),
        ..BastingBox::default()
    };
    assert_eq!(boxed(&named).objects[0].thread, 1);
    let wrong = BastingBox {
        thread: "silver".into(),
        ..BastingBox::default()
    };
    let why = basting_box(design(), &[0], &wrong).expect_err("there is no silver");
    assert_eq!(why.help.as_deref(), Some("It has: Gold, Soot."));
}

#[test]
fn only_what_is_selected_is_surrounded() {
    let after = basting_box(design(), &[0], &BastingBox::default()).map(|d| d.objects[0].clone());
    let bounds = after
        .ok()
        .and_then(|o| Bounds::as_drawn(&o))
        .map(|b| b.down.greatest);
    assert_eq!(bounds, Some(30.2));
}

#[test]
fn two_boxes_have_two_ids() {
    let once = boxed(&BastingBox::default());
    let twice = basting_box(once, &[0, 1, 2], &BastingBox::default());
    let ids: Vec<String> = twice.map_or(vec![], |d| d.objects.into_iter().map(|o| o.id).collect());
    assert_eq!(ids, ["basting-box-2", "basting-box", "moon", "twig"]);
}

#[test]
fn nothing_gets_no_box() {
    let empty = Design::on_page(10.0, 10.0, vec![Object::new("a", Shape::Manual)]);
    messages::take();
    let same = basting_box(empty.clone(), &[0], &BastingBox::default());
    assert_eq!(same, Ok(empty));
    assert_eq!(messages::take().len(), 1);
}
