//! The stock steps, natively, on any design and with any settings that their schemas allow.

use crate::Subject;
use arbitrary::{Result, Unstructured};
use hoopwright::sharing::Fingerprint;
use hoopwright_sdk::testing::{designs, keeps_the_contract_on, settings};
use hoopwright_sdk::{Design, Step, valid};
use proptest::strategy::{BoxedStrategy, Strategy as _, ValueTree as _};
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};
use serde::Deserialize as _;
use serde_json::{Value, json};

/// A step, a design, the places of the selected objects and the settings, as one JSON.
pub const SUBJECT: Subject = Subject {
    name: "step",
    make: any,
    wrongs,
    seeds: &[],
};

/// A stock step, with what the tries of it need.
pub struct Stock {
    /// The step.
    pub step: Step,
    /// The schema of its settings.
    pub schema: Value,
    /// Settings that fit, from the SDK's own cases.
    settings: BoxedStrategy<Value>,
}

thread_local! {
    // Strategies are not shared between threads.
    static STEPS: Vec<Stock> = steps().into_iter().map(Stock::new).collect();
    static DESIGNS: BoxedStrategy<(Design, Vec<usize>)> = designs();
}

impl Stock {
    fn new(step: Step) -> Self {
        let schema: Value =
            serde_json::from_str(&step.description.settings_schema).unwrap_or_default();
        Self {
            settings: settings(&schema),
            step,
            schema,
        }
    }

    /// Does something with the stock step of this name, where there is one.
    pub fn with<T>(name: &str, act: impl FnOnce(&Self) -> T) -> Option<T> {
        STEPS.with(|steps| {
            let stock = steps
                .iter()
                .find(|stock| stock.step.description.name == name)?;
            Some(act(stock))
        })
    }

    /// The schema of a stock step's settings, and its name; which step, the bytes choose.
    pub fn any(bytes: &mut Unstructured<'_>) -> Result<(String, Value)> {
        STEPS.with(|steps| {
            let stock = bytes.choose(steps)?;
            Ok((stock.step.description.name.clone(), stock.schema.clone()))
        })
    }
}

/// All stock steps, in the order of their names.
pub fn steps() -> Vec<Step> {
    vec![
        hoopwright_align::step(),
        hoopwright_border_angles::step(),
        hoopwright_cut_layers::step(),
        hoopwright_drawn_marks::step(),
        hoopwright_join_outlines::step(),
        hoopwright_line_run::step(),
        hoopwright_region_fill::step(),
        hoopwright_repeat::step(),
        hoopwright_satin_column::step(),
        hoopwright_sew_order::step(),
        hoopwright_single_pieces::step(),
        hoopwright_snap_ends::step(),
        hoopwright_starts_and_finishes::step(),
        hoopwright_ties_and_trims::step(),
        hoopwright_transform::step(),
        hoopwright_tuck_under::step(),
    ]
}

/// The SDK's own cases, which the bytes choose.
fn any(bytes: &mut Unstructured<'_>) -> Result<Vec<u8>> {
    STEPS.with(|steps| {
        let stock = bytes.choose(steps)?;
        let choices = bytes.bytes(bytes.len())?;
        // Both have a share of their own, so that a change of one leaves the other as it is.
        let (of_settings, of_design) = choices.split_at(choices.len() / 4);
        let settings = chosen(&stock.settings, of_settings).unwrap_or_else(|| json!({}));
        let case = DESIGNS.with(|designs| chosen(designs, of_design));
        let Some((design, selected)) = case else {
            return Ok(Vec::new());
        };
        let case = json!({
            "step": stock.step.description.name,
            "settings": settings,
            "selected": selected,
            "design": design,
        });
        Ok(format!("{case:#}\n").into_bytes())
    })
}

/// What a strategy gives by chance; the same for the same bytes. (Bytes that a strategy chooses by itself
/// run out, and then some choose for ever.)
fn chosen<T: std::fmt::Debug>(strategy: &BoxedStrategy<T>, bytes: &[u8]) -> Option<T> {
    let seed = Fingerprint::of(bytes).0;
    let rng = TestRng::from_seed(RngAlgorithm::ChaCha, &seed);
    let config = Config {
        failure_persistence: None,
        ..Config::default()
    };
    let mut runner = TestRunner::new_with_rng(config, rng);
    strategy
        .new_tree(&mut runner)
        .ok()
        .map(|tree| tree.current())
}

/// The step keeps the contract.
fn wrongs(file: &[u8]) -> Vec<String> {
    let Ok(case) = serde_json::from_slice::<Value>(file) else {
        return Vec::new();
    };
    let design = Design::deserialize(&case["design"]);
    let selected: std::result::Result<Vec<usize>, _> =
        serde_json::from_value(case["selected"].clone());
    let (Ok(design), Ok(mut selected)) = (design, selected) else {
        return Vec::new();
    };
    selected.retain(|&place| place < design.objects.len());
    // The host lets no other design and no other settings reach a step.
    if !valid::problems(&design).is_empty() {
        return Vec::new();
    }
    let kept = Stock::with(case["step"].as_str().unwrap_or_default(), |stock| {
        let fits = jsonschema::draft202012::is_valid(&stock.schema, &case["settings"]);
        if fits {
            keeps_the_contract_on(&stock.step, &design, &selected, &case["settings"])
        } else {
            Ok(())
        }
    });
    match kept {
        Some(Err(wrong)) => vec![wrong],
        _ => Vec::new(),
    }
}
