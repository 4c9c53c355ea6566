//! The general routine on drawings that nobody here drew.

use crate::files::root;
use crate::in_process;
use crate::measure::{breaks_inside_regions, count, stitch_lengths};
use hoopwright::artwork::{Asked, Readers};
use hoopwright::design::{Design, StitchKind};
use hoopwright::diagnostics::Severity;
use hoopwright::formats::design_json;
use hoopwright::job;
use hoopwright::pipeline::Watch;
use std::collections::BTreeMap;
use std::sync::Arc;

/// 300 drawings of two open sets: the npm packages `@iconify-json/fluent-emoji-flat` 1.2.6 (MIT)
/// and `@iconify-json/fxemoji` 1.2.2 (Apache-2.0).
#[test]
#[ignore = "needs drawings from the npm registry; .ci/run fetches them and runs this"]
fn the_general_routine_sews_300_open_drawings() {
    let (plugins, mut checked) = in_process::checked("any-artwork.json");
    // Sewn in the artwork's own colours and at its own place, so that tests/oracle/routine.py can
    // compare the two.
    checked.rack = None;
    checked.steps.retain(|ready| ready.step.step != "align");
    let sewn = root().join("target/routine");
    let _ = std::fs::remove_dir_all(&sewn);
    std::fs::create_dir_all(&sewn).unwrap();
    let folder = root().join("target/open-sets/svg");
    let mut drawings: Vec<_> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "svg"))
        .collect();
    drawings.sort();
    assert_eq!(drawings.len(), 300);
    let watch: Arc<dyn Watch> = Arc::new(());
    let mut told: BTreeMap<String, usize> = BTreeMap::new();
    let mut failed = Vec::new();
    let mut tally = Tally::default();
    let readers = Readers::stock();
    for drawing in &drawings {
        let read = readers.read(drawing, &Asked::by(&checked));
        match read.and_then(|read| job::sew(&checked, read, &plugins, None, &watch)) {
            Ok(products) => {
                tally.add(&products.design);
                let name = drawing.file_stem().unwrap().to_string_lossy();
                let file = sewn.join(format!("{name}.design.json"));
                std::fs::write(file, design_json::write(&products.design)).unwrap();
                if products.worksheet.stitches == 0 {
                    failed.push(format!("{}: nothing is sewn", drawing.display()));
                }
                for finding in products.findings {
                    let step = finding.step.unwrap_or_else(|| "reading".into());
                    *told
                        .entry(format!("{:?} {} in {step}", finding.severity, finding.code))
                        .or_default() += 1;
                }
            }
            Err(hoopwright::diagnostics::Failed(diagnostics)) => {
                let errors = diagnostics
                    .iter()
                    .filter(|one| one.severity == Severity::Error);
                let words: Vec<&str> = errors.map(|error| error.message.as_str()).collect();
                failed.push(format!("{}: {}", drawing.display(), words.join("; ")));
            }
        }
    }
    println!("{told:#?}\n{tally:#?}");
    // The same measures are taken of the owl, as its own routine sews it.
    std::fs::create_dir_all(sewn.join("owl")).unwrap();
    let owl = crate::owl::sewn().folder.join("owl.design.json");
    std::fs::copy(owl, sewn.join("owl/owl.design.json")).unwrap();
    assert!(
        failed.is_empty(),
        "{} failed:\n{}",
        failed.len(),
        failed.join("\n")
    );
}

/// Sums over all drawings.
#[derive(Debug, Default)]
struct Tally {
    objects: usize,
    unsewn: usize,
    stitches: usize,
    too_short: usize,
    too_long: usize,
    regions: usize,
    broken_regions: usize,
    trims: usize,
}

impl Tally {
    fn add(&mut self, design: &Design) {
        let lengths = stitch_lengths(design);
        let breaks = breaks_inside_regions(design);
        self.objects += design.objects.len();
        self.unsewn += design
            .objects
            .iter()
            .filter(|object| !object.is_sewn())
            .count();
        self.stitches += lengths.len();
        self.too_short += lengths
            .iter()
            .filter(|(length, tie)| !tie && *length < 0.3)
            .count();
        self.too_long += lengths.iter().filter(|(length, _)| *length > 12.1).count();
        self.regions += breaks.len();
        self.broken_regions += breaks.iter().filter(|(_, breaks)| *breaks > 0).count();
        self.trims += count(design, StitchKind::Trim);
    }
}
