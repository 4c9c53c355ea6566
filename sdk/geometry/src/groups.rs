//! Things that hang together, found pair by pair (R. E. Tarjan, "Efficiency of a good but not linear
//! set union algorithm", Journal of the ACM 22 (1975) 215-225).

/// Things in groups that can be merged (union-find). A group is known by its first member.
#[derive(Clone, Debug, Default)]
pub struct Groups(Vec<usize>);

impl Groups {
    /// So many things, each on its own.
    pub fn new(count: usize) -> Self {
        Self((0..count).collect())
    }

    /// One more thing on its own.
    pub fn add(&mut self) -> usize {
        self.0.push(self.0.len());
        self.0.len() - 1
    }

    /// The first member of a thing's group.
    pub fn of(&mut self, mut thing: usize) -> usize {
        while self.0[thing] != thing {
            self.0[thing] = self.0[self.0[thing]];
            thing = self.0[thing];
        }
        thing
    }

    /// How many groups there are.
    pub fn count(&self) -> usize {
        let firsts = self.0.iter().enumerate();
        firsts.filter(|&(thing, &above)| thing == above).count()
    }

    /// Merges the groups of two things. Whether they were apart.
    pub fn merge(&mut self, a: usize, b: usize) -> bool {
        let (a, b) = (self.of(a), self.of(b));
        self.0[a.max(b)] = a.min(b);
        a != b
    }
}

#[cfg(test)]
mod tests {
    use super::Groups;

    #[test]
    fn a_group_is_known_by_its_first_member() {
        let mut groups = Groups::new(4);
        assert!(groups.merge(3, 1));
        assert!(groups.merge(2, 3));
        assert!(!groups.merge(1, 2));
        assert_eq!(groups.add(), 4);
        assert_eq!(groups.count(), 3);
        assert_eq!(
            [0, 1, 2, 3, 4].map(|thing| groups.of(thing)),
            [0, 1, 1, 1, 4]
        );
    }
}
