//! The Rust types of the contract, generated from `wit/hoopwright.wit`.
//!
//! Both kinds of plugin share one set of types, so that a plugin's own code never says which
//! kind it is compiled for.

// The generated code calls the component model's raw ABI and is documented in the WIT.
#![allow(missing_docs, unsafe_code, clippy::all)]

/// The world of a plugin that is an object step.
pub mod object_plugin {
    wit_bindgen::generate!({
        path: "wit",
        world: "object-plugin",
        additional_derives: [
            PartialEq, serde::Serialize, serde::Deserialize, schemars::JsonSchema
        ],
        pub_export_macro: true,
        export_macro_name: "export_object_plugin",
        default_bindings_module: "hoopwright_sdk::bindings::object_plugin",
        runtime_path: "::hoopwright_sdk::wit_bindgen::rt",
    });
}

/// The world of a plugin that is a design step.
pub mod design_plugin {
    wit_bindgen::generate!({
        path: "wit",
        world: "design-plugin",
        with: {
            "hoopwright:step/model@0.1.0": crate::bindings::object_plugin::hoopwright::step::model,
            "hoopwright:step/messages@0.1.0": crate::bindings::object_plugin::hoopwright::step::messages,
            "hoopwright:step/host@0.1.0": crate::bindings::object_plugin::hoopwright::step::host,
        },
        pub_export_macro: true,
        export_macro_name: "export_design_plugin",
        default_bindings_module: "hoopwright_sdk::bindings::design_plugin",
        runtime_path: "::hoopwright_sdk::wit_bindgen::rt",
    });
}

pub use object_plugin::hoopwright::step::host;
pub use object_plugin::hoopwright::step::messages::{Description, Failure, Finding, Severity};
pub use object_plugin::hoopwright::step::model::{
    Design, DirectionMark, Lines, Object, Point, Polygon, Polyline, Rectangle, Region, Sewing,
    Shape, StitchBlock, StitchKind, StitchRole, Thread,
};
