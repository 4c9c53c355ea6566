//! How large a pack may be. They hold before anything is kept, whatever the pack says of itself.

/// The largest pack, in MiB.
pub const PACK_MIB: u64 = 256;
/// The largest file of a pack, in MiB: as large as a plugin may be.
pub const FILE_MIB: u64 = 32;
/// The most files in a pack.
pub const FILES: usize = 500;
/// The largest manifest, in KiB; 500 files need about 150.
pub const MANIFEST_KIB: u64 = 512;
