//! The known name that a mistyped one most likely meant.

/// Longer names than this are no slips of ours, in bytes.
const LONGEST: usize = 256;

/// The name in `known` nearest to `given`, if one is near enough to be worth asking about.
pub fn nearest<'a>(given: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    // Comparing takes memory by the product of both lengths, and a file may give a name of many MiB.
    if given.len() > LONGEST {
        return None;
    }
    let given = given.to_lowercase();
    known
        .into_iter()
        .map(|name| {
            (
                strsim::damerau_levenshtein(&given, &name.to_lowercase()),
                name,
            )
        })
        .filter(|(distance, name)| *distance <= (name.len().max(given.len()) / 3).max(1))
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, name)| name)
}

/// A sentence that asks about the nearest name, or tells all names.
pub fn did_you_mean<'a>(given: &str, known: impl IntoIterator<Item = &'a str>) -> String {
    let known: Vec<&str> = known.into_iter().collect();
    match nearest(given, known.iter().copied()) {
        Some(name) => format!("Did you mean \"{name}\"?"),
        None if known.is_empty() => "There is none here.".to_owned(),
        None => format!("There are: {}.", known.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_finds_its_name_and_nonsense_finds_none() {
        let known = ["density", "angle", "stitch-length"];
        assert_eq!(nearest("densty", known), Some("density"));
        assert_eq!(nearest("Angel", known), Some("angle"));
        assert_eq!(nearest("zzz", known), None);
        assert_eq!(nearest(&"density".repeat(1_000_000), known), None);
    }
}
