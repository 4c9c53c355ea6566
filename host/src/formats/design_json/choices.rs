//! Misfits inside an entry that may have one of several forms: a shape.
//!
//! Of such an entry a schema only knows that none of its forms fits. Which form was meant shows
//! from the value, and then what is wrong in it can be told by name and place.

use crate::diagnostics::{Diagnostic, Failed, MOST_TOLD};
use crate::json::nearest::did_you_mean;
use crate::json::{Document, misfits, short};
use serde_json::{Value, json};

/// The forms of a shape that hold something.
const FORMS: [&str; 2] = ["Region", "Lines"];

/// Puts, for each shape that does not fit, what is wrong in it instead of that it does
/// not fit.
///
/// # Errors
/// None that a reader could cause: the schema itself is broken.
pub fn tell_inside(
    problems: &mut Vec<Diagnostic>,
    document: &Document,
    schema: &Value,
) -> Result<(), Failed> {
    for (i, object) in document.value["objects"]
        .as_array()
        .into_iter()
        .flatten()
        .enumerate()
    {
        // Each look inside takes a while; most objects of most files are sound.
        let whole = document.value_range(&format!("/objects/{i}"));
        let inside = |problem: &Diagnostic| {
            let place = problem.range.as_ref();
            place.is_some_and(|place| whole.contains(&place.start))
        };
        if !problems.iter().any(inside) {
            continue;
        }
        let shape = format!("/objects/{i}/shape");
        if let Some(value) = object.get("shape") {
            replace(
                problems,
                document,
                &shape,
                in_shape(document, &shape, value, schema)?,
            );
        }
    }
    Ok(())
}

/// What is wrong in a shape.
fn in_shape(
    document: &Document,
    pointer: &str,
    value: &Value,
    schema: &Value,
) -> Result<Vec<Diagnostic>, Failed> {
    let forms = "There are: \"Manual\", {\"Region\": …} and {\"Lines\": …}.";
    let Value::Object(fields) = value else {
        let words = format!("\"shape\" is {}, which is not a shape", short(value));
        let unfit = Diagnostic::error("unknown-choice", words).help(forms);
        let manual = value == "Manual";
        let told = (!manual).then(|| document.point(unfit, document.value_range(pointer)));
        return Ok(told.into_iter().collect());
    };
    let mut problems = Vec::new();
    for name in fields.keys().take(MOST_TOLD) {
        let inside = format!("{pointer}/{}", name.replace('~', "~0").replace('/', "~1"));
        if FORMS.contains(&name.as_str()) {
            problems.extend(of(document, &inside, name, schema)?);
        } else {
            let unknown =
                Diagnostic::error("unknown-name", format!("there is no shape \"{name}\""))
                    .help(did_you_mean(name, FORMS));
            problems.push(document.point(unknown, document.key_range(&inside)));
        }
    }
    if fields.len() != 1 {
        let words = format!("a shape has one form, and this has {}", fields.len());
        let unfit = Diagnostic::error("misfit", words).help(forms);
        problems.push(document.point(unfit, document.value_range(pointer)));
    }
    Ok(problems)
}

/// What is wrong in the value at `pointer`, which is to be a `name` of the schema.
fn of(
    document: &Document,
    pointer: &str,
    name: &str,
    schema: &Value,
) -> Result<Vec<Diagnostic>, Failed> {
    let part = json!({ "$ref": format!("#/$defs/{name}"), "$defs": schema["$defs"] });
    let validator = super::validator(&part)?;
    Ok(misfits(document, pointer, &part, &validator, "entry"))
}

/// Puts `inside` in the place of the problem that the whole value at `pointer` is said to have.
fn replace(
    problems: &mut Vec<Diagnostic>,
    document: &Document,
    pointer: &str,
    inside: Vec<Diagnostic>,
) {
    let range = document.value_range(pointer);
    let whole = |problem: &Diagnostic| {
        problem.code == "unknown-choice" && problem.range.as_ref() == Some(&range)
    };
    problems.retain(|problem| !whole(problem));
    problems.extend(inside);
}
