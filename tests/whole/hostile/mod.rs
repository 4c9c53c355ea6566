//! Hostile guests: each ends in words, within its limit; the host lives, later work is done, and files
//! that were there stay as they were.
//!
//! [`calls`] is the table of what a step does when it is called, [`loading`] of what is wrong with a
//! plugin before that, [`inputs`] of files that are none, [`own_files`] of what must not be written over,
//! and of names that are no text. [`in_rust`] does some of it as an author's
//! compiler would make it, and [`pieces`] what becomes of work that a step gives out.

mod calls;
mod child;
mod in_process;
mod in_rust;
mod inputs;
mod loading;
mod own_files;
mod pieces;
mod raw;
mod settings;
mod shop;
mod table;

use hoopwright::design::{
    Design, Object, Point, Rectangle, Shape, StitchBlock, StitchKind, StitchRole, Thread,
};
use hoopwright::diagnostics::Diagnostic;
use hoopwright::plugins::Origin;
use hoopwright::sandbox::{Limits, Plugin, Sandbox};
use std::path::PathBuf;

/// Small, so that the tests are quick; the verdicts are the same as with large ones.
const TIGHT: Limits = Limits {
    work_millions: 100,
    seconds: 60,
    memory_mib: 256,
    answer_mib: 32,
    log_lines: 5,
    findings: 5,
    stitches: 10_000,
    plugin_mib: 4,
    ready_seconds: 120,
};

/// Limits under which nothing but the clock ends a call, after a second.
const fn one_second(limits: Limits) -> Limits {
    Limits {
        work_millions: u64::MAX / 1_000_000,
        seconds: 1,
        ..limits
    }
}

fn sandbox() -> Sandbox {
    Sandbox::new(TIGHT, None).unwrap()
}

fn load(sandbox: &Sandbox, bytes: &[u8]) -> Result<Plugin, Diagnostic> {
    Plugin::load(sandbox, bytes, Origin::File(PathBuf::from("hostile.wasm")))
}

/// Two objects, of which the first is selected.
fn two_objects() -> Design {
    let object = |id: &str| Object {
        name: "barn owl".to_owned(),
        stitches: vec![StitchBlock {
            kind: StitchKind::Needle,
            role: StitchRole::Cover,
            x: vec![0.0, 3.0],
            y: vec![0.0, 0.0],
        }],
        ..Object::new(id, Shape::Manual)
    };
    Design {
        title: "two".into(),
        page: Rectangle {
            least: Point { x: 0.0, y: 0.0 },
            greatest: Point { x: 10.0, y: 10.0 },
        },
        threads: vec![Thread {
            name: "Soot".into(),
            code: "S".into(),
            red: 0,
            green: 0,
            blue: 0,
            weight: 40,
        }],
        objects: vec![object("a"), object("b")],
    }
}
