//! What was understood of a line, in words, and what someone may say it is instead.

use super::{Entry, Gauge, Sides, Stated};
use crate::catalogue::kind::Kind;
use crate::catalogue::recognise::Found;
use crate::circuit::file::Side;

impl Entry {
    /// What it may be: what was found, what fits as well, and last `None`, a load by hand under the name that was
    /// written.
    pub fn choices(&self) -> Vec<Option<Kind>> {
        let mut choices: Vec<Option<Kind>> = match &self.found {
            Found::Exact(kind) => vec![Some(*kind)],
            Found::Likely(kind, others) => std::iter::once(kind).chain(others).map(|kind| Some(*kind)).collect(),
            Found::ByHand => Vec::new(),
        };
        choices.push(None);
        choices
    }

    /// The entry once someone has said what it is. The name stays as it was written, unless it was known for sure.
    #[must_use]
    pub fn chosen(&self, kind: Option<Kind>) -> Self {
        let found = match kind {
            Some(kind) if self.found == Found::Exact(kind) => Found::Exact(kind),
            Some(kind) => Found::Likely(kind, Vec::new()),
            None => Found::ByHand,
        };
        Self { found, ..self.clone() }
    }

    /// Side, number, size and wire in words. Its place is not among them: its name depends on the vehicle.
    pub fn facts(&self) -> Vec<String> {
        let mut facts = Vec::new();
        let pair = matches!(self.found.kind(), Some(Kind::Pair { .. }));
        match self.sides {
            Sides::One(Side::Left) => facts.push("left".to_owned()),
            Sides::One(Side::Right) => facts.push("right".to_owned()),
            Sides::Both => facts.push("left and right".to_owned()),
            Sides::NotSaid if pair => facts.push("left and right, since no side was said".to_owned()),
            Sides::NotSaid => {}
        }
        // Left and right are two anyway.
        let pair = matches!(self.sides, Sides::Both) || (pair && self.sides == Sides::NotSaid);
        if let Some(count) = self.count.filter(|count| !(pair && *count == 2)) {
            facts.push(format!("{count} of them"));
        }
        match self.size {
            Some(Stated::Watts(watts)) => facts.push(format!("{watts} W")),
            Some(Stated::Amps(amps)) => facts.push(format!("{amps} A")),
            Some(Stated::Ohms(ohms)) => facts.push(format!("{ohms} Ω")),
            None => {}
        }
        if let Some(volts) = self.rated_volts {
            facts.push(format!("at {volts} V"));
        }
        if let Some(lamp) = self.lamp {
            facts.push(format!("lamp {lamp}"));
        }
        if self.led {
            facts.push("LED".to_owned());
        }
        if let Some(colour) = &self.colour {
            facts.push(format!("wire {colour}"));
        }
        match self.gauge {
            Some(Gauge::AreaMm2(area)) => facts.push(format!("{area} mm²")),
            Some(Gauge::Awg(gauge)) => facts.push(format!("AWG {gauge}")),
            None => {}
        }
        if let Some(metres) = self.length_m {
            facts.push(format!("{metres} m of wire (not kept: the way of the loom gives the length)"));
        }
        facts
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use crate::catalogue::entry::paste;
    use crate::circuit::file::Side;
    use crate::ids::LoadId;

    #[test]
    fn a_line_taken_by_hand_keeps_its_size_and_wire_and_no_kind() {
        let list = paste::read("both reversing lamps, 21W, BK/WH 0.75", Side::Left);
        let (_, entry) = list.entries().next().unwrap();
        assert_eq!(entry.choices().len(), 2);
        assert_eq!(entry.facts()[..2], ["left and right", "21 W"]);
        let loads = entry.chosen(None).loads(|| LoadId::from("a"));
        assert_eq!(loads.len(), 2);
        assert!(loads.iter().all(|load| load.item.is_none() && load.watts == Some(21.0) && load.wire.is_some()));
        assert_eq!(entry.chosen(entry.choices()[0]), *entry);
    }
}
