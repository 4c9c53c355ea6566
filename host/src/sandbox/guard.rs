//! The guard over what a guest asks the engine for while it runs.

use super::Limits;
use wasmtime::ResourceLimiter;

/// Entries of all tables together: function pointers, of which real plugins have hundreds.
pub const TABLE_ENTRIES: usize = 100_000;
/// Modules inside one plugin that run at once. A component made of one module has four at most.
pub const INSTANCES: usize = 64;
/// Tables inside one plugin.
pub const TABLES: usize = 64;
/// Memories inside one plugin.
pub const MEMORIES: usize = 8;

/// Refuses memory beyond the limit, and remembers that it did.
pub(super) struct Guard {
    memory: Room,
    table_entries: Room,
    /// What there was no room for.
    pub(super) refused: Option<Refused>,
}

/// What a guest asked too much of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Refused {
    Memory,
    TableEntries,
}

/// What is left of something that all memories, or all tables, share.
struct Room(usize);

impl Room {
    /// Takes what something needs that has `current` and wants `desired`.
    fn take(&mut self, current: usize, desired: usize) -> bool {
        match self.0.checked_sub(desired.saturating_sub(current)) {
            Some(left) => {
                self.0 = left;
                true
            }
            None => false,
        }
    }
}

impl Guard {
    pub(super) fn new(limits: &Limits) -> Self {
        Self {
            memory: Room(limits.memory_mib << 20),
            table_entries: Room(TABLE_ENTRIES),
            refused: None,
        }
    }
}

impl Guard {
    /// Whether something may grow. An error ends the call at once; `false` would leave it to the guest to
    /// notice. What could not be had in the end is not given back: the call is as good as over then.
    fn growing(
        &mut self,
        what: Refused,
        current: usize,
        desired: usize,
        maximum: Option<usize>,
    ) -> wasmtime::Result<bool> {
        if maximum.is_some_and(|most| desired > most) {
            // The guest's own limit, which it may run into and go on.
            return Ok(false);
        }
        let room = match what {
            Refused::Memory => &mut self.memory,
            Refused::TableEntries => &mut self.table_entries,
        };
        if !room.take(current, desired) {
            self.refused = Some(what);
            wasmtime::bail!("no room for it");
        }
        Ok(true)
    }
}

impl ResourceLimiter for Guard {
    fn memory_growing(
        &mut self,
        current: usize,
        desired: usize,
        maximum: Option<usize>,
    ) -> wasmtime::Result<bool> {
        self.growing(Refused::Memory, current, desired, maximum)
    }

    fn table_growing(
        &mut self,
        current: usize,
        desired: usize,
        maximum: Option<usize>,
    ) -> wasmtime::Result<bool> {
        self.growing(Refused::TableEntries, current, desired, maximum)
    }

    fn instances(&self) -> usize {
        INSTANCES
    }

    fn tables(&self) -> usize {
        TABLES
    }

    fn memories(&self) -> usize {
        MEMORIES
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_memories_share_one_room() {
        let limits = Limits {
            memory_mib: 3,
            ..Limits::default()
        };
        let mut guard = Guard::new(&limits);
        let mib = 1 << 20;
        assert!(guard.memory_growing(0, mib, None).expect("room"));
        assert!(guard.memory_growing(0, mib, None).expect("room"));
        assert!(guard.memory_growing(mib, 2 * mib, None).expect("room"));
        assert_eq!(guard.refused, None);
        assert!(guard.memory_growing(0, 1, None).is_err());
        assert_eq!(guard.refused, Some(Refused::Memory));
    }

    #[test]
    fn a_guest_s_own_limit_is_no_trouble() {
        let mut guard = Guard::new(&Limits::default());
        assert!(!guard.memory_growing(0, 2, Some(1)).expect("no error"));
        assert!(!guard.table_growing(0, 2, Some(1)).expect("no error"));
        assert_eq!(guard.refused, None);
    }

    #[test]
    fn tables_have_a_room_of_their_own() {
        let mut guard = Guard::new(&Limits::default());
        assert!(guard.table_growing(0, TABLE_ENTRIES, None).expect("room"));
        assert!(guard.table_growing(0, 1, None).is_err());
        assert_eq!(guard.refused, Some(Refused::TableEntries));
    }
}
