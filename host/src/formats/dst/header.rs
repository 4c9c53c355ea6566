//! The 512 bytes before the records.
//!
//! Layout: the same sources as `record`. Numbers are set flush right in their width.

use super::route::Route;
use crate::diagnostics::Diagnostic;

/// Bytes before the first record.
pub const HEADER_LENGTH: usize = 512;

/// The byte that ends the header's fields.
const FIELDS_END: u8 = 0x1A;

/// What the header tells of a design. Made only where every number fits its width.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Header {
    /// Up to 16 printable ASCII characters.
    label: String,
    records: u32,
    halts: u16,
    extents: Extents,
    last: [i32; 2],
}

/// The most records that the header can tell.
pub(super) const MOST_RECORDS: usize = 9_999_999;
/// The most halts that the header can tell.
pub(super) const MOST_HALTS: usize = 999;

/// How far the design reaches from its start point, in 0.1 mm, as magnitudes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Extents {
    /// To the right.
    pub right: u32,
    /// To the left.
    pub left: u32,
    /// Up.
    pub up: u32,
    /// Down.
    pub down: u32,
}

impl Extents {
    /// The farthest that five digits can tell.
    pub const MOST: u32 = 99_999;

    /// Takes in a place, in 0.1 mm from the start point, y up. The start point itself is always in.
    pub fn take_in(&mut self, [x, y]: [i32; 2]) {
        let beyond = |v: i32| v.max(0).unsigned_abs();
        self.right = self.right.max(beyond(x));
        self.left = self.left.max(beyond(x.saturating_neg()));
        self.up = self.up.max(beyond(y));
        self.down = self.down.max(beyond(y.saturating_neg()));
    }
}

impl Header {
    /// The header of a route, titled `title`.
    ///
    /// # Errors
    /// Everything about the design that the header's widths can't hold.
    pub fn new(title: &str, route: &Route) -> Result<Self, Vec<Diagnostic>> {
        let mut wrong = Vec::new();
        let extents = route.extents;
        let far = [extents.right, extents.left, extents.up, extents.down];
        if far.iter().any(|&v| v > Extents::MOST) {
            wrong.push(
                Diagnostic::error(
                    "dst-too-large",
                    "the design reaches more than 9999.9 mm from its start point, which is more than the header can tell",
                )
                .help("check the artwork's units, and the machine's origin"),
            );
        }
        let records = route.records.len();
        if records > MOST_RECORDS {
            wrong.push(
                Diagnostic::error(
                    "dst-too-many-records",
                    format!("the design needs more records than the {MOST_RECORDS} that the header can tell"),
                )
                .help("make the design smaller or less dense, or cut it in two"),
            );
        }
        let halts = route.halts();
        if halts > MOST_HALTS {
            wrong.push(
                Diagnostic::error(
                    "dst-too-many-changes",
                    format!(
                        "the design has {halts} thread changes and stops, and the header can tell {MOST_HALTS}"
                    ),
                )
                .help("put objects of one thread one after the other"),
            );
        }
        match (u32::try_from(records), u16::try_from(halts)) {
            (Ok(records), Ok(halts)) if wrong.is_empty() => Ok(Self {
                label: label(title),
                records,
                halts,
                extents,
                last: route.last,
            }),
            _ => Err(wrong),
        }
    }

    /// The header's bytes.
    pub fn encode(&self) -> [u8; HEADER_LENGTH] {
        let Extents {
            right,
            left,
            up,
            down,
        } = self.extents;
        let signed = |v: i32| {
            let sign = if v < 0 { '-' } else { '+' };
            format!("{sign}{:>5}", v.unsigned_abs())
        };
        let fields = [
            format!("LA:{:<16}", self.label),
            format!("ST:{:>7}", self.records),
            format!("CO:{:>3}", self.halts),
            format!("+X:{right:>5}"),
            format!("-X:{left:>5}"),
            format!("+Y:{up:>5}"),
            format!("-Y:{down:>5}"),
            format!("AX:{}", signed(self.last[0])),
            format!("AY:{}", signed(self.last[1])),
            // The design is one file, not one of several that follow each other.
            format!("MX:{}", signed(0)),
            format!("MY:{}", signed(0)),
            "PD:******".to_owned(),
        ];
        let mut bytes = [b' '; HEADER_LENGTH];
        let text = fields.iter().flat_map(|field| field.bytes().chain([b'\r']));
        for (place, byte) in bytes.iter_mut().zip(text.chain([FIELDS_END])) {
            *place = byte;
        }
        bytes
    }
}

/// The title as the label: printable ASCII, at most 16 characters. What ASCII lacks becomes an
/// underline.
fn label(title: &str) -> String {
    let label: String = title
        .trim()
        .chars()
        .map(|c| if matches!(c, ' '..='~') { c } else { '_' })
        .take(16)
        .collect();
    label.trim_end().to_owned()
}

/// The label of a header, where there is one.
pub fn read_label(header: &[u8]) -> Option<String> {
    let value = header.strip_prefix(b"LA:")?;
    let value = value.get(..16).unwrap_or(value);
    let text: String = value
        .iter()
        .take_while(|&&byte| byte != b'\r')
        .map(|&byte| {
            if matches!(byte, b' '..=b'~') {
                char::from(byte)
            } else {
                '_'
            }
        })
        .collect();
    let text = text.trim();
    (!text.is_empty()).then(|| text.to_owned())
}

#[cfg(test)]
mod tests {
    use super::super::record::Record;
    use super::*;

    fn route(records: usize, extents: Extents, last: [i32; 2]) -> Route {
        Route {
            records: vec![Record::End; records],
            extents,
            last,
            ..Route::default()
        }
    }

    #[test]
    fn fields_lie_at_their_published_offsets() {
        let extents = Extents {
            right: 250,
            left: 0,
            up: 12,
            down: 12345,
        };
        let header = Header::new("Barn owl", &route(4475, extents, [-7, 3]))
            .expect("fits")
            .encode();
        // Offsets and widths: the sources named at the head of `record`.
        let at = |offset: usize, text: &str| {
            let field = &header[offset..offset + text.len()];
            assert_eq!(String::from_utf8_lossy(field), text);
        };
        at(0, "LA:Barn owl        \r");
        at(20, "ST:   4475\r");
        at(31, "CO:  0\r");
        at(38, "+X:  250\r");
        at(47, "-X:    0\r");
        at(56, "+Y:   12\r");
        at(65, "-Y:12345\r");
        at(74, "AX:-    7\r");
        at(84, "AY:+    3\r");
        at(94, "MX:+    0\r");
        at(104, "MY:+    0\r");
        at(114, "PD:******\r\u{1a}");
        assert_eq!(header.len(), 512);
        assert!(header[125..].iter().all(|&byte| byte == b' '));
    }

    #[test]
    fn extents_hold_the_start_point_and_are_magnitudes() {
        let mut extents = Extents::default();
        extents.take_in([30, -20]);
        extents.take_in([10, -5]);
        assert_eq!(
            extents,
            Extents {
                right: 30,
                left: 0,
                up: 0,
                down: 20
            }
        );
    }

    #[test]
    fn what_the_widths_cannot_hold_is_refused() {
        let extents = Extents {
            right: 100_000,
            ..Extents::default()
        };
        assert!(Header::new("x", &route(3, extents, [0, 0])).is_err());
        assert!(Header::new("x", &route(10_000_000, Extents::default(), [0, 0])).is_err());
    }

    #[test]
    fn labels_are_sixteen_ascii_characters() {
        assert_eq!(label("Schleiereule für\rEhrenamt"), "Schleiereule f_r");
        assert_eq!(label(""), "");
        assert_eq!(
            read_label(b"LA:Owl             \rST:"),
            Some("Owl".to_owned())
        );
        assert_eq!(read_label(b"LA:                \r"), None);
        assert_eq!(read_label(b"nothing"), None);
    }
}
