//! Pieces that a design step gives out: in their order, known or not, and under the step's own limits.

use super::{TIGHT, load, one_second, two_objects};
use crate::guests;
use hoopwright::design::Design;
use hoopwright::sandbox::{
    Answer, CallError, Limits, PIECES, PieceCache, PieceKey, Sandbox, Unanswered, Worked,
};
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex};

/// Keeps everything, and counts what it is given.
#[derive(Default)]
struct Shelf(Mutex<(BTreeMap<PieceKey, Arc<Worked>>, usize)>);

impl PieceCache for Shelf {
    fn get(&self, key: &PieceKey) -> Option<Arc<Worked>> {
        self.0.lock().unwrap().0.get(key).cloned()
    }

    fn put(&self, key: PieceKey, worked: Arc<Worked>) {
        let mut shelf = self.0.lock().unwrap();
        shelf.0.insert(key, worked);
        shelf.1 += 1;
    }
}

impl Shelf {
    fn put_there(&self) -> usize {
        self.0.lock().unwrap().1
    }
}

fn call(limits: Limits, deed: &str, shelf: Option<&Shelf>) -> Result<Answer<Design>, Unanswered> {
    let sandbox = Sandbox::new(limits, None).unwrap();
    let plugin = load(&sandbox, guests::hostile()).unwrap();
    let settings = format!(r#"{{"deed": "{deed}"}}"#);
    let shelf = shelf.map(|shelf| shelf as &dyn PieceCache);
    sandbox.call_design(&plugin, &two_objects(), &[0], &settings, None, shelf)
}

fn ends(limits: Limits, deed: &str) -> CallError {
    call(limits, deed, None).unwrap_err().why
}

#[test]
fn what_comes_of_pieces_is_heard_in_their_order() {
    let answer = call(TIGHT, "pieces", None).unwrap();
    // 0 + 1 + 2 + 3 mm.
    assert_eq!(answer.value.objects[0].stitches[0].x, [6.0, 9.0]);
    let lines = answer
        .log
        .lines
        .iter()
        .map(|line| line.text.rsplit(": ").next().unwrap());
    let findings = answer.log.findings.iter().map(|one| one.message.as_str());
    let of_each = |word: &str| -> Vec<String> {
        let pieces = (0..4).map(|piece| format!("{word} of piece {piece}"));
        pieces.collect()
    };
    assert_eq!(lines.collect::<Vec<_>>(), of_each("log"));
    assert_eq!(findings.collect::<Vec<_>>(), of_each("finding"));
}

#[test]
fn what_is_known_is_not_worked_on_again_and_gives_the_same() {
    let shelf = Shelf::default();
    let first = call(TIGHT, "pieces", Some(&shelf)).unwrap();
    assert_eq!(shelf.put_there(), 4);
    let again = call(TIGHT, "pieces", Some(&shelf)).unwrap();
    assert_eq!(shelf.put_there(), 4);
    assert_eq!(again, first);
    assert_eq!(call(TIGHT, "pieces", None).unwrap(), first);
    // Other settings are another piece.
    let _ = call(TIGHT, "pieces-for-ever", Some(&shelf));
    assert_eq!(shelf.put_there(), 8);
}

/// What was worked on before counts again: whether a design is too large does not hang on what is known.
#[test]
fn a_limit_of_work_holds_whatever_is_known() {
    let shelf = Shelf::default();
    let cold = call(TIGHT, "pieces-for-ever", None).unwrap_err();
    let warm = call(TIGHT, "pieces-for-ever", Some(&shelf)).unwrap_err();
    assert_eq!(cold, warm);
    assert_eq!(cold.why, CallError::Work(TIGHT.work_millions));
    assert!(
        cold.log.dropped > 0,
        "the lines of all pieces share a limit"
    );
}

#[test]
fn a_piece_ends_within_the_limits_of_its_step() {
    let work = CallError::Work(TIGHT.work_millions);
    assert_eq!(ends(TIGHT, "piece-spin"), work);
    assert_eq!(ends(one_second(TIGHT), "piece-spin"), CallError::Time(1));
    let little = Limits {
        memory_mib: 32,
        ..TIGHT
    };
    assert_eq!(ends(little, "piece-hoard"), CallError::Memory(32));
    let many = Limits {
        work_millions: 1000,
        ..TIGHT
    };
    assert_eq!(ends(many, "many-pieces"), CallError::Pieces(PIECES));
    // Each of the four fits, but not all together.
    let narrow = Limits {
        answer_mib: 1,
        ..TIGHT
    };
    assert_eq!(ends(narrow, "piece-huge"), CallError::Answers(1));
}

#[test]
fn a_piece_that_panics_says_so() {
    let CallError::Panic(words) = ends(TIGHT, "piece-panic") else {
        panic!("it panics");
    };
    // Of several the first is told.
    assert!(words.contains("the needle of piece 0 is bent"), "{words}");
}

#[test]
fn a_piece_gives_out_no_pieces() {
    let CallError::Trap(words) = ends(TIGHT, "piece-in-piece") else {
        panic!("it is refused");
    };
    assert!(
        words.contains("gives out pieces where it may not"),
        "{words}"
    );
}
