//! Whole processes, from their start to their end.

use crate::figures::{Figure, time};
use crate::owls::root;
use crate::timing::{Spread, waited};
use crate::workshop::{Workshop, scratch};
use hoopwright::formats::design_json;
use std::path::Path;
use std::process::{Command, Stdio};
use wait4::Wait4 as _;

/// Seconds of a start when the steps have been compiled before.
const MOST_WARM: f64 = 0.05;
/// Seconds of the very first start of a user.
const MOST_COLD: f64 = 2.0;

/// A drawing of one object.
const SQUARE: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" width="20mm" height="20mm" viewBox="0 0 20 20"><rect x="2" y="2" width="16" height="16" fill="#27405f"/></svg>"##;

/// What both clocks said.
#[derive(Clone, Copy)]
struct Took {
    wall: f64,
    /// Processor time of all threads.
    work: f64,
}

/// First and later starts of some commands; `with_owl` also of the owl's run, which compiles most steps.
pub fn measure(shop: &Workshop, turns: usize, first_starts: usize, with_owl: bool) -> Vec<Figure> {
    let folder = tempfile::tempdir_in(scratch()).unwrap();
    let square = folder.path().join("square.design.json");
    let artwork = shop.read(SQUARE);
    std::fs::write(&square, design_json::write(artwork.design())).unwrap();
    let owl = root().join("demo-pipelines/owl");
    let into = folder.path().join("out");
    let words = |words: &[&Path]| -> Vec<String> {
        words
            .iter()
            .map(|word| word.to_string_lossy().into_owned())
            .collect()
    };
    let commands = [
        ("steps", words(&["steps".as_ref()])),
        ("check", words(&["check".as_ref(), &owl.join("owl.json")])),
        (
            "apply region-fill (one square)",
            words(&[
                "apply".as_ref(),
                "region-fill".as_ref(),
                "--design".as_ref(),
                &square,
                "--to".as_ref(),
                &folder.path().join("sewn.design.json"),
            ]),
        ),
        (
            "run (the owl)",
            words(&[
                "run".as_ref(),
                &owl.join("owl.json"),
                &owl.join("owl.svg"),
                "--into".as_ref(),
                &into,
            ]),
        ),
    ];
    let mut figures = Vec::new();
    for (name, arguments) in &commands[..commands.len() - usize::from(!with_owl)] {
        let mut cold = Vec::new();
        for turn in 0..first_starts {
            let caches = folder.path().join(format!("caches-{name}-{turn}"));
            cold.push(start(arguments, &caches));
        }
        let caches = folder.path().join(format!("caches-{name}-0"));
        let warm = (0..turns).map(|_| start(arguments, &caches)).collect();
        let figure = |when: &str, took: &Took| {
            let words = format!(
                "{} ({} of processor time)",
                time(took.wall),
                time(took.work)
            );
            Figure::new(format!("`hoopwright {name}`, {when}"), words)
        };
        let (cold, warm) = (median(cold), median(warm));
        figures.push(figure("first start ever", &cold).at_most(cold.wall, MOST_COLD, "2 s"));
        let warmed = figure("started again", &warm);
        // The owl's own sewing is no part of a start.
        figures.push(if *name == "run (the owl)" {
            warmed
        } else {
            warmed.at_most(warm.wall, MOST_WARM, "50 ms")
        });
    }
    figures
}

fn median(took: Vec<Took>) -> Took {
    Took {
        wall: Spread::of(took.iter().map(|took| took.wall).collect()).median,
        work: Spread::of(took.iter().map(|took| took.work).collect()).median,
    }
}

/// Runs the program with its folders of compiled steps and settings in `caches`.
fn start(arguments: &[String], caches: &Path) -> Took {
    let mut program = Command::new(env!("CARGO_BIN_EXE_hoopwright"));
    program
        .args(arguments)
        .env("XDG_CACHE_HOME", caches.join("cache"))
        .env("XDG_DATA_HOME", caches.join("data"))
        .env("XDG_CONFIG_HOME", caches.join("config"))
        .stdout(Stdio::null())
        .stderr(Stdio::null());
    let (ended, wall) = waited(|| program.spawn().unwrap().wait4().unwrap());
    assert!(ended.status.success(), "{arguments:?} failed");
    Took {
        wall: wall.as_secs_f64(),
        work: (ended.rusage.utime + ended.rusage.stime).as_secs_f64(),
    }
}
