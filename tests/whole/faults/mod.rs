//! What disks, power cuts, clocks and other runs do to a shop's work: no half file, no wrong result, a
//! message.

mod bytes;
mod clock;
mod compiled;
mod full_disk;
mod kill;
mod live;
mod read_only;
mod shop;
mod system_calls;
mod two_runs;
