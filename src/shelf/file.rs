//! How is a shelf written down? The file format `loomwalk/shelf`, version 1.

use std::collections::BTreeSet;

use chrono::{DateTime, Utc};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::circuit::check::{self, CircuitError};
use crate::circuit::file::CircuitFile;
use crate::ids::{JobId, ShelvedId};
use crate::job::state::Job;
use crate::vehicle::vin;

/// The value of `format` in a shelf file.
pub const FORMAT: &str = "loomwalk/shelf";
/// The newest major version that this program reads and the one it writes.
pub const VERSION: u32 = 1;

/// Circuits that are kept for the next time.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ShelfFile {
    /// Always `loomwalk/shelf`.
    pub format: String,
    /// 1.
    pub version: u32,
    /// The circuits.
    pub entries: Vec<Shelved>,
    /// Circuits that were taken off. They stay off, whatever shelf is merged in; nothing but their ids is kept.
    #[serde(default, skip_serializing_if = "BTreeSet::is_empty")]
    pub taken_off: BTreeSet<ShelvedId>,
}

/// One circuit on the shelf.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Shelved {
    /// UUIDv7.
    pub id: ShelvedId,
    /// When it was kept or changed last. Of one id the newest holds.
    pub kept_at: DateTime<Utc>,
    /// The vehicle's label, or what people call the circuit here.
    pub label: String,
    /// How the vehicle's identification number begins, if it is known: what all of one line share.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub vin_begins: Option<VinStart>,
    /// The job that it was kept from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from_job: Option<JobId>,
    /// The circuit, without the vehicle's identification number.
    pub circuit: CircuitFile,
}

/// The first eight characters of a vehicle identification number: maker and line (ISO 3779: the maker's code and the
/// part that describes the vehicle, up to the check digit). Nothing in them tells one vehicle from its sisters, so this
/// is all that is kept of the number.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(try_from = "String", into = "String")]
pub struct VinStart(String);

/// Text that no identification number begins with.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{0:?} is not how a vehicle identification number begins: eight letters and digits, without I, O and Q")]
pub struct NotAVinStart(String);

impl VinStart {
    /// How a whole number begins. `None` where it is no number of 17 characters.
    pub fn of(vin: &str) -> Option<Self> {
        let plain = vin::read(vin).written;
        let whole = plain.len() == 17 && plain.is_ascii();
        whole.then(|| plain[..8].to_owned().try_into().ok())?
    }
}

impl TryFrom<String> for VinStart {
    type Error = NotAVinStart;
    fn try_from(text: String) -> Result<Self, NotAVinStart> {
        let fits = |sign: u8| (sign.is_ascii_uppercase() || sign.is_ascii_digit()) && !b"IOQ".contains(&sign);
        if text.len() == 8 && text.bytes().all(fits) {
            Ok(Self(text))
        } else {
            Err(NotAVinStart(text.chars().take(20).collect()))
        }
    }
}

impl From<VinStart> for String {
    fn from(start: VinStart) -> Self {
        start.0
    }
}

impl Shelved {
    /// The circuit of a job, to be put on the shelf under the vehicle's label. `None`: the job has none yet.
    ///
    /// # Errors
    /// Where the circuit is not sound: nobody could use it.
    pub fn of(job: &Job, id: ShelvedId, kept_at: DateTime<Utc>) -> Option<Result<Self, CircuitError>> {
        let mut circuit = job.circuit.clone()?;
        if let Err(error) = check::validate(&circuit) {
            return Some(Err(error));
        }
        let vin = circuit.vehicle.vin.take();
        let names = [&circuit.vehicle.label, &circuit.label, &circuit.fuse.label];
        let label = names.into_iter().find(|name| !name.trim().is_empty());
        let label = label.map_or_else(|| "Vehicle without a name".to_owned(), Clone::clone);
        let vin_begins = vin.as_deref().and_then(VinStart::of);
        Some(Ok(Self { id, kept_at, label, vin_begins, from_job: Some(job.id), circuit }))
    }

    /// Whether this is the one of two with the same id that holds. Of two from the same moment it is the one whose text
    /// sorts last, so that every device decides alike.
    pub fn is_newer_than(&self, other: &Self) -> bool {
        self.kept_at.cmp(&other.kept_at).then_with(|| self.text().cmp(&other.text())).is_gt()
    }

    /// As JSON, as it stands in a file.
    pub fn text(&self) -> String {
        serde_json::to_string(self).unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn of_an_identification_number_only_what_sisters_share_is_kept() {
        let start = |vin| VinStart::of(vin).map(String::from);
        assert_eq!(start("xyz12abc4d5000017").as_deref(), Some("XYZ12ABC"));
        assert_eq!(start("XYZ 12ABC4 D5 000017").as_deref(), Some("XYZ12ABC"));
        for wrong in ["", "XYZ12ABC", "XYZ12ABO4D5000017", "ÄYZ12ABC4D5000017", "XYZ12ABC4D50000171"] {
            assert_eq!(start(wrong), None, "{wrong}");
        }
    }
}
