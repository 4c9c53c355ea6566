//! Hoops: what the machine has, and what an order asks for.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The inside of a hoop. The machine's start point is taken to be its centre.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Hoop {
    /// Inside width, in mm; 10 to 2000.
    #[schemars(range(min = 10.0, max = 2000.0), extend("unit" = "mm"))]
    pub width: f64,
    /// Inside height, in mm; 10 to 2000.
    #[schemars(range(min = 10.0, max = 2000.0), extend("unit" = "mm"))]
    pub height: f64,
    /// Space to keep free along each side, in mm; 5, 0 to 50. 5 to 10 mm are common practice.
    #[serde(default = "Hoop::usual_margin")]
    #[schemars(range(min = 0.0, max = 50.0), extend("unit" = "mm"))]
    pub margin: f64,
}

impl Hoop {
    fn usual_margin() -> f64 {
        5.0
    }

    /// How far a design may reach from the centre along each axis, in mm, where `margin` mm are kept free.
    pub fn room(self, margin: f64) -> [f64; 2] {
        [self.width, self.height].map(|size| size / 2.0 - margin)
    }
}

/// A hoop of the machine. Its middle is taken to be the start point.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct MachineHoop {
    /// What the shop calls it.
    pub name: String,
    /// Inside width, in mm; 10 to 5000.
    #[schemars(range(min = 10.0, max = 5000.0), extend("unit" = "mm"))]
    pub width: f64,
    /// Inside height, in mm; 10 to 5000.
    #[schemars(range(min = 10.0, max = 5000.0), extend("unit" = "mm"))]
    pub height: f64,
    /// Space to keep free along each side, in mm; 5, 0 to 50. 5 to 10 mm are common practice.
    #[serde(default = "Hoop::usual_margin")]
    #[schemars(range(min = 0.0, max = 50.0), extend("unit" = "mm"))]
    pub margin: f64,
}

impl MachineHoop {
    /// The hoop without its name.
    pub fn hoop(&self) -> Hoop {
        Hoop {
            width: self.width,
            height: self.height,
            margin: self.margin,
        }
    }
}
