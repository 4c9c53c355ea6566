//! Parts: what they sew, what they leave alone, and how far they may go.

use crate::files::{hoopwright, root, scratch, sew};
use crate::guests;
use hoopwright::artwork;
use hoopwright::design::{Design, Object};
use hoopwright::diagnostics::{Diagnostic, Failed, Severity};
use hoopwright::pipeline::{self, Checked, Outcome, Size, StepCache, Watch};
use hoopwright::plugins::{Place, Plugins, Sources};
use hoopwright::sandbox::{Limits, Sandbox};
use std::path::{Path, PathBuf};
use std::sync::{Arc, OnceLock};

/// A folder of a test's own, with files in it.
fn folder(name: &str, files: &[(&str, &str)]) -> PathBuf {
    let folder = scratch().join("parts").join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    for (name, text) in files {
        std::fs::write(folder.join(name), text).unwrap();
    }
    folder
}

/// The stock steps and the hostile one.
fn plugins() -> &'static Plugins {
    static PLUGINS: OnceLock<Plugins> = OnceLock::new();
    PLUGINS.get_or_init(|| {
        let file = folder("plugin", &[]).join("hostile.wasm");
        std::fs::write(&file, guests::hostile()).unwrap();
        let compiled = scratch().join("compiled");
        let sandbox = Arc::new(Sandbox::new(Limits::default(), Some(&compiled)).unwrap());
        let sources = Sources::new(sandbox, None, vec![Place::Path(file)]);
        let (plugins, problems) = sources.in_folder(&folder("without-steps", &[]));
        assert_eq!(problems, []);
        plugins
    })
}

fn check(file: &Path) -> Result<Checked, Failed> {
    pipeline::check(file, std::fs::read_to_string(file).unwrap(), plugins())
}

fn run(checked: &Checked, design: &Design, cache: Option<&StepCache>) -> Result<Outcome, Failed> {
    let watch: Arc<dyn Watch> = Arc::new(());
    pipeline::run(checked, design.clone(), plugins().sandbox(), cache, &watch)
}

/// A pair of squares as one object, and two squares more, by tag: `pair`, `left`, `right`.
fn squares(folder: &Path) -> Design {
    let file = folder.join("squares.svg");
    let drawing = r##"<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="40mm" viewBox="0 0 80 40">
        <path id="pair" fill="#884422" d="M5 5 H15 V15 H5 Z M20 5 H30 V15 H20 Z"/>
        <rect id="left" x="40" y="5" width="10" height="10" fill="#884422"/>
        <rect id="right" x="60" y="5" width="10" height="10" fill="#224488"/></svg>"##;
    std::fs::write(&file, drawing).unwrap();
    artwork::read(&file, Size::default()).unwrap().0
}

fn tagged<'a>(design: &'a Design, tag: &str) -> Vec<&'a Object> {
    let tag = tag.to_owned();
    let objects = design.objects.iter();
    objects
        .filter(|object| object.tags.contains(&tag))
        .collect()
}

/// The general routine has its tiny details in a part; here it is with these steps written out, as
/// they stood in it before there were parts.
#[test]
fn a_part_sews_what_its_steps_written_out_would() {
    let whole = root().join("demo-pipelines/any-artwork.json");
    let text = std::fs::read_to_string(&whole).unwrap();
    let mut value: serde_json::Value = serde_json::from_str(&text).unwrap();
    let steps = value["steps"].as_array_mut().unwrap();
    let place = steps
        .iter()
        .position(|entry| entry.get("part").is_some())
        .unwrap();
    let written_out = serde_json::json!([
        {
            "step": "satin-column",
            "on": { "shape": "region", "width": { "under": 0.8 } },
            "settings": { "least-width": 0.8, "underlay": "none", "underlay-stitch-length": 2 }
        },
        {
            "step": "satin-column",
            "on": { "shape": "region", "width": { "from": 0.8 }, "area": { "under": 4 } },
            "settings": { "density": 0.3, "underlay": "none", "pull-compensation": 0.15 }
        }
    ]);
    steps.splice(
        place..=place,
        written_out.as_array().unwrap().iter().cloned(),
    );
    for name in ["rack", "machine"] {
        let file = root()
            .join("demo-pipelines")
            .join(value[name].as_str().unwrap());
        value[name] = file.to_str().unwrap().into();
    }
    let folder = folder("written-out", &[("any-artwork.json", &value.to_string())]);
    let owl = root().join("demo-pipelines/owl/owl.svg");
    sew(&whole, &owl, &folder.join("part"));
    sew(
        &folder.join("any-artwork.json"),
        &owl,
        &folder.join("written-out"),
    );
    let mut same = 0;
    for entry in std::fs::read_dir(folder.join("part")).unwrap() {
        let file = entry.unwrap().path();
        let name = file.file_name().unwrap();
        // The report names the steps of its findings, and those of a part have other numbers.
        if name != "owl.report.json" {
            let other = std::fs::read(folder.join("written-out").join(name)).unwrap();
            assert!(std::fs::read(&file).unwrap() == other, "{name:?}");
            same += 1;
        }
    }
    assert!(same >= 9, "{same} files");
}

/// The inner step asks for every object, and gets those of its part.
#[test]
fn steps_of_a_part_act_within_what_it_took() {
    let folder = folder(
        "within",
        &[
            (
                "move.json",
                r#"{ "takes": {}, "steps": [ { "step": "region-fill" }, { "step": "hostile" } ] }"#,
            ),
            (
                "outer.json",
                r#"{ "takes": {}, "steps": [ { "part": "move.json" } ] }"#,
            ),
            (
                "flat.json",
                r#"{ "steps": [ { "part": "move.json", "on": { "tag": "left" } } ] }"#,
            ),
            (
                "nested.json",
                r#"{ "steps": [ { "part": "outer.json", "on": { "tag": "left" } } ] }"#,
            ),
            (
                "alone.json",
                r#"{ "steps": [ { "step": "region-fill", "on": { "tag": "left" } }, { "step": "hostile", "on": { "tag": "left" } } ] }"#,
            ),
        ],
    );
    let design = squares(&folder);
    let alone = run(&check(&folder.join("alone.json")).unwrap(), &design, None).unwrap();
    assert!(tagged(&alone.design, "left")[0].is_sewn());
    for name in ["flat.json", "nested.json"] {
        let checked = check(&folder.join(name)).unwrap();
        let outcome = run(&checked, &design, None).unwrap();
        assert_eq!(outcome.design, alone.design, "{name}");
        assert_ne!(tagged(&outcome.design, "left"), tagged(&design, "left"));
        assert_eq!(tagged(&outcome.design, "right"), tagged(&design, "right"));
        assert_eq!(tagged(&outcome.design, "pair"), tagged(&design, "pair"));
    }
}

/// A design step sees the whole design, also within a part; it may not touch what lies outside, though
/// its own selection takes all.
#[test]
fn a_hostile_step_in_a_part_is_held_to_what_the_part_took() {
    let folder = folder(
        "hostile",
        &[
            (
                "deed.json",
                r#"{ "takes": { "deed": { "type": "string" } }, "steps": [ { "step": "hostile", "settings": { "deed": { "taken": "deed" } } } ] }"#,
            ),
            (
                "around.json",
                r#"{ "takes": { "what": { "type": "string" } }, "steps": [ { "step": "region-fill" }, { "part": "deed.json", "settings": { "deed": { "taken": "what" } } } ] }"#,
            ),
        ],
    );
    let design = squares(&folder);
    for (deed, sentence) in [
        (
            "change-other",
            "it changed object \"pair\", which was not selected",
        ),
        (
            "remove-other",
            "it moved or removed object \"pair\", which was not selected",
        ),
        ("same-id", "two objects have the id \"right\""),
    ] {
        let file = folder.join(format!("{deed}.json"));
        let text = format!(
            r#"{{ "steps": [ {{ "step": "align" }}, {{ "part": "around.json", "on": {{ "tag": "right" }}, "settings": {{ "what": "{deed}" }} }} ] }}"#
        );
        std::fs::write(&file, text).unwrap();
        let Failed(found) = run(&check(&file).unwrap(), &design, None).unwrap_err();
        let broken: Vec<&Diagnostic> = found
            .iter()
            .filter(|one| one.code == "broken-promise")
            .collect();
        assert_eq!(broken.len(), 1, "{found:?}");
        assert!(
            broken[0].message.contains(sentence),
            "{}",
            broken[0].message
        );
        assert_eq!(
            broken[0].step.as_deref(),
            Some("2 (around) 2 (deed) 1 (hostile)")
        );
    }
}

/// What a part took stays its own when it no longer fits the selection, and what its steps make is its
/// own too; after the part all is as without it.
#[test]
fn a_part_keeps_what_it_took_and_what_it_made() {
    let folder = folder(
        "world",
        &[
            (
                "pieces.json",
                r#"{ "takes": {}, "steps": [
                    { "step": "single-pieces" },
                    { "step": "region-fill" },
                    { "step": "hostile", "on": { "sewn": true } } ] }"#,
            ),
            (
                "routine.json",
                r#"{ "steps": [
                    { "step": "region-fill", "on": { "tag": "left" } },
                    { "part": "pieces.json", "on": { "sewn": false, "not": { "tag": "right" } } },
                    { "step": "region-fill", "on": { "sewn": false } } ] }"#,
            ),
        ],
    );
    let design = squares(&folder);
    let checked = check(&folder.join("routine.json")).unwrap();
    let outcome = run(&checked, &design, None).unwrap();
    let pieces = tagged(&outcome.design, "pair");
    assert_eq!(pieces.len(), 2);
    let plain = |text: &str| {
        std::fs::write(folder.join("plain.json"), text).unwrap();
        run(&check(&folder.join("plain.json")).unwrap(), &design, None)
            .unwrap()
            .design
    };
    let unmoved = plain(
        r#"{ "steps": [ { "step": "single-pieces", "on": { "tag": "pair" } }, { "step": "region-fill" } ] }"#,
    );
    for (piece, before) in pieces.iter().zip(tagged(&unmoved, "pair")) {
        let moved: Vec<f64> = before.stitches[0].x.iter().map(|x| x + 1.0).collect();
        assert_eq!((&piece.id, &piece.stitches[0].x), (&before.id, &moved));
    }
    for tag in ["left", "right"] {
        assert_eq!(tagged(&outcome.design, tag), tagged(&unmoved, tag));
    }
}

/// A part that takes nothing is noted once, and none of its steps runs.
#[test]
fn a_part_without_objects_is_noted_once() {
    let folder = folder(
        "empty",
        &[
            (
                "inner.json",
                r#"{ "takes": {}, "steps": [ { "step": "hostile", "settings": { "deed": "panic" } } ] }"#,
            ),
            (
                "outer.json",
                r#"{ "takes": {}, "steps": [ { "step": "align" }, { "part": "inner.json" } ] }"#,
            ),
            (
                "routine.json",
                r#"{ "steps": [ { "part": "outer.json", "on": { "tag": "lefd" } }, { "step": "single-pieces" } ] }"#,
            ),
        ],
    );
    let design = squares(&folder);
    let outcome = run(&check(&folder.join("routine.json")).unwrap(), &design, None).unwrap();
    let notes: Vec<_> = outcome
        .findings
        .iter()
        .filter(|one| one.code == "nothing-selected")
        .collect();
    assert_eq!(notes.len(), 1, "{notes:?}");
    assert_eq!(notes[0].step.as_deref(), Some("1 (outer)"));
    // "lefd" is nearly "left": most likely mistyped, and so more than a note.
    assert_eq!(notes[0].severity, Severity::Warning);
    assert!(
        notes[0].help.as_deref().unwrap().contains("\"left\""),
        "{notes:?}"
    );
}

/// A run goes on in the middle of a part with what the part took, and one part is not another of the
/// same steps.
#[test]
fn a_run_goes_on_within_a_part() {
    let part = |last: &str| {
        format!(
            r#"{{ "takes": {{}}, "steps": [ {{ "step": "region-fill" }}, {{ "step": "hostile", "settings": {{ "deed": "{last}" }} }} ] }}"#
        )
    };
    let folder = folder("goes-on", &[("part.json", &part("fail"))]);
    let routine = |on: &str| {
        let text = format!(
            r#"{{ "steps": [ {{ "part": "part.json", "on": {on} }}, {{ "part": "part.json", "on": {{ "tag": "right" }} }} ] }}"#
        );
        std::fs::write(folder.join("routine.json"), text).unwrap();
        check(&folder.join("routine.json"))
    };
    let unsewn = r#"{ "sewn": false, "not": { "tag": "right" } }"#;
    let design = squares(&folder);
    let cache = StepCache::default();
    let failing = routine(unsewn).unwrap();
    assert!(run(&failing, &design, Some(&cache)).is_err());
    assert_eq!(cache.take_tally().fresh, 2);
    std::fs::write(folder.join("part.json"), part("move")).unwrap();
    for on in [unsewn, r#"{ "tag": "left" }"#, unsewn] {
        let checked = routine(on).unwrap();
        let with = run(&checked, &design, Some(&cache)).unwrap();
        let without = run(&checked, &design, None).unwrap();
        assert_eq!(with.design, without.design, "{on}");
        assert_eq!(with.findings, without.findings, "{on}");
        cache.take_tally();
    }
    assert_ne!(failing.digest(), routine(unsewn).unwrap().digest());
}

/// Depth and number are bounded, so that no file can keep the check from ending.
#[test]
fn parts_without_end_are_refused() {
    let folder = folder("endless", &[]);
    for level in 0..20 {
        let next = format!("part-{}.json", level + 1);
        let text = format!(r#"{{ "steps": [ {{ "part": "{next}" }} ] }}"#);
        std::fs::write(folder.join(format!("part-{level}.json")), text).unwrap();
    }
    let Failed(found) = check(&folder.join("part-0.json")).err().unwrap();
    assert_eq!((found.len(), found[0].code), (1, "too-deep"), "{found:?}");
    assert!(
        found[0].file.as_ref().unwrap().ends_with("part-16.json"),
        "{found:?}"
    );

    // Twelve parts, each of which includes the next ten times: 10^12 steps.
    for level in 0..12 {
        let next = format!(r#"{{ "part": "part-{}.json" }}"#, level + 1);
        let text = format!(r#"{{ "steps": [ {} ] }}"#, vec![next; 10].join(", "));
        std::fs::write(folder.join(format!("part-{level}.json")), text).unwrap();
    }
    std::fs::write(
        folder.join("part-12.json"),
        r#"{ "steps": [ { "step": "align" } ] }"#,
    )
    .unwrap();
    let Failed(found) = check(&folder.join("part-0.json")).err().unwrap();
    assert_eq!(
        (found.len(), found[0].code),
        (1, "too-many-steps"),
        "{found:?}"
    );
}

/// A part that is missing is told where it is
/// named, before anything runs.
#[test]
fn a_part_that_is_gone_ends_a_run_before_it_begins() {
    let folder = folder(
        "gone",
        &[(
            "routine.json",
            "{ \"steps\": [\n  { \"part\": \"gone.json\" } ] }",
        )],
    );
    let output = hoopwright()
        .current_dir(&folder)
        .args([
            "--telling",
            "json",
            "run",
            "routine.json",
            "squares.svg",
            "--into",
            "out",
        ])
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(1));
    let told = String::from_utf8(output.stderr).unwrap();
    let told: Vec<serde_json::Value> = told
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect();
    // There is no artwork either, which is told at once.
    assert_eq!(told.len(), 2);
    assert!(told.iter().all(|one| one["code"] == "unreadable"));
    assert_eq!(
        (&told[0]["file"], &told[0]["line"]),
        (&"routine.json".into(), &2.into())
    );
    let gone = told[1]["message"].as_str().unwrap();
    assert!(gone.contains("squares.svg"), "{gone}");
    assert!(!folder.join("out").exists());
}
