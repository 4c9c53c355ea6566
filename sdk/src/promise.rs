//! What a step must leave alone, and whether it did.

use super::{Design, Object, valid};
use std::collections::BTreeSet;

/// What an object step broke in the object it handed back, as sentences.
pub fn broken_by_object_step(before: &Object, after: &Object) -> Vec<String> {
    let mut broken = Vec::new();
    if before.id != after.id {
        broken.push(format!(
            "it changed the id of object \"{}\" to \"{}\"",
            before.id,
            after.id.escape_debug()
        ));
    }
    if before.thread != after.thread {
        broken.push(format!("it changed the thread of object \"{}\"", before.id));
    }
    valid::object_problems(after, &mut broken);
    broken
}

/// What a design step broke in the design it handed back, as sentences. `selected` holds the
/// places of the objects that it was allowed to change.
pub fn broken_by_design_step(before: &Design, after: &Design, selected: &[usize]) -> Vec<String> {
    let mut broken = valid::problems(after);
    if after.title != before.title || after.page != before.page {
        broken.push("it changed the design's title or page".to_owned());
    }
    if !after.threads.starts_with(&before.threads) {
        broken
            .push("it changed threads that were there; it may only add some at the end".to_owned());
    }
    let chosen: BTreeSet<usize> = selected.iter().copied().collect();
    let others: Vec<&Object> = before
        .objects
        .iter()
        .enumerate()
        .filter_map(|(place, object)| (!chosen.contains(&place)).then_some(object))
        .collect();
    let ids: BTreeSet<&str> = others.iter().map(|object| object.id.as_str()).collect();
    let mut kept = after
        .objects
        .iter()
        .filter(|object| ids.contains(object.id.as_str()));
    for object in others {
        match kept.next() {
            Some(same) if same == object => {}
            Some(other) if other.id == object.id => {
                broken.push(format!(
                    "it changed object \"{}\", which was not selected",
                    object.id
                ));
            }
            Some(_) => {
                broken.push(format!(
                    "it moved or removed object \"{}\", which was not selected",
                    object.id
                ));
                break;
            }
            None => {
                broken.push(format!(
                    "it removed object \"{}\", which was not selected",
                    object.id
                ));
            }
        }
    }
    broken
}

#[cfg(test)]
mod tests {
    use super::super::{Point, Rectangle, Shape, Thread};
    use super::*;

    fn design(ids: &[&str]) -> Design {
        let corner = Point { x: 0.0, y: 0.0 };
        Design {
            title: String::new(),
            page: Rectangle {
                least: corner,
                greatest: corner,
            },
            threads: vec![Thread {
                name: "Soot".into(),
                code: "S".into(),
                red: 0,
                green: 0,
                blue: 0,
                weight: 40,
            }],
            objects: ids
                .iter()
                .map(|id| Object::new(id, Shape::Manual))
                .collect(),
        }
    }

    #[test]
    fn selected_objects_may_move_and_go() {
        let before = design(&["a", "b", "c", "d"]);
        assert_eq!(
            broken_by_design_step(&before, &design(&["d", "a", "c"]), &[1, 3]),
            [""; 0]
        );
    }

    #[test]
    fn others_must_stay_as_they_are() {
        let before = design(&["a", "b", "c"]);
        let mut changed = before.clone();
        changed.objects[2].name = "x".into();
        assert_eq!(broken_by_design_step(&before, &changed, &[0]).len(), 1);
        assert_eq!(
            broken_by_design_step(&before, &design(&["a", "c", "b"]), &[0]).len(),
            1
        );
        assert_eq!(
            broken_by_design_step(&before, &design(&["a", "b"]), &[0]).len(),
            1
        );
        let twice = broken_by_design_step(&before, &design(&["a", "a", "b", "c"]), &[0]);
        assert_eq!(twice, ["two objects have the id \"a\""]);
    }
}
