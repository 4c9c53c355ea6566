//! What a shop tells about its machine.

use super::hoop::MachineHoop;
use super::record::Reach;
use crate::diagnostics::{Diagnostic, Failed};
use crate::json::{Document, FileKind, misfits};
use crate::report::{Fabric, Limits};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::path::Path;

/// The most needles that a machine has.
pub const MOST_NEEDLES: u8 = 100;

/// The machine that sews the file: a part of a pipeline, or a file of its own that several share.
/// Every entry may be left out.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields, default)]
pub struct Machine {
    /// Where this file's schema stands, for the editor.
    #[serde(rename = "$schema", skip_serializing_if = "String::is_empty")]
    pub schema: String,
    /// What the shop calls the machine.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub name: String,
    /// How far the machine can sew. Left out, it is not checked. The start point is taken to be the
    /// middle; the machine's manual tells the size.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Field")]
    pub field: Option<Field>,
    /// The hoops that the shop has for this machine; none unless given, and then no hoop is checked.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub hoops: Vec<MachineHoop>,
    /// How many needles the machine has, each with its own thread; 1 to 100. Left out, threads are
    /// not counted against needles.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "u8", range(min = 1, max = MOST_NEEDLES))]
    pub needles: Option<u8>,
    /// The fabric that this machine usually sews on; a pipeline's own `fabric` wins. Woven unless
    /// given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Fabric")]
    pub fabric: Option<Fabric>,
    /// How many jumps in a row make this machine cut the thread; 3 on most, 1 to 8. The file has no
    /// sign for a trim but this, so it must agree with the machine's own setting.
    #[schemars(range(min = 1, max = 8))]
    pub trim_jumps: u8,
    /// The longest move of one record along each axis, in mm; 12.1, which is as far as the file
    /// can tell, 3 to 12.1. A longer stitch or jump is split into equal parts.
    #[schemars(range(min = 3.0, max = Reach::MOST_MM), extend("unit" = "mm"))]
    pub longest_move: f64,
    /// A way between two parts or objects of one thread is sewn as a single stitch where it is no
    /// longer than this, in mm, rather than jumped over; 1, 0 to 3.
    #[schemars(range(min = 0.0, max = 3.0), extend("unit" = "mm"))]
    pub sewn_gap: f64,
    /// Where the hoop stands before the first stitch, on the artwork's page. Left out, it is the
    /// centre of what is sewn.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Place")]
    pub origin: Option<Place>,
    /// Speed in stitches a minute, for the estimate of time; 800, 100 to 2000. Where
    /// `speed-by-length` is given, of all stitches longer than its last entry.
    #[schemars(range(min = 100, max = 2000), extend("unit" = "stitches/min"))]
    pub speed: u16,
    /// How fast stitches are sewn by their length, from short to long, for the estimate of time:
    /// machines slow down for long stitches. None unless given; then every stitch has `speed`.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub speed_by_length: Vec<SpeedUpTo>,
    /// How long a trim takes, in seconds, for the estimate of time; 7, 0 to 60.
    #[schemars(range(min = 0.0, max = 60.0), extend("unit" = "s"))]
    pub seconds_per_trim: f64,
    /// How long a thread change or a stop takes, in seconds, for the estimate of time; 13, 0 to
    /// 600. A machine with one needle waits for the operator here.
    #[schemars(range(min = 0.0, max = 600.0), extend("unit" = "s"))]
    pub seconds_per_thread_change: f64,
    /// The shop's own limits for what makes a file bad on the machine; `hoopwright report` tells
    /// the measures. A limit that is left out is the usual one.
    #[serde(skip_serializing_if = "is_usual")]
    pub limits: Limits,
}

fn is_usual(limits: &Limits) -> bool {
    *limits == Limits::default()
}

/// How far a machine can sew.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Field {
    /// Sideways, in mm; 10 to 5000.
    #[schemars(range(min = 10.0, max = 5000.0), extend("unit" = "mm"))]
    pub width: f64,
    /// Towards the operator and away, in mm; 10 to 5000.
    #[schemars(range(min = 10.0, max = 5000.0), extend("unit" = "mm"))]
    pub height: f64,
}

/// How fast stitches up to a length are sewn.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct SpeedUpTo {
    /// Of stitches up to this length, in mm, and longer than the entry before; 0.1 to 20.
    #[schemars(range(min = 0.1, max = 20.0), extend("unit" = "mm"))]
    pub up_to: f64,
    /// Speed in stitches a minute; 100 to 2000.
    #[schemars(range(min = 100, max = 2000), extend("unit" = "stitches/min"))]
    pub speed: u16,
}

/// A place on the artwork's page.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Place {
    /// To the right, in mm.
    #[schemars(range(min = -10_000.0, max = 10_000.0), extend("unit" = "mm"))]
    pub x: f64,
    /// Down, in mm.
    #[schemars(range(min = -10_000.0, max = 10_000.0), extend("unit" = "mm"))]
    pub y: f64,
}

impl Default for Machine {
    fn default() -> Self {
        Self {
            schema: String::new(),
            name: String::new(),
            field: None,
            hoops: Vec::new(),
            needles: None,
            fabric: None,
            trim_jumps: 3,
            longest_move: Reach::MOST_MM,
            sewn_gap: 1.0,
            origin: None,
            speed: 800,
            speed_by_length: Vec::new(),
            seconds_per_trim: 7.0,
            seconds_per_thread_change: 13.0,
            limits: Limits::default(),
        }
    }
}

/// Reads a machine's profile.
///
/// # Errors
/// Every problem with the file, each with its place.
pub fn read(file: &Path, text: String) -> Result<Machine, Failed> {
    let document = Document::parse(file, text).map_err(Failed)?;
    if let Some(mistaken) = FileKind::Machine.mistaken(&document) {
        return Err(mistaken.into());
    }
    let schema = schema();
    let validator = jsonschema::draft202012::new(&schema).map_err(|error| {
        Diagnostic::error(
            "internal",
            format!("the machine's own schema is broken: {error}"),
        )
    })?;
    let mut problems = misfits(&document, "", &schema, &validator, "entry");
    problems.sort_by_key(|problem| problem.range.as_ref().map_or(0, |range| range.start));
    let machine: Option<Machine> = serde_json::from_value(document.value.clone()).ok();
    if let Some(machine) = machine.filter(|_| problems.is_empty()) {
        return machine.contradictions(&document, "").map(|()| machine);
    }
    if problems.is_empty() {
        let misfit = Diagnostic::error("misfit", "this is not a machine's profile");
        problems.push(document.point(misfit, document.value_range("")));
    }
    Err(Failed(problems))
}

/// The JSON Schema (draft 2020-12) of a machine file.
pub fn schema() -> serde_json::Value {
    serde_json::Value::from(schemars::schema_for!(Machine))
}

impl Machine {
    /// How fast a stitch of `length` mm is sewn, in stitches a minute.
    pub fn speed_of(&self, length: f64) -> u16 {
        let entries = self.speed_by_length.iter();
        let entry = entries.into_iter().find(|entry| length <= entry.up_to);
        entry.map_or(self.speed, |entry| entry.speed)
    }

    /// Whether the profile, which stands at `pointer` in `document`, agrees with itself. Its schema
    /// has been checked before.
    ///
    /// # Errors
    /// One for each contradiction, with its place.
    pub fn contradictions(&self, document: &Document, pointer: &str) -> Result<(), Failed> {
        let Err(Failed(wrong)) = self.check() else {
            return Ok(());
        };
        let place = |problem: Diagnostic| {
            // The entry that the sentence names.
            let name = problem.message.split('"').nth(1).unwrap_or_default();
            let entry = [
                format!("{pointer}/limits/{name}"),
                format!("{pointer}/{name}"),
            ]
            .into_iter()
            .find(|entry| document.value.pointer(entry).is_some());
            let range = document.value_range(entry.as_deref().unwrap_or(pointer));
            document.point(problem, range)
        };
        Err(Failed(wrong.into_iter().map(place).collect()))
    }

    /// Whether every setting lies in its range. The pipeline checks the schema before; this is for
    /// whoever fills in the settings by program.
    ///
    /// # Errors
    /// One for each setting that is out of range.
    pub fn check(&self) -> Result<(), Failed> {
        let mut wrong = Vec::new();
        let mut within = |name: &str, value: f64, least: f64, most: f64| {
            if !(least..=most).contains(&value) {
                wrong.push(
                    Diagnostic::error(
                        "machine-setting",
                        format!("the machine setting \"{name}\" is {value}"),
                    )
                    .help(format!("give it a value from {least} to {most}")),
                );
            }
        };
        within("trim-jumps", f64::from(self.trim_jumps), 1.0, 8.0);
        within("longest-move", self.longest_move, 3.0, Reach::MOST_MM);
        within("sewn-gap", self.sewn_gap, 0.0, 3.0);
        if let Some(origin) = self.origin {
            within("origin x", origin.x, -10_000.0, 10_000.0);
            within("origin y", origin.y, -10_000.0, 10_000.0);
        }
        within("speed", f64::from(self.speed), 100.0, 2000.0);
        within("seconds-per-trim", self.seconds_per_trim, 0.0, 60.0);
        within(
            "seconds-per-thread-change",
            self.seconds_per_thread_change,
            0.0,
            600.0,
        );
        if let Some(needles) = self.needles {
            within("needles", f64::from(needles), 1.0, MOST_NEEDLES.into());
        }
        if let Some(field) = self.field {
            within("field width", field.width, 10.0, 5000.0);
            within("field height", field.height, 10.0, 5000.0);
        }
        for hoop in &self.hoops {
            within("hoops width", hoop.width, 10.0, 5000.0);
            within("hoops height", hoop.height, 10.0, 5000.0);
            within("hoops margin", hoop.margin, 0.0, 50.0);
        }
        let mut longest = 0.0;
        for entry in &self.speed_by_length {
            within("speed-by-length up-to", entry.up_to, 0.1, 20.0);
            within(
                "speed-by-length speed",
                f64::from(entry.speed),
                100.0,
                2000.0,
            );
        }
        for entry in &self.speed_by_length {
            if entry.up_to <= longest {
                wrong.push(
                    Diagnostic::error(
                        "machine-setting",
                        format!(
                            "the machine's \"speed-by-length\" has {} mm after {longest} mm",
                            entry.up_to
                        ),
                    )
                    .help("list the lengths from short to long"),
                );
            }
            longest = entry.up_to;
        }
        wrong.extend(self.limits.problems().into_iter().map(|(name, problem)| {
            Diagnostic::error(
                "machine-setting",
                format!("the machine's limit \"{name}\" {problem}"),
            )
            .help("give a warning that is not beyond its error")
        }));
        if wrong.is_empty() {
            Ok(())
        } else {
            Err(Failed(wrong))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn settings_are_kebab_case_and_may_be_left_out() {
        let machine: Machine = serde_json::from_str(r#"{"trim-jumps": 4}"#).expect("valid");
        assert_eq!(machine.trim_jumps, 4);
        assert_eq!(machine.speed, 800);
    }

    #[test]
    fn unknown_settings_are_refused() {
        assert!(serde_json::from_str::<Machine>(r#"{"trim_jumps": 4}"#).is_err());
    }

    #[test]
    fn every_setting_is_described_and_has_its_range() {
        let schema = serde_json::Value::from(schemars::schema_for!(Machine));
        assert_eq!(schema["additionalProperties"], false);
        for (name, setting) in schema["properties"].as_object().expect("properties") {
            let described = setting["description"]
                .as_str()
                .is_some_and(|d| d.len() > 20);
            assert!(described, "{name} has no description");
            let ranged = setting["minimum"].is_number() && setting["maximum"].is_number();
            let number = matches!(setting["type"].as_str(), Some("number" | "integer"));
            assert!(ranged || !number, "{name} has no range");
        }
        assert_eq!(schema["properties"]["longest-move"]["default"], 12.1);
    }

    #[test]
    fn each_stitch_has_the_speed_of_its_length() {
        let machine: Machine = serde_json::from_str(
            r#"{"speed": 600, "speed-by-length": [{"up-to": 3, "speed": 900}, {"up-to": 6, "speed": 750}]}"#,
        )
        .expect("valid");
        assert!(machine.check().is_ok());
        let speeds = [1.0, 3.0, 3.1, 6.0, 6.1].map(|length| machine.speed_of(length));
        assert_eq!(speeds, [900, 900, 750, 750, 600]);
        assert_eq!(Machine::default().speed_of(5.0), 800);
    }

    #[test]
    fn a_profile_that_contradicts_itself_is_refused() {
        let machine: Machine = serde_json::from_str(
            r#"{"speed-by-length": [{"up-to": 6, "speed": 750}, {"up-to": 3, "speed": 900}],
                "limits": {"gaps": {"warning": 50}}, "needles": 0}"#,
        )
        .expect("well formed");
        let Err(Failed(wrong)) = machine.check() else {
            panic!("must be refused");
        };
        assert_eq!(wrong.len(), 3);
    }

    #[test]
    fn values_out_of_range_are_all_named() {
        let machine = Machine {
            trim_jumps: 0,
            longest_move: f64::NAN,
            ..Machine::default()
        };
        let Err(Failed(wrong)) = machine.check() else {
            panic!("must be refused");
        };
        assert_eq!(wrong.len(), 2);
        assert!(Machine::default().check().is_ok());
    }
}
