//! What a plugin says about itself.

use crate::Description;
use schemars::JsonSchema;
use schemars::generate::SchemaSettings;

/// Builds a plugin's description, with the JSON Schema (draft 2020-12) of its settings `S`.
///
/// The macros [`object_step!`](crate::object_step) and [`design_step!`](crate::design_step) call
/// this; a plugin's own code has no need to.
pub fn describe<S: JsonSchema>(
    name: &str,
    version: &str,
    summary: &str,
    manual: &str,
) -> Description {
    let schema = SchemaSettings::draft2020_12()
        .into_generator()
        .into_root_schema_for::<S>();
    Description {
        name: name.to_owned(),
        version: version.to_owned(),
        summary: summary.to_owned(),
        manual: manual.to_owned(),
        settings_schema: serde_json::Value::from(schema).to_string(),
    }
}
