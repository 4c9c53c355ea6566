//! Settings: one definition gives the struct, its defaults, its JSON form and its schema.

/// Defines a step's settings.
///
/// Each field has a doc comment (what the digitizer reads), a default, and where it fits a unit
/// and a range. In JSON the names are hyphenated, every field may be left out, and unknown names
/// are refused.
///
/// A range is for numbers. A list has one for its numbers and one for how many they are, as attributes of
/// `schemars`; so has a text for its letters:
///
/// ```
/// hoopwright_sdk::settings! {
///     /// Sews rows.
///     pub struct Rows {
///         /// How far each row is shifted.
///         #[schemars(inner(range(min = 0.0, max = 2.0)), length(min = 1, max = 3))]
///         pub shifts: Vec<f64> = vec![0.0, 0.5], in "mm";
///     }
/// }
/// ```
///
/// A setting that plans for another step names it; a pipeline in which the two have different values is
/// warned of:
///
/// ```
/// hoopwright_sdk::settings! {
///     /// Chooses where rows begin.
///     pub struct Beginnings {
///         /// The longest way that is not trimmed.
///         #[schemars(extend("agrees-with" = "ties-and-trims"))]
///         pub trim_over: f64 = 5.0, in "mm";
///     }
/// }
/// ```
///
/// Elsewhere `from` and `to` do not compile, for the schema would not have them:
///
/// ```compile_fail
/// hoopwright_sdk::settings! {
///     /// Sews rows.
///     pub struct Rows {
///         /// How far each row is shifted.
///         pub shifts: Vec<f64> = vec![0.0, 0.5], from 0.0 to 2.0;
///     }
/// }
/// ```
///
/// ```
/// hoopwright_sdk::settings! {
///     /// Sews a line.
///     pub struct Line {
///         /// Longest stitch.
///         pub stitch_length: f64 = 2.5, in "mm", from 0.5 to 12.1;
///         /// Whether to sew back again.
///         pub back: bool = false;
///     }
/// }
/// assert_eq!(Line::default().stitch_length, 2.5);
/// ```
#[macro_export]
macro_rules! settings {
    (@ranged $type:ty, $least:literal) => {
        const _: () = $crate::ranged::<$type>();
    };
    (
        $(#[$meta:meta])*
        $vis:vis struct $name:ident {
            $(
                $(#[$field_meta:meta])*
                $field_vis:vis $field:ident : $type:ty = $default:expr
                $(, in $unit:literal)? $(, from $least:literal to $greatest:literal)? ;
            )*
        }
    ) => {
        $(#[$meta])*
        #[derive(
            Clone, Debug, PartialEq,
            $crate::serde::Serialize, $crate::serde::Deserialize, $crate::schemars::JsonSchema,
        )]
        #[serde(
            crate = "hoopwright_sdk::serde",
            rename_all = "kebab-case",
            deny_unknown_fields,
            default,
        )]
        #[schemars(crate = "hoopwright_sdk::schemars")]
        $vis struct $name {
            $(
                $(#[$field_meta])*
                $(#[schemars(extend("unit" = $unit))])?
                $(#[schemars(range(min = $least, max = $greatest))])?
                $field_vis $field: $type,
            )*
        }

        impl ::std::default::Default for $name {
            fn default() -> Self {
                Self { $($field: $default,)* }
            }
        }

        $($($crate::settings!(@ranged $type, $least);)?)*
    };
}

/// A number, or perhaps one: what `from` and `to` of [`settings!`](crate::settings!) can hold.
#[diagnostic::on_unimplemented(
    message = "`from … to …` is for numbers, and this setting is a `{Self}`",
    note = "for the numbers of a list write #[schemars(inner(range(min = 0.0, max = 2.0)))], and for how many they are, or the letters of a text, #[schemars(length(min = 1, max = 3))]"
)]
pub trait Ranged {}

macro_rules! numbers {
    ($($number:ty)*) => { $(impl Ranged for $number {})* };
}

numbers!(f32 f64 i8 i16 i32 i64 isize u8 u16 u32 u64 usize);

impl<T: Ranged> Ranged for Option<T> {}

/// Compiles for settings that can have a range.
pub const fn ranged<T: Ranged>() {}

/// Defines a setting that is one of several words. The default is the variant marked
/// `#[default]`; doc comments become the descriptions of the words.
///
/// ```
/// hoopwright_sdk::choices! {
///     /// How often the line is sewn.
///     pub enum Passes {
///         /// Once.
///         #[default]
///         Single,
///         /// Three times.
///         Triple,
///     }
/// }
/// assert_eq!(Passes::default(), Passes::Single);
/// ```
#[macro_export]
macro_rules! choices {
    (
        $(#[$meta:meta])*
        $vis:vis enum $name:ident {
            $( $(#[$variant_meta:meta])* $variant:ident ),* $(,)?
        }
    ) => {
        $(#[$meta])*
        #[derive(
            Clone, Copy, Debug, Default, PartialEq, Eq,
            $crate::serde::Serialize, $crate::serde::Deserialize, $crate::schemars::JsonSchema,
        )]
        #[serde(crate = "hoopwright_sdk::serde", rename_all = "kebab-case")]
        #[schemars(crate = "hoopwright_sdk::schemars")]
        $vis enum $name {
            $( $(#[$variant_meta])* $variant, )*
        }
    };
}
