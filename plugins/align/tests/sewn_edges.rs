//! Lining up checked by where the thread ends after sewing, not by shapes: objects are sewn by the
//! stock steps themselves, and the outermost needle points measured.

use hoopwright_align::{Across, Align, Down, Hoop, RelativeTo, align};
use hoopwright_line_run::{LineRun, line_run};
use hoopwright_region_fill::{RegionFill, region_fill};
use hoopwright_satin_column::{SatinColumn, satin_column};
use hoopwright_sdk::bounds::MeasuredBy;
use hoopwright_sdk::geometry::geo::{line_string, polygon};
use hoopwright_sdk::prelude::*;

/// Half the width of a weight 40 thread (common practice), in mm.
const HALF_THREAD: f64 = 0.2;

fn thread() -> Thread {
    Thread {
        name: String::new(),
        code: String::new(),
        red: 0,
        green: 0,
        blue: 0,
        weight: 40,
    }
}

fn design(objects: Vec<Object>) -> Design {
    Design {
        threads: vec![thread()],
        ..Design::on_page(90., 90., objects)
    }
}

/// An upright line at `x`.
fn upright(id: &str, x: f64, width: f64) -> Object {
    Object::of_line(id, &line_string![(x: x, y: 10.), (x: x, y: 40.)], width)
}

fn satin(object: Object, settings: &SatinColumn) -> Object {
    satin_column(object, &thread(), settings).expect("it can be sewn")
}

/// Left, top, right and bottom edge of the thread.
fn thread_edges(object: &Object) -> [f64; 4] {
    let mut edges = [
        f64::INFINITY,
        f64::INFINITY,
        f64::NEG_INFINITY,
        f64::NEG_INFINITY,
    ];
    for stitch in stitches_of(&object.stitches).filter(|s| s.kind == StitchKind::Needle) {
        edges[0] = edges[0].min(stitch.at.x - HALF_THREAD);
        edges[1] = edges[1].min(stitch.at.y - HALF_THREAD);
        edges[2] = edges[2].max(stitch.at.x + HALF_THREAD);
        edges[3] = edges[3].max(stitch.at.y + HALF_THREAD);
    }
    assert!(edges[0] <= edges[2], "{} is not sewn", object.id);
    edges
}

fn lined_up(objects: Vec<Object>, settings: &Align) -> Vec<Object> {
    let all: Vec<usize> = (0..objects.len()).collect();
    align(design(objects), &all, settings)
        .expect("no contradiction")
        .objects
}

fn close(a: f64, b: f64, within: f64) {
    assert!(
        (a - b).abs() <= within,
        "{a} and {b} differ by more than {within} mm"
    );
}

/// Two columns of 2 and 4 mm, of different pull compensation, and a run and a fill: sewn first, all
/// end on one line of thread.
#[test]
fn what_is_sewn_lines_up_by_its_thread_whatever_compensation_it_has() {
    let narrow = SatinColumn {
        pull_compensation: 0.1,
        ..SatinColumn::default()
    };
    let wide = SatinColumn {
        pull_compensation: 0.4,
        pull_compensation_percent: 10.0,
        ..SatinColumn::default()
    };
    let square = polygon![(x: 50., y: 50.), (x: 70., y: 50.), (x: 70., y: 70.), (x: 50., y: 70.)];
    let fill = Object::of_region("fill", &square.into());
    let run = Object::of_line("run", &line_string![(x: 5., y: 70.), (x: 20., y: 80.)], 0.3);
    let objects = vec![
        satin(upright("narrow", 20., 2.), &narrow),
        satin(upright("wide", 40., 4.), &wide),
        region_fill(fill, &thread(), &RegionFill::default()).expect("it can be sewn"),
        line_run(run, &thread(), &LineRun::default()).expect("it can be sewn"),
    ];
    for (across, edge) in [(Across::Left, 0), (Across::Right, 2)] {
        let settings = Align {
            across,
            relative_to: RelativeTo::Page,
            ..Align::default()
        };
        let page = if edge == 0 { 0.0 } else { 90.0 };
        for object in lined_up(objects.clone(), &settings) {
            close(thread_edges(&object)[edge], page, 1e-9);
        }
    }
    let settings = Align {
        down: Down::Middle,
        across: Across::Centre,
        ..Align::default()
    };
    let done = lined_up(objects, &settings);
    let middles = |o: &Object| {
        let [left, top, right, bottom] = thread_edges(o);
        [(left + right) / 2.0, (top + bottom) / 2.0]
    };
    for object in &done[1..] {
        close(middles(object)[0], middles(&done[0])[0], 1e-9);
        close(middles(object)[1], middles(&done[0])[1], 1e-9);
    }
}

/// Lined up by shape and sewn afterwards with the same settings, columns of one pull compensation
/// still end on one line, within a tenth of the machine's step.
#[test]
fn columns_lined_up_as_drawn_end_together_when_sewn_alike() {
    let settings = Align {
        across: Across::Left,
        measured_by: MeasuredBy::AsDrawn,
        ..Align::default()
    };
    let drawn = lined_up(
        vec![upright("a", 20., 2.), upright("b", 40., 4.)],
        &settings,
    );
    let sewn: Vec<Object> = drawn
        .into_iter()
        .map(|object| satin(object, &SatinColumn::default()))
        .collect();
    let [a, b] = [thread_edges(&sewn[0])[0], thread_edges(&sewn[1])[0]];
    close(a, b, 0.01);
    // 20 less 1 mm of stroke, 0.2 mm of compensation on each side, and half a thread.
    close(
        a,
        20.0 - 1.0 - SatinColumn::default().pull_compensation - HALF_THREAD,
        0.1,
    );
}

#[test]
fn as_drawn_counts_the_shape_even_where_there_are_stitches() {
    let settings = Align {
        across: Across::Left,
        relative_to: RelativeTo::Page,
        measured_by: MeasuredBy::AsDrawn,
        ..Align::default()
    };
    let sewn = satin(upright("a", 20., 2.), &SatinColumn::default());
    let done = lined_up(vec![sewn], &settings);
    let Shape::Lines(lines) = &done[0].shape else {
        panic!("it stays a line")
    };
    assert_eq!(lines.paths[0].x, [1.0, 1.0]);
    assert!(thread_edges(&done[0])[0] < -HALF_THREAD);
}

#[test]
fn thread_and_shape_measured_together_are_told() {
    messages::take();
    let settings = Align {
        across: Across::Left,
        ..Align::default()
    };
    let sewn = satin(upright("a", 20., 2.), &SatinColumn::default());
    messages::take();
    lined_up(vec![sewn, upright("b", 40., 4.)], &settings);
    let findings = messages::take();
    assert_eq!(findings.len(), 1, "{findings:?}");
    assert_eq!(findings[0].severity, Severity::Warning);
    assert!(findings[0].message.contains("\"b\""));
}

/// A hoop of 60 x 40 mm about the page's middle at 45, with 5 mm of margin: 20 to 70 and 30 to 60.
#[test]
fn objects_line_up_inside_the_hoop_less_its_margin() {
    messages::take();
    let hoop = Hoop {
        width: 60.0,
        height: 40.0,
        margin: 5.0,
    };
    let settings = Align {
        across: Across::Right,
        down: Down::Top,
        relative_to: RelativeTo::Hoop,
        hoop: hoop.clone(),
        ..Align::default()
    };
    let square = polygon![(x: 0., y: 0.), (x: 20., y: 0.), (x: 20., y: 20.), (x: 0., y: 20.)];
    let fill = Object::of_region("fill", &square.clone().into());
    let fill = region_fill(fill, &thread(), &RegionFill::default()).expect("it can be sewn");
    messages::take();
    let done = lined_up(vec![fill], &settings);
    close(thread_edges(&done[0])[2], 70.0, 1e-9);
    close(thread_edges(&done[0])[1], 30.0, 1e-9);
    assert!(messages::take().is_empty(), "it fits");

    // 30 mm of height hold a column of 30 mm as drawn, but not as sewn.
    let column = || vec![upright("tall", 10., 0.)];
    lined_up(
        column(),
        &Align {
            measured_by: MeasuredBy::AsDrawn,
            ..settings.clone()
        },
    );
    assert!(messages::take().is_empty(), "it fits as drawn");
    let run = line_run(upright("tall", 10., 0.), &thread(), &LineRun::default());
    lined_up(vec![run.expect("it can be sewn")], &settings);
    let findings = messages::take();
    assert_eq!(findings.len(), 1, "{findings:?}");
    assert_eq!(findings[0].object.as_deref(), Some("tall"));
    assert!(
        findings[0].message.contains("50.0 x 30.0 mm"),
        "{findings:?}"
    );
    assert!(
        findings[0]
            .help
            .as_deref()
            .is_some_and(|help| help.contains("larger hoop"))
    );

    // What would fit but is moved out is told otherwise.
    let settings = Align {
        move_right: 3.0,
        ..settings
    };
    lined_up(vec![Object::of_region("fill", &square.into())], &settings);
    let help = messages::take()[0].help.clone().unwrap_or_default();
    assert!(help.contains("move them less"), "{help}");

    let without_inside = Align {
        hoop: Hoop {
            margin: 20.0,
            ..hoop
        },
        relative_to: RelativeTo::Hoop,
        ..Align::default()
    };
    let refused = align(design(column()), &[0], &without_inside);
    assert!(refused.expect_err("no inside").message.contains("margin"));
}
