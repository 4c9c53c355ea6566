//! The pipeline file: all that is wrong with it is told, and what is not wrong runs.

use crate::chance::once_in;
use crate::schema::Maker;
use crate::{Subject, dst, json, routine, told};
use arbitrary::{Result, Unstructured};
use hoopwright::artwork::Artwork;
use hoopwright::design::{Object, Shape, valid};
use hoopwright::diagnostics::Failed;
use hoopwright::formats::svg;
use hoopwright::job;
use hoopwright::pipeline::{self, Checked, Watch};
use hoopwright::plugins::Plugins;
use serde_json::Value;
use std::path::Path;
use std::sync::{Arc, LazyLock};

/// Pipelines of the stock steps, with racks, profiles and parts.
pub const SUBJECT: Subject = Subject {
    name: "pipeline",
    make: any,
    wrongs,
    seeds: &[
        "demo-pipelines/owl/owl.json",
        "demo-pipelines/any-artwork.json",
        "demo-pipelines/dst-trims.json",
    ],
};

static SCHEMA: LazyLock<Value> = LazyLock::new(pipeline::schema::bare);

fn any(bytes: &mut Unstructured<'_>) -> Result<Vec<u8>> {
    let maker = Maker::new(&SCHEMA);
    let steps = routine::steps(&maker, bytes)?;
    let mut pipeline = if once_in(bytes, 2)? {
        maker.value(bytes)?
    } else {
        serde_json::json!({})
    };
    if let Some(fields) = pipeline.as_object_mut() {
        fields.insert("steps".to_owned(), steps);
        for name in ["rack", "machine"] {
            if once_in(bytes, 3)? {
                fields.insert(name.to_owned(), routine::file(bytes)?);
            }
        }
    }
    json::file(&pipeline, bytes)
}

/// A small drawing with something for every step.
const DRAWING: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" width="30mm" height="30mm" viewBox="0 0 30 30">
<rect id="background" width="30" height="30" fill="#1f2a44"/>
<path id="wing" class="outline" d="M5 15Q15 5 25 15Q15 25 5 15" fill="#884422" stroke="#000" stroke-width=".4"/>
<path id="leaf" d="M8 22L22 26L8 24z" fill="#6c8f5e"/>
<path id="direction-mark" d="M10 14L18 16" stroke="red" stroke-width=".2"/>
<path id="a" d="M2 2L9 3L9 9" fill="none" stroke="#884422" stroke-width="2"/></svg>"##;

static OWL: LazyLock<std::result::Result<Artwork, Failed>> = LazyLock::new(|| {
    let mut design = svg::read(DRAWING, Path::new("owl.svg"), svg::Scale::AsDrawn)?.design;
    // Stitches that are there already, as of a machine file.
    let mut sewn = Object::new("b", Shape::Manual);
    let mut list = hoopwright::design::StitchList::new();
    for x in 0..8 {
        let at = hoopwright::design::Point {
            x: 1.0 + f64::from(x),
            y: 28.0,
        };
        list.needle(hoopwright::design::StitchRole::Cover, at.into());
    }
    sewn.stitches = list.into_blocks();
    design.objects.push(sewn);
    Artwork::new(design, Vec::new())
});

/// Everything is told in line and column, twice the same; what holds runs, or says why not.
fn wrongs(file: &[u8]) -> Vec<String> {
    let Ok(text) = std::str::from_utf8(file) else {
        return Vec::new();
    };
    let plugins = match routine::plugins() {
        Ok(plugins) => plugins,
        Err(why) => return vec![why],
    };
    let path = routine::path();
    let checked = pipeline::check(&path, text.to_owned(), plugins);
    let again = pipeline::check(&path, text.to_owned(), plugins);
    match (checked, again) {
        (Ok(checked), Ok(_)) => wrongs_of_run(&checked, plugins),
        (Err(failed), Err(again)) => {
            let mut wrongs = told::placed_refusal(&failed, &path, text);
            if failed != again {
                wrongs.push("it is refused in two ways".to_owned());
            }
            wrongs
        }
        _ => vec!["it holds once and is refused once".to_owned()],
    }
}

fn wrongs_of_run(checked: &Checked, plugins: &Plugins) -> Vec<String> {
    let artwork = match &*OWL {
        Ok(artwork) => artwork.clone(),
        Err(failed) => return vec![format!("the drawing is not read: {failed}")],
    };
    let watch: Arc<dyn Watch> = Arc::new(());
    let none = Path::new("");
    match job::sew(checked, artwork, plugins, None, &watch) {
        Ok(sewn) => {
            let mut wrongs = valid::problems(&sewn.design);
            wrongs.extend(told::all(&sewn.told(), none, ""));
            wrongs.extend(dst::wrongs_of_layout(&sewn.written.bytes));
            if sewn.worksheet.stitches < dst::needle_points(&sewn.design).len() {
                wrongs.push(
                    "the worksheet counts fewer stitches than there are needle points".to_owned(),
                );
            }
            wrongs
        }
        Err(failed) => {
            let mut wrongs = told::refusal(&failed, none, "");
            for told in &failed.0 {
                let fault = ["panicked", "broke down", "too deep", "do not fit"];
                let words = fault.iter().any(|fault| told.message.contains(fault));
                if words || told.code == "broken-promise" {
                    wrongs.push(format!("a fault of the program: {told:?}"));
                }
            }
            wrongs
        }
    }
}
