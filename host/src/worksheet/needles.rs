//! Which needle each thread stands on.

use super::ThreadRun;
use crate::design::Thread;
use crate::diagnostics::Diagnostic;
use crate::formats::dst::Machine;
use crate::formats::dst::machine::MOST_NEEDLES;
use crate::json::{Document, nearest::did_you_mean};
use crate::rack::Rack;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};

/// A thread that stands on the machine for good.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct NeedleThread {
    /// The needle's number on the machine; 1 to 100, and no more than the machine has.
    #[schemars(range(min = 1, max = MOST_NEEDLES))]
    pub needle: u16,
    /// The code of the thread on it, as the rack has it.
    #[schemars(length(min = 1))]
    pub code: String,
}

/// The needle of each thread that is sewn. `order` names the threads' places in `threads` in the
/// order of sewing. A thread that `fixed` names by its code stands there; each other one takes, at
/// its first use, the lowest number that is free, and keeps it when it returns. With a `count` of
/// needles, a thread that finds none free is missing from the answer.
pub fn number(
    order: impl IntoIterator<Item = u32>,
    threads: &[Thread],
    fixed: &[NeedleThread],
    count: Option<u16>,
) -> BTreeMap<u32, u16> {
    let mut taken: Vec<u16> = fixed.iter().map(|one| one.needle).collect();
    let mut needles = BTreeMap::new();
    for place in order {
        if needles.contains_key(&place) {
            continue;
        }
        let code = threads.get(place as usize).map(|thread| &thread.code);
        let given = fixed.iter().find(|one| Some(&one.code) == code);
        let needle = match given {
            Some(one) => one.needle,
            None => {
                let most = count.unwrap_or(u16::MAX);
                let Some(free) = (1..=most).find(|needle| !taken.contains(needle)) else {
                    continue;
                };
                taken.push(free);
                free
            }
        };
        needles.insert(place, needle);
    }
    needles
}

/// A warning where threads find no needle though the machine has enough of them: needles are kept for
/// threads that the design does not use.
pub(super) fn held_back(
    runs: &[ThreadRun],
    fixed: &[NeedleThread],
    machine: &Machine,
) -> Option<Diagnostic> {
    let count = usize::from(machine.needles?);
    let codes: BTreeSet<&str> = runs.iter().map(|run| &*run.code).collect();
    let without = runs.iter().filter(|run| run.needle.is_none());
    let without: BTreeSet<&str> = without.map(|run| &*run.code).collect();
    let held = fixed.iter().filter(|one| !codes.contains(&*one.code));
    let held: Vec<&str> = held.map(|one| &*one.code).collect();
    // More threads than needles are the report's to tell.
    if without.is_empty() || held.is_empty() || codes.len() > count {
        return None;
    }
    let list = |codes: Vec<&str>| codes.join(", ");
    let words = format!(
        "no needle is free for {}: the machine has {count}, and some of them are kept for {}, which this design does not use",
        list(without.into_iter().collect()),
        list(held)
    );
    let help = "Take a thread off the list of needles for this design, or change the thread by hand at the stop.";
    Some(Diagnostic::warning("needle-held", words).help(help))
}

/// What is wrong with a pipeline's list of needles beyond its schema: a needle or a thread given
/// twice, a needle that the machine does not have, or a thread that the rack does not have.
pub fn problems(
    document: &Document,
    rack: Option<&Rack>,
    machine: Option<&Machine>,
) -> Vec<Diagnostic> {
    let count = machine.and_then(|machine| machine.needles);
    let list = document.value.pointer("/operator/needles");
    let mut problems = Vec::new();
    let mut needles = BTreeMap::new();
    let mut codes = BTreeMap::new();
    for (i, entry) in list
        .and_then(Value::as_array)
        .into_iter()
        .flatten()
        .enumerate()
    {
        let at = |name: &str| document.value_range(&format!("/operator/needles/{i}/{name}"));
        if let Some(needle) = entry.get("needle").and_then(Value::as_u64)
            && needles.insert(needle, i).is_some()
        {
            let twice = Diagnostic::error("given-twice", format!("needle {needle} is given twice"))
                .help("A needle holds one thread.");
            problems.push(document.point(twice, at("needle")));
        }
        if let Some(needle) = entry.get("needle").and_then(Value::as_u64)
            && let Some(count) = count.map(u64::from)
            && needle > count
            && needle <= u64::from(MOST_NEEDLES)
        {
            let beyond = Diagnostic::error(
                "unknown-needle",
                format!("the machine has no needle {needle}: its profile tells {count}"),
            )
            .help(format!(
                "Give a number from 1 to {count}, or mend the machine's \"needles\"."
            ));
            problems.push(document.point(beyond, at("needle")));
        }
        let Some(code) = entry.get("code").and_then(Value::as_str) else {
            continue;
        };
        if codes.insert(code, i).is_some() {
            let twice =
                Diagnostic::error("given-twice", format!("thread \"{code}\" is given twice"))
                    .help("Name one needle for it.");
            problems.push(document.point(twice, at("code")));
        }
        if let Some(rack) = rack
            && !rack.threads.iter().any(|thread| thread.code == code)
        {
            let known = rack.threads.iter().map(|thread| thread.code.as_str());
            let unknown = Diagnostic::error(
                "unknown-thread",
                format!("the rack has no thread \"{code}\""),
            )
            .help(did_you_mean(code, known));
            problems.push(document.point(unknown, at("code")));
        }
    }
    problems
}

#[cfg(test)]
mod tests {
    use super::*;

    fn thread(code: &str) -> Thread {
        Thread {
            name: code.to_owned(),
            code: code.to_owned(),
            red: 0,
            green: 0,
            blue: 0,
            weight: 40,
        }
    }

    fn fixed(needle: u16, code: &str) -> NeedleThread {
        NeedleThread {
            needle,
            code: code.to_owned(),
        }
    }

    fn numbers(order: &[u32], fixed: &[NeedleThread], count: Option<u16>) -> Vec<Option<u16>> {
        let threads = ["A", "B", "C", "D"].map(thread);
        let needles = number(order.iter().copied(), &threads, fixed, count);
        order
            .iter()
            .map(|place| needles.get(place).copied())
            .collect()
    }

    #[test]
    fn threads_are_numbered_as_they_come_and_keep_their_needle() {
        let some = |needles: &[u16]| needles.iter().copied().map(Some).collect::<Vec<_>>();
        assert_eq!(numbers(&[2, 0, 2, 1, 0], &[], None), some(&[1, 2, 1, 3, 2]));
    }

    #[test]
    fn threads_that_stand_on_the_machine_stay_there() {
        // Z stands on needle 1 though the design does not use it.
        let machine = [fixed(1, "Z"), fixed(3, "A")];
        let needles = numbers(&[1, 0, 2, 0, 3], &machine, None);
        assert_eq!(needles, [Some(2), Some(3), Some(4), Some(3), Some(5)]);
    }

    #[test]
    fn a_thread_without_a_free_needle_gets_none() {
        let needles = numbers(&[0, 1, 2, 0, 3], &[fixed(2, "D")], Some(3));
        assert_eq!(needles, [Some(1), Some(3), None, Some(1), Some(2)]);
    }
}
