//! How much of the computer one call of a step may use.

use wasmtime::ResourceLimiter;

/// The limits of one call.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limits {
    /// Work in millions of units; a unit is about one machine instruction. The same call uses the
    /// same work on every machine, so this is the limit that decides.
    pub work_millions: u64,
    /// Wall-clock seconds. A safety net for slow machines, set so high that work runs out first.
    pub seconds: u64,
    /// Memory in MiB.
    pub memory_mib: usize,
    /// What the step may hand to the host in one call, messages and result together, in MiB.
    pub answer_mib: usize,
    /// Log lines kept of one call; further ones are counted and dropped.
    pub log_lines: usize,
    /// Findings kept of one call; further ones are counted and dropped.
    pub findings: usize,
    /// The largest plugin accepted, in MiB.
    pub plugin_mib: usize,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            work_millions: 50_000,
            seconds: 120,
            memory_mib: 512,
            answer_mib: 256,
            log_lines: 200,
            findings: 1000,
            plugin_mib: 32,
        }
    }
}

/// Refuses memory beyond the limit, and remembers that it did.
pub(super) struct Guard {
    memory: usize,
    pub(super) refused: bool,
}

/// Entries of all tables together: function pointers, of which real plugins have hundreds.
const TABLE_ENTRIES: usize = 100_000;

impl Guard {
    pub(super) fn new(limits: &Limits) -> Self {
        Self {
            memory: limits.memory_mib << 20,
            refused: false,
        }
    }
}

impl ResourceLimiter for Guard {
    fn memory_growing(
        &mut self,
        _current: usize,
        desired: usize,
        _maximum: Option<usize>,
    ) -> wasmtime::Result<bool> {
        if desired > self.memory {
            self.refused = true;
            // An error ends the call here; `false` would leave it to the guest to notice.
            wasmtime::bail!("out of memory");
        }
        Ok(true)
    }

    fn table_growing(
        &mut self,
        _current: usize,
        desired: usize,
        _maximum: Option<usize>,
    ) -> wasmtime::Result<bool> {
        if desired > TABLE_ENTRIES {
            self.refused = true;
            wasmtime::bail!("out of table entries");
        }
        Ok(true)
    }

    fn instances(&self) -> usize {
        64
    }

    fn tables(&self) -> usize {
        64
    }

    fn memories(&self) -> usize {
        8
    }
}
