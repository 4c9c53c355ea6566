use super::composer::Setting;
use super::marks::{Area, Mark, Page, Placed};
use super::typeface::{POINT, Typefaces, Weight};
use super::*;
use crate::design::{Object, Point, Rectangle, Shape, StitchList, StitchRole, Thread};
use crate::formats::dst::Hoop;
use crate::formats::dst::{self, Machine};
use crate::worksheet::{OperatorNotes, Paper, build};

/// Twenty stitches of 2 mm for each of `names`, one row under the other.
fn design(title: &str, names: &[String]) -> Design {
    let thread = |(i, name): (usize, &String)| Thread {
        name: name.clone(),
        code: format!("C{i}"),
        red: (i * 37 % 256) as u8,
        green: (i * 91 % 256) as u8,
        blue: (i * 5 % 256) as u8,
        weight: 40,
    };
    let object = |i: usize| {
        let mut list = StitchList::new();
        for j in 0..20 {
            let (x, y) = (f64::from(j) * 2.0, i as f64);
            list.needle(StitchRole::Cover, Coord { x, y });
        }
        let mut object = Object::new(&format!("o{i}"), Shape::Manual);
        object.thread = i as u32;
        object.stitches = list.into_blocks();
        object
    };
    let corner = Point { x: 0.0, y: 0.0 };
    Design {
        title: title.to_owned(),
        page: Rectangle {
            least: corner,
            greatest: corner,
        },
        threads: names.iter().enumerate().map(thread).collect(),
        objects: (0..names.len()).map(object).collect(),
    }
}

fn names(count: usize) -> Vec<String> {
    (1..=count).map(|i| format!("Thread number {i}")).collect()
}

fn sheet(design: &Design, notes: &OperatorNotes) -> (Worksheet, Coord<f64>) {
    let machine = Machine::default();
    let written = dst::write(design, &machine).expect("sound");
    let sheet = build(design, &written, &machine, notes);
    (sheet, written.route.origin)
}

fn laid(design: &Design, notes: &OperatorNotes) -> Vec<Page> {
    let faces = Typefaces::load().expect("built in");
    let (sheet, start) = sheet(design, notes);
    let sewn = design.needle_bounds().expect("sewn");
    sheet::pages(&faces, &sheet, sewn, start)
}

/// Where each line of text lies, from the height of small letters to the base line.
fn texts(page: &Page) -> Vec<(Area, &str)> {
    let faces = Typefaces::load().expect("built in");
    let area = |placed| match placed {
        &Placed {
            mark:
                Mark::Text {
                    at: [x, y],
                    size,
                    weight,
                    ref text,
                    ..
                },
            ..
        } => {
            let height = 0.54 * size * POINT;
            let width = faces.width(weight, size, text);
            let y = y - height;
            Some((
                Area {
                    x,
                    y,
                    width,
                    height,
                },
                text.as_str(),
            ))
        }
        _ => None,
    };
    page.iter().filter_map(area).collect()
}

/// Nothing is printed over anything else, or into the margin.
fn assert_tidy(pages: &[Page], paper: Paper) {
    let [width, height] = paper.size();
    for page in pages {
        let texts = texts(page);
        for (i, (a, text)) in texts.iter().enumerate() {
            assert!(
                a.x >= Paper::MARGIN - 0.01
                    && a.x + a.width <= width - Paper::MARGIN + 0.01
                    && a.y >= Paper::MARGIN - 0.01
                    && a.y + a.height <= height - Paper::MARGIN + 0.01,
                "{text} lies in the margin: {a:?}"
            );
            for (b, other) in &texts[i + 1..] {
                let apart = a.x + a.width <= b.x
                    || b.x + b.width <= a.x
                    || a.y + a.height <= b.y
                    || b.y + b.height <= a.y;
                assert!(apart, "{text} and {other} overlap: {a:?} {b:?}");
            }
        }
    }
}

fn all_text(pages: &[Page]) -> String {
    let texts = pages.iter().flat_map(texts);
    texts.map(|(_, text)| text).collect::<Vec<_>>().join("\n")
}

#[test]
fn a_usual_design_takes_one_page() {
    for paper in [Paper::A4, Paper::Letter] {
        let notes = OperatorNotes {
            paper,
            ..OperatorNotes::default()
        };
        let pages = laid(&design("Owl", &names(17)), &notes);
        assert_eq!(pages.len(), 1);
        assert_tidy(&pages, paper);
        assert!(all_text(&pages).contains("page 1 of 1"));
    }
}

#[test]
fn sixty_threads_go_on_over_pages_with_the_heads_repeated() {
    let pages = laid(&design("Owl", &names(60)), &OperatorNotes::default());
    assert!(pages.len() > 1);
    assert_tidy(&pages, Paper::A4);
    let text = all_text(&pages);
    for i in 1..=60 {
        let line = format!("\nThread number {i} #");
        assert_eq!(text.matches(&line).count(), 1, "{i}");
    }
    for (i, page) in pages.iter().enumerate() {
        let text = all_text(std::slice::from_ref(page));
        assert!(text.contains(&format!("page {} of {}", i + 1, pages.len())));
        assert_eq!(
            text.contains("Thread number"),
            text.contains("As it lies"),
            "{text}"
        );
    }
    // The most comfortable setting is kept where one page is not enough.
    let sizes = pages
        .iter()
        .flatten()
        .filter_map(|placed| match placed.mark {
            Mark::Text { size, .. } => Some(size),
            _ => None,
        });
    assert!(sizes.fold(f64::MAX, f64::min) >= Setting::ALL[0].small);
}

#[test]
fn endless_words_stay_in_their_places() {
    let long = "Überaus\u{301}langerZwirnname".repeat(30);
    let mut threads = names(30);
    threads[3].clone_from(&long);
    let mut design = design(&long, &threads);
    design.threads[5].code = "9".repeat(200);
    let sentence = "word ".repeat(300);
    let notes = OperatorNotes {
        fabric: sentence.clone(),
        stabilizer: long.clone(),
        needle: "ж".repeat(500),
        top_thread: sentence.clone(),
        bobbin_thread: sentence.clone(),
        notes: vec![sentence; 12],
        ..OperatorNotes::default()
    };
    let pages = laid(&design, &notes);
    assert_tidy(&pages, Paper::A4);
    assert!(all_text(&pages).matches('…').count() > 6);
}

#[test]
fn warnings_stand_at_the_top_and_many_are_counted() {
    let design = design("Owl", &names(3));
    let (mut sheet, start) = sheet(&design, &OperatorNotes::default());
    for i in 0..20 {
        let words = format!("warning {i} {}", "of some length ".repeat(30));
        sheet
            .warnings
            .push(Diagnostic::warning("test", words).help("look"));
    }
    let faces = Typefaces::load().expect("built in");
    let sewn = design.needle_bounds().expect("sewn");
    let pages = sheet::pages(&faces, &sheet, sewn, start);
    assert_tidy(&pages, Paper::A4);
    let text = all_text(&pages);
    assert!(text.contains("warning 0") && text.contains("… and 12 more, in the report"));
    assert!(text.find("warning 7") < text.find("Stitches"));
}

/// The picture's scale and everything it covers.
fn picture(pages: &[Page]) -> (f64, [f64; 2]) {
    let marks = pages.iter().flatten();
    marks
        .filter_map(|placed| match placed.mark {
            Mark::Stitches { origin, scale } => Some((scale, origin)),
            _ => None,
        })
        .next()
        .expect("a picture")
}

#[test]
fn a_picture_too_large_is_smaller_and_says_so() {
    let mut large = design("Owl", &names(2));
    for block in &mut large.objects[1].stitches {
        block.x.iter_mut().for_each(|x| *x *= 5.0);
    }
    // 190 mm wide, in 101 mm: 53 %, so 50 %.
    let pages = laid(&large, &OperatorNotes::default());
    assert_eq!(picture(&pages).0, 0.5);
    assert!(all_text(&pages).contains("At 50 % of true size"));
    assert_tidy(&pages, Paper::A4);
    let pages = laid(&design("Owl", &names(2)), &OperatorNotes::default());
    assert_eq!(picture(&pages).0, 1.0);
    assert!(all_text(&pages).contains("True size. This rule is 50 mm long"));
}

#[test]
fn the_hoop_is_drawn_around_the_stitches_or_by_itself() {
    let frames = |width, height| {
        let notes = OperatorNotes {
            hoop: Some(Hoop {
                width,
                height,
                margin: 5.0,
            }),
            ..OperatorNotes::default()
        };
        let pages = laid(&design("Owl", &names(2)), &notes);
        assert_tidy(&pages, Paper::A4);
        let scale = picture(&pages).0;
        let frame = |placed: &Placed| match placed.mark {
            Mark::Frame { area, pen, .. } => Some(([area.width, area.height], pen.dash.is_some())),
            _ => None,
        };
        let found: Vec<_> = pages.iter().flatten().filter_map(frame).collect();
        (scale, found)
    };
    let has = |found: &[([f64; 2], bool)], width: f64, height: f64, dashed: bool| {
        found.iter().any(|([w, h], dash)| {
            (w - width).abs() < 1e-6 && (h - height).abs() < 1e-6 && *dash == dashed
        })
    };
    let (scale, found) = frames(90.0, 100.0);
    assert_eq!(scale, 1.0);
    assert!(has(&found, 90.0, 100.0, false) && has(&found, 80.0, 90.0, true));
    // 130 x 180 mm has 34 x 26 mm of paper: 14 %, so 10 %.
    let (scale, found) = frames(130.0, 180.0);
    assert_eq!(scale, 1.0);
    assert!(has(&found, 13.0, 18.0, false) && has(&found, 12.0, 17.0, true));
}

#[test]
fn the_same_worksheet_gives_the_same_bytes() {
    let design = design("Owl", &names(20));
    let (sheet, start) = sheet(&design, &OperatorNotes::default());
    let first = pdf(&sheet, &design, start).expect("made");
    let second = pdf(&sheet, &design, start).expect("made");
    assert_eq!(first, second);
    assert_eq!(first.findings, []);
    assert!(first.bytes.starts_with(b"%PDF-1.7"));
    for word in ["CreationDate", "ModDate", "Producer", "Author"] {
        let found = first
            .bytes
            .windows(word.len())
            .any(|at| at == word.as_bytes());
        assert!(!found, "{word}");
    }
}

#[test]
fn characters_without_a_glyph_are_told() {
    let design = design("Eule 梟 🦉", &names(2));
    let (sheet, start) = sheet(&design, &OperatorNotes::default());
    let findings = pdf(&sheet, &design, start).expect("made").findings;
    assert_eq!(findings.len(), 1);
    assert_eq!(findings[0].code, "no-glyph");
    assert!(findings[0].message.ends_with("梟 (U+689F), 🦉 (U+1F989)"));
}

#[test]
fn weights_differ() {
    let faces = Typefaces::load().expect("built in");
    let width = |weight| faces.width(weight, 10.0, "owl");
    assert!(width(Weight::Bold) > width(Weight::Regular));
}
