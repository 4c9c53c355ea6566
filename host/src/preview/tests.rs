mod drawn;
mod pixels;

use super::*;
use crate::design::{Object, Point, Rectangle, Shape, StitchList, StitchRole, Thread};
use geo::Coord;

fn at(x: f64, y: f64) -> Coord<f64> {
    Coord { x, y }
}

fn thread([red, green, blue]: [u8; 3]) -> Thread {
    Thread {
        name: "Barn".to_owned(),
        code: String::new(),
        red,
        green,
        blue,
        weight: 40,
    }
}

/// One object in a thread of 200, 100, 0, on a page of 30 x 20 mm.
fn design(title: &str, stitches: impl FnOnce(&mut StitchList)) -> Design {
    let mut list = StitchList::new();
    stitches(&mut list);
    let mut object = Object::new("a", Shape::Manual);
    object.stitches = list.into_blocks();
    Design {
        title: title.to_owned(),
        page: Rectangle {
            least: Point { x: 0.0, y: 0.0 },
            greatest: Point { x: 30.0, y: 20.0 },
        },
        threads: vec![thread([200, 100, 0])],
        objects: vec![object],
    }
}

/// A design of straight lines of cover, each an object in a thread of its own.
fn lines(lines: &[([u8; 3], [Coord<f64>; 2])]) -> Design {
    let mut design = design("lines", |_| {});
    design.threads = lines.iter().map(|(colour, _)| thread(*colour)).collect();
    design.objects = lines
        .iter()
        .enumerate()
        .map(|(i, (_, [from, to]))| {
            let mut list = StitchList::new();
            list.needle(StitchRole::Cover, *from);
            list.needle(StitchRole::Cover, *to);
            let mut object = Object::new(&format!("line-{i}"), Shape::Manual);
            object.thread = i as u32;
            object.stitches = list.into_blocks();
            object
        })
        .collect();
    design
}

fn marked(severity: crate::diagnostics::Severity, number: usize) -> PreviewOptions {
    let mark = Mark {
        at: at(5.0, 5.0),
        severity,
        number,
    };
    PreviewOptions {
        overlay: Overlay {
            marks: vec![mark],
            ..Overlay::default()
        },
        ..PreviewOptions::default()
    }
}
