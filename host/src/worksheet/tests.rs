use super::*;
use crate::design::{Object, Point, Rectangle, Shape, StitchList, StitchRole, Thread};
use crate::diagnostics::Severity;
use crate::formats::dst::{self, Hoop};
use geo::Coord;

fn thread(name: &str) -> Thread {
    Thread {
        name: name.to_owned(),
        code: format!("R-{name}"),
        red: 192,
        green: 128,
        blue: 64,
        weight: 40,
    }
}

/// A line of `count` stitches, `length` mm each, along the row at `y`.
fn row(id: &str, thread: u32, y: f64, count: u32, length: f64) -> Object {
    let mut list = StitchList::new();
    for i in 0..=count {
        let x = f64::from(i) * length;
        list.needle(StitchRole::Cover, Coord { x, y });
    }
    let mut object = Object::new(id, Shape::Manual);
    object.thread = thread;
    object.stitches = list.into_blocks();
    object
}

fn two_rows() -> Design {
    Design {
        title: "Barn owl".to_owned(),
        page: Rectangle {
            least: Point { x: 0.0, y: 0.0 },
            greatest: Point { x: 50.0, y: 50.0 },
        },
        threads: vec![thread("tan"), thread("white")],
        objects: vec![row("a", 0, 0.0, 20, 2.5), row("b", 1, 40.0, 10, 3.0)],
    }
}

fn sheet(design: &Design, notes: &OperatorNotes) -> Worksheet {
    let machine = Machine::default();
    let written = dst::write(design, &machine).expect("sound");
    build(design, &written, &machine, notes)
}

#[test]
fn figures_follow_from_the_stitches() {
    let sheet = sheet(&two_rows(), &OperatorNotes::default());
    assert_eq!((sheet.width, sheet.height), (50.0, 40.0));
    // 21 needle points and 11.
    assert_eq!(sheet.stitches, 32);
    assert_eq!((sheet.thread_changes, sheet.stops, sheet.trims), (1, 0, 0));
    assert_eq!(sheet.shortest_stitch, Some(2.5));
    assert_eq!(sheet.longest_stitch, Some(3.0));
    // 20 x 2.5 mm and 10 x 3 mm.
    assert_eq!(sheet.laid_thread, 0.08);
    assert_eq!(sheet.runs[0].laid_thread, 0.05);
    assert_eq!(sheet.runs[1].laid_thread, 0.03);
    // 32 stitches at 800 a minute, and one thread change.
    assert_eq!(sheet.seconds, 15.4);
    // A thread maker's glossary: 5 m top and about 3 m bobbin for 1000 stitches.
    assert_eq!((sheet.top_thread, sheet.bobbin_thread), (0.16, 0.1));
    assert_eq!(sheet.runs[1].begins, Beginning::ThreadChange);
    assert_eq!(sheet.runs[1].colour, "#c08040");
}

#[test]
fn a_hoop_too_small_is_warned_about() {
    let hoop = |width, height| OperatorNotes {
        hoop: Some(Hoop {
            width,
            height,
            margin: 5.0,
        }),
        ..OperatorNotes::default()
    };
    // 50 x 40 mm, and 5 mm free along each side.
    assert!(sheet(&two_rows(), &hoop(60.0, 50.0)).warnings.is_empty());
    let narrow = sheet(&two_rows(), &hoop(59.0, 50.0)).warnings;
    assert_eq!(narrow.len(), 1);
    // Over the margin it may still be sewn; where the needle would strike the frame, it may not.
    assert_eq!(narrow[0].severity, Severity::Warning);
    let strikes = sheet(&two_rows(), &hoop(49.0, 50.0)).warnings;
    assert_eq!(strikes[0].severity, Severity::Error);
    let turned = sheet(&two_rows(), &hoop(50.0, 60.0)).warnings;
    assert!(
        turned[0]
            .help
            .as_deref()
            .is_some_and(|help| help.contains("quarter"))
    );
}

#[test]
fn a_needle_kept_for_a_thread_that_is_not_used_is_told_of() {
    let needles = |kept: &str| OperatorNotes {
        needles: vec![NeedleThread {
            needle: 1,
            code: kept.to_owned(),
        }],
        ..OperatorNotes::default()
    };
    let machine = dst::Machine {
        needles: Some(2),
        ..dst::Machine::default()
    };
    let design = two_rows();
    let written = dst::write(&design, &machine).expect("it can be sewn");
    let told = |kept: &str| build(&design, &written, &machine, &needles(kept)).warnings;
    let used = design.threads[0].code.clone();
    assert_eq!(told(&used), []);
    let held = told("for good");
    assert_eq!(held[0].code, "needle-held");
    assert!(held[0].message.contains("for good"), "{}", held[0].message);
}

#[test]
fn nothing_in_a_design_becomes_markup() {
    let mut design = two_rows();
    let attack = "\"><script>alert(1)</script>";
    design.title = attack.to_owned();
    design.threads[0].name = attack.to_owned();
    design.threads[0].code = attack.to_owned();
    let notes = OperatorNotes {
        fabric: attack.to_owned(),
        notes: vec![attack.to_owned()],
        ..OperatorNotes::default()
    };
    let page = html(&sheet(&design, &notes), &design);
    assert!(!page.contains("<script"));
    assert_eq!(page.matches("&lt;script&gt;alert(1)").count(), 7);
}

#[test]
fn the_page_stands_alone_and_is_whole() {
    let design = two_rows();
    let page = html(&sheet(&design, &OperatorNotes::default()), &design);
    assert!(
        !page.contains("http://") || page.matches("http://").count() == 1,
        "only SVG's own name"
    );
    assert!(!page.contains("https://") && !page.contains("src=") && !page.contains("@import"));
    assert!(page.contains("R-tan") && page.contains("white") && page.contains("50.0 x 40.0 mm"));
    for caution in cautions::ALL {
        assert!(page.contains(&caution.replace('\'', "&#39;")) || page.contains(caution));
    }
}

#[test]
fn notes_are_kebab_case_and_unknown_ones_are_refused() {
    let notes: OperatorNotes = serde_json::from_str(
        r#"{"top-thread": "40 weight", "hoop": {"width": 100, "height": 100}}"#,
    )
    .expect("valid");
    assert_eq!(notes.hoop.map(|hoop| hoop.margin), Some(5.0));
    assert!(serde_json::from_str::<OperatorNotes>(r#"{"colour": "x"}"#).is_err());
}

/// By hand: 8,000 stitches at 800 a minute are 600 s; 5 trims at 7 s (textbook 20387AG, p. 168) are
/// 35 s; 3 changes at 13 s (6 to 20 s, read in trade sources) are 39 s: 674 s. Top thread 5 m and
/// bobbin thread 3 m for 1,000 stitches (a thread maker's glossary) are 40 m and 24 m.
#[test]
fn time_and_thread_are_within_5_percent_of_a_calculation_by_hand() {
    let objects = (0..4).map(|i| {
        let mut list = StitchList::new();
        // One trim in the first three threads, two in the last.
        let trimmed: &[u32] = if i == 3 { &[500, 1500] } else { &[1000] };
        for j in 0..2000 {
            let at = Coord {
                x: f64::from(j % 2) * 2.0 + f64::from(i) * 4.0,
                y: f64::from(j) * 0.2,
            };
            list.needle(StitchRole::Cover, at);
            if trimmed.contains(&j) {
                list.trim(at);
            }
        }
        let mut object = Object::new(&format!("o{i}"), Shape::Manual);
        object.thread = i;
        object.stitches = list.into_blocks();
        object
    });
    let design = Design {
        threads: (0..4).map(|i| thread(&i.to_string())).collect(),
        objects: objects.collect(),
        ..two_rows()
    };
    let sheet = sheet(&design, &OperatorNotes::default());
    assert_eq!(
        (sheet.stitches, sheet.trims, sheet.thread_changes),
        (8000, 5, 3)
    );
    let near = |value: f64, by_hand: f64| {
        assert!(
            (value / by_hand - 1.0).abs() <= 0.05,
            "{value}, by hand {by_hand}"
        );
    };
    near(sheet.seconds, 674.0);
    near(sheet.top_thread, 40.0);
    near(sheet.bobbin_thread, 24.0);
}

#[test]
fn needles_stand_in_the_thread_order() {
    let mut design = two_rows();
    design.objects.push(row("c", 0, 60.0, 5, 2.0));
    let needles = |notes: &OperatorNotes| {
        let runs = sheet(&design, notes).runs;
        runs.iter().map(|run| run.needle).collect::<Vec<_>>()
    };
    let some = |needles: [u16; 3]| needles.map(Some).to_vec();
    assert_eq!(needles(&OperatorNotes::default()), some([1, 2, 1]));
    let notes: OperatorNotes =
        serde_json::from_str(r#"{"needles": [{"needle": 7, "code": "R-tan"}]}"#).expect("valid");
    assert_eq!(needles(&notes), some([7, 1, 7]));
}

/// A thread past the machine's last needle has none until the operator changes one: a dash on paper.
#[test]
fn threads_past_the_last_needle_have_none() {
    let mut design = two_rows();
    design.threads.push(thread("brown"));
    design.objects.push(row("c", 2, 60.0, 5, 2.0));
    let machine = Machine {
        needles: Some(2),
        ..Machine::default()
    };
    let written = dst::write(&design, &machine).expect("sound");
    let notes: OperatorNotes =
        serde_json::from_str(r#"{"needles": [{"needle": 1, "code": "R-white"}]}"#).expect("valid");
    let sheet = build(&design, &written, &machine, &notes);
    let needles: Vec<Option<u16>> = sheet.runs.iter().map(|run| run.needle).collect();
    assert_eq!(needles, [Some(2), Some(1), None]);
    assert!(html(&sheet, &design).contains("<b>\u{2013}</b>"));
}

/// The picture in HTML: as it is where it fits, and else of a stated size.
#[test]
fn a_large_picture_says_how_large_it_is() {
    let mut design = two_rows();
    let page = |design: &Design| html(&sheet(design, &OperatorNotes::default()), design);
    assert!(page(&design).contains("True size. This rule is 50 mm long"));
    assert!(!page(&design).contains(".stitches svg {"));
    // 50 x 40 mm of stitches, and 5 mm around; a rule stands below it, so that it has no bar.
    assert!(page(&design).contains(r#"width="60.00mm" height="50.00mm""#));
    // 200 mm and 5 mm around, in 104 mm: 49 %, so 45 %.
    design.objects[0] = row("a", 0, 0.0, 80, 2.5);
    let page = page(&design);
    assert!(page.contains("At 45 % of true size"));
    assert!(page.contains(".stitches svg { width: 94.50mm; height: 22.50mm }"));
}
