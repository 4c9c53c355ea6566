//! What a shop tells about its machine.

use crate::diagnostics::{Diagnostic, Failed};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The machine that sews the file. Every setting may be left out.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields, default)]
pub struct Machine {
    /// How many jumps in a row make this machine cut the thread; 3 on most, 1 to 8. The file has no
    /// sign for a trim but this, so it must agree with the machine's own setting.
    #[schemars(range(min = 1, max = 8))]
    pub trim_jumps: u8,
    /// The longest move of one record along each axis, in mm; 12.1, which is as far as the file
    /// can tell, 3 to 12.1. A longer stitch or jump is split into equal parts.
    #[schemars(range(min = 3.0, max = 12.1), extend("unit" = "mm"))]
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
    /// Speed in stitches a minute, for the estimate of time; 800, 100 to 2000.
    #[schemars(range(min = 100, max = 2000), extend("unit" = "stitches/min"))]
    pub speed: u16,
    /// How long a trim takes, in seconds, for the estimate of time; 7, 0 to 60.
    #[schemars(range(min = 0.0, max = 60.0), extend("unit" = "s"))]
    pub seconds_per_trim: f64,
    /// How long a thread change or a stop takes, in seconds, for the estimate of time; 13, 0 to
    /// 600. A machine with one needle waits for the operator here.
    #[schemars(range(min = 0.0, max = 600.0), extend("unit" = "s"))]
    pub seconds_per_thread_change: f64,
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
            trim_jumps: 3,
            longest_move: 12.1,
            sewn_gap: 1.0,
            origin: None,
            speed: 800,
            seconds_per_trim: 7.0,
            seconds_per_thread_change: 13.0,
        }
    }
}

impl Machine {
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
        within("longest-move", self.longest_move, 3.0, 12.1);
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
            assert!(ranged || name == "origin", "{name} has no range");
        }
        assert_eq!(schema["properties"]["longest-move"]["default"], 12.1);
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
