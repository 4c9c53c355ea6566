//! Which objects a design step may change.

/// For each of `count` objects, whether its place is among those `selected`.
pub fn flags(count: usize, selected: &[usize]) -> Vec<bool> {
    let mut flags = vec![false; count];
    for &place in selected {
        if let Some(flag) = flags.get_mut(place) {
            *flag = true;
        }
    }
    flags
}

#[cfg(test)]
mod tests {
    #[test]
    fn places_beyond_the_design_select_nothing() {
        assert_eq!(super::flags(3, &[2, 0, 7]), [true, false, true]);
    }
}
