use super::*;

fn sewn(id: &str, thread: u32, needles: usize, trims: usize) -> Object {
    let mut stitches = StitchList::new();
    for i in 0..needles {
        stitches.needle(StitchRole::Cover, Coord { x: i as f64, y: 0. });
    }
    for _ in 0..trims {
        stitches.trim(Coord { x: 0., y: 0. });
    }
    Object {
        thread,
        stitches: stitches.into_blocks(),
        ..Object::new(id, Shape::Manual)
    }
}

fn design() -> Design {
    Design::on_page(
        90.0,
        90.0,
        vec![
            sewn("sky", 0, 4000, 1),
            sewn("not sewn", 5, 0, 0),
            sewn("moon", 0, 1000, 1),
            sewn("owl", 1, 2000, 2),
        ],
    )
}

/// By hand, with the reference values of the trade (600 to 1000 stitches a minute, 7 s a trim, 6 to 20 s
/// a colour change, 5 m of top and 3 m of bobbin thread for 1000 stitches):
///
/// ```text
/// stitches   4000 + 1000 + 2000                            = 7000
/// trims      1 + 1 + 2                                     = 4
/// changes    sky to moon 0, moon to owl 1                  = 1
/// sewing     7000 / 700 min = 600 s, 4 × 7 s, 1 × 15 s     = 643 s        = 10 min 43 s
/// order      10 pieces on 4 heads are 3 rounds: 3 × 643 s  = 1929 s
///            hooping 10 × 2 min                            = 1200 s
///                                                            3129 s       = 52 min 9 s
/// thread     7 × 10 × 5 m                                  = 350 m top
///            7 × 10 × 3 m                                  = 210 m bobbin
/// price      3129 s / 3600 × 40                            = 34.7667
///            560 m / 1000 × 2                              =  1.12
///            once                                          = 25
///                                                            60.8867      = 60.89, 6.09 a piece
/// ```
#[test]
fn the_price_is_the_one_reckoned_by_hand() {
    let settings = PriceEstimate {
        heads: 4,
        pieces: 10,
        once: 25.0,
        currency: "EUR".into(),
        ..PriceEstimate::default()
    };
    let before = design();
    messages::take();
    let after = price_estimate(before.clone(), &[0, 1, 2, 3], &settings);
    assert_eq!(after, Ok(before));
    let said: Vec<String> = messages::take().into_iter().map(|f| f.message).collect();
    assert_eq!(
        said,
        [
            "A piece has 7000 stitches, 4 trims and 1 colour change: 10 min 43 s of sewing.",
            "10 pieces: 52 min 9 s with hooping, 350.0 m of top thread and 210.0 m of bobbin thread.",
            "Price of 10 pieces: 60.89 EUR, which is 6.09 EUR a piece.",
        ]
    );
}

#[test]
fn only_what_is_selected_is_counted() {
    let count = Count::of(&design(), &[0, 2]);
    assert_eq!(
        count,
        Count {
            stitches: 5000,
            trims: 2,
            colour_changes: 0
        }
    );
}

#[test]
fn what_is_not_sewn_has_no_price() {
    let nothing = Design::on_page(9.0, 9.0, vec![Object::new("a", Shape::Manual)]);
    messages::take();
    let same = price_estimate(nothing.clone(), &[0], &PriceEstimate::default());
    assert_eq!(same, Ok(nothing));
    let said = messages::take();
    assert_eq!(said.len(), 1);
    assert_eq!(said[0].severity, Severity::Warning);
}
