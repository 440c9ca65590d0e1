//! What are all node voltages and all Thevenin resistances, from one factorisation?

use nalgebra::DMatrix;
use nalgebra_sparse::factorization::CscCholesky;
use nalgebra_sparse::{CooMatrix, CscMatrix};

use super::order::{Tangled, minimum_degree};
use super::reduce::{Branch, Reduced};

/// A pivot this much smaller than the conductances at its node has lost its digits.
const SMALLEST_PIVOT: f64 = 1e-12;

/// Voltages and Thevenin resistances by row of [`Reduced`].
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Solution {
    pub volts: Vec<f64>,
    pub thevenin: Vec<f64>,
    /// Transfer resistances of the pairs that were asked for.
    pub mutual: Vec<f64>,
}

/// Why rows could not be solved; the number is the row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Unsolved {
    Spread(usize),
    Tangled(usize),
}

/// Solves for a source of `volts` behind `source_siemens` at the fuse. `pairs` are rows that a branch joins.
pub(super) fn solve(
    reduced: &Reduced,
    volts: f64,
    source_siemens: f64,
    pairs: &[(usize, usize)],
) -> Result<Solution, Unsolved> {
    let rows = reduced.named.len();
    let joined = reduced.branches.iter().filter_map(|branch| Some((branch.from, branch.to?)));
    let order = minimum_degree(rows, joined).map_err(|Tangled(row)| Unsolved::Tangled(row))?;
    let mut place = vec![0; rows];
    for (at, &row) in order.iter().enumerate() {
        place[row] = at;
    }
    // From here on, rows go by their place in the order of elimination.
    let in_order = |branch: &Branch| Branch { from: place[branch.from], to: branch.to.map(|to| place[to]), ..*branch };
    let mut branches: Vec<Branch> = reduced.branches.iter().map(in_order).collect();
    let fuse = place[reduced.fuse];
    // To the reference "ground" only as far as the matrix goes; the source's current is the right-hand side.
    branches.push(Branch { from: fuse, to: None, siemens: source_siemens });

    let matrix = conductances(rows, &branches);
    let diagonal = diagonal(rows, &branches);
    let cholesky = CscCholesky::factor(&matrix).map_err(|_| Unsolved::Spread(order[widest(rows, &branches)]))?;
    let inverse = Inverse::of(cholesky.l());
    if let Some(at) = (0..rows).find(|&at| inverse.pivot(at) < SMALLEST_PIVOT * diagonal[at]) {
        return Err(Unsolved::Spread(order[at]));
    }

    let mut injected = DMatrix::zeros(rows, 1);
    injected[fuse] = volts * source_siemens;
    let mut found = cholesky.solve(&injected);
    // One step of refinement: where a stiff wire hangs on a weak load, it returns the digits that the pivots lost.
    // The residual is summed branch by branch, so that equal and opposite currents cancel exactly.
    let mut residual = injected;
    for branch in &branches {
        let current = branch.siemens * (found[branch.from] - branch.to.map_or(0.0, |to| found[to]));
        residual[branch.from] -= current;
        if let Some(to) = branch.to {
            residual[to] += current;
        }
    }
    found += cholesky.solve(&residual);

    Ok(Solution {
        volts: place.iter().map(|&at| found[at]).collect(),
        thevenin: place.iter().map(|&at| inverse.diagonal[at]).collect(),
        mutual: pairs.iter().map(|&(a, b)| inverse.entry(place[a], place[b])).collect(),
    })
}

/// The matrix of nodal analysis.
fn conductances(rows: usize, branches: &[Branch]) -> CscMatrix<f64> {
    let mut matrix = CooMatrix::new(rows, rows);
    for Branch { from, to, siemens } in branches {
        matrix.push(*from, *from, *siemens);
        if let Some(to) = to {
            matrix.push(*to, *to, *siemens);
            matrix.push(*from, *to, -siemens);
            matrix.push(*to, *from, -siemens);
        }
    }
    CscMatrix::from(&matrix)
}

/// The sum of conductances at each row.
fn diagonal(rows: usize, branches: &[Branch]) -> Vec<f64> {
    let mut sums = vec![0.0; rows];
    for branch in branches {
        sums[branch.from] += branch.siemens;
        if let Some(to) = branch.to {
            sums[to] += branch.siemens;
        }
    }
    sums
}

/// The row whose conductances lie farthest apart: the one to name when the factorisation has failed.
fn widest(rows: usize, branches: &[Branch]) -> usize {
    let mut range = vec![(f64::INFINITY, 0.0_f64); rows];
    for branch in branches {
        for at in [Some(branch.from), branch.to].into_iter().flatten() {
            let (least, most) = range[at];
            range[at] = (least.min(branch.siemens), most.max(branch.siemens));
        }
    }
    let spread = |at: &usize| range[*at].1 / range[*at].0;
    (0..rows).max_by(|a, b| spread(a).total_cmp(&spread(b))).unwrap_or(0)
}

/// The entries of the inverse that stand where the Cholesky factor has entries (Takahashi, Fagan & Chen 1973).
///
/// Going from the last column to the first, each entry needs only entries of later columns inside the same
/// pattern: for A = L·Lᵀ and Z = A⁻¹,
/// `Z[i][j] = −Σ_k L[k][j]·Z[i][k] / L[j][j]` for i > j, and `Z[j][j] = (1/L[j][j] − Σ_k L[k][j]·Z[k][j]) / L[j][j]`,
/// k over the entries of column j below the diagonal. Below the diagonal L is never positive here: nothing cancels.
struct Inverse<'l> {
    l: &'l CscMatrix<f64>,
    /// Below the diagonal, in the order of the factor's values; the diagonal's places are unused.
    below: Vec<f64>,
    diagonal: Vec<f64>,
}

impl<'l> Inverse<'l> {
    fn of(l: &'l CscMatrix<f64>) -> Self {
        let rows = l.ncols();
        let mut inverse = Self { l, below: vec![0.0; l.nnz()], diagonal: vec![0.0; rows] };
        for column in (0..rows).rev() {
            let entries = l.col_offsets()[column] + 1..l.col_offsets()[column + 1];
            let pivot = l.values()[entries.start - 1];
            for target in entries.clone() {
                let row = l.row_indices()[target];
                let sum: f64 = entries.clone().map(|at| l.values()[at] * inverse.entry(row, l.row_indices()[at])).sum();
                inverse.below[target] = -sum / pivot;
            }
            let sum: f64 = entries.map(|at| l.values()[at] * inverse.below[at]).sum();
            inverse.diagonal[column] = (1.0 / pivot - sum) / pivot;
        }
        inverse
    }

    /// An entry inside the pattern.
    fn entry(&self, a: usize, b: usize) -> f64 {
        if a == b {
            return self.diagonal[a];
        }
        let (row, column) = (a.max(b), a.min(b));
        let start = self.l.col_offsets()[column];
        let rows = &self.l.row_indices()[start..self.l.col_offsets()[column + 1]];
        // Two rows of one column are always joined in the filled pattern.
        rows.binary_search(&row).map_or(0.0, |at| self.below[start + at])
    }

    /// What was left of the conductances at a row when its turn came.
    fn pivot(&self, column: usize) -> f64 {
        self.l.values()[self.l.col_offsets()[column]].powi(2)
    }
}
