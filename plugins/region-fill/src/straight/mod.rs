//! Straight rows at one angle: the cells of a [`Ground`](crate::ground::Ground) in the order of a
//! [`walk`], sewn by [`lay`], with [`cover`] placing the needle points in the manner of a [`style`].

pub mod cover;
pub mod lay;
pub mod lengthwise;
pub mod style;
pub mod walk;
