//! How large the picture stands on paper.

/// Paper for sewn size, in percent. Never over 100: what is enlarged looks coarser than it sews.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct PictureScale(u8);

impl PictureScale {
    /// As it is sewn.
    pub const TRUE: Self = Self(100);

    /// True size where `width` x `height` fits in the room of `room`, all in mm; else the largest
    /// multiple of 5 % that fits, so that a ruler and the head can work with it; below 5 %, of 1 %.
    pub fn fitting([width, height]: [f64; 2], room: [f64; 2]) -> Self {
        let share = (room[0] / width.max(1e-6)).min(room[1] / height.max(1e-6));
        // What was measured in whole 0.1 mm must not fall short by a rounding error.
        let percent = (share * 100.0 + 1e-6).floor().clamp(1.0, 100.0) as u8;
        Self(match percent {
            100 => 100,
            5..100 => percent / 5 * 5,
            small => small,
        })
    }

    /// As a factor.
    pub fn factor(self) -> f64 {
        f64::from(self.0) / 100.0
    }

    /// In words, to stand under the picture.
    pub fn in_words(self) -> String {
        match self.0 {
            100 => "True size".to_owned(),
            percent => format!("At {percent} % of true size"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_fits_is_true_and_the_rest_in_round_steps() {
        let percent = |width, height| PictureScale::fitting([width, height], [90.0, 100.0]).0;
        assert_eq!(percent(90.0, 100.0), 100);
        assert_eq!(percent(10.0, 10.0), 100);
        assert_eq!(percent(90.1, 10.0), 95);
        assert_eq!(percent(10.0, 210.0), 45);
        assert_eq!(percent(3000.0, 10.0), 3);
        assert_eq!(percent(1e9, 1.0), 1);
        assert_eq!(percent(0.0, 0.0), 100);
    }
}
