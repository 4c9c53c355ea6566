//! The printed worksheet, as `run` writes it. The files stay in target/worksheets, where
//! tests/oracle/worksheet.py reads them with tools from outside.

use crate::files::{hoopwright, root};
use geo::Coord;
use hoopwright::design::{Design, Object, Point, Rectangle, Shape, StitchList, StitchRole, Thread};
use hoopwright::formats::design_json;
use serde_json::{Value, json};
use std::path::PathBuf;

fn folder() -> PathBuf {
    root().join("target/worksheets")
}

/// Runs `pipeline` on `artwork`; what it writes is named `name`. Gives the PDF.
fn sew(name: &str, pipeline: &Value, artwork: &PathBuf) -> Vec<u8> {
    std::fs::create_dir_all(folder()).unwrap();
    let file = folder().join(format!("{name}.json"));
    std::fs::write(&file, format!("{pipeline:#}\n")).unwrap();
    let output = hoopwright()
        .arg("run")
        .args([&file, artwork])
        .args(["--name", name, "--into"])
        .arg(folder())
        .output()
        .unwrap();
    let told = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{told}");
    std::fs::read(folder().join(format!("{name}.worksheet.pdf"))).unwrap()
}

/// Rows of stitches, 2 mm each and `width` mm wide, one for each thread.
fn rows(title: &str, threads: Vec<Thread>, width: f64) -> Design {
    let object = |i: usize| {
        let mut list = StitchList::new();
        let count = (width / 2.0) as u32;
        for j in 0..=count {
            let (x, y) = (f64::from(j) * 2.0, i as f64);
            list.needle(StitchRole::Cover, Coord { x, y });
        }
        let mut object = Object::new(&format!("row-{i}"), Shape::Manual);
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
        objects: (0..threads.len()).map(object).collect(),
        threads,
    }
}

fn thread(code: &str, name: &str, [red, green, blue]: [u8; 3]) -> Thread {
    Thread {
        name: name.to_owned(),
        code: code.to_owned(),
        red,
        green,
        blue,
        weight: 40,
    }
}

/// Sews a design with nothing but ties and trims.
fn sew_design(name: &str, design: &Design, operator: &Value) -> Vec<u8> {
    std::fs::create_dir_all(folder()).unwrap();
    let file = folder().join(format!("{name}.design-in.json"));
    std::fs::write(&file, design_json::write(design)).unwrap();
    let pipeline = json!({ "operator": operator, "steps": [{ "step": "ties-and-trims" }] });
    sew(name, &pipeline, &file)
}

#[test]
fn the_owl_prints_on_either_paper_and_the_same_each_time() {
    let file = root().join("demo-pipelines/owl/owl.json");
    let mut pipeline: Value =
        serde_json::from_str(&std::fs::read_to_string(file).unwrap()).unwrap();
    pipeline["rack"] = json!(root().join("demo-pipelines/thread-rack.json"));
    pipeline["machine"] = json!(root().join("demo-pipelines/machine.json"));
    let art = root().join("demo-pipelines/owl/owl.svg");
    let first = sew("owl", &pipeline, &art);
    assert_eq!(first, sew("owl", &pipeline, &art));
    // What a printer and a mail take without trouble.
    assert!(first.len() < 250_000, "{} bytes", first.len());
    pipeline["operator"]["paper"] = json!("letter");
    pipeline["operator"]["needles"] = json!([{ "needle": 12, "code": "N02" }]);
    sew("owl-letter", &pipeline, &art);
}

#[test]
fn sixty_threads_take_several_pages() {
    let threads = (0..60u8).map(|i| {
        let colour = [i * 4, 255 - i * 4, i.wrapping_mul(77)];
        thread(&format!("K{i:02}"), &format!("Cone {i}"), colour)
    });
    let design = rows("Sampler of sixty threads", threads.collect(), 60.0);
    sew_design("sixty", &design, &json!({}));
}

#[test]
fn names_of_many_alphabets_print() {
    let threads = vec![
        thread(
            "É-1",
            "Émeraude foncé, très longue étiquette de bobine qui ne tient pas sur une ligne",
            [0, 90, 60],
        ),
        thread("Ψ-2", "Γαλάζιο Αιγαίου", [60, 140, 220]),
        thread("Ж-3", "Тёмный орех", [80, 50, 30]),
        thread("Ł-4", "Żółć ścięta", [230, 200, 40]),
    ];
    let design = rows("Větrník · Ανεμόμυλος · Ветряк", threads, 190.0);
    sew_design("alphabets", &design, &json!({ "fabric": "Twill 240 g/m²" }));
}

/// What `check` says of a pipeline whose machine has 12 needles and two hoops.
fn checked(name: &str, entries: &Value) -> (bool, String) {
    let mut pipeline = json!({
        "machine": {
            "needles": 12,
            "hoops": [
                { "name": "small", "width": 100, "height": 100 },
                { "name": "patch", "width": 130, "height": 180 },
            ],
        },
        "steps": [{ "step": "ties-and-trims" }],
    });
    for (name, value) in entries.as_object().unwrap() {
        pipeline[name] = value.clone();
    }
    std::fs::create_dir_all(folder()).unwrap();
    let file = folder().join(format!("{name}.json"));
    std::fs::write(&file, format!("{pipeline:#}\n")).unwrap();
    let output = hoopwright().arg("check").arg(&file).output().unwrap();
    let told = String::from_utf8(output.stderr).unwrap();
    (output.status.success(), told)
}

#[test]
fn a_needle_that_the_machine_has_not_is_told_with_its_place() {
    let needles = |number: u32| {
        let needles = json!([{ "needle": number, "code": "N02" }]);
        checked("needles", &json!({ "operator": { "needles": needles } }))
    };
    assert!(needles(12).0);
    let (well, told) = needles(14);
    assert!(!well);
    assert!(told.contains("the machine has no needle 14"), "{told}");
    assert!(told.contains("needles.json:"), "{told}");
    // As many needles as a machine may have.
    let needles = json!([{ "needle": 100, "code": "N02" }]);
    let entries = json!({ "machine": { "needles": 100 }, "operator": { "needles": needles } });
    let (well, told) = checked("hundred", &entries);
    assert!(well, "{told}");
}

#[test]
fn a_hoop_that_the_machine_has_not_is_a_warning() {
    let hoop = |width: u32| {
        let hoop = json!({ "width": width, "height": 180 });
        checked("hoop", &json!({ "operator": { "hoop": hoop } }))
    };
    assert_eq!(hoop(130), (true, String::new()));
    let (well, told) = hoop(140);
    assert!(well);
    assert!(
        told.contains("the machine has no hoop of 140 x 180 mm"),
        "{told}"
    );
    assert!(told.contains("patch (130 x 180)"), "{told}");
    // A machine without a list of hoops may have any.
    let entries = json!({ "machine": {}, "operator": { "hoop": { "width": 140, "height": 180 } } });
    assert_eq!(checked("no-hoops", &entries), (true, String::new()));
}

/// The pipeline's fabric stands on the worksheet where the operator is told no other words for it.
#[test]
fn the_worksheet_names_the_fabric() {
    let design = rows("Rows", vec![thread("A", "tan", [200, 150, 90])], 40.0);
    let file = folder().join("fabric.design-in.json");
    std::fs::create_dir_all(folder()).unwrap();
    std::fs::write(&file, design_json::write(&design)).unwrap();
    let fabric = |name: &str, operator: Value| {
        let steps = json!([{ "step": "ties-and-trims" }]);
        let pipeline = json!({ "fabric": "pique", "operator": operator, "steps": steps });
        sew(name, &pipeline, &file);
        let report = std::fs::read(folder().join(format!("{name}.report.json"))).unwrap();
        let report: Value = serde_json::from_slice(&report).unwrap();
        report["worksheet"]["setup"]["fabric"].clone()
    };
    assert_eq!(fabric("fabric", json!({})), "pique");
    let told = json!({ "fabric": "Piqué 220 g" });
    assert_eq!(fabric("fabric-told", told), "Piqué 220 g");
}
