//! How do things get into a set, a map or an order without the standard library's sort for every kind of thing?
//!
//! Each type that is sorted, or collected into a `BTreeSet` or `BTreeMap`, brings along some 4 kB of sorting. A phone
//! downloads all of that. Sets here are small: putting in one after the other is as good; and what is to be in order is
//! put there by one sort of numbers.

use std::cmp::Ordering;

/// `gather`, in place of `collect`, for what is put together one by one.
pub(crate) trait Gather: Iterator + Sized {
    /// All things in a set or a map. Of equal keys the last counts, as with `collect`.
    fn gather<C: Default + Extend<Self::Item>>(self) -> C {
        let mut all = C::default();
        all.extend(self);
        all
    }
}

impl<I: Iterator> Gather for I {}

/// `order_by`, in place of `sort_by`.
pub(crate) trait Order<T> {
    /// Puts things in order. What compares as equal stays as it stood.
    fn order_by(&mut self, compare: impl Fn(&T, &T) -> Ordering);

    /// Puts things in the order of a key.
    fn order_by_key<K: Ord>(&mut self, key: impl Fn(&T) -> K) {
        self.order_by(|one, other| key(one).cmp(&key(other)));
    }
}

impl<T> Order<T> for [T] {
    fn order_by(&mut self, compare: impl Fn(&T, &T) -> Ordering) {
        let mut from = in_order(self.len(), &|one, other| compare(&self[one], &self[other]));
        // Each place takes its thing from the place that is named, round by round.
        for place in 0..from.len() {
            let mut at = place;
            while from[at] != place {
                let next = std::mem::replace(&mut from[at], at);
                self.swap(at, next);
                at = next;
            }
            from[at] = at;
        }
    }
}

/// The numbers below `len` in order.
fn in_order(len: usize, compare: &dyn Fn(usize, usize) -> Ordering) -> Vec<usize> {
    let mut numbers: Vec<usize> = (0..len).collect();
    numbers.sort_by(|one, other| compare(*one, *other));
    numbers
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn the_order_is_the_one_of_the_standard_librarys_stable_sort(things in prop::collection::vec((0u8..8, any::<u8>()), 0..60)) {
            let mut expected = things.clone();
            expected.sort_by_key(|(key, _)| *key);
            let mut ordered = things;
            ordered.order_by_key(|(key, _)| *key);
            prop_assert_eq!(ordered, expected);
        }
    }
}
