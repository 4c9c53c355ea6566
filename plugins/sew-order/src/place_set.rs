//! A set of small whole numbers, one bit each.

/// A set of the numbers below a limit given at the start.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct PlaceSet {
    words: Vec<u64>,
}

impl PlaceSet {
    /// The empty set of numbers below `limit`.
    pub fn below(limit: usize) -> Self {
        Self {
            words: vec![0; limit.div_ceil(64)],
        }
    }

    /// Whether `place` is in the set.
    pub fn has(&self, place: usize) -> bool {
        self.words
            .get(place / 64)
            .is_some_and(|word| word >> (place % 64) & 1 == 1)
    }

    /// Puts `place` into the set, if it is below the limit.
    pub fn add(&mut self, place: usize) {
        if let Some(word) = self.words.get_mut(place / 64) {
            *word |= 1 << (place % 64);
        }
    }

    /// Puts all of `other` into the set.
    pub fn add_all(&mut self, other: &Self) {
        for (word, other) in self.words.iter_mut().zip(&other.words) {
            *word |= other;
        }
    }

    /// How many numbers are in the set.
    pub fn len(&self) -> usize {
        self.words
            .iter()
            .map(|word| word.count_ones() as usize)
            .sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_go_in_and_are_found() {
        let mut set = PlaceSet::below(130);
        for place in [0, 63, 64, 129, 500] {
            set.add(place);
        }
        assert_eq!(set.len(), 4);
        assert!(set.has(64) && set.has(129) && !set.has(1) && !set.has(500));
        let mut other = PlaceSet::below(130);
        other.add(1);
        other.add_all(&set);
        assert_eq!(other.len(), 5);
    }
}
