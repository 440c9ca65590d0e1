//! Which places in so many minutes? The set with the greatest chance that fits, each place with what opens it.
//!
//! A knapsack whose things form a forest of precedence, solved exactly over whole tenths of a minute: steps are gone
//! through parents first, and whoever leaves a step out leaves out all behind it (D. S. Johnson & K. A. Niemi, "On
//! knapsacks, partitions, and a new dynamic programming technique for trees", Math. Oper. Res. 8, 1983, 1–14).

use crate::gather::Order as _;
use crate::search::order::{Block, Forest, Step};

/// Minutes of one tick. Steps are rounded up to whole ticks, so a set never takes longer than it may.
const TICK: f64 = 0.1;
/// No table is larger: 8 MB of chances. A longer time or a longer list is counted in coarser ticks.
const MOST_CELLS: usize = 1 << 20;

impl Forest {
    /// The steps that together earn the most in so many minutes, by place and in the order in which they were added.
    /// Every step stands with all that it comes after.
    ///
    /// Exact where all steps take whole tenths of a minute. Never worse than what the first `minutes` of
    /// [`Forest::order`] earn. No time, or none that is a number, gives only what takes none.
    pub fn within(&self, minutes: f64) -> Vec<usize> {
        let minutes = if minutes.is_nan() { 0.0 } else { minutes.max(0.0) };
        let all: f64 = self.steps.iter().map(|step| step.minutes).sum();
        if all <= minutes {
            return (0..self.len()).collect();
        }
        let prefix = self.prefix(minutes);
        let best = Table::fill(self, minutes).taken();
        // Coarse ticks may leave out what just fits.
        let mut chosen = if self.earned(&best) < self.earned(&prefix) { prefix } else { best };
        chosen.order_by(Ord::cmp);
        chosen
    }

    /// The order with the least expected time, of some steps only: each stands with what it comes after.
    pub fn order_of(&self, chosen: &[usize]) -> Vec<usize> {
        self.blocks_of(chosen).into_iter().flat_map(|block| block.steps).collect()
    }

    /// The same order in its blocks.
    pub fn blocks_of(&self, chosen: &[usize]) -> Vec<Block> {
        let mut places = vec![None; self.len()];
        for (here, place) in chosen.iter().enumerate() {
            places[*place] = Some(here);
        }
        let step = |place: &usize| {
            let step = self.steps[*place];
            Step { after: step.after.and_then(|before| places[before]), ..step }
        };
        let part = Forest { steps: chosen.iter().map(step).collect() };
        let mut blocks = part.blocks();
        blocks.iter_mut().flat_map(|block| &mut block.steps).for_each(|place| *place = chosen[*place]);
        blocks
    }

    /// As much of the whole order as fits.
    fn prefix(&self, minutes: f64) -> Vec<usize> {
        let mut left = minutes;
        let fits = |place: &usize| {
            left -= self.steps[*place].minutes;
            left >= 0.0
        };
        self.order().into_iter().take_while(fits).collect()
    }

    fn earned(&self, chosen: &[usize]) -> f64 {
        chosen.iter().map(|place| self.steps[*place].chance).sum()
    }

    /// All steps, each before what comes after it, with what is behind a step right after it; and where that ends.
    fn parents_first(&self) -> (Vec<usize>, Vec<usize>) {
        let mut behind: Vec<Vec<usize>> = vec![Vec::new(); self.len()];
        let mut open: Vec<usize> = Vec::new();
        for (place, step) in self.steps.iter().enumerate().rev() {
            match step.after {
                Some(before) => behind[before].push(place),
                None => open.push(place),
            }
        }
        let mut order = Vec::with_capacity(self.len());
        while let Some(place) = open.pop() {
            order.push(place);
            open.extend(&behind[place]);
        }
        // From the last of this order, each has counted its own when it is asked.
        let mut size = vec![1; self.len()];
        for place in order.iter().rev() {
            if let Some(before) = self.steps[*place].after {
                size[before] += size[*place];
            }
        }
        let ends = order.iter().enumerate().map(|(position, place)| position + size[*place]).collect();
        (order, ends)
    }
}

/// The most that the steps from a position on earn in so many ticks.
struct Table {
    order: Vec<usize>,
    /// By position: the position after all that is behind it.
    ends: Vec<usize>,
    /// By position: ticks that it takes.
    ticks: Vec<usize>,
    /// By position and ticks; one row more for the end.
    most: Vec<f64>,
    width: usize,
}

impl Table {
    fn fill(forest: &Forest, minutes: f64) -> Self {
        let (order, ends) = forest.parents_first();
        let columns = (MOST_CELLS / (order.len() + 1)).max(2);
        // All of the time is less than all steps take, so it is finite.
        let tick = TICK.max(minutes / (columns - 1) as f64);
        // Whole tenths in binary are off by less than this; so little is not time.
        let slip = 1e-6;
        let last = (minutes / tick + slip).floor() as usize;
        let ticks: Vec<usize> = order
            .iter()
            .map(|place| (forest.steps[*place].minutes / tick - slip).ceil().min(last as f64 + 1.0) as usize)
            .collect();
        let width = last + 1;
        let mut most = vec![0.0; (order.len() + 1) * width];
        for position in (0..order.len()).rev() {
            let chance = forest.steps[order[position]].chance;
            for left in 0..width {
                let without = most[ends[position] * width + left];
                let with = left.checked_sub(ticks[position]).map(|left| chance + most[(position + 1) * width + left]);
                most[position * width + left] = with.map_or(without, |with| without.max(with));
            }
        }
        Self { order, ends, ticks, most, width }
    }

    fn taken(&self) -> Vec<usize> {
        let (mut position, mut left) = (0, self.width - 1);
        let mut taken = Vec::new();
        while position < self.order.len() {
            // What earns no more without it is left out: nothing is opened for nothing.
            let without = self.most[self.ends[position] * self.width + left];
            if self.most[position * self.width + left] > without {
                taken.push(self.order[position]);
                left -= self.ticks[position];
                position += 1;
            } else {
                position = self.ends[position];
            }
        }
        taken
    }
}
