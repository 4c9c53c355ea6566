use super::*;
use crate::diagnostics::Severity;
use crate::rack::{Colour, RackThread};

/// IEC 61966-2-1 sRGB to CIELAB under D65, to 0.05.
#[test]
fn srgb_becomes_lab_as_published() {
    let published = [
        ([255, 0, 0], [53.233, 80.105, 67.223]),
        ([0, 255, 0], [87.737, -86.188, 83.186]),
        ([0, 0, 255], [32.303, 79.194, -107.854]),
        ([128, 128, 128], [53.585, 0.0, 0.0]),
    ];
    for ([red, green, blue], [l, a, b]) in published {
        let lab = lab(Colour { red, green, blue });
        for (got, want) in [(lab.l, l), (lab.a, a), (lab.b, b)] {
            assert!((got - want).abs() < 0.05, "{lab:?}");
        }
    }
}

fn thread(name: &str, [red, green, blue]: [u8; 3]) -> Thread {
    Thread {
        name: name.to_owned(),
        code: String::new(),
        red,
        green,
        blue,
        weight: 40,
    }
}

/// A design with one object of each thread.
fn design(threads: Vec<Thread>) -> Design {
    let object = |i: usize| {
        let mut object = crate::design::Object::new(&format!("o{i}"), crate::design::Shape::Manual);
        object.thread = i as u32;
        object
    };
    let corner = crate::design::Point { x: 0.0, y: 0.0 };
    Design {
        title: String::new(),
        page: crate::design::Rectangle {
            least: corner,
            greatest: corner,
        },
        objects: (0..threads.len()).map(object).collect(),
        threads,
    }
}

/// Black and white.
fn rack() -> Rack {
    let entry = |code: &str, colour: &str| RackThread {
        code: code.into(),
        name: code.into(),
        colour: colour.into(),
        weight: 40,
    };
    Rack {
        schema: String::new(),
        name: "test".into(),
        threads: vec![entry("K", "#000000"), entry("W", "#ffffff")],
    }
}

/// What goes to worksheets and terminals is on one line, and a line's end in a spreadsheet's cell is no fault.
#[test]
fn a_thread_of_two_lines_is_wound_on_one() {
    let mut rack = rack();
    rack.threads[0].name = "black\r\nmatt \u{202e}".into();
    let mut design = design(vec![thread("", [0, 0, 0])]);
    wind(&mut design, &rack, 100.0);
    assert_eq!(design.threads[0].name, "black  matt  ");
    assert_eq!(crate::design::texts::problems(&design), [""; 0]);
}

#[test]
fn colours_that_share_a_thread_become_one() {
    let mut design = design(vec![
        thread("", [250, 250, 250]),
        thread("", [5, 5, 5]),
        thread("ivory", [255, 255, 250]),
    ]);
    let findings = wind(&mut design, &rack(), FAR);
    let places: Vec<u32> = design.objects.iter().map(|object| object.thread).collect();
    assert_eq!(places, [0, 1, 0]);
    assert_eq!(design.threads.len(), 2);
    assert_eq!(findings.len(), 1, "{findings:?}");
    assert_eq!(findings[0].severity, Severity::Note);
    // colour-science 0.4.7 gives the same three differences to the first decimal.
    assert_eq!(
        findings[0].message,
        "#fafafa (1.0 away) and ivory #fffffa (2.6 away) are both sewn in W W; they are 2.7 apart (CIEDE2000)"
    );
}

#[test]
fn equal_colours_on_one_thread_are_not_told() {
    let mut design = design(vec![thread("a", [0, 0, 0]), thread("b", [0, 0, 0])]);
    assert_eq!(wind(&mut design, &rack(), FAR), []);
    assert_eq!(design.threads.len(), 1);
}

#[test]
fn the_limit_decides_what_is_warned_of() {
    let codes = |limit| {
        let mut design = design(vec![
            thread("", [250, 250, 250]),
            thread("ivory", [255, 255, 250]),
        ]);
        let findings = wind(&mut design, &rack(), limit);
        findings
            .iter()
            .map(|one| (one.severity, one.code))
            .collect::<Vec<_>>()
    };
    let note = (Severity::Note, "shared-thread");
    let far = (Severity::Warning, "far-thread");
    let shared = (Severity::Warning, "shared-thread");
    assert_eq!(codes(6.0), [note]);
    assert_eq!(codes(2.65), [shared]);
    assert_eq!(codes(2.0), [far, shared]);
    assert_eq!(codes(0.0), [far, far, shared]);
}

/// Of a drawing with a thousand colours those are told that lie farthest from the rack, and how many more.
#[test]
fn not_every_far_colour_is_told() {
    let colours = (0..60).map(|i| thread("", [255, 0, 3 * i]));
    let mut design = design(colours.collect());
    let findings = wind(&mut design, &rack(), 2.0);
    let far: Vec<&str> = findings
        .iter()
        .filter(|one| one.code == "far-thread")
        .map(|one| one.message.as_str())
        .collect();
    assert_eq!(far.len(), 21);
    assert_eq!(far[20], "and 40 more of the kind \"far-thread\"");
    let away = |told: &&str| -> f64 {
        let words: Vec<&str> = told.split(' ').collect();
        words[words.len() - 3].parse().expect("a number")
    };
    let least = far[..20].iter().map(away).fold(f64::INFINITY, f64::min);
    // Warnings and notes are two kinds.
    let shared = findings.iter().filter(|one| one.code == "shared-thread");
    assert!(shared.count() <= 42);
    // None that is left out lies farther off than one that is told.
    let further = (0..60u8).filter(|i| {
        let colour = Colour::new([255, 0, 3 * i]);
        let rack = rack();
        let threads = rack.threads.iter();
        let away = threads.filter_map(|one| Some(distance(colour, Colour::parse(&one.colour)?)));
        away.fold(f64::INFINITY, f64::min) > least + 0.05
    });
    assert!(further.count() <= 20);
}
