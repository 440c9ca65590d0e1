//! What goes together on a vehicle, or is missing together? Groups of options, each struck out with one tap.
//!
//! Read from `assets/options/groups.json`, built into the program.

use std::sync::OnceLock;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::circuit::file::Load;
use crate::ids::{ItemId, OptionId};
use crate::objects;

/// The value of `format` in the file of groups.
pub const FORMAT: &str = "loomwalk/options";

/// The file of groups.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Groups {
    /// Always `loomwalk/options`.
    pub format: String,
    /// 1.
    pub version: u32,
    /// What it rests on.
    pub source: String,
    /// The groups, in the order in which they are offered.
    pub groups: Vec<Group>,
}

/// Something that is so on this vehicle, and what is therefore not there.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Group {
    /// Its id.
    pub id: String,
    /// What the trade says: `Manual gearbox`.
    pub label: String,
    /// The same with what follows from it, for the report.
    pub why: String,
    /// Options that are absent then.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub options: Vec<OptionId>,
    /// Catalogue entries that are absent then, whatever option they belong to.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub items: Vec<ItemId>,
    /// Options that are there then.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub brings: Vec<OptionId>,
}

/// All groups, in the order in which they are offered.
pub fn groups() -> &'static [Group] {
    static GROUPS: OnceLock<Groups> = OnceLock::new();
    // Built into the program and read by the tests: no user can make it fail.
    #[allow(clippy::expect_used)]
    let read = || {
        objects::from_str(include_str!(concat!(env!("OUT_DIR"), "/options/groups.json"))).expect("the groups are sound")
    };
    &GROUPS.get_or_init(read).groups
}

impl Group {
    /// Whether a load is not there then.
    pub fn takes_off(&self, load: &Load) -> bool {
        load.of_option().is_some_and(|option| self.options.contains(option))
            || load.item.as_ref().is_some_and(|item| self.items.contains(item))
    }
}
