//! A plugin may import the contract's interfaces, and nothing else.

use wasmparser::{Encoding, Parser, Payload};

/// The contract's interfaces that a plugin may import.
const OURS: [&str; 4] = ["host", "messages", "model", "piecework"];

/// Words in the names of foreign interfaces, and what they reach for.
const REACHES: [(&str, &str); 8] = [
    ("filesystem", "files"),
    ("clock", "the clock"),
    ("socket", "the network"),
    ("http", "the network"),
    ("random", "random numbers"),
    ("cli", "the environment"),
    ("wasi_snapshot_preview1", "the operating system"),
    ("wbindgen", "a browser"),
];

/// Looks at what a component, or a core module that is to become one, asks for.
///
/// # Errors
/// A sentence that names the foreign imports, and one that says what to do.
pub(super) fn check(plugin: &[u8]) -> Result<(), (String, String)> {
    let mut foreign: Vec<String> = names(plugin)
        .into_iter()
        .filter(|name| !is_ours(name))
        .map(|name| name.escape_debug().to_string())
        .collect();
    foreign.dedup();
    if foreign.is_empty() {
        return Ok(());
    }
    let reach = REACHES
        .iter()
        .find(|(word, _)| foreign.iter().any(|name| name.contains(word)))
        .map_or("something outside the sandbox", |(_, reach)| reach);
    Err((
        format!(
            "it imports {}, which reaches for {reach}; a step gets the design and its settings, \
             and nothing else",
            foreign.join(", ")
        ),
        "Leave out what needs it, and build for wasm32-unknown-unknown.".to_owned(),
    ))
}

fn is_ours(name: &str) -> bool {
    // The encoder's own marks, such as `[export]…` for resources, reach nowhere.
    let Some(rest) = name.strip_prefix("hoopwright:step/") else {
        return name.starts_with("[export]hoopwright:step/");
    };
    OURS.iter().any(|interface| {
        rest.strip_prefix(interface)
            .is_some_and(|version| version.is_empty() || version.starts_with('@'))
    })
}

/// The names of the outermost imports. What lies inside a component is its own affair. Bytes that
/// are not Wasm import nothing; they are refused later, by those who can say why.
fn names(plugin: &[u8]) -> Vec<String> {
    let mut names = Vec::new();
    let mut depth = 0;
    for payload in Parser::new(0).parse_all(plugin) {
        match payload {
            Ok(Payload::Version { encoding, .. }) => {
                depth += 1;
                if depth == 1 && encoding == Encoding::Module {
                    // Only a plain module's own imports count.
                    return module_names(plugin);
                }
            }
            Ok(Payload::End(_)) => depth -= 1,
            Ok(Payload::ComponentImportSection(imports)) if depth == 1 => {
                names.extend(
                    imports
                        .into_iter()
                        .flatten()
                        .map(|import| import.name.name.to_owned()),
                );
            }
            Ok(_) => {}
            Err(_) => break,
        }
    }
    names
}

fn module_names(module: &[u8]) -> Vec<String> {
    let mut names = Vec::new();
    for payload in Parser::new(0).parse_all(module) {
        match payload {
            Ok(Payload::ImportSection(imports)) => {
                names.extend(
                    imports
                        .into_imports()
                        .flatten()
                        .map(|import| import.module.to_owned()),
                );
            }
            Ok(_) => {}
            Err(_) => break,
        }
    }
    names
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_contract_s_interfaces_are_ours() {
        assert!(is_ours("hoopwright:step/host@0.1.0"));
        for foreign in [
            "wasi:filesystem/types@0.2.0",
            "env",
            "hoopwright:step/hosts@0.1.0",
            "hoopwright:step/files@0.1.0",
        ] {
            assert!(!is_ours(foreign), "{foreign}");
        }
    }
}
