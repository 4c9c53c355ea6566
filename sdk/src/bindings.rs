//! The Rust types of the contract, generated from `wit/hoopwright.wit`.
//!
//! All worlds share one set of types, so that a plugin's own code never says which
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
            "hoopwright:step/model@0.1.1": crate::bindings::object_plugin::hoopwright::step::model,
            "hoopwright:step/messages@0.1.1": crate::bindings::object_plugin::hoopwright::step::messages,
            "hoopwright:step/host@0.1.1": crate::bindings::object_plugin::hoopwright::step::host,
        },
        pub_export_macro: true,
        export_macro_name: "export_design_plugin",
        default_bindings_module: "hoopwright_sdk::bindings::design_plugin",
        runtime_path: "::hoopwright_sdk::wit_bindgen::rt",
    });
}

/// What a plugin that gives work out in pieces has besides a design step's: its world is `piecework-plugin`.
pub mod piecework {
    wit_bindgen::generate!({
        path: "wit",
        inline: r#"
            package hoopwright:sdk;
            world piecework-part {
                import hoopwright:step/piecework@0.1.1;
                export hoopwright:step/piece-worker@0.1.1;
            }
        "#,
        world: "hoopwright:sdk/piecework-part",
        generate_all,
        pub_export_macro: true,
        export_macro_name: "export_piecework",
        default_bindings_module: "hoopwright_sdk::bindings::piecework",
        runtime_path: "::hoopwright_sdk::wit_bindgen::rt",
    });
}

pub use object_plugin::hoopwright::step::host;
pub use object_plugin::hoopwright::step::messages::{Description, Failure, Finding, Severity};
pub use object_plugin::hoopwright::step::model::{
    Design, DirectionMark, Lines, Object, Point, Polygon, Polyline, Rectangle, Region, Sewing,
    Shape, StitchBlock, StitchKind, StitchRole, Thread,
};
