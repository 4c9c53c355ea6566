//! Settings against the step's own schema.

use super::defaults::{Default, each_default};
use serde_json::Value;

/// The schema of a step's settings.
///
/// # Panics
/// When it is not JSON.
pub fn of(step: &crate::Step) -> Value {
    match serde_json::from_str(&step.description.settings_schema) {
        Ok(schema) => schema,
        Err(error) => panic!("the settings schema is not JSON: {error}"),
    }
}

/// Each default in `schema` that its own range or kind refuses, as sentences: leaving such a setting out does what
/// writing it out may not.
pub fn unfit_defaults(schema: &Value) -> Vec<String> {
    let mut unfit = Vec::new();
    for Default { at, setting, value } in each_default(schema) {
        // By itself, but with the definitions that it may refer to.
        let mut alone = setting.clone();
        if let Some(definitions) = schema.get("$defs") {
            alone["$defs"] = definitions.clone();
        }
        let problems = problems(&alone, value).into_iter();
        unfit.extend(problems.map(|why| format!("the default of \"{at}\" does not fit: {why}")));
    }
    unfit
}

/// What keeps `settings` from fitting `schema`, as sentences; nothing where they fit.
pub fn problems(schema: &Value, settings: &Value) -> Vec<String> {
    let validator = match jsonschema::draft202012::new(schema) {
        Ok(validator) => validator,
        Err(error) => return vec![format!("the settings schema cannot be used: {error}")],
    };
    let told = |error: jsonschema::ValidationError<'_>| {
        let place = error.instance_path().to_string();
        match place.trim_start_matches('/') {
            "" => error.to_string(),
            setting => format!("setting \"{setting}\": {error}"),
        }
    };
    validator.iter_errors(settings).map(told).collect()
}
