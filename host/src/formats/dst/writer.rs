//! A design as a machine file.

use super::header::Header;
use super::machine::Machine;
use super::route::Route;
use crate::design::Design;
use crate::diagnostics::{Diagnostic, Failed};

/// A machine file, and what was met on the way.
#[derive(Clone, Debug, PartialEq)]
pub struct Written {
    /// The file.
    pub bytes: Vec<u8>,
    /// What the machine does, record by record.
    pub route: Route,
    /// What is worth knowing about it.
    pub notes: Vec<Diagnostic>,
}

/// Writes `design` for `machine`. The same design gives the same bytes on every machine.
///
/// # Errors
/// The design is not sound, holds no stitches, or is larger than the file can tell; or a setting
/// of the machine is out of range.
pub fn write(design: &Design, machine: &Machine) -> Result<Written, Failed> {
    let (route, notes) = Route::plan(design, machine)?;
    let header = Header::new(&design.title, &route).map_err(Failed)?;
    let mut bytes = header.encode().to_vec();
    bytes.extend(route.records.iter().flat_map(|record| record.encode()));
    Ok(Written {
        bytes,
        route,
        notes,
    })
}
