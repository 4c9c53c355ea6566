//! How fast Hoopwright is, and what of it: every ratio from pairs by turns in one run.
//!
//! `cargo bench -p hoopwright --bench speed` measures all parts and prints them; names of parts choose
//! among them. `--table README.md` writes what was measured into that file's table, and `--quick` tries
//! everything on little work, to see that it runs.

#![allow(
    clippy::unwrap_used,
    reason = "a benchmark that cannot go on should stop"
)]

mod calls;
mod check;
mod cores;
mod crossing;
mod edit;
mod figures;
mod growth;
mod guests;
mod memory;
mod native;
mod outside;
mod owls;
mod starts;
mod steps;
mod table;
mod timing;
mod way;
mod workshop;

use figures::Figure;
use owls::Owls;
use std::path::PathBuf;
use std::time::Duration;
use timing::Patience;
use workshop::Workshop;

/// What is asked for.
struct Asked {
    quick: bool,
    table: Option<PathBuf>,
    parts: Vec<String>,
}

/// How much work there is.
struct Amount {
    patience: Patience,
    turns: usize,
    first_starts: usize,
    stitches: usize,
    sizes: &'static [usize],
    memory: &'static [usize],
    /// Patches in the design whose steps are compared; two have about 200 objects.
    patches: usize,
}

const ALL: Amount = Amount {
    patience: Patience {
        enough: Duration::from_secs(3),
        most: 31,
    },
    turns: 3,
    first_starts: 2,
    stitches: 100_000,
    sizes: &[1_000, 10_000, 100_000, 1_000_000],
    memory: &[100_000, 1_000_000],
    patches: 2,
};

const QUICK: Amount = Amount {
    patience: Patience {
        enough: Duration::ZERO,
        most: 1,
    },
    turns: 1,
    first_starts: 1,
    stitches: 2_000,
    sizes: &[1_000, 2_000],
    memory: &[2_000],
    patches: 1,
};

fn main() {
    let words: Vec<String> = std::env::args().skip(1).collect();
    if let [first, size] = &words[..]
        && first == memory::CHILD
    {
        return memory::run_and_tell(size);
    }
    let asked = asked(words);
    let amount = if asked.quick { QUICK } else { ALL };
    let shop = Workshop::open();
    let mut parts: Vec<(&str, Vec<Figure>)> = Vec::new();
    let mut part = |name: &'static str, title: &'static str, work: &dyn Fn() -> Vec<Figure>| {
        if asked.parts.is_empty() || asked.parts.iter().any(|part| part == name) {
            println!("== {title} ({name})");
            parts.push((title, work()));
        }
    };
    let owls = Owls::of(amount.stitches);
    let two = Owls {
        count: amount.patches,
        scale: 1.0,
    };
    part("steps", "Stock steps", &|| {
        steps::measure(&shop, two, amount.patience)
    });
    part("calls", "What a call costs the host", &|| {
        calls::measure(&shop, amount.patience)
    });
    part("check", "The check of a pipeline", &|| {
        check::measure(&shop, amount.patience)
    });
    part("growth", "The whole way", &|| {
        growth::measure(&shop, amount.sizes, amount.turns)
    });
    part("cores", "Two cores", &|| {
        cores::measure(&shop, owls, amount.patience)
    });
    part("edit", "An edit", &|| {
        edit::measure(&shop, owls, amount.turns)
    });
    part("starts", "Starts", &|| {
        starts::measure(&shop, amount.turns * 3, amount.first_starts, !asked.quick)
    });
    part("memory", "Memory", &|| memory::measure(amount.memory));
    part("outside", "Beside general libraries", &|| {
        outside::measure(&shop, owls, amount.patience)
    });
    print!("\n{}", table::of(&parts));
    if let Some(file) = &asked.table {
        table::put_into(file, &parts);
    }
}

/// Cargo adds `--bench`.
fn asked(words: Vec<String>) -> Asked {
    let mut asked = Asked {
        quick: false,
        table: None,
        parts: Vec::new(),
    };
    let mut words = words.into_iter();
    while let Some(word) = words.next() {
        match word.as_str() {
            "--bench" => {}
            "--quick" => asked.quick = true,
            "--table" => asked.table = Some(owls::root().join(words.next().unwrap())),
            part if !part.starts_with('-') => asked.parts.push(word),
            other => panic!("there is no option {other}: --quick, --table FILE, or names of parts"),
        }
    }
    assert!(
        asked.table.is_none() || asked.parts.is_empty() && !asked.quick,
        "a table is made of everything, measured in one run"
    );
    asked
}
