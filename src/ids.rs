//! Names of things as types, so that a run's id is never passed where a zone's is wanted.
//!
//! Text ids come from files and are only compared; [`uuid`] ids are made by the program, with the
//! time and the random bits handed in.

use chrono::{DateTime, Utc};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use uuid::Uuid;

macro_rules! text_id {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
        #[serde(transparent)]
        pub struct $name(pub String);

        impl $name {
            /// The id as it stands in files.
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl From<&str> for $name {
            fn from(text: &str) -> Self {
                Self(text.to_owned())
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                out.write_str(&self.0)
            }
        }
    };
}

text_id!(
    /// An electrical node: `fuse`, `ground`, a joint's id, or `<load>.feed` / `<load>.return`.
    NodeId
);
text_id!(
    /// One wire between two ends.
    RunId
);
text_id!(
    /// A splice, connector or other joint.
    JointId
);
text_id!(
    /// A switch or relay contact.
    SwitchId
);
text_id!(
    /// A load on the circuit.
    LoadId
);
text_id!(
    /// A place on a run that the technician marked.
    MarkId
);
text_id!(
    /// A part of the vehicle that can be looked into at one time.
    ZoneId
);
text_id!(
    /// Where a harness goes from one zone into another.
    PassageId
);
text_id!(
    /// A place where rubbing could happen; always starts with `point:`.
    PointId
);
text_id!(
    /// A step that opens a part of the vehicle; always starts with `access:`.
    AccessId
);
text_id!(
    /// An option of the vehicle, such as `rear_wiper`.
    OptionId
);
text_id!(
    /// An entry of the catalogue of loads.
    ItemId
);
text_id!(
    /// A method of repair, such as `new_wire`.
    MethodId
);
text_id!(
    /// Something that holds or does not while the vehicle is used: `key_on`, `reverse`, `door_open` …
    Condition
);

macro_rules! uuid_id {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
        #[serde(transparent)]
        pub struct $name(pub Uuid);

        impl std::fmt::Display for $name {
            fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                self.0.fmt(out)
            }
        }

        impl std::str::FromStr for $name {
            type Err = uuid::Error;
            fn from_str(text: &str) -> Result<Self, Self::Err> {
                Uuid::try_parse(text).map(Self)
            }
        }
    };
}

uuid_id!(
    /// One vehicle, one concern.
    JobId
);
uuid_id!(
    /// One act in a job's log. UUIDv7: sorts by the time at which it was made on its device.
    EventId
);
uuid_id!(
    /// One phone, or one browser profile.
    DeviceId
);
uuid_id!(
    /// One bundle as it was sent or exported.
    BundleId
);
uuid_id!(
    /// One circuit on the shelf. UUIDv7.
    ShelvedId
);

/// The SHA-256 of a photograph's bytes as kept, in lower-case hex: its name everywhere.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(try_from = "String", into = "String")]
pub struct PhotoHash(String);

impl PhotoHash {
    /// The 64 hex digits.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl std::fmt::Display for PhotoHash {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.write_str(&self.0)
    }
}

/// What is wrong with a photograph's name.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("a photo's name is the SHA-256 of its bytes, 64 lower-case hex digits; this is {0:?}")]
pub struct NotAPhotoHash(String);

impl TryFrom<String> for PhotoHash {
    type Error = NotAPhotoHash;
    fn try_from(text: String) -> Result<Self, NotAPhotoHash> {
        let hex = |byte: u8| byte.is_ascii_digit() || (b'a'..=b'f').contains(&byte);
        if text.len() == 64 && text.bytes().all(hex) { Ok(Self(text)) } else { Err(NotAPhotoHash(text)) }
    }
}

impl From<PhotoHash> for String {
    fn from(hash: PhotoHash) -> Self {
        hash.0
    }
}

impl std::str::FromStr for PhotoHash {
    type Err = NotAPhotoHash;
    fn from_str(text: &str) -> Result<Self, NotAPhotoHash> {
        Self::try_from(text.to_owned())
    }
}

/// The year 2200. No clock says so: such an id was made up, and going on behind it would end where the 48 bits of the time do.
const NO_CLOCK_MILLIS: u64 = 7_258_118_400_000;

/// Makes ids that sort in the order in which they were made, even when the clock jumps back.
///
/// The random bits and the time are handed in: this only keeps the last millisecond it used.
#[derive(Debug, Clone, Default)]
pub struct IdMaker {
    last_millis: u64,
    counter: u16,
}

impl IdMaker {
    /// Goes on after an id that is already in the log, so that what comes next sorts behind it, if a clock can have made it.
    pub fn after(&mut self, id: Uuid) {
        if let Some(stamp) = id.get_timestamp() {
            let (seconds, nanos) = stamp.to_unix();
            let millis = seconds * 1000 + u64::from(nanos / 1_000_000);
            if (self.last_millis..NO_CLOCK_MILLIS).contains(&millis) {
                // One more, so that the counter of the other maker cannot matter.
                self.last_millis = millis + 1;
                self.counter = 0;
            }
        }
    }

    /// A UUIDv7 (RFC 9562 §5.7, with the 12 bits after the version as a counter, §6.2 method 1).
    pub fn make(&mut self, now: DateTime<Utc>, random: [u8; 10]) -> Uuid {
        let now = u64::try_from(now.timestamp_millis()).unwrap_or(0);
        if now > self.last_millis {
            self.last_millis = now;
            self.counter = 0;
        } else if self.counter < 0x0fff {
            self.counter += 1;
        } else {
            self.last_millis += 1;
            self.counter = 0;
        }
        let mut bits = random;
        let [high, low] = self.counter.to_be_bytes();
        bits[0] = high;
        bits[1] = low;
        uuid::Builder::from_unix_timestamp_millis(self.last_millis, &bits).into_uuid()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(millis: i64) -> DateTime<Utc> {
        DateTime::from_timestamp_millis(millis).unwrap_or_default()
    }

    #[test]
    fn an_id_that_no_clock_made_does_not_turn_the_order_around() {
        let now = at(1_800_000_000_000);
        let mut maker = IdMaker::default();
        let before = maker.make(now, [1; 10]);
        maker.after(Uuid::from_u128(0xffff_ffff_ffff_7fff_bfff_ffff_ffff_ffff));
        let made = [maker.make(now, [1; 10]), maker.make(now, [1; 10])];
        assert!(before < made[0] && made[0] < made[1], "{before} {made:?}");
        // A clock that was ten years ahead is gone on from.
        let ahead = maker.make(at(2_115_000_000_000), [1; 10]);
        let mut other = IdMaker::default();
        other.after(ahead);
        assert!(other.make(now, [1; 10]) > ahead);
    }

    #[test]
    fn ids_sort_as_made_even_when_the_clock_goes_back_a_day() {
        let mut maker = IdMaker::default();
        let times = [1_700_000_000_000, 1_700_000_000_000, 1_699_913_600_000, 1_700_000_000_001];
        let made: Vec<Uuid> = times.iter().map(|time| maker.make(at(*time), [0xff; 10])).collect();
        assert!(made.is_sorted(), "{made:?}");
        assert!(made.iter().all(|id| id.get_version_num() == 7));
    }

    #[test]
    fn more_than_4096_ids_in_one_millisecond_still_sort() {
        let mut maker = IdMaker::default();
        let made: Vec<Uuid> = (0..10_000).map(|_| maker.make(at(1_700_000_000_000), [7; 10])).collect();
        assert!(made.is_sorted());
        assert!(made.windows(2).all(|pair| pair[0] != pair[1]));
    }

    #[test]
    fn what_comes_after_another_devices_id_sorts_behind_it() {
        let theirs = IdMaker::default().make(at(1_700_000_100_000), [0xff; 10]);
        let mut maker = IdMaker::default();
        maker.after(theirs);
        assert!(maker.make(at(1_700_000_000_000), [0; 10]) > theirs);
    }

    #[test]
    fn only_64_lower_case_hex_digits_name_a_photo() {
        assert!("ab".repeat(32).parse::<PhotoHash>().is_ok());
        for wrong in ["AB".repeat(32), "ab".repeat(31), "../".repeat(21) + "x", String::new()] {
            assert!(wrong.parse::<PhotoHash>().is_err(), "{wrong}");
        }
    }
}
