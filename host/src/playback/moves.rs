//! The machine's moves, packed: three columns of one byte a record.

use crate::design::StitchRole;
use crate::formats::dst::record::Record;
use crate::formats::dst::{Passage, Purpose, Route};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use serde::Serialize;

/// The columns, each as base64 of one byte a record. The end of the design is no record here.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Moves {
    /// How many records there are.
    pub count: usize,
    /// How far to the right, in 0.1 mm, with a sign.
    pub right: String,
    /// How far down, in 0.1 mm, with a sign.
    pub down: String,
    /// What the record is: kind + 4 * role + 16 * passage, in the order of the lists below.
    pub what: String,
}

/// The kinds of record by number.
const STITCH: u8 = 0;
const JUMP: u8 = 1;
const HALT: u8 = 2;

impl Moves {
    /// The moves of `route`.
    pub fn of(route: &Route) -> Self {
        let mut columns = [const { Vec::new() }; 3];
        for (record, purpose) in route.records.iter().zip(&route.purposes) {
            let (way, kind) = match *record {
                Record::Stitch(way) => ([way.x.units(), way.y.units()], STITCH),
                Record::Jump(way) => ([way.x.units(), way.y.units()], JUMP),
                Record::Halt => ([0, 0], HALT),
                Record::End => break,
            };
            // A reach of at most 121 either way fits a byte; the page's y grows down.
            columns[0].push(way[0] as i8 as u8);
            columns[1].push(-way[1] as i8 as u8);
            columns[2].push(kind + 4 * role(purpose) + 16 * passage(purpose));
        }
        let [right, down, what] = columns;
        Self {
            count: what.len(),
            right: STANDARD.encode(right),
            down: STANDARD.encode(down),
            what: STANDARD.encode(what),
        }
    }
}

fn role(purpose: &Purpose) -> u8 {
    match purpose.role {
        StitchRole::Underlay => 0,
        StitchRole::Cover => 1,
        StitchRole::Travel => 2,
        StitchRole::Tie => 3,
    }
}

fn passage(purpose: &Purpose) -> u8 {
    match purpose.passage {
        Passage::Sewn => 0,
        Passage::Carried => 1,
        Passage::Trimmed => 2,
        Passage::Bare => 3,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::{Design, Object, Shape, StitchList, Thread};
    use crate::formats::dst::Machine;
    use crate::formats::dst::record::Move;
    use geo::Coord;
    use proptest::prelude::*;

    /// What the page's script reads, decoded here by itself.
    pub fn decode(moves: &Moves) -> Vec<([i32; 2], u8, u8, u8)> {
        let column = |text: &str| STANDARD.decode(text).expect("base64");
        let (right, down, what) = (
            column(&moves.right),
            column(&moves.down),
            column(&moves.what),
        );
        assert_eq!([right.len(), down.len(), what.len()], [moves.count; 3]);
        let signed = |byte: u8| i32::from(byte as i8);
        (0..moves.count)
            .map(|i| {
                let way = [signed(right[i]), signed(down[i])];
                (way, what[i] & 3, what[i] >> 2 & 3, what[i] >> 4)
            })
            .collect()
    }

    fn thread(name: &str) -> Thread {
        Thread {
            name: name.to_owned(),
            code: String::new(),
            red: 1,
            green: 2,
            blue: 3,
            weight: 40,
        }
    }

    fn plan(lists: Vec<StitchList>) -> Route {
        let objects = lists.into_iter().enumerate().map(|(place, list)| {
            let mut object = Object::new(&format!("o{place}"), Shape::Manual);
            object.thread = (place % 2) as u32;
            object.stitches = list.into_blocks();
            object
        });
        let mut design = Design::on_page(50.0, 50.0, objects.collect());
        design.threads = vec![thread("Dusk"), thread("Straw")];
        Route::plan(&design, &Machine::default()).expect("sound").0
    }

    fn at(x: f64, y: f64) -> Coord<f64> {
        Coord { x, y }
    }

    #[test]
    fn a_record_is_its_way_kind_role_and_passage() {
        let mut list = StitchList::new();
        list.needle(StitchRole::Underlay, at(0.0, 0.0));
        list.needle(StitchRole::Cover, at(3.0, 1.0));
        list.jump(at(5.0, 1.0));
        list.needle(StitchRole::Tie, at(5.0, 1.0));
        list.trim(at(9.0, 9.0));
        list.needle(StitchRole::Cover, at(9.0, 9.0));
        let route = plan(vec![list]);
        let decoded = decode(&Moves::of(&route));
        let after_start = decoded.iter().skip_while(|record| record.3 == 3);
        let told: Vec<_> = after_start.copied().collect();
        assert_eq!(told[0], ([30, 10], 0, 1, 0), "a cover stitch, sewn, y down");
        assert_eq!(told[1].1, JUMP);
        assert_eq!((told[1].2, told[1].3), (3, 1), "carried to the tie");
        assert_eq!(told[2].1, STITCH);
        assert_eq!(told[2].3, 1, "the last part of the way is carried too");
        let cut: Vec<_> = told[3..]
            .iter()
            .map(|record| (record.1, record.3))
            .collect();
        assert_eq!(cut, [(JUMP, 2), (JUMP, 2), (JUMP, 2), (STITCH, 2)]);
    }

    #[test]
    fn a_halt_stands_before_the_next_thread_and_is_bare() {
        let line = |x: f64| {
            let mut list = StitchList::new();
            list.needle(StitchRole::Cover, at(x, 0.0));
            list.needle(StitchRole::Cover, at(x, 4.0));
            list
        };
        let route = plan(vec![line(0.0), line(10.0)]);
        let decoded = decode(&Moves::of(&route));
        let halt = decoded.iter().position(|record| record.1 == HALT);
        let halt = halt.expect("a thread change");
        assert_eq!(decoded[halt].3, 3);
        assert_eq!(route.purposes[halt].object, 1);
        assert_eq!(route.purposes[halt - 1].object, 0);
    }

    proptest! {
        /// Any stitches: the columns give back every record of the route, the trims that it counts,
        /// and stand under one another.
        #[test]
        fn the_columns_give_the_route_back(
            steps in prop::collection::vec((-300i32..300, -300i32..300, 0u8..8), 2..200),
        ) {
            let mut lists = vec![StitchList::new()];
            for (x, y, what) in steps {
                let place = at(f64::from(x) / 10.0, f64::from(y) / 10.0);
                if what == 7 {
                    lists.push(StitchList::new());
                }
                let list = lists.last_mut().expect("one at least");
                match what {
                    0 => list.jump(place),
                    1 => list.trim(place),
                    2 => list.needle(StitchRole::Underlay, place),
                    3 => list.needle(StitchRole::Travel, place),
                    _ => list.needle(StitchRole::Cover, place),
                }
            }
            lists[0].needle(StitchRole::Cover, at(0.0, 0.0));
            let route = plan(lists);
            let decoded = decode(&Moves::of(&route));
            prop_assert_eq!(decoded.len() + 1, route.records.len());
            let mut trims = 0;
            for (place, (way, kind, _, passage)) in decoded.iter().enumerate() {
                let back = Move::new(way[0], -way[1]).expect("in reach");
                let record = match *kind {
                    STITCH => Record::Stitch(back),
                    JUMP => Record::Jump(back),
                    _ => Record::Halt,
                };
                prop_assert_eq!(record, route.records[place]);
                let begins = *kind == JUMP && (place == 0 || decoded[place - 1].1 != JUMP);
                trims += usize::from(begins && *passage == 2);
            }
            prop_assert_eq!(trims, route.trims());
        }
    }
}
