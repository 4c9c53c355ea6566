//! The way into a plugin: from the contract's raw call to the author's function.

use crate::Failure;
use serde::de::DeserializeOwned;

/// The version of the contract that this SDK speaks. Every plugin carries it in the custom
/// section `hoopwright-contract`, which the host reads before it compiles anything.
pub const CONTRACT_VERSION: &str = "0.1.1";

/// Reads the settings and calls the author's function. The macros call this.
///
/// # Errors
/// What `process` returns, or a sentence when the settings do not fit `S`.
pub fn enter<S: DeserializeOwned, T>(
    settings: &str,
    process: impl FnOnce(&S) -> Result<T, Failure>,
) -> Result<T, Failure> {
    #[cfg(target_arch = "wasm32")]
    tell_panics_to_the_host();
    let settings: S = serde_json::from_str(settings)
        .map_err(|error| Failure::new(format!("the settings do not fit: {error}")))?;
    process(&settings)
}

/// A panic ends the call in a trap that carries no words, so its message goes ahead.
#[cfg(target_arch = "wasm32")]
fn tell_panics_to_the_host() {
    use crate::bindings::host::{LogLevel, log};
    std::panic::set_hook(Box::new(|panic| log(LogLevel::Panic, &panic.to_string())));
}

/// Makes an object step of a function
/// `fn(Object, &Thread, &Settings) -> Result<Object, Failure>`.
///
/// See the crate's first page for an example. `manual` may be left out; it is Markdown that says
/// when to use the step and how.
#[macro_export]
macro_rules! object_step {
    (
        name: $name:literal,
        summary: $summary:literal,
        $(manual: $manual:expr,)?
        settings: $settings:ty,
        process: $process:path $(,)?
    ) => {
        $crate::description_of!($name, $summary, [$($manual)?], $settings);

        // Checked natively too, where nothing else calls the function.
        const _: fn(
            $crate::Object,
            &$crate::Thread,
            &$settings,
        ) -> ::std::result::Result<$crate::Object, $crate::Failure> = $process;

        /// This step, as tests and benchmarks call it.
        #[cfg(not(target_arch = "wasm32"))]
        pub fn step() -> $crate::Step {
            $crate::Step {
                description: description(),
                process: $crate::Process::Object(|object, thread, settings| {
                    $crate::enter::<$settings, _>(settings, |settings| {
                        $process(object, thread, settings)
                    })
                }),
            }
        }

        #[cfg(target_arch = "wasm32")]
        #[allow(unsafe_code, missing_docs)]
        const _: () = {
            struct Step;

            impl $crate::bindings::object_plugin::exports::hoopwright::step::object_step::Guest
                for Step
            {
                fn describe() -> $crate::Description {
                    description()
                }

                fn process(
                    object: $crate::Object,
                    thread: $crate::Thread,
                    settings: ::std::string::String,
                ) -> ::std::result::Result<$crate::Object, $crate::Failure> {
                    $crate::enter::<$settings, _>(&settings, |settings| {
                        $process(object, &thread, settings)
                    })
                }
            }

            $crate::bindings::object_plugin::export_object_plugin!(
                Step with_types_in $crate::bindings::object_plugin
            );
            $crate::contract_stamp!();
        };
    };
}

/// Makes a design step of a function
/// `fn(Design, &[usize], &Settings) -> Result<Design, Failure>`.
///
/// The second argument holds the places of the objects that the pipeline selected.
#[macro_export]
macro_rules! design_step {
    (
        name: $name:literal,
        summary: $summary:literal,
        $(manual: $manual:expr,)?
        settings: $settings:ty,
        process: $process:path $(,)?
    ) => {
        $crate::description_of!($name, $summary, [$($manual)?], $settings);

        // Checked natively too, where nothing else calls the function.
        const _: fn(
            $crate::Design,
            &[usize],
            &$settings,
        ) -> ::std::result::Result<$crate::Design, $crate::Failure> = $process;

        /// This step, as tests and benchmarks call it.
        #[cfg(not(target_arch = "wasm32"))]
        pub fn step() -> $crate::Step {
            $crate::Step {
                description: description(),
                process: $crate::Process::Design(|design, selected, settings| {
                    $crate::enter::<$settings, _>(settings, |settings| {
                        $process(design, selected, settings)
                    })
                }),
            }
        }

        #[cfg(target_arch = "wasm32")]
        #[allow(unsafe_code, missing_docs)]
        const _: () = {
            struct Step;

            impl $crate::bindings::design_plugin::exports::hoopwright::step::design_step::Guest
                for Step
            {
                fn describe() -> $crate::Description {
                    description()
                }

                fn process(
                    design: $crate::Design,
                    selected: ::std::vec::Vec<u32>,
                    settings: ::std::string::String,
                ) -> ::std::result::Result<$crate::Design, $crate::Failure> {
                    let selected: ::std::vec::Vec<usize> =
                        selected.into_iter().map(|place| place as usize).collect();
                    $crate::enter::<$settings, _>(&settings, |settings| {
                        $process(design, &selected, settings)
                    })
                }
            }

            $crate::bindings::design_plugin::export_design_plugin!(
                Step with_types_in $crate::bindings::design_plugin
            );
            $crate::contract_stamp!();
        };
    };
}

/// Makes a plugin's design step give out its pieces: call it beside [`design_step!`], with the settings, which
/// are [`Piecework`](crate::piecework::Piecework).
#[macro_export]
macro_rules! piece_worker {
    ($settings:ty) => {
        #[cfg(target_arch = "wasm32")]
        #[allow(unsafe_code, missing_docs)]
        const _: () = {
            struct Worker;

            impl $crate::bindings::piecework::exports::hoopwright::step::piece_worker::Guest
                for Worker
            {
                fn work(
                    piece: ::std::vec::Vec<u8>,
                    settings: ::std::string::String,
                ) -> ::std::vec::Vec<u8> {
                    $crate::piecework::work_on_one::<$settings>(&piece, &settings)
                }
            }

            $crate::bindings::piecework::export_piecework!(
                Worker with_types_in $crate::bindings::piecework
            );
        };
    };
}

/// The public function `description()` of a plugin crate.
#[doc(hidden)]
#[macro_export]
macro_rules! description_of {
    ($name:literal, $summary:literal, [$($manual:expr)?], $settings:ty) => {
        /// What this step is, and the schema of its settings.
        pub fn description() -> $crate::Description {
            #[allow(unused_mut, unused_assignments)]
            let mut manual = "";
            $(manual = $manual;)?
            $crate::describe::<$settings>($name, env!("CARGO_PKG_VERSION"), $summary, manual)
        }
    };
}

/// Puts [`CONTRACT_VERSION`] into the plugin's custom section.
#[doc(hidden)]
#[macro_export]
macro_rules! contract_stamp {
    () => {
        #[used]
        #[unsafe(link_section = "hoopwright-contract")]
        static CONTRACT: [u8; $crate::CONTRACT_VERSION.len()] = {
            let text = $crate::CONTRACT_VERSION.as_bytes();
            let mut stamp = [0; $crate::CONTRACT_VERSION.len()];
            let mut place = 0;
            while place < stamp.len() {
                stamp[place] = text[place];
                place += 1;
            }
            stamp
        };
    };
}
