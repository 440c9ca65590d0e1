//! Quantities with their units in the type, so that ohms are never added to metres.
//!
//! Each is a plain `f64` underneath; files write it as a bare number, and the field's name says the unit.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $symbol:literal) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, Default, PartialEq, PartialOrd, Serialize, Deserialize, JsonSchema)]
        #[serde(transparent)]
        pub struct $name(pub f64);

        impl std::ops::Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }

        impl std::ops::Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }

        impl std::iter::Sum for $name {
            fn sum<I: Iterator<Item = Self>>(parts: I) -> Self {
                Self(parts.map(|part| part.0).sum())
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                if let Some(digits) = out.precision() {
                    write!(out, "{:.*} {}", digits, self.0, $symbol)
                } else {
                    write!(out, "{} {}", self.0, $symbol)
                }
            }
        }
    };
}

quantity!(
    /// Electrical resistance in ohms.
    Ohms, "Ω"
);
quantity!(
    /// Electric potential difference in volts.
    Volts, "V"
);
quantity!(
    /// Electric current in amperes.
    Amps, "A"
);
quantity!(
    /// Length in metres.
    Metres, "m"
);
quantity!(
    /// Duration in minutes.
    Minutes, "min"
);
quantity!(
    /// Duration in seconds.
    Seconds, "s"
);
quantity!(
    /// Conductor cross-section in square millimetres.
    SquareMillimetres, "mm²"
);

impl std::ops::Div<Ohms> for Volts {
    type Output = Amps;
    fn div(self, resistance: Ohms) -> Amps {
        Amps(self.0 / resistance.0)
    }
}
