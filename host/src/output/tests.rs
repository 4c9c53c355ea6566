use super::*;

fn set(folder: &Path, text: &str) -> Vec<(PathBuf, Vec<u8>)> {
    ["owl.dst", "owl.worksheet.html", "owl.report.json"]
        .map(|name| (folder.join(name), format!("{text} {name}").into_bytes()))
        .to_vec()
}

fn found(folder: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    let entries = fs::read_dir(folder).expect("a folder");
    let mut found: Vec<(PathBuf, Vec<u8>)> = entries
        .map(|entry| entry.expect("an entry").path())
        .map(|path| (path.clone(), fs::read(path).unwrap_or_default()))
        .collect();
    found.sort();
    found
}

fn sorted(mut files: Vec<(PathBuf, Vec<u8>)>) -> Vec<(PathBuf, Vec<u8>)> {
    files.sort();
    files
}

#[test]
fn a_set_takes_the_place_of_another() {
    let place = tempfile::tempdir().expect("a folder");
    let folder = place.path().join("new/er");
    for text in ["first", "second"] {
        assert_eq!(write_all(&set(&folder, text)), Ok(()));
        assert_eq!(found(&folder), sorted(set(&folder, text)));
    }
}

#[cfg(unix)]
#[test]
fn moves_are_taken_back() {
    let place = tempfile::tempdir().expect("a folder");
    let folder = place.path();
    let mut files = set(folder, "old");
    assert_eq!(write_all(&files), Ok(()));
    let before = found(folder);
    // It waits under a short name; only the move to its place fails, after others.
    let long = folder.join("a".repeat(300));
    files = set(folder, "new");
    files.insert(1, (long, Vec::new()));
    let problem = write_all(&files).expect_err("no file has so long a name");
    assert_eq!(problem.code, "cannot-write");
    assert_eq!(found(folder), before);
}

#[test]
fn two_at_once_never_mix() {
    let place = tempfile::tempdir().expect("a folder");
    let folder = place.path();
    std::thread::scope(|scope| {
        for text in ["one", "two", "three"] {
            scope.spawn(move || {
                for _ in 0..20 {
                    assert_eq!(write_all(&set(folder, text)), Ok(()));
                }
            });
        }
    });
    let is_set = |text: &str| found(folder) == sorted(set(folder, text));
    assert!(["one", "two", "three"].into_iter().any(is_set));
}

/// A run that is killed between any two moves leaves no files of two runs side by side, and the first
/// of the set only where all others are.
#[test]
fn a_kill_between_any_two_moves_mixes_nothing() {
    for moves in 0..=6 {
        let place = tempfile::tempdir().expect("a folder");
        let folder = place.path().join("out");
        assert_eq!(write_all(&set(&folder, "old")), Ok(()));
        let files = set(&folder, "new");
        let waits: Vec<Waits<'_>> = files
            .iter()
            .enumerate()
            .map(|(number, (path, bytes))| {
                let new = place.path().join(format!("new-{number}"));
                fs::write(&new, bytes).expect("written");
                (new, place.path().join(format!("old-{number}")), &**path)
            })
            .collect();
        let plan = plan(&waits);
        assert_eq!(plan.len(), 6);
        for (from, to) in plan.iter().take(moves) {
            fs::rename(from, to).expect("moved");
        }
        let there = found(&folder);
        let of = |text| sorted(set(&folder, text));
        let (old, new) = (of("old"), of("new"));
        let all_of = |set: &[(PathBuf, Vec<u8>)]| there.iter().all(|file| set.contains(file));
        assert!(all_of(&old) || all_of(&new), "after {moves} moves");
        let has_first = there.iter().any(|(path, _)| path.ends_with("owl.dst"));
        assert_eq!(has_first, moves == 0 || moves == 6, "after {moves} moves");
    }
}
