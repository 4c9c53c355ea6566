//! Stitches into a guest and back, as columns and as records, in an engine like the sandbox's.

#![allow(
    missing_docs,
    unsafe_code,
    clippy::all,
    reason = "the bindings are generated"
)]

use wasmtime::component::{Component, Linker};
use wasmtime::{Config, Engine, Store};
use wit_component::ComponentEncoder;

wasmtime::component::bindgen!({
    path: "../tests/speed/crossing-guest/wit",
    world: "crossing",
});

pub use exports::speed::crossing::ways::{Block, Kind, Role, Stitch};

/// The guest, ready to be called.
pub struct Ways {
    engine: Engine,
    guest: CrossingPre<()>,
}

impl Ways {
    /// Compiles the guest's core module.
    pub fn new(module: &[u8]) -> Self {
        let component = ComponentEncoder::default()
            .validate(true)
            .module(module)
            .and_then(|encoder| encoder.encode())
            .unwrap();
        let mut config = Config::new();
        config
            .consume_fuel(true)
            .cranelift_nan_canonicalization(true);
        let engine = Engine::new(&config).unwrap();
        let component = Component::new(&engine, component).unwrap();
        let linker = Linker::new(&engine);
        let guest = CrossingPre::new(linker.instantiate_pre(&component).unwrap()).unwrap();
        Self { engine, guest }
    }

    /// A call in a store of its own.
    fn call<T>(&self, call: impl FnOnce(&Crossing, &mut Store<()>) -> T) -> T {
        let mut store = Store::new(&self.engine, ());
        store.set_fuel(u64::MAX).unwrap();
        let guest = self.guest.instantiate(&mut store).unwrap();
        call(&guest, &mut store)
    }

    /// Nothing there and nothing back.
    pub fn nothing(&self) {
        self.call(|guest, store| guest.speed_crossing_ways().call_nothing(store).unwrap());
    }

    /// There and back in columns.
    pub fn columns(&self, blocks: &[Block]) -> Vec<Block> {
        self.call(|guest, store| {
            guest
                .speed_crossing_ways()
                .call_columns(store, blocks)
                .unwrap()
        })
    }

    /// There and back in records.
    pub fn records(&self, stitches: &[Stitch]) -> Vec<Stitch> {
        self.call(|guest, store| {
            guest
                .speed_crossing_ways()
                .call_records(store, stitches)
                .unwrap()
        })
    }
}
