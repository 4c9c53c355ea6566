//! Stitches placed by hand: written in a design of the least that is needed, and unchanged by every
//! stock step that is not about moving or tying them.

use crate::files::{scratch, sew};
use hoopwright::artwork;
use hoopwright::design::{Shape, StitchKind};
use hoopwright::formats::design_json;
use hoopwright::pipeline::Size;

const BY_HAND: &str = r#"{
  "objects": [
    {
      "id": "whisker",
      "stitches": [
        { "x": [0, 2.5, 5], "y": [0, 1, 0] },
        { "kind": "Jump", "role": "Travel", "x": [9], "y": [0] },
        { "x": [9, 11.5, 14], "y": [0, 1, 0] }
      ]
    },
    { "id": "eye", "shape": { "Region": { "polygons": [{ "outer": { "x": [8, 18, 12], "y": [0, 0, 9] } }] } } },
    { "id": "feather", "shape": { "Lines": { "width": 1.5, "paths": [{ "x": [0, 14], "y": [-2, -2] }] } } }
  ]
}"#;

/// `drawn-marks` takes objects away only where they are tagged, and `repeat` is asked for a column.
const ROUTINE: &str = r#"{ "steps": [
  { "step": "align" }, { "step": "transform" }, { "step": "repeat", "settings": { "columns": 1 } },
  { "step": "snap-ends" }, { "step": "drawn-marks" }, { "step": "cut-layers" },
  { "step": "join-outlines" }, { "step": "sew-order" }, { "step": "starts-and-finishes" },
  { "step": "region-fill" }, { "step": "satin-column" }, { "step": "line-run" }
] }"#;

#[test]
fn stitches_by_hand_pass_through_every_step() {
    let folder = scratch().join("manual-stitches");
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    let art = folder.join("hand.json");
    std::fs::write(&art, BY_HAND).unwrap();
    let routine = folder.join("routine.json");
    std::fs::write(&routine, ROUTINE).unwrap();
    sew(&routine, &art, &folder.join("out"));
    let (before, _) = artwork::read(&art, Size::default()).unwrap();
    let file = folder.join("out/hand.design.json");
    let after = design_json::read(&std::fs::read_to_string(&file).unwrap(), &file).unwrap();
    let whisker = after.objects.iter().find(|o| o.id == "whisker").unwrap();
    assert_eq!(*whisker, before.objects[0]);
    assert_eq!(whisker.shape, Shape::Manual);
    let jumps = whisker.each_stitch().filter(|s| s.kind == StitchKind::Jump);
    assert_eq!(jumps.count(), 1);
    // The others were sewn beside it.
    assert!(after.objects.iter().all(|object| object.is_sewn()));
}
