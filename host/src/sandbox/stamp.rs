//! What a plugin says before anything of it is compiled: which contract it speaks, and which kind
//! of step it is.

use super::plugin::Kind;
use wasmparser::{Parser, Payload};

/// The version of the contract that this host speaks.
pub const CONTRACT: Version = Version {
    major: 0,
    minor: 1,
    patch: 1,
};

/// The custom section in which the SDK leaves the contract's version.
const SECTION: &str = "hoopwright-contract";

/// What a design step exports that gives work out in pieces.
const WORKER: &str = "hoopwright:step/piece-worker@";

/// A version of the contract.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Version {
    /// Changes when records change, from 1.0 on.
    pub major: u32,
    /// Changes when records change, before 1.0.
    pub minor: u32,
    /// Changes when functions or types are added.
    pub patch: u32,
}

impl std::fmt::Display for Version {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}.{}.{}", self.major, self.minor, self.patch)
    }
}

impl Version {
    fn parse(text: &str) -> Option<Self> {
        let mut parts = text.trim().split('.').map(|part| part.parse().ok());
        let version = Self {
            major: parts.next()??,
            minor: parts.next()??,
            patch: parts.next()??,
        };
        parts.next().is_none().then_some(version)
    }

    /// The first two numbers: contracts that share them differ only in what was added.
    fn family(self) -> (u32, u32) {
        (self.major, self.minor)
    }
}

/// What stands in a plugin's bytes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Stamp {
    pub(super) contract: Version,
    pub(super) kind: Kind,
    /// Whether it gives work out in pieces.
    pub(super) piecework: bool,
}

/// Reads the stamp of a component. The SDK's custom section counts first; a plugin made without
/// the SDK is known by the version in the name of the interface that it exports.
///
/// # Errors
/// A sentence that says what is wrong with the plugin, and one that says what to do.
pub(super) fn read(component: &[u8]) -> Result<Stamp, (String, String)> {
    let mut stamped = None;
    let mut exported = None;
    let mut piecework = false;
    for payload in Parser::new(0).parse_all(component) {
        let payload = payload.map_err(|error| {
            (
                format!("it is not a Wasm component: {error}"),
                "Build it again; the file may have been cut short.".to_owned(),
            )
        })?;
        match payload {
            Payload::CustomSection(section) if section.name() == SECTION => {
                let text = std::str::from_utf8(section.data()).unwrap_or_default();
                stamped = Some(Version::parse(text).ok_or_else(|| {
                    (
                        format!(
                            "its contract version \"{}\" is not a version",
                            text.escape_debug()
                        ),
                        "Build it again with an unchanged SDK.".to_owned(),
                    )
                })?);
            }
            Payload::ComponentExportSection(exports) => {
                for export in exports.into_iter().flatten() {
                    let name = export.name.name;
                    exported = exported.or_else(|| exported_step(name));
                    piecework |= name.starts_with(WORKER);
                }
            }
            _ => {}
        }
    }
    let Some((kind, named)) = exported else {
        return Err((
            "it exports neither an object step nor a design step".to_owned(),
            "Call the SDK's macro object_step! or design_step! once in the plugin's crate, and \
             build it as a cdylib."
                .to_owned(),
        ));
    };
    let contract = stamped.unwrap_or(named);
    check(contract)?;
    Ok(Stamp {
        contract,
        kind,
        piecework: piecework && kind == Kind::Design,
    })
}

/// `hoopwright:step/object-step@0.1.0` is an object step of contract 0.1.0.
fn exported_step(name: &str) -> Option<(Kind, Version)> {
    let (interface, version) = name.strip_prefix("hoopwright:step/")?.split_once('@')?;
    let kind = match interface {
        "object-step" => Kind::Object,
        "design-step" => Kind::Design,
        _ => return None,
    };
    Some((kind, Version::parse(version)?))
}

/// Which side to upgrade where the versions do not fit.
fn check(contract: Version) -> Result<(), (String, String)> {
    let sentence = format!("it speaks contract {contract}, and this Hoopwright speaks {CONTRACT}");
    if contract.family() < CONTRACT.family() {
        Err((
            sentence,
            format!(
                "Rebuild the plugin with hoopwright-sdk {CONTRACT}, or ask its maker for a newer one."
            ),
        ))
    } else if contract > CONTRACT {
        Err((
            sentence,
            "Upgrade Hoopwright; the plugin is newer.".to_owned(),
        ))
    } else {
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn versions_are_three_numbers() {
        assert_eq!(Version::parse("0.1.1"), Some(CONTRACT));
        for bad in ["", "0.1", "0.1.0.0", "a.b.c", "-1.0.0"] {
            assert_eq!(Version::parse(bad), None, "{bad}");
        }
    }

    #[test]
    fn the_sides_are_told_apart() {
        let of = |text| check(Version::parse(text).expect("a version"));
        assert!(of("0.1.0").is_ok() && of("0.1.1").is_ok());
        assert!(of("0.0.9").is_err_and(|(_, help)| help.starts_with("Rebuild the plugin")));
        for newer in ["0.1.2", "0.2.0", "1.0.0"] {
            assert!(of(newer).is_err_and(|(_, help)| help.starts_with("Upgrade Hoopwright")));
        }
    }
}
