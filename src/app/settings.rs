//! What does this device's user like? Small settings, kept apart from all jobs.

use gloo_storage::{LocalStorage, Storage};
use serde::{Deserialize, Serialize};

use crate::app::house::House;
use crate::app::small;
use crate::device;
use crate::job::held::Held;

const KEY: &str = "loomwalk/settings";
const HELD: &str = "loomwalk/held";

/// The settings of this device.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Settings {
    /// Light, dark, or made for bad light.
    pub theme: Theme,
    /// The hand that holds the phone.
    pub hand: Hand,
    /// What the screens are read in. `public/speak.js` reads it too.
    pub language: Language,
}

/// What the screens are read in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum Language {
    /// As the phone is set, where it is one of these.
    #[default]
    #[serde(rename = "")]
    Phone,
    /// English.
    #[serde(rename = "en")]
    English,
    /// German.
    #[serde(rename = "de")]
    German,
    /// Spanish.
    #[serde(rename = "es")]
    Spanish,
}

/// How the screens look.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Theme {
    /// As the phone is set.
    #[default]
    Phone,
    /// Dark ink on paper.
    Paper,
    /// Light ink on slate.
    Slate,
    /// The strongest contrast, for bad light and dirty glasses.
    UnderVehicle,
}

/// The hand that holds the phone: side actions stand on its side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Hand {
    /// Right.
    #[default]
    Right,
    /// Left.
    Left,
}

/// What the walk is held to for now, as this device remembers it.
pub fn held() -> Option<Held> {
    LocalStorage::get(HELD).ok()
}

/// Remembers what the walk is held to, or forgets it. In a browser that keeps nothing it holds until the page goes.
pub fn hold(to: Option<&Held>) {
    match to {
        Some(held) => {
            let _ = LocalStorage::set(HELD, held);
        }
        None => LocalStorage::delete(HELD),
    }
}

impl Settings {
    /// As kept on this device, or the usual ones.
    pub fn load() -> Self {
        LocalStorage::get(KEY).unwrap_or_default()
    }

    /// Keeps them and applies them to the page. A browser that keeps nothing still applies them.
    pub fn keep(self, house: House) {
        let _ = LocalStorage::set(KEY, self);
        small::has_changed(house);
        self.apply();
    }

    /// Applies them to the page.
    pub fn apply(self) {
        let Some(root) = web_sys::window().and_then(|window| window.document()?.document_element()) else { return };
        let theme = match self.theme {
            Theme::Phone => "phone",
            Theme::Paper => "paper",
            Theme::Slate => "slate",
            Theme::UnderVehicle => "under-vehicle",
        };
        let hand = match self.hand {
            Hand::Right => "right",
            Hand::Left => "left",
        };
        let _ = root.set_attribute("data-theme", theme);
        let _ = root.set_attribute("data-hand", hand);
        device::speak::change();
    }
}
