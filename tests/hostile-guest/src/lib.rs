//! A plugin that misbehaves in every way its settings ask for, to test the sandbox with.

use hoopwright_sdk::piecework::Piecework;
use hoopwright_sdk::prelude::*;

choices! {
    /// What the step does.
    pub enum Deed {
        /// Moves what is selected by 1 mm, as it may.
        #[default]
        Move,
        /// Never comes back.
        Spin,
        /// Asks for memory without end.
        Allocate,
        /// Calls itself without end.
        Recurse,
        /// Panics.
        Panic,
        /// Says that it cannot.
        Fail,
        /// Hands back a coordinate that is not a number.
        NotANumber,
        /// Hands back columns of unequal length.
        UnequalColumns,
        /// Changes an object that was not selected.
        ChangeOther,
        /// Removes an object that was not selected.
        RemoveOther,
        /// Gives two objects the same id.
        SameId,
        /// Asks for a thread that is not there.
        NoSuchThread,
        /// Changes the colour of a thread.
        Dye,
        /// Hands back more than fits.
        HugeAnswer,
        /// Logs without end.
        HugeLog,
        /// Gives out four pieces, as it may, and moves what is selected by as many mm as they say.
        Pieces,
        /// A piece never comes back.
        PieceSpin,
        /// A piece panics.
        PiecePanic,
        /// A piece asks for memory without end.
        PieceHoard,
        /// Pieces hand back more than fits.
        PieceHuge,
        /// A piece gives out a piece.
        PieceInPiece,
        /// Gives out more pieces than anybody needs.
        ManyPieces,
        /// Gives out pieces without end.
        PiecesForEver,
    }
}

settings! {
    /// What to do wrong.
    pub struct Hostile {
        /// The deed.
        pub deed: Deed = Deed::Move;
    }
}

fn hostile(mut design: Design, selected: &[usize], settings: &Hostile) -> Result<Design, Failure> {
    let other = (0..design.objects.len()).find(|place| !selected.contains(place));
    match settings.deed {
        Deed::Move => {
            for &place in selected {
                for block in &mut design.objects[place].stitches {
                    block.x.iter_mut().for_each(|x| *x += 1.0);
                }
            }
        }
        Deed::Spin => spin(),
        Deed::Allocate => hoard(),
        Deed::Recurse => {
            messages::log(&deeper(1).to_string());
        }
        Deed::Panic => panic!("the needle of this step is bent"),
        Deed::Fail => {
            return Err(Failure::new("no thread is green enough").help("Buy green thread."));
        }
        Deed::NotANumber => design.objects[selected[0]].stitches.push(StitchBlock {
            kind: StitchKind::Needle,
            role: StitchRole::Cover,
            x: vec![f64::NAN],
            y: vec![0.0],
        }),
        Deed::UnequalColumns => design.objects[selected[0]].stitches.push(StitchBlock {
            kind: StitchKind::Needle,
            role: StitchRole::Cover,
            x: vec![0.0, 1.0],
            y: vec![0.0],
        }),
        Deed::ChangeOther => {
            if let Some(other) = other {
                design.objects[other].name.push_str(" (changed)");
            }
        }
        Deed::RemoveOther => {
            if let Some(other) = other {
                design.objects.remove(other);
            }
        }
        Deed::SameId => {
            let twin = design.objects[selected[0]].clone();
            design.objects.push(twin);
        }
        Deed::NoSuchThread => design.objects[selected[0]].thread = 4_000_000_000,
        Deed::Dye => design.threads[0].red ^= 255,
        Deed::HugeAnswer => {
            let names = "x".repeat(100 << 20);
            design.objects[selected[0]].tags = vec![names.clone(), names.clone(), names];
        }
        Deed::HugeLog => {
            for line in 0..1_000_000 {
                messages::log(&format!("line {line}"));
            }
        }
        Deed::ManyPieces => {
            settings.give_out(0..200_000);
        }
        Deed::PiecesForEver => loop {
            settings.give_out(PIECES);
        },
        Deed::Pieces
        | Deed::PieceSpin
        | Deed::PiecePanic
        | Deed::PieceHoard
        | Deed::PieceHuge
        | Deed::PieceInPiece => {
            let by: usize = settings.give_out(PIECES).iter().map(Vec::len).sum();
            for block in &mut design.objects[selected[0]].stitches {
                block.x.iter_mut().for_each(|x| *x += by as f64);
            }
        }
    }
    Ok(design)
}

const PIECES: std::ops::Range<u32> = 0..4;

impl Piecework for Hostile {
    type Piece = u32;
    type Done = Vec<u8>;

    fn work(&self, piece: u32) -> Vec<u8> {
        match self.deed {
            Deed::PieceSpin => spin(),
            Deed::PiecePanic => panic!("the needle of piece {piece} is bent"),
            Deed::PieceHoard => hoard(),
            Deed::PieceHuge => vec![7; 300 << 10],
            Deed::PieceInPiece => self.give_out([piece]).concat(),
            _ => {
                messages::log(&format!("log of piece {piece}"));
                messages::report(Finding::note(format!("finding of piece {piece}")));
                vec![7; piece as usize]
            }
        }
    }
}

fn spin() -> ! {
    loop {
        std::hint::black_box(());
    }
}

fn hoard() -> ! {
    let mut hoard = Vec::new();
    loop {
        hoard.push(vec![1_u8; 1 << 20]);
        std::hint::black_box(&hoard);
    }
}

/// Deep enough for any stack, and not to be flattened into a loop.
#[allow(unconditional_recursion, reason = "that is the point")]
fn deeper(depth: u64) -> u64 {
    let here = std::hint::black_box([depth; 64]);
    here[0] + deeper(depth + 1) + here[63]
}

design_step! {
    name: "hostile",
    summary: "Misbehaves, to test the sandbox.",
    settings: Hostile,
    process: hostile,
}
hoopwright_sdk::piece_worker!(Hostile);
