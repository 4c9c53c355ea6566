//! The texts in a design: names that end up in pictures, pages, messages and on terminals. Control
//! characters have no place in any of them; XML has no form for most (XML 1.0, section 2.2), and
//! terminals obey them.

use super::{Design, Object, Thread};

/// What is wrong with the texts of `design`, as sentences; nothing where they are sound.
pub fn problems(design: &Design) -> Vec<String> {
    let mut problems = Vec::new();
    if commands(&design.title) {
        problems.push("the title has a control character".to_owned());
    }
    for thread in &design.threads {
        if thread_commands(thread) {
            let name = thread.name.escape_debug();
            problems.push(format!("thread \"{name}\" has a control character"));
        }
    }
    problems.extend(design.objects.iter().filter_map(object_problem));
    problems
}

/// What is wrong with the texts of `object`.
pub fn object_problem(object: &Object) -> Option<String> {
    let mut texts = [&object.id, &object.name].into_iter().chain(&object.tags);
    texts.any(|text| commands(text)).then(|| {
        format!(
            "object \"{}\" has a control character in its id, name or tags",
            object.id.escape_debug()
        )
    })
}

fn thread_commands(thread: &Thread) -> bool {
    commands(&thread.name) || commands(&thread.code)
}

/// Whether a text has control characters besides tabs and ends of lines.
fn commands(text: &str) -> bool {
    text.contains(|c: char| c.is_control() && !matches!(c, '\t' | '\n' | '\r'))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::Shape;

    #[test]
    fn a_name_may_have_two_lines_and_no_commands() {
        let mut object = Object::new("owl", Shape::Manual);
        object.name = "barn\nowl".to_owned();
        assert_eq!(object_problem(&object), None);
        object.tags.push("\u{1b}[2J".to_owned());
        let told = "object \"owl\" has a control character in its id, name or tags";
        assert_eq!(object_problem(&object).as_deref(), Some(told));
    }
}
