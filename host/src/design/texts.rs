//! The texts in a design: names that end up in pictures, pages, messages and on terminals. Control
//! characters have no place in any of them: XML has no form for most (XML 1.0, section 2.2), terminals
//! obey them, and whoever reads a worksheet is misled by an end of a line or by what turns the order of
//! letters.

use super::{Design, Object, Thread};
use crate::diagnostics;

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

/// A text with blanks in the place of control characters: a cell of a spreadsheet may have two lines.
pub(crate) fn plain(text: &str) -> String {
    let plain = |c: char| if diagnostics::commands(c) { ' ' } else { c };
    text.chars().map(plain).collect()
}

/// Whether a text has control characters besides tabs.
fn commands(text: &str) -> bool {
    text.contains(|c: char| diagnostics::commands(c) && c != '\t')
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::Shape;

    #[test]
    fn a_name_has_one_line_and_no_commands() {
        let mut object = Object::new("owl", Shape::Manual);
        object.name = "barn\towl, סופה 猫".to_owned();
        assert_eq!(object_problem(&object), None);
        let told = "object \"owl\" has a control character in its id, name or tags";
        for wrong in [
            "\u{1b}[2J",
            "barn\nowl",
            "barn\rowl",
            "\u{9b}2J",
            "\u{202e}lwo",
            "\u{200f}",
        ] {
            object.tags = vec![wrong.to_owned()];
            assert_eq!(object_problem(&object).as_deref(), Some(told), "{wrong:?}");
        }
    }

    #[test]
    fn a_title_and_a_thread_s_code_have_one_line() {
        let design = Design {
            title: "owl\nSTOP".to_owned(),
            page: crate::design::Rectangle {
                least: crate::design::Point { x: 0.0, y: 0.0 },
                greatest: crate::design::Point { x: 1.0, y: 1.0 },
            },
            threads: vec![Thread {
                name: "red".to_owned(),
                code: "12\r\n13".to_owned(),
                red: 200,
                green: 0,
                blue: 0,
                weight: 40,
            }],
            objects: Vec::new(),
        };
        assert_eq!(problems(&design).len(), 2);
    }
}
