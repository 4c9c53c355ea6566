//! A second DST reader, written from the published layout alone and sharing no code with the
//! program's own, so that the two can be compared record by record.
//!
//! Layout: University of Geneva EduTech wiki, "Embroidery format DST" (2019); KDE community wiki,
//! "Tajima Ternary" (2012); achatina.de, "DST (Tajima) design format".
//!
//! It is strict where a good reader would be lenient: what the layout does not allow is an error.

use std::fmt;

/// What the machine does at a record.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// It moves and the needle goes down.
    Stitch,
    /// It moves with the needle up.
    Jump,
    /// It changes the thread, or stops.
    Change,
    /// The design ends.
    End,
}

/// One record of three bytes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Record {
    /// The move to the right, in 0.1 mm.
    pub dx: i32,
    /// The move UP, in 0.1 mm.
    pub dy: i32,
    /// What the machine does.
    pub kind: Kind,
}

/// The fields of the header, as they stand in the file. Lengths in 0.1 mm, y up.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Header {
    /// LA: the design's name, without the spaces that fill the field.
    pub label: String,
    /// ST: how many records there are.
    pub records: u32,
    /// CO: how many colour changes there are.
    pub changes: u32,
    /// +X: how far it reaches to the right of its start.
    pub right: u32,
    /// -X: how far it reaches to the left of its start.
    pub left: u32,
    /// +Y: how far it reaches above its start.
    pub up: u32,
    /// -Y: how far it reaches below its start.
    pub down: u32,
    /// AX: where it ends, to the right of its start.
    pub end_x: i32,
    /// AY: where it ends, above its start.
    pub end_y: i32,
    /// MX: the x of a design that goes on from another file.
    pub before_x: i32,
    /// MY: the y of a design that goes on from another file.
    pub before_y: i32,
    /// PD: the name of that other file; six stars where there is none.
    pub before: String,
}

/// What stands in a DST file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct File {
    /// The first 512 bytes.
    pub header: Header,
    /// All records, the end included.
    pub records: Vec<Record>,
    /// Whether the byte 1A follows the end; both forms are in use.
    pub closed_by_1a: bool,
}

/// Why a file could not be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unreadable {
    /// The place of the byte that is wrong.
    pub offset: usize,
    /// What is wrong there.
    pub message: String,
}

impl fmt::Display for Unreadable {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "byte {}: {}", self.offset, self.message)
    }
}

impl std::error::Error for Unreadable {}

fn wrong(offset: usize, message: impl Into<String>) -> Unreadable {
    Unreadable {
        offset,
        message: message.into(),
    }
}

/// What a bit of a record means.
#[derive(Clone, Copy)]
enum Bit {
    X(i32),
    Y(i32),
    Jump,
    Colour,
    One,
}
use Bit::{Colour, Jump, One, X, Y};

/// The published table: a row is a byte, and its bits run from 7 down to 0.
const BITS: [[Bit; 8]; 3] = [
    [Y(1), Y(-1), Y(9), Y(-9), X(-9), X(9), X(-1), X(1)],
    [Y(3), Y(-3), Y(27), Y(-27), X(-27), X(27), X(-3), X(3)],
    [Jump, Colour, Y(81), Y(-81), X(-81), X(81), One, One],
];

/// The record that ends a design. It is told before anything else: its third byte also holds both
/// bits of a colour change.
const END: [u8; 3] = [0x00, 0x00, 0xF3];

const HEADER_LENGTH: usize = 512;

/// Reads one record, which begins at the byte `offset`.
///
/// # Errors
/// Where bits that are always set are not, or the bits name no kind of record.
pub fn read_record(bytes: [u8; 3], offset: usize) -> Result<Record, Unreadable> {
    if bytes == END {
        return Ok(Record {
            dx: 0,
            dy: 0,
            kind: Kind::End,
        });
    }
    let (mut dx, mut dy, mut jump, mut colour) = (0, 0, false, false);
    for (row, (meanings, byte)) in BITS.iter().zip(bytes).enumerate() {
        for (place, meaning) in meanings.iter().enumerate() {
            let set = byte & (0x80 >> place) != 0;
            match *meaning {
                One if !set => {
                    return Err(wrong(
                        offset + row,
                        format!("{byte:02X} lacks one of its two lowest bits, always set"),
                    ));
                }
                _ if !set => {}
                X(amount) => dx += amount,
                Y(amount) => dy += amount,
                Jump => jump = true,
                Colour => colour = true,
                One => {}
            }
        }
    }
    let kind = match (jump, colour) {
        (false, false) => Kind::Stitch,
        (true, false) => Kind::Jump,
        (true, true) => Kind::Change,
        (false, true) => {
            return Err(wrong(
                offset + 2,
                format!("{:02X} is no stitch, jump or colour change", bytes[2]),
            ));
        }
    };
    Ok(Record { dx, dy, kind })
}

/// Reads a whole file.
///
/// # Errors
/// Where the file departs from the layout.
pub fn read(file: &[u8]) -> Result<File, Unreadable> {
    let Some((head, body)) = file.split_at_checked(HEADER_LENGTH) else {
        return Err(wrong(file.len(), "the file ends within its header"));
    };
    let header = read_header(head)?;
    let (whole, rest) = body.as_chunks::<3>();
    let mut records = Vec::new();
    for (place, &bytes) in whole.iter().enumerate() {
        let offset = HEADER_LENGTH + 3 * place;
        let record = read_record(bytes, offset)?;
        records.push(record);
        if record.kind == Kind::End {
            let closed_by_1a = match &file[offset + 3..] {
                [] => false,
                [0x1A] => true,
                _ => return Err(wrong(offset + 3, "something follows the end of the design")),
            };
            return Ok(File {
                header,
                records,
                closed_by_1a,
            });
        }
    }
    Err(wrong(
        file.len() - rest.len(),
        "the file ends without the record that ends a design",
    ))
}

fn read_header(head: &[u8]) -> Result<Header, Unreadable> {
    let header = Header {
        label: field(head, 0, "LA:", 16)?,
        records: number(head, 20, "ST:", 7)?,
        changes: number(head, 31, "CO:", 3)?,
        right: number(head, 38, "+X:", 5)?,
        left: number(head, 47, "-X:", 5)?,
        up: number(head, 56, "+Y:", 5)?,
        down: number(head, 65, "-Y:", 5)?,
        end_x: signed(head, 74, "AX:")?,
        end_y: signed(head, 84, "AY:")?,
        before_x: signed(head, 94, "MX:")?,
        before_y: signed(head, 104, "MY:")?,
        before: field(head, 114, "PD:", 6)?,
    };
    const AFTER_FIELDS: usize = 124;
    if head[AFTER_FIELDS] != 0x1A {
        return Err(wrong(AFTER_FIELDS, "1A should follow the header's fields"));
    }
    match head[AFTER_FIELDS + 1..]
        .iter()
        .position(|&byte| byte != b' ')
    {
        None => Ok(header),
        Some(place) => Err(wrong(
            AFTER_FIELDS + 1 + place,
            "only spaces should fill the header",
        )),
    }
}

/// The value of the field that begins at `offset`, without the spaces that fill it.
fn field(head: &[u8], offset: usize, name: &str, width: usize) -> Result<String, Unreadable> {
    let from = offset + name.len();
    let to = from + width;
    if &head[offset..from] != name.as_bytes() {
        return Err(wrong(offset, format!("{name} should stand here")));
    }
    if head[to] != b'\r' {
        return Err(wrong(to, format!("{name} should end with CR")));
    }
    let value = &head[from..to];
    if !value.iter().all(|byte| (b' '..=b'~').contains(byte)) {
        return Err(wrong(
            from,
            format!("{name} holds a byte that is no letter"),
        ));
    }
    Ok(String::from_utf8_lossy(value).trim().to_owned())
}

fn number(head: &[u8], offset: usize, name: &str, width: usize) -> Result<u32, Unreadable> {
    let value = field(head, offset, name, width)?;
    if !value.bytes().all(|byte| byte.is_ascii_digit()) {
        return Err(wrong(offset, format!("{name} holds {value:?}, no number")));
    }
    value
        .parse()
        .map_err(|error| wrong(offset, format!("{name} holds {value:?}: {error}")))
}

/// A sign, and five places that the number fills from the right.
fn signed(head: &[u8], offset: usize, name: &str) -> Result<i32, Unreadable> {
    const WIDTH: usize = 6;
    let value = field(head, offset, name, WIDTH)?;
    let refused = || {
        wrong(
            offset,
            format!("{name} holds {value:?}, no sign and number"),
        )
    };
    let (sign, digits) = match value.split_at_checked(1) {
        Some(("+", digits)) => (1, digits.trim_start()),
        Some(("-", digits)) => (-1, digits.trim_start()),
        _ => return Err(refused()),
    };
    if !digits.bytes().all(|byte| byte.is_ascii_digit()) {
        return Err(refused());
    }
    digits
        .parse::<i32>()
        .map(|magnitude| sign * magnitude)
        .map_err(|_| refused())
}

/// What a header should say of its records: recomputed, to compare with what it does say.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Reach {
    /// The farthest place to the right of the start, in 0.1 mm; the start itself counts.
    pub right: u32,
    /// The farthest place to the left of the start.
    pub left: u32,
    /// The farthest place above the start.
    pub up: u32,
    /// The farthest place below the start.
    pub down: u32,
    /// Where it ends, to the right of the start.
    pub end_x: i32,
    /// Where it ends, above the start.
    pub end_y: i32,
    /// How many colour changes there are.
    pub changes: u32,
}

/// How far `records` reach from their start at (0, 0).
pub fn reach(records: &[Record]) -> Reach {
    let mut reach = Reach::default();
    for record in records {
        reach.end_x += record.dx;
        reach.end_y += record.dy;
        reach.right = reach.right.max(reach.end_x.max(0).unsigned_abs());
        reach.left = reach.left.max(reach.end_x.min(0).unsigned_abs());
        reach.up = reach.up.max(reach.end_y.max(0).unsigned_abs());
        reach.down = reach.down.max(reach.end_y.min(0).unsigned_abs());
        reach.changes += u32::from(record.kind == Kind::Change);
    }
    reach
}

#[cfg(test)]
mod tests {
    use super::*;

    fn record(bytes: u32) -> Record {
        let [_, first, second, third] = bytes.to_be_bytes();
        read_record([first, second, third], 0).expect("a record of the layout")
    }

    fn made(dx: i32, dy: i32, kind: Kind) -> Record {
        Record { dx, dy, kind }
    }

    // Published on the pages named above.
    #[test]
    fn published_vector() {
        assert_eq!(record(0xA81223), made(-12, 64, Kind::Stitch));
    }

    // Computed from the published table by hand.
    #[test]
    fn vectors_from_the_table() {
        for (bytes, dx, dy) in [
            (0x010003, 1, 0),
            (0x800003, 0, 1),
            (0x060203, 5, 0),
            (0x0A0603, 14, 0),
            (0x050503, 40, 0),
            (0x0A0A07, 41, 0),
            (0xA5A527, 121, 121),
            (0x5A5A1B, -121, -121),
            (0x555517, 121, -121),
            (0x89A417, 100, -50),
        ] {
            assert_eq!(record(bytes), made(dx, dy, Kind::Stitch), "{bytes:06X}");
        }
        assert_eq!(record(0x428183), made(2, 2, Kind::Jump));
        assert_eq!(record(0x424283), made(-4, -4, Kind::Jump));
        assert_eq!(record(0x0000C3), made(0, 0, Kind::Change));
        assert_eq!(record(0x0000F3), made(0, 0, Kind::End));
    }

    #[test]
    fn what_the_layout_does_not_allow_is_refused() {
        let no_ones = read_record([0x01, 0x00, 0x01], 600).expect_err("a bit is missing");
        assert_eq!(no_ones.offset, 602);
        let colour_alone = read_record([0x00, 0x00, 0x43], 600).expect_err("no such kind");
        assert_eq!(colour_alone.offset, 602);
    }

    /// A file with the records `body` and the header that the layout describes for a patch that
    /// reaches 1.2 mm to the left and 6.4 mm up.
    fn file(body: &[u8]) -> Vec<u8> {
        let mut file = b"LA:OWL             \rST:      4\rCO:  1\r\
            +X:    0\r-X:   12\r+Y:   64\r-Y:    0\r\
            AX:-   12\rAY:+   64\rMX:+    0\rMY:+    0\rPD:******\r\x1A"
            .to_vec();
        file.resize(HEADER_LENGTH, b' ');
        file.extend(body);
        file
    }

    const BODY: [u8; 12] = [
        0xA8, 0x12, 0xA3, // jump to (-12, 64)
        0x00, 0x00, 0x03, // needle down
        0x00, 0x00, 0xC3, // change
        0x00, 0x00, 0xF3, // end
    ];

    #[test]
    fn a_whole_file() {
        let read = read(&file(&BODY)).expect("a file of the layout");
        assert_eq!(
            read.records,
            [
                made(-12, 64, Kind::Jump),
                made(0, 0, Kind::Stitch),
                made(0, 0, Kind::Change),
                made(0, 0, Kind::End),
            ]
        );
        assert_eq!(
            read.header,
            Header {
                label: "OWL".to_owned(),
                records: 4,
                changes: 1,
                right: 0,
                left: 12,
                up: 64,
                down: 0,
                end_x: -12,
                end_y: 64,
                before_x: 0,
                before_y: 0,
                before: "******".to_owned(),
            }
        );
        assert!(!read.closed_by_1a);
        assert_eq!(
            reach(&read.records),
            Reach {
                right: 0,
                left: 12,
                up: 64,
                down: 0,
                end_x: -12,
                end_y: 64,
                changes: 1,
            }
        );
    }

    #[test]
    fn the_reach_holds_the_start_and_the_way() {
        let there_and_back = [
            made(100, -50, Kind::Stitch),
            made(-130, 20, Kind::Jump),
            made(30, 30, Kind::Stitch),
        ];
        assert_eq!(
            reach(&there_and_back),
            Reach {
                right: 100,
                left: 30,
                up: 0,
                down: 50,
                ..Reach::default()
            }
        );
    }

    #[test]
    fn both_forms_of_the_end_are_in_use() {
        let mut body = BODY.to_vec();
        body.push(0x1A);
        assert!(read(&file(&body)).expect("1A may follow").closed_by_1a);
        body.push(0x00);
        let error = read(&file(&body)).expect_err("nothing else may follow");
        assert_eq!(error.offset, HEADER_LENGTH + BODY.len());
    }

    #[test]
    fn broken_files_say_where() {
        let whole = file(&BODY);
        let at = |bytes: &[u8]| read(bytes).expect_err("a broken file").offset;
        assert_eq!(at(&whole[..100]), 100);
        assert_eq!(at(&whole[..HEADER_LENGTH + 9]), HEADER_LENGTH + 9);
        assert_eq!(at(&whole[..HEADER_LENGTH + 10]), HEADER_LENGTH + 9);
        for (place, byte, expected) in [
            (20, b'X', 20),   // another name than ST:
            (30, b' ', 30),   // no CR behind ST:
            (29, b'z', 20),   // no number in ST:
            (77, b' ', 74),   // no sign in AX:
            (124, b' ', 124), // no 1A
            (300, b'x', 300), // something behind the fields
        ] {
            let mut broken = whole.clone();
            broken[place] = byte;
            assert_eq!(at(&broken), expected, "byte {place}");
        }
    }
}
