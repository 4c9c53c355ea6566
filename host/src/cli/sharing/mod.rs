//! Sharing with another shop: locks, packs, keys and trust.

mod keys;
mod lock;
mod packs;
mod password;

pub use keys::{Key, TrustOptions, change_trust, make_key};
pub use lock::{Lock, LockOption, held, lock};
pub use packs::{Pack, Unpack, is_pack, list, pack, unpack};
