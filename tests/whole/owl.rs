//! The main job on real input: the owl patch.

use crate::files::{hoopwright, root, scratch};
use crate::measure::{breaks_inside_regions, count, stitch_lengths};
use hoopwright::design::{Design, StitchKind};
use hoopwright::formats::design_json;
use std::path::{Path, PathBuf};
use std::process::Output;
use std::sync::OnceLock;

/// What `run` wrote for the owl, in a folder of its own.
pub struct Sewn {
    pub folder: PathBuf,
    pub design: Design,
    pub machine_file: Vec<u8>,
}

fn run_into(folder: &Path) -> Output {
    hoopwright()
        .arg("run")
        .arg(root().join("demo-pipelines/owl/owl.json"))
        .arg(root().join("demo-pipelines/owl/owl.svg"))
        .arg("--into")
        .arg(folder)
        .output()
        .unwrap()
}

fn sew_into(folder: &Path) {
    let _ = std::fs::remove_dir_all(folder);
    let output = run_into(folder);
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
}

/// The owl, sewn once for all tests.
pub fn sewn() -> &'static Sewn {
    static SEWN: OnceLock<Sewn> = OnceLock::new();
    SEWN.get_or_init(|| {
        let folder = scratch().join("owl");
        sew_into(&folder);
        let file = folder.join("owl.design.json");
        let text = std::fs::read_to_string(&file).unwrap();
        Sewn {
            design: design_json::read(&text, &file).unwrap(),
            machine_file: std::fs::read(folder.join("owl.dst")).unwrap(),
            folder,
        }
    })
}

#[test]
fn every_file_is_written() {
    for ending in [
        "dst",
        "design.json",
        "preview.svg",
        "preview.png",
        "compare.png",
        "report.png",
        "playback.html",
        "worksheet.html",
        "worksheet.pdf",
        "report.json",
    ] {
        let file = sewn().folder.join(format!("owl.{ending}"));
        assert!(
            std::fs::metadata(&file).unwrap().len() > 500,
            "{}",
            file.display()
        );
    }
}

/// DST moves at most 12.1 mm on an axis (published layout); shorter than 0.3 mm breaks thread
/// (common practice).
#[test]
fn no_stitch_is_too_long_or_too_short() {
    let lengths = stitch_lengths(&sewn().design);
    assert!(lengths.len() > 5000, "{} stitches", lengths.len());
    let longest = lengths
        .iter()
        .map(|(length, _)| *length)
        .fold(0.0, f64::max);
    assert!(longest <= 12.1, "{longest}");
    let short = lengths
        .iter()
        .filter(|(length, tie)| !tie && *length < 0.3)
        .count();
    assert_eq!(short, 0, "stitches under 0.3 mm outside ties");
}

#[test]
fn every_colour_is_sewn() {
    let design = &sewn().design;
    assert!(design.threads.len() >= 8);
    for (place, thread) in design.threads.iter().enumerate() {
        let sewn = design
            .objects
            .iter()
            .any(|object| object.thread as usize == place && object.is_sewn());
        assert!(sewn, "{} is not sewn", thread.name);
    }
    for object in &design.objects {
        assert!(object.is_sewn(), "{} is not sewn", object.id);
    }
}

#[test]
fn a_connected_region_is_one_thread() {
    let breaks = breaks_inside_regions(&sewn().design);
    assert!(breaks.len() >= 15, "{} regions", breaks.len());
    for (id, breaks) in breaks {
        assert_eq!(breaks, 0, "{id}");
    }
}

#[test]
fn there_are_fewer_trims_than_objects() {
    let design = &sewn().design;
    let trims = count(design, StitchKind::Trim);
    assert!(
        trims < design.objects.len(),
        "{trims} trims, {} objects",
        design.objects.len()
    );
}

#[test]
fn two_runs_give_the_same_bytes() {
    let again = scratch().join("owl-again");
    sew_into(&again);
    for ending in [
        "dst",
        "design.json",
        "preview.svg",
        "preview.png",
        "compare.png",
        "report.png",
        "playback.html",
        "worksheet.html",
        "worksheet.pdf",
        "report.json",
    ] {
        let name = format!("owl.{ending}");
        let (first, second) = (sewn().folder.join(&name), again.join(&name));
        assert_eq!(
            std::fs::read(first).unwrap(),
            std::fs::read(second).unwrap(),
            "{name}"
        );
    }
}

#[test]
fn an_output_that_cannot_be_written_leaves_all_as_it_was() {
    let folder = scratch().join("owl-blocked");
    let _ = std::fs::remove_dir_all(&folder);
    // One of the names is taken by a folder, so the whole run must leave the others alone.
    std::fs::create_dir_all(folder.join("owl.preview.png")).unwrap();
    for name in ["owl.dst", "owl.report.json"] {
        std::fs::write(folder.join(name), "as it was").unwrap();
    }
    let output = run_into(&folder);
    assert_eq!(output.status.code(), Some(3));
    let told = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(
        told.contains("owl.preview.png cannot be written: it is a folder"),
        "{told}"
    );
    assert_eq!(
        std::fs::read_to_string(folder.join("owl.dst")).unwrap(),
        "as it was"
    );
    assert_eq!(
        std::fs::read_dir(&folder).unwrap().count(),
        3,
        "nothing else is left behind"
    );
}

/// What the report says of the owl against its artwork; a renderer from outside paints the artwork.
#[test]
fn the_owl_looks_like_its_artwork() {
    let text = std::fs::read_to_string(sewn().folder.join("owl.report.json")).unwrap();
    let report: serde_json::Value = serde_json::from_str(&text).unwrap();
    let score = |name: &str| report["score"][name].as_f64().unwrap();
    // The gold border's outer edge is a circle of 87 mm: 5945 mm2.
    assert!(
        (score("drawn-area") - 5945.0).abs() < 60.0,
        "{}",
        score("drawn-area")
    );
    // Edges of 0.2 mm pull compensation and of thread, and the direction marks that are not sewn.
    assert!(score("right-thread") > 0.9, "{}", score("right-thread"));
    assert!(score("bare") < 0.005, "{}", score("bare"));
    let sum = score("right-thread") + score("other-thread") + score("bare");
    assert!((sum - 1.0).abs() < 2e-4, "{sum}");
}

/// The machine file drawn again: same size, and only what DST rounds is different.
#[test]
fn a_machine_file_has_a_picture() {
    let to = scratch().join("owl-machine-file.png");
    let picture = |to: &Path| {
        hoopwright()
            .arg("picture")
            .arg(sewn().folder.join("owl.dst"))
            .arg("--to")
            .arg(to)
            .args(["--fabric", "navy", "--scale", "8", "--hoop", "130x180"])
            .args(["--trims", "--travel", "--needle-points"])
            .output()
            .unwrap()
    };
    let output = picture(&to);
    let told = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(output.status.success(), "{told}");
    let bytes = std::fs::read(&to).unwrap();
    // ISO/IEC 15948, 11.2.2: width and height follow the signature and the first chunk's name.
    assert_eq!(&bytes[..8], b"\x89PNG\r\n\x1a\n");
    let number = |at: usize| u32::from_be_bytes([0, 1, 2, 3].map(|i| bytes[at + i]));
    // The hoop and 5 mm around it, at 8 px in a mm; the scale needs more room below.
    assert_eq!(number(16), (130 + 10) * 8);
    assert!(number(20) >= (180 + 10) * 8);
    let output = picture(&to.with_extension("jpg"));
    assert_eq!(output.status.code(), Some(1));
    let told = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(told.contains("is neither PNG nor SVG"), "{told}");
}
