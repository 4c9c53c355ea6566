//! Sharing with another shop: locks, packs, signatures, and what somebody might try.

mod crafted;
mod damage;
mod generated;
mod locks;
mod oracle;
mod shop;
mod signatures;
mod small;
mod two_shops;
