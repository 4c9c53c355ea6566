//! One record of the file: three bytes, a move in balanced ternary and what the machine does.
//!
//! Layout: University of Geneva EduTech wiki, "Embroidery format DST" (2019); KDE community wiki,
//! "Tajima Ternary" (2012); achatina.de, "DST (Tajima) design format".

/// Units of the file in one mm.
pub const UNITS_PER_MM: f64 = 10.0;

/// How far a move goes along one axis, in 0.1 mm: never more than 121, which is all that five
/// digits of balanced ternary can tell (1 + 3 + 9 + 27 + 81).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Reach(i8);

impl Reach {
    /// The farthest a record can move along one axis.
    pub const MOST: i32 = 121;
    /// The same in mm: 12.1, as the published layouts have it. No longer stitch or jump is one record.
    pub const MOST_MM: f64 = Self::MOST as f64 / UNITS_PER_MM;

    /// A move of `units`, or nothing where that is more than a record can tell.
    pub fn new(units: i32) -> Option<Self> {
        if units.abs() > Self::MOST {
            return None;
        }
        i8::try_from(units).ok().map(Self)
    }

    /// The nearest move to `units`.
    pub fn nearest(units: i32) -> Self {
        let most = Self::MOST;
        Self(i8::try_from(units.clamp(-most, most)).unwrap_or_default())
    }

    /// In 0.1 mm.
    pub fn units(self) -> i32 {
        i32::from(self.0)
    }
}

/// A move in the machine's frame: x to the right, y UP, in 0.1 mm.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Move {
    /// To the right.
    pub x: Reach,
    /// Up.
    pub y: Reach,
}

impl Move {
    /// A move of `x` and `y` units, or nothing where one is more than a record can tell.
    pub fn new(x: i32, y: i32) -> Option<Self> {
        Some(Self {
            x: Reach::new(x)?,
            y: Reach::new(y)?,
        })
    }

    /// Whether nothing moves.
    pub fn is_still(self) -> bool {
        self == Self::default()
    }
}

/// What the machine does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Record {
    /// Moves, and the needle goes down.
    Stitch(Move),
    /// Moves with the needle up.
    Jump(Move),
    /// Halts for the next thread, or for the operator: the file has one sign for both.
    Halt,
    /// The design is done.
    End,
}

/// For each digit: its value, then the byte and bit that add it to x, take it from x, add it to y,
/// take it from y.
const DIGITS: [(i32, usize, [u8; 4]); 5] = [
    (1, 0, [0, 1, 7, 6]),
    (9, 0, [2, 3, 5, 4]),
    (3, 1, [0, 1, 7, 6]),
    (27, 1, [2, 3, 5, 4]),
    (81, 2, [2, 3, 5, 4]),
];

/// The bits of byte 3 that are always set, and those that tell the kind.
const ALWAYS: u8 = 0x03;
const JUMP: u8 = 0x80;
const COLOUR: u8 = 0x40;
const END: u8 = 0xF3;

impl Record {
    /// The three bytes of the record.
    pub fn encode(self) -> [u8; 3] {
        let (way, kind) = match self {
            Self::Stitch(way) => (way, ALWAYS),
            Self::Jump(way) => (way, ALWAYS | JUMP),
            Self::Halt => (Move::default(), ALWAYS | JUMP | COLOUR),
            Self::End => return [0, 0, END],
        };
        let mut bytes = [0, 0, kind];
        // The largest digits first: a rest above half of what the smaller digits can tell needs
        // this digit.
        let mut rest = [way.x.units(), way.y.units()];
        for value in [81, 27, 9, 3, 1] {
            let Some((_, byte, bits)) = DIGITS.iter().find(|digit| digit.0 == value) else {
                continue;
            };
            for (axis, left) in rest.iter_mut().enumerate() {
                if 2 * *left > value {
                    bytes[*byte] |= 1 << bits[2 * axis];
                    *left -= value;
                } else if 2 * *left < -value {
                    bytes[*byte] |= 1 << bits[2 * axis + 1];
                    *left += value;
                }
            }
        }
        bytes
    }

    /// What the three bytes mean, and whether they are well formed: a record that is not still
    /// gives the likeliest reading.
    pub fn decode(bytes: [u8; 3]) -> (Self, bool) {
        let kind = bytes[2];
        // The end holds the bits of a halt as well, so it is told first.
        if kind & END == END && bytes[0] == 0 && bytes[1] == 0 {
            return (Self::End, kind == END);
        }
        let mut sound = kind & ALWAYS == ALWAYS;
        let mut sum = [0, 0];
        for (value, byte, bits) in DIGITS {
            for (axis, total) in sum.iter_mut().enumerate() {
                let more = bytes[byte] >> bits[2 * axis] & 1 == 1;
                let less = bytes[byte] >> bits[2 * axis + 1] & 1 == 1;
                sound &= !(more && less);
                *total += value * (i32::from(more) - i32::from(less));
            }
        }
        let way = Move::new(sum[0], sum[1]).unwrap_or_default();
        match (kind & JUMP != 0, kind & COLOUR != 0) {
            (false, false) => (Self::Stitch(way), sound),
            (true, false) => (Self::Jump(way), sound),
            (true, true) => (Self::Halt, sound && way.is_still()),
            // The published layouts give the colour bit no meaning without the jump bit.
            (false, true) => (Self::Jump(way), false),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stitch(x: i32, y: i32) -> Record {
        Record::Stitch(Move::new(x, y).expect("within reach"))
    }

    fn jump(x: i32, y: i32) -> Record {
        Record::Jump(Move::new(x, y).expect("within reach"))
    }

    #[test]
    fn published_record() {
        // Published as a worked example in the sources named at the head of this file.
        assert_eq!(stitch(-12, 64).encode(), [0xA8, 0x12, 0x23]);
    }

    #[test]
    fn records_computed_by_hand_from_the_published_table() {
        let vectors = [
            (stitch(1, 0), [0x01, 0x00, 0x03]),
            (stitch(0, 1), [0x80, 0x00, 0x03]),
            (stitch(5, 0), [0x06, 0x02, 0x03]),
            (stitch(14, 0), [0x0A, 0x06, 0x03]),
            (stitch(40, 0), [0x05, 0x05, 0x03]),
            (stitch(41, 0), [0x0A, 0x0A, 0x07]),
            (stitch(121, 121), [0xA5, 0xA5, 0x27]),
            (stitch(-121, -121), [0x5A, 0x5A, 0x1B]),
            (stitch(121, -121), [0x55, 0x55, 0x17]),
            (stitch(100, -50), [0x89, 0xA4, 0x17]),
            (jump(2, 2), [0x42, 0x81, 0x83]),
            (jump(-4, -4), [0x42, 0x42, 0x83]),
            (Record::Halt, [0x00, 0x00, 0xC3]),
            (Record::End, [0x00, 0x00, 0xF3]),
        ];
        for (record, bytes) in vectors {
            assert_eq!(record.encode(), bytes, "{record:?}");
            assert_eq!(Record::decode(bytes), (record, true), "{bytes:02X?}");
        }
    }

    #[test]
    fn every_move_comes_back() {
        for x in -121..=121 {
            for y in -121..=121 {
                for record in [stitch(x, y), jump(x, y)] {
                    assert_eq!(Record::decode(record.encode()), (record, true));
                }
            }
        }
    }

    #[test]
    fn no_move_goes_farther_than_the_digits() {
        assert_eq!(Reach::new(122), None);
        assert_eq!(Reach::new(-122), None);
        assert_eq!(Reach::new(i32::MIN + 1), None);
        assert_eq!(Reach::new(-121).map(Reach::units), Some(-121));
    }

    #[test]
    fn malformed_records_are_told() {
        assert!(!Record::decode([0x03, 0x00, 0x03]).1, "both +1 and -1");
        assert!(!Record::decode([0x01, 0x00, 0x00]).1, "fixed bits missing");
        assert!(!Record::decode([0x01, 0x00, 0xC3]).1, "halt with a move");
        assert!(!Record::decode([0x00, 0x00, 0x43]).1, "colour without jump");
    }
}
