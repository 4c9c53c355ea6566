//! The pipeline file's own shape, without the settings of its steps.

use super::Selection;
use crate::formats::dst::Machine;
use crate::report::Fabric;
use crate::worksheet::OperatorNotes;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};
use std::borrow::Cow;

/// A shop's routine: what to do with artwork, step by step.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Pipeline {
    /// Where the composed schema stands, so that an editor can complete and check this file.
    #[serde(rename = "$schema", default, skip_serializing_if = "String::is_empty")]
    pub schema: String,
    /// What this routine is for.
    #[serde(default)]
    pub title: String,
    /// The shop's thread rack: the path of a JSON or CSV file, relative to this file. Without it
    /// the artwork's own colours are sewn.
    #[serde(default)]
    #[schemars(with = "String")]
    pub rack: Option<String>,
    /// How far the nearest thread may be from a colour of the artwork before a warning names it; 6
    /// unless given, 0 to 100. The difference is CIEDE2000: up to 1 is not seen, 2 to 3 shows side
    /// by side, 6 shows at arm's length (common practice). 0 warns of all but exact matches.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "f64", range(min = 0.0, max = 100.0))]
    pub rack_limit: Option<f64>,
    /// Where steps come from besides the program, the user's folder and the folder `steps` beside
    /// this file: plugins, folders of them and packs, relative to this file, or `oci:` and a
    /// registry's reference. Their steps stand in for others of the same name.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub plugins: Vec<String>,
    /// The size of the artwork; as drawn unless given.
    #[serde(default)]
    pub artwork: Size,
    /// What the machine can do: its profile here, or the path of a file with it, relative to this
    /// file. [`check`](super::check::check) puts the profile in the place of the path.
    #[serde(default)]
    #[schemars(schema_with = "profile_or_path")]
    pub machine: Machine,
    /// The fabric that is sewn on: the report predicts from it where cloth will show. The machine's
    /// own unless given, and woven where it has none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Fabric")]
    pub fabric: Option<Fabric>,
    /// What the operator needs to know.
    #[serde(default)]
    pub operator: OperatorNotes,
    /// The steps, from first to last; a part stands for steps of a file of its own.
    pub steps: Vec<Entry>,
}

/// A machine's profile, or the path of a file that holds it.
fn profile_or_path(generator: &mut schemars::SchemaGenerator) -> schemars::Schema {
    let profile = generator.subschema_for::<Machine>();
    schemars::json_schema!({
        "type": ["object", "string"],
        "if": {"type": "object"},
        "then": profile,
    })
}

impl Pipeline {
    /// The fabric that is sewn on.
    pub fn fabric(&self) -> Fabric {
        self.fabric.or(self.machine.fabric).unwrap_or_default()
    }
}

/// The size that the artwork is sewn at. Both together are a box that it must fit in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case", default)]
pub struct Size {
    /// Width of the artwork's page, or of the drawing on it, in mm. As drawn unless given.
    #[schemars(with = "f64", range(min = 1, max = 1000), extend("unit" = "mm"))]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub width: Option<f64>,
    /// Height of the artwork's page, or of the drawing on it, in mm. As drawn unless given.
    #[schemars(with = "f64", range(min = 1, max = 1000), extend("unit" = "mm"))]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub height: Option<f64>,
    /// What has this width and height: the page unless given.
    #[serde(skip_serializing_if = "Measured::is_page")]
    pub of: Measured,
}

/// What a size asked for is the size of.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Measured {
    /// The artwork's page, with the empty space around the drawing.
    #[default]
    Page,
    /// All that is painted on the page, with half the width of outer strokes: what will be sewn, but for pull
    /// compensation.
    Drawing,
}

impl Measured {
    fn is_page(&self) -> bool {
        *self == Self::Page
    }
}

/// One entry of a routine: a step, or a part.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Entry {
    /// A step.
    Step(Step),
    /// A part: steps that stand in a file of their own.
    Part(Include),
}

/// Told apart by the name "part", so that whatever else is wrong with an entry is told in its own
/// terms.
impl JsonSchema for Entry {
    fn schema_name() -> Cow<'static, str> {
        "Entry".into()
    }

    fn json_schema(generator: &mut schemars::SchemaGenerator) -> schemars::Schema {
        let step = generator.subschema_for::<Step>();
        let part = generator.subschema_for::<Include>();
        schemars::json_schema!({
            "description": "One entry of a routine: a step, or a part, which is a file of steps.",
            "type": "object",
            "if": {"required": ["part"]},
            "then": part,
            "else": step,
        })
    }
}

/// One step of a routine.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
#[schemars(transform = part_is_known)]
pub struct Step {
    /// The step's name; `hoopwright steps` lists them.
    #[schemars(length(min = 1))]
    pub step: String,
    /// Why it is here, for whoever reads this file next.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
    /// Which objects it acts on; all unless given. Every other object stays as it is.
    #[serde(default)]
    pub on: Selection,
    /// The step's own settings; `hoopwright describe <step>` lists them.
    #[serde(default)]
    pub settings: Map<String, Value>,
}

/// An entry with a slip in "part" counts as a step: the name is to be among those that it may have
/// meant. With "part" itself it would be none.
fn part_is_known(step: &mut schemars::Schema) {
    if let Some(Value::Object(known)) = step.get_mut("properties") {
        known.insert("part".to_owned(), Value::Bool(false));
    }
}

/// A part of a routine that stands in a file of its own.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Include {
    /// The part's file, relative to this file. `hoopwright schema part` writes the rules of such
    /// files.
    pub part: String,
    /// Why it is here, for whoever reads this file next.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
    /// Which objects its steps may act on; all unless given. It is asked once, when the part begins;
    /// what the part's own steps make belongs to it too. Every other object stays as it is.
    #[serde(default)]
    pub on: Selection,
    /// What the part takes; its own file says what that is.
    #[serde(default)]
    pub settings: Map<String, Value>,
}
