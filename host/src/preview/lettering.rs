//! Letters and digits as strokes, so that a picture needs no font.

use geo::Coord;

/// Width of a letter where its height is 1, without the space to the next.
const WIDE: f64 = 4.0 / 6.0;
/// From one letter to the next, where the height is 1.
const STEP: f64 = 1.0;

/// How wide `text` is, in units of its height.
pub fn width(text: &str) -> f64 {
    let letters = text.chars().count();
    (letters as f64 * STEP - (STEP - WIDE)).max(0.0)
}

/// The strokes of `text`, which begins at `at` (its top left) and is `height` high. Letters are
/// drawn large; what has no strokes is left as a space.
pub fn strokes(text: &str, at: Coord<f64>, height: f64) -> Vec<Vec<Coord<f64>>> {
    let mut lines = Vec::new();
    for (place, letter) in text.chars().enumerate() {
        let left = at.x + place as f64 * STEP * height;
        for stroke in shape(letter.to_ascii_uppercase()).split(' ') {
            let corner = |pair: &[u8]| {
                let [x, y] = [0, 1].map(|i| pair.get(i).map_or(0, |digit| digit - b'0'));
                Coord {
                    x: left + f64::from(x) / 6.0 * height,
                    y: at.y + f64::from(y) / 6.0 * height,
                }
            };
            let line: Vec<_> = stroke.as_bytes().chunks(2).map(corner).collect();
            if !line.is_empty() {
                lines.push(line);
            }
        }
    }
    lines
}

/// The strokes of a letter on a grid 4 wide and 6 high: two digits a corner, right and down; a
/// space lifts the pen.
fn shape(letter: char) -> &'static str {
    match letter {
        'A' => "062046 1434",
        'B' => "06003041423303 3344453606",
        'C' => "4130100105163645",
        'D' => "060020424426 2606",
        'E' => "40000646 0333",
        'F' => "400006 0333",
        'G' => "41301001051636454323",
        'H' => "0006 4046 0343",
        'I' => "1030 2026 1636",
        'J' => "4045361605",
        'K' => "0006 400346",
        'L' => "000646",
        'M' => "0600234046",
        'N' => "06004640",
        'O' => "103041453616050110",
        'P' => "060030414233 3303",
        'Q' => "103041453616050110 2446",
        'R' => "060030414233 3303 2346",
        'S' => "413010010213334445361605",
        'T' => "0040 2026",
        'U' => "000516364540",
        'V' => "002640",
        'W' => "0016233640",
        'X' => "0046 4006",
        'Y' => "002340 2326",
        'Z' => "00400646",
        '0' => "103041453616050110 1531",
        '1' => "122026 1636",
        '2' => "01103041420646",
        '3' => "01103041423313 334445361605",
        '4' => "36300444",
        '5' => "400002324345361605",
        '6' => "413010010516364544331304",
        '7' => "004016",
        '8' => "103041423313020110 1304051636454433",
        '9' => "0516364541301001021343",
        '.' => "2526",
        ',' => "2516",
        ':' => "2223 2526",
        '-' => "1333",
        '+' => "2125 0343",
        '/' => "0640",
        '%' => "0640 0110 3645",
        '(' => "30121436",
        ')' => "10323416",
        _ => "",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_letter_and_digit_has_strokes_inside_its_box() {
        for letter in ('A'..='Z').chain('0'..='9').chain(".,:-+/%()".chars()) {
            let lines = strokes(&letter.to_string(), Coord { x: 0.0, y: 0.0 }, 6.0);
            assert!(!lines.is_empty(), "{letter}");
            for corner in lines.iter().flatten() {
                let inside = (0.0..=4.0).contains(&corner.x) && (0.0..=6.0).contains(&corner.y);
                assert!(inside, "{letter} {corner:?}");
            }
            assert!(lines.iter().all(|line| line.len() > 1), "{letter}");
        }
    }

    #[test]
    fn no_two_letters_look_the_same() {
        let all: Vec<char> = ('A'..='Z').chain('0'..='9').collect();
        for (i, a) in all.iter().enumerate() {
            for b in &all[i + 1..] {
                assert_ne!(shape(*a), shape(*b), "{a} {b}");
            }
        }
    }
}
