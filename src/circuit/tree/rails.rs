//! Which lines does the drawn tree have, row by row, and how much of the whole does each carry?
//!
//! Each branch has a row. Left of it stand the trunks that pass by on their way to later rows; its own trunk arrives
//! from above, may go on below to those that hang from the same, and a new one begins where something hangs from it.
//! A trunk thins as its branches leave it.

use super::Branch;

/// Most trunks side by side: what is deeper is drawn at the last one.
pub const MOST_COLUMNS: usize = 6;

/// A stretch of line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rail {
    /// How much it carries, in the unit of the weights.
    pub weight: f64,
    /// Whether anything that it leads to is live.
    pub live: bool,
}

impl Rail {
    fn and(self, other: Option<Self>) -> Self {
        other.map_or(self, |other| Self { weight: self.weight + other.weight, live: self.live || other.live })
    }
}

/// The lines in the row of one branch.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// The trunks that pass by, by column; none where there is no line.
    pub passing: Vec<Option<Rail>>,
    /// The column of the trunk that it hangs from.
    pub column: usize,
    /// That trunk, from above down to this branch.
    pub arriving: Rail,
    /// The branch itself.
    pub own: Rail,
    /// That trunk, from this branch on down.
    pub onward: Option<Rail>,
    /// The trunk of what hangs from this branch.
    pub below: Option<Rail>,
}

/// The rows of a tree and the trunk that leaves the fuse, with a weight for each branch that holds what hangs from it.
pub fn rails(branches: &[Branch], weights: &[f64]) -> (Option<Rail>, Vec<Row>) {
    // Of each branch, and last of the fuse: the trunk of what hangs from it, from the row just looked at on.
    let fuse = branches.len();
    let mut trunks: Vec<Option<Rail>> = vec![None; fuse + 1];
    let mut rows: Vec<Row> = Vec::with_capacity(fuse);
    for (index, (branch, weight)) in branches.iter().zip(weights).enumerate().rev() {
        let own = Rail { weight: *weight, live: branch.live };
        let trunk = &mut trunks[branch.from.unwrap_or(fuse)];
        let onward = *trunk;
        let arriving = own.and(onward);
        *trunk = Some(arriving);
        let column = branch.depth.min(MOST_COLUMNS);
        rows.push(Row { passing: Vec::new(), column, arriving, own, onward, below: trunks[index] });
    }
    rows.reverse();
    for (index, branch) in branches.iter().enumerate().take(rows.len()) {
        if let Some(from) = branch.from {
            let mut passing = rows[from].passing.clone();
            if passing.len() < MOST_COLUMNS {
                passing.push(rows[from].onward);
            }
            rows[index].passing = passing;
        }
    }
    (trunks[fuse], rows)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::circuit::tree::BranchKind;
    use crate::units::Amps;

    fn branch(from: Option<usize>, depth: usize, live: bool) -> Branch {
        let (label, current) = (String::new(), Amps(0.0));
        Branch { from, depth, label, kind: BranchKind::Joint, live, current, runs: Vec::new() }
    }

    /// Fuse, a joint with two ends, an end.
    fn small() -> (Vec<Branch>, Vec<f64>) {
        let branches =
            vec![branch(None, 0, true), branch(Some(0), 1, true), branch(Some(0), 1, false), branch(None, 0, true)];
        (branches, vec![3.0, 3.0, 0.0, 1.0])
    }

    #[test]
    fn a_trunk_thins_as_its_branches_leave_it() {
        let (branches, weights) = small();
        let (trunk, rows) = rails(&branches, &weights);
        assert_eq!(trunk, Some(Rail { weight: 4.0, live: true }));
        assert_eq!(rows[0].arriving.weight, 4.0);
        assert_eq!(rows[0].onward, Some(Rail { weight: 1.0, live: true }));
        assert_eq!(rows[0].below, Some(Rail { weight: 3.0, live: true }));
        assert_eq!(rows[3].onward, None);
    }

    #[test]
    fn a_trunk_that_leads_to_dead_ends_only_is_dead() {
        let (branches, weights) = small();
        let (_, rows) = rails(&branches, &weights);
        assert_eq!(rows[1].onward, Some(Rail { weight: 0.0, live: false }));
        assert!(rows[1].arriving.live);
    }

    #[test]
    fn a_trunk_passes_by_all_rows_up_to_the_branch_it_leads_to() {
        let (branches, weights) = small();
        let (_, rows) = rails(&branches, &weights);
        let passing = Some(Rail { weight: 1.0, live: true });
        assert_eq!([&rows[1].passing, &rows[2].passing], [&vec![passing], &vec![passing]]);
        assert!(rows[3].passing.is_empty());
    }

    proptest! {
        /// Every line that leaves a row below arrives in the next one, in the same column and as thick.
        #[test]
        fn lines_go_on_from_row_to_row_without_gaps(parents in prop::collection::vec(0usize..100, 1..40)) {
            let mut branches: Vec<Branch> = Vec::new();
            for choice in parents {
                // The last one, or one that it hangs from, or the fuse: so that rows stand in the order of the tree.
                let mut way = vec![None];
                let mut at = branches.len().checked_sub(1);
                while let Some(index) = at {
                    way.push(Some(index));
                    at = branches[index].from;
                }
                way.retain(|from| from.is_none_or(|from: usize| branches[from].depth + 1 < MOST_COLUMNS));
                let from = way[choice % way.len()];
                let depth = from.map_or(0, |from| branches[from].depth + 1);
                branches.push(branch(from, depth, choice % 3 == 0));
            }
            let mut weights = vec![1.0; branches.len()];
            for index in (0..branches.len()).rev() {
                if let Some(from) = branches[index].from {
                    weights[from] += weights[index];
                }
            }
            let (trunk, rows) = rails(&branches, &weights);
            let roots = branches.iter().zip(&weights).filter(|(branch, _)| branch.from.is_none());
            prop_assert_eq!(trunk.map(|trunk| trunk.weight), Some(roots.map(|(_, weight)| weight).sum()));
            let mut above = vec![trunk];
            for row in &rows {
                let mut lines = row.passing.clone();
                lines.push(Some(row.arriving));
                let ended = above.split_off(lines.len().min(above.len()));
                prop_assert!(ended.iter().all(Option::is_none));
                prop_assert_eq!(&above, &lines);
                above.clone_from(&row.passing);
                above.extend([row.onward, row.below]);
            }
        }
    }
}
