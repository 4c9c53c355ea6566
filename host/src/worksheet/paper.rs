//! The paper that the worksheet is printed on.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A size of paper, upright.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Paper {
    /// 210 x 297 mm (ISO 216).
    #[default]
    A4,
    /// 8.5 x 11 in, which is 215.9 x 279.4 mm (ANSI A).
    Letter,
}

impl Paper {
    /// Free space along each side, in mm. Office printers leave 4 to 6 mm white (common practice).
    pub const MARGIN: f64 = 12.0;

    /// Width and height, in mm.
    pub fn size(self) -> [f64; 2] {
        match self {
            Self::A4 => [210.0, 297.0],
            Self::Letter => [215.9, 279.4],
        }
    }

    /// Its name in CSS (CSS Paged Media Level 3, section 7.1).
    pub fn css(self) -> &'static str {
        match self {
            Self::A4 => "A4",
            Self::Letter => "letter",
        }
    }
}
