//! Is it one thing, or a left and a right one? "Both reversing lamps" are two entries of the catalogue.

use std::sync::OnceLock;

use super::{Item, items};
use crate::circuit::file::Side;
use crate::ids::ItemId;
use crate::vehicle::mirror::other_side;

/// One kind of load: a single thing, or one on each side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Kind {
    /// There is one.
    One(&'static Item),
    /// There is a left one and a right one.
    Pair {
        /// Left.
        left: &'static Item,
        /// Right.
        right: &'static Item,
    },
}

impl Kind {
    /// The entries that it stands for: one, or left and right.
    pub fn items(self) -> impl Iterator<Item = &'static Item> {
        let (first, second) = match self {
            Self::One(item) => (item, None),
            Self::Pair { left, right } => (left, Some(right)),
        };
        std::iter::once(first).chain(second)
    }

    /// The entry of that side; the only one where there are no sides.
    pub fn on(self, side: Side) -> &'static Item {
        match (self, side) {
            (Self::One(item), _) | (Self::Pair { left: item, .. }, Side::Left) => item,
            (Self::Pair { right, .. }, Side::Right) => right,
        }
    }

    /// Its name without a side: "Reversing lamp".
    pub fn label(self) -> &'static str {
        match self {
            Self::One(item) => &item.label,
            Self::Pair { left, .. } => left.label.strip_suffix(", left").unwrap_or(&left.label),
        }
    }
}

/// All kinds of load, in the order of the catalogue.
pub fn kinds() -> &'static [Kind] {
    static KINDS: OnceLock<Vec<Kind>> = OnceLock::new();
    KINDS.get_or_init(|| items().iter().filter(|item| item.side != Some(Side::Right)).map(pair).collect())
}

/// An entry with the one on the other side, if there is one.
pub fn pair(item: &'static Item) -> Kind {
    let other = || {
        let id = ItemId(other_side(item.id.as_str())?);
        super::item(&id)
    };
    match (item.side, item.side.and_then(|_| other())) {
        (Some(Side::Left), Some(right)) => Kind::Pair { left: item, right },
        (Some(Side::Right), Some(left)) => Kind::Pair { left, right: item },
        _ => Kind::One(item),
    }
}
