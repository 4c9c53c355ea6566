//! Settings against the step's own schema.

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
    gather(schema, "", schema, &mut unfit);
    for (name, part) in schema["$defs"].as_object().into_iter().flatten() {
        gather(part, name, schema, &mut unfit);
    }
    unfit
}

fn gather(part: &Value, at: &str, root: &Value, unfit: &mut Vec<String>) {
    for (name, property) in part["properties"].as_object().into_iter().flatten() {
        let at = if at.is_empty() {
            name.clone()
        } else {
            format!("{at}.{name}")
        };
        if let (Some(default), Some(alone)) = (property.get("default"), property.as_object()) {
            // By itself, but with the definitions that it may refer to.
            let mut alone = alone.clone();
            if let Some(definitions) = root.get("$defs") {
                alone.insert("$defs".to_owned(), definitions.clone());
            }
            let problems = problems(&Value::Object(alone), default).into_iter();
            unfit
                .extend(problems.map(|why| format!("the default of \"{at}\" does not fit: {why}")));
        }
        gather(property, &at, root, unfit);
    }
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
