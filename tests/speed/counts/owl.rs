//! The owl's routine without the engine: its steps as they stand in the file, in their native code.

use hoopwright::artwork::{Artwork, Asked, Readers};
use hoopwright::design::Design;
use hoopwright::formats::dst::{Machine, machine};
use hoopwright::pipeline::{Selection, Size};
use hoopwright::rack;
use serde_json::Value;
use std::path::{Path, PathBuf};

/// What the routine's file says.
pub struct Owl {
    /// The artwork as it is drawn.
    pub svg: String,
    /// The machine.
    pub machine: Machine,
    /// The steps in order.
    pub steps: Vec<Step>,
    size: Size,
    rack: rack::Rack,
}

/// One of its steps.
pub struct Step {
    /// The plugin's name.
    pub name: String,
    /// What it may touch.
    pub on: Selection,
    /// Its settings as JSON.
    pub settings: String,
}

fn file(name: &str) -> (PathBuf, String) {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../demo-pipelines");
    let path = demo.join(name);
    let text = std::fs::read_to_string(&path).unwrap();
    (path, text)
}

impl Owl {
    pub fn new() -> Self {
        let routine: Value = serde_json::from_str(&file("owl/owl.json").1).unwrap();
        let read = |value: &Value| match value {
            Value::Null => serde_json::json!({}),
            value => value.clone(),
        };
        let steps = routine["steps"].as_array().unwrap().iter();
        let (machine_path, machine_text) = file("machine.json");
        let (rack_path, rack_text) = file("thread-rack.json");
        Self {
            svg: file("owl/owl.svg").1,
            machine: machine::read(&machine_path, machine_text).unwrap(),
            rack: rack::read(&rack_path, rack_text).unwrap(),
            size: serde_json::from_value(read(&routine["artwork"])).unwrap(),
            steps: steps
                .map(|step| Step {
                    name: step["step"].as_str().unwrap().to_owned(),
                    on: serde_json::from_value(read(&step["on"])).unwrap(),
                    settings: read(&step["settings"]).to_string(),
                })
                .collect(),
        }
    }

    /// Reads the artwork.
    pub fn read(&self) -> Artwork {
        let readers = Readers::stock();
        let path = Path::new("owl.svg");
        let reader = readers.reader_of(path, self.svg.as_bytes()).unwrap();
        let asked = Asked {
            size: self.size,
            machine: &self.machine,
        };
        reader.read(path, self.svg.as_bytes(), &asked).unwrap()
    }

    /// Gives the artwork the rack's threads.
    pub fn wind(&self, artwork: &Artwork) -> Design {
        let mut design = artwork.design().clone();
        rack::wind(&mut design, &self.rack, rack::FAR);
        design
    }
}
