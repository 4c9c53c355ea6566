//! The table of what is measured: names, units, usual limits, and what to do about a finding.

use crate::formats::dst::Machine;
use crate::formats::dst::record::Reach;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// From where on a measure is worth a look, and from where on it holds a file back. What lies at a
/// limit is within it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields, default)]
pub struct Limit {
    /// More than this is a warning; 0 to 1000000, in the measure's unit. The usual limit unless
    /// given. To switch it off, give a value that no design comes to.
    #[schemars(with = "f64", range(min = 0.0, max = 1_000_000.0))]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub warning: Option<f64>,
    /// More than this is an error; 0 to 1000000, in the measure's unit. The usual limit unless
    /// given. To switch it off, give a value that no design comes to.
    #[schemars(with = "f64", range(min = 0.0, max = 1_000_000.0))]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub error: Option<f64>,
}

fn usual(warning: Option<f64>, error: Option<f64>) -> Limit {
    Limit { warning, error }
}

/// One row for each measure: the documentation is the schema's description as well.
macro_rules! measures {
    ($(
        $(#[doc = $doc:literal])+
        $measure:ident, $field:ident, $name:literal, $unit:literal, $warning:expr, $error:expr, $help:literal;
    )+) => {
        /// What is measured. The order is that of the report.
        #[derive(
            Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
        )]
        #[serde(rename_all = "kebab-case")]
        pub enum Measure {
            $( $(#[doc = $doc])+ $measure, )+
        }

        /// The shop's own limits, where they are not the usual ones.
        #[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
        #[serde(rename_all = "kebab-case", deny_unknown_fields, default)]
        pub struct Limits {
            $(
                $(#[doc = $doc])+
                #[schemars(extend(
                    "unit" = $unit,
                    "default" = usual($warning, $error),
                ))]
                pub $field: Limit,
            )+
        }

        impl Measure {
            /// All measures, in the order of the report.
            pub const ALL: &'static [Self] = &[$(Self::$measure),+];

            /// The name in reports and machine files.
            pub fn name(self) -> &'static str {
                match self { $(Self::$measure => $name),+ }
            }

            /// What it is measured in.
            pub fn unit(self) -> &'static str {
                match self { $(Self::$measure => $unit),+ }
            }

            /// What to do about a finding, and what that costs on `machine`.
            pub fn help(self, machine: &Machine) -> String {
                let help = match self { $(Self::$measure => $help),+ };
                help.replace("{trim}", &machine.seconds_per_trim.to_string())
            }

            /// The usual limits.
            pub fn usual(self) -> Limit {
                match self { $(Self::$measure => usual($warning, $error)),+ }
            }
        }

        impl Limits {
            /// The limits as the shop gave them, usual where it gave none.
            pub fn of(&self, measure: Measure) -> Limit {
                let given = match measure { $(Measure::$measure => self.$field),+ };
                let usual = measure.usual();
                Limit {
                    warning: given.warning.or(usual.warning),
                    error: given.error.or(usual.error),
                }
            }
        }
    };
}

// Sources. (R): read in the named source; (CP): common practice, no source; (P): our proposal.
// Stitches are safe from 1 mm: Printwear, December 2016, p. 30 (R); a hard floor of 0.3 to 0.5 mm
// (CP). Heaps and needle points per area (P): one full layer at a density of 0.4 mm is 5 mm/mm2, and
// 110 to 160 stitches per cm2 (D. Harris's seminar, 1990) (R). Satin 1 to 9 mm wide (Printwear)
// (R). A move of `Reach::MOST_MM` is all that a record tells (published layout). A travel is trimmed
// from 5 to 8 mm (R), from 2 to 3 mm if it shows (CP). 5 to 10 mm margin in the hoop (CP).
measures! {
    /// Share of stitches under 1 mm, ties left out: thread breaks where there are many. Usually a
    /// warning over 10 % and an error over 40 % of one object's stitches.
    ShortStitches, short_stitches, "short-stitches", "%", Some(10.0), Some(40.0),
        "lengthen the shortest stitch in the step that sews it, or drop the detail";
    /// Number of stitches under 0.3 mm, ties left out: the needle strikes its own thread. Usually
    /// a warning over 0 and an error over 20 in one object.
    TinyStitches, tiny_stitches, "tiny-stitches", "stitches", Some(0.0), Some(20.0),
        "lengthen the shortest stitch in the step that sews it, or drop the detail";
    /// Most needle points of one object within 0.2 mm of one place, ties left out: the needle cuts
    /// the thread that lies there. Usually a warning over 4, because a line sewn thrice strikes
    /// each hole three times on purpose, and an error over 12.
    RepeatedHits, repeated_hits, "repeated-hits", "hits", Some(4.0), Some(12.0),
        "spread the needle points: fewer passes, shorter stitches on the inside of curves, no satin that closes to a point";
    /// Ties beyond one at the beginning and one at the end of a run of thread: thread nests under
    /// the cloth. Usually a warning over 0 and an error over 50 in one run.
    ExtraTies, extra_ties, "extra-ties", "ties", Some(0.0), Some(50.0),
        "tie only where the thread is cut: let the step ties-and-trims do it, once, at the very end";
    /// Thread on a square of 2 mm, in mm of thread per mm2: the patch is stiff, and needles bend.
    /// Usually a warning over 10, which is two full layers, and an error over 15.
    ThreadHeaps, thread_heaps, "thread-heaps", "mm/mm2", Some(10.0), Some(15.0),
        "cut the lower layers away (cut-layers), open the density, or leave out the underlay of small details";
    /// Needle points on one square centimetre: the cloth is cut. Usually a warning over 400, two
    /// full layers with their underlay, and an error over 600, three.
    Penetrations, penetrations, "penetrations", "/cm2", Some(400.0), Some(600.0),
        "open the density, lengthen the stitches, or cut the lower layers away (cut-layers)";
    /// Share of an object's shape that will show cloth once the fabric has pulled its stitches
    /// together. Usually a warning over 1 % and an error over 20 %.
    Gaps, gaps, "gaps", "%", Some(1.0), Some(20.0),
        "raise the pull compensation to what the fabric needs, or close the density";
    /// Stitches sewn between a region and its outline: the cloth has moved, and the outline no
    /// longer meets the edge. Usually a warning over 15000.
    OutlineWait, outline_wait, "outline-wait", "stitches", Some(15_000.0), None,
        "sew the outline sooner after its region, or let the region reach farther under the outline";
    /// Trims beyond the fewest that the parts of the design need. Usually a warning over 10.
    ExtraTrims, extra_trims, "extra-trims", "trims", Some(10.0), None,
        "order the objects anew (sew-order, starts-and-finishes), or let travel run under later cover";
    /// Trims for 1000 stitches: each takes about 7 s, and may pull out. Usually a warning over 15.
    TrimRate, trim_rate, "trim-rate", "per 1000", Some(15.0), None,
        "join outlines, drop the smallest details, or sew short ways on instead of trimming";
    /// The longest stitch that is meant to be seen, in mm: from 9 mm on it hangs loose and snags.
    /// Usually a warning over 9 and an error over 12.1.
    LooseStitches, loose_stitches, "loose-stitches", "mm", Some(9.0), Some(Reach::MOST_MM),
        "split the satin, or fill the shape instead";
    /// The longest move from needle point to needle point along an axis, in mm. The file cannot
    /// tell more than 12.1, so that the writer splits it. Usually a warning over 12.1.
    LongMoves, long_moves, "long-moves", "mm", Some(Reach::MOST_MM), None,
        "give the stitches of this object a shorter length";
    /// The longest travel that is neither trimmed nor covered by what is sewn later, in mm.
    /// Usually a warning over 3 and an error over 30.
    Tails, tails, "tails", "mm", Some(3.0), Some(30.0),
        "give the step ties-and-trims a smaller trim-over (each trim takes about {trim} s), or lead the travel under what is sewn later";
    /// How far the design reaches beyond the machine's field, in mm. Usually an error over 0.
    Field, field, "field", "mm", Some(0.0), Some(0.0),
        "make the design smaller and digitize it again, or move the start point; the machine's manual tells its field";
    /// How far the design reaches into the free margin of the best of the machine's hoops, in mm.
    /// Usually a warning over 0.05, half the file's own step, and an error over 5, which is into
    /// the frame where the margin is 5.
    HoopMargin, hoop_margin, "hoop-margin", "mm", Some(0.05), Some(5.0),
        "take a larger hoop, or make the design smaller and digitize it again; trace the design before sewing";
    /// Threads that the design needs beyond the machine's needles. Usually a warning over 0.
    SpareNeedles, spare_needles, "spare-needles", "threads", Some(0.0), None,
        "let near colours share a thread of the rack, or plan where the operator changes a thread";
    /// Ways so long that the jumps make the machine cut an untied thread. Usually a warning over 0
    /// in one object.
    UnplannedCuts, unplanned_cuts, "unplanned-cuts", "cuts", Some(0.0), None,
        "let the step ties-and-trims lock and trim the thread there";
}

impl Limits {
    /// Every limit that makes no sense, as a name and a sentence.
    pub fn problems(&self) -> Vec<(&'static str, String)> {
        let mut wrong = Vec::new();
        for &measure in Measure::ALL {
            let Limit { warning, error } = self.of(measure);
            let sound = |limit: f64| (0.0..=1_000_000.0).contains(&limit);
            if ![warning, error].into_iter().flatten().all(sound) {
                wrong.push((
                    measure.name(),
                    "has a limit that is not from 0 to 1000000".to_owned(),
                ));
            } else if let (Some(warning), Some(error)) = (warning, error)
                && warning > error
            {
                wrong.push((
                    measure.name(),
                    format!("warns over {warning}, which is beyond its error over {error}"),
                ));
            }
        }
        wrong
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_shop_may_change_one_side_of_a_limit() {
        let limits: Limits =
            serde_json::from_str(r#"{"thread-heaps": {"warning": 8}}"#).expect("valid");
        let limit = limits.of(Measure::ThreadHeaps);
        assert_eq!((limit.warning, limit.error), (Some(8.0), Some(15.0)));
        assert!(limits.problems().is_empty());
        assert!(serde_json::from_str::<Limits>(r#"{"heaps": {}}"#).is_err());
    }

    #[test]
    fn a_warning_beyond_its_error_is_told() {
        let limits: Limits =
            serde_json::from_str(r#"{"thread-heaps": {"warning": 16}, "gaps": {"error": -1}}"#)
                .expect("valid");
        let wrong: Vec<&str> = limits
            .problems()
            .into_iter()
            .map(|(name, _)| name)
            .collect();
        assert_eq!(wrong, ["thread-heaps", "gaps"]);
    }

    #[test]
    fn names_are_those_of_the_file() {
        for measure in Measure::ALL {
            let told = serde_json::to_value(measure).expect("a name");
            assert_eq!(told, measure.name());
        }
        let schema = serde_json::Value::from(schemars::schema_for!(Limits));
        let known = schema["properties"].as_object().expect("properties");
        assert_eq!(known.len(), Measure::ALL.len());
        assert_eq!(
            schema["properties"]["thread-heaps"]["default"]["error"],
            15.0
        );
    }
}
