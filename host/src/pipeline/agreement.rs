//! Settings of a step that plans for another: they must say what the other does, or the plan is of a machine
//! file that is never made.

use super::check::Ready;
use crate::diagnostics::Diagnostic;

/// In a setting's schema it names the step whose setting of the same name it must equal.
const AGREES_WITH: &str = "agrees-with";

/// A warning for each setting that is another than in every step that it plans for. Where a pipeline has
/// several of those, for different objects, one that agrees will do.
pub(super) fn disagreements(steps: &[Ready]) -> Vec<Diagnostic> {
    steps.iter().flat_map(|step| of_step(step, steps)).collect()
}

fn of_step(step: &Ready, steps: &[Ready]) -> Vec<Diagnostic> {
    let settings = step.plugin.schema["properties"].as_object();
    let planned = settings.into_iter().flatten().filter_map(|(name, schema)| {
        let other = schema[AGREES_WITH].as_str()?;
        let own = value(step, name)?;
        let others = steps.iter().filter(|one| one.plugin.name == other);
        let others: Vec<(&Ready, String)> = others
            .filter_map(|one| Some((one, value(one, name)?)))
            .collect();
        if others.iter().any(|(_, value)| *value == own) {
            return None;
        }
        let (there, value) = others.first()?;
        let words = format!(
            "`{name}` is {own} here and {value} in step {}, which does what is planned here",
            there.label
        );
        let told = Diagnostic::warning("settings-disagree", words)
            .help("Give both the same value.")
            .in_step(&step.label);
        Some(told)
    });
    planned.collect()
}

/// A setting as it is given, else its default; in words, for 5 and 5.0 are one number.
fn value(step: &Ready, name: &str) -> Option<String> {
    let default = || step.plugin.schema["properties"][name].get("default");
    let value = step.step.settings.get(name).or_else(default)?;
    Some(match value.as_f64() {
        Some(number) => number.to_string(),
        None => value.to_string(),
    })
}
