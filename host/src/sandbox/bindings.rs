//! The Rust types of the contract, generated from `sdk/wit/hoopwright.wit`.

#![allow(missing_docs, unsafe_code, clippy::all)]

/// The world of a plugin that is an object step.
pub mod object_plugin {
    wasmtime::component::bindgen!({
        path: "../sdk/wit",
        world: "object-plugin",
        imports: { default: trappable },
        exports: { default: async },
        additional_derives: [
            PartialEq, serde::Serialize, serde::Deserialize, schemars::JsonSchema
        ],
    });
}

/// The world of a plugin that is a design step.
pub mod design_plugin {
    wasmtime::component::bindgen!({
        path: "../sdk/wit",
        world: "design-plugin",
        with: {
            "hoopwright:step/model": crate::sandbox::bindings::object_plugin::hoopwright::step::model,
            "hoopwright:step/messages": crate::sandbox::bindings::object_plugin::hoopwright::step::messages,
            "hoopwright:step/host": crate::sandbox::bindings::object_plugin::hoopwright::step::host,
        },
        imports: { default: trappable },
        exports: { default: async },
        additional_derives: [
            PartialEq, serde::Serialize, serde::Deserialize, schemars::JsonSchema
        ],
    });
}

/// The world of a plugin that is a design step and gives work out in pieces.
pub mod piecework_plugin {
    wasmtime::component::bindgen!({
        path: "../sdk/wit",
        world: "piecework-plugin",
        with: {
            "hoopwright:step/model": crate::sandbox::bindings::object_plugin::hoopwright::step::model,
            "hoopwright:step/messages": crate::sandbox::bindings::object_plugin::hoopwright::step::messages,
            "hoopwright:step/host": crate::sandbox::bindings::object_plugin::hoopwright::step::host,
        },
        imports: {
            "hoopwright:step/piecework.give-out": async | trappable,
            default: trappable,
        },
        exports: { default: async },
        additional_derives: [
            PartialEq, serde::Serialize, serde::Deserialize, schemars::JsonSchema
        ],
    });
}

pub use object_plugin::hoopwright::step::{host, messages, model};
