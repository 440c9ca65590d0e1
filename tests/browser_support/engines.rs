//! In which engines is the app tried, and how is each started as a phone's browser that keeps its profile?

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};

use serde_json::json;
use thirtyfour::common::capabilities::firefox::FirefoxPreferences;
use thirtyfour::prelude::*;

use super::place;

/// What shows the app. Every phone's browser is made of one of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Engine {
    Chromium,
    Firefox,
    WebKit,
}

impl Engine {
    /// What speaks WebDriver for it, listening on that port.
    pub fn driver(self, port: u16, screen: Option<&Screen>) -> Command {
        let (program, arguments) = match self {
            Self::Chromium => ("LOOMWALK_CHROMEDRIVER", vec![format!("--port={port}"), "--silent".to_owned()]),
            Self::Firefox => {
                ("LOOMWALK_GECKODRIVER", vec![format!("--port={port}"), "--log".to_owned(), "fatal".to_owned()])
            }
            Self::WebKit => ("LOOMWALK_WEBKITDRIVER", vec![format!("--port={port}"), "--host=127.0.0.1".to_owned()]),
        };
        let mut command = Command::new(place(program));
        command.args(arguments).stdout(Stdio::null()).stderr(Stdio::null());
        if let Some(screen) = screen {
            command.env("DISPLAY", &screen.0).env_remove("WAYLAND_DISPLAY");
            // No graphics card, and no desktop whose settings and readers could be asked.
            command.env("GDK_BACKEND", "x11").env("WEBKIT_DISABLE_COMPOSITING_MODE", "1");
            command.env("GSETTINGS_BACKEND", "memory").env("NO_AT_BRIDGE", "1");
        }
        command
    }

    /// What the driver is asked for. The language is the same whatever the machine is set to; a later flag may say otherwise.
    pub fn capabilities(self, profile: &Path, downloads: &Path, flags: &[String]) -> Capabilities {
        match self {
            Self::Chromium => chromium(profile, downloads, flags),
            Self::Firefox => firefox(profile, downloads),
            Self::WebKit => webkit(profile, downloads),
        }
    }

    /// Only this one shows nothing without a screen.
    pub fn needs_screen(self) -> bool {
        self == Self::WebKit
    }

    /// What a killed browser leaves in its profile and a new one would stumble over: locks, and the port on which its
    /// driver would look for it.
    pub fn left_behind(self) -> &'static [&'static str] {
        match self {
            Self::Chromium => &["SingletonLock", "SingletonSocket", "SingletonCookie"],
            Self::Firefox => &["lock", ".parentlock", "MarionetteActivePort"],
            Self::WebKit => &[],
        }
    }
}

fn chromium(profile: &Path, downloads: &Path, flags: &[String]) -> Capabilities {
    let mut capabilities = DesiredCapabilities::chrome();
    capabilities.set_binary(&place("LOOMWALK_CHROMIUM").display().to_string()).unwrap();
    for argument in [
        "--headless=new",
        "--no-sandbox",
        "--disable-gpu",
        "--disable-quic",
        "--no-first-run",
        "--disable-background-networking",
        "--disable-component-update",
        "--disable-sync",
        "--disable-dev-shm-usage",
        "--use-fake-device-for-media-stream",
        "--accept-lang=en-US",
        "--window-size=390,844",
        &format!("--user-data-dir={}", profile.display()),
    ] {
        capabilities.add_arg(argument).unwrap();
    }
    for flag in flags {
        capabilities.add_arg(flag).unwrap();
    }
    let preferences = json!({ "download.default_directory": downloads, "download.prompt_for_download": false });
    capabilities.add_experimental_option("prefs", preferences).unwrap();
    capabilities.into()
}

/// Its windows are never narrower than 500 pixels, whatever it is asked for.
fn firefox(profile: &Path, downloads: &Path) -> Capabilities {
    let mut capabilities = DesiredCapabilities::firefox();
    capabilities.set_firefox_binary(&place("LOOMWALK_FIREFOX").display().to_string()).unwrap();
    let arguments = json!(["-headless", "--profile", profile, "--width", "500", "--height", "844"]);
    capabilities.set_browser_option("args", arguments).unwrap();
    let mut preferences = FirefoxPreferences::new();
    preferences.set("intl.accept_languages", "en-US").unwrap();
    // Into a folder of our own, without a question.
    preferences.set("browser.download.folderList", 2).unwrap();
    preferences.set("browser.download.dir", downloads).unwrap();
    preferences.set("browser.download.always_ask_before_handling_new_types", false).unwrap();
    capabilities.set_preferences(preferences).unwrap();
    capabilities.into()
}

/// The browser that comes with the driver forgets everything when it ends; the window is our own.
fn webkit(profile: &Path, downloads: &Path) -> Capabilities {
    let window = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/browser_support/webkit_window.py");
    let mut capabilities = Capabilities::new();
    let options = json!({ "binary": place("LOOMWALK_WEBKIT_PYTHON"), "args": [window, profile, downloads] });
    capabilities.set("webkitgtk:browserOptions", options).unwrap();
    capabilities
}

/// A screen that nobody sees.
pub struct Screen(String, Child);

impl Screen {
    pub fn new() -> Self {
        let mut server = Command::new(place("LOOMWALK_XVFB"))
            .args(["-displayfd", "1", "-screen", "0", "800x1000x24", "-nolisten", "tcp"])
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("Xvfb starts");
        // It takes a number that is free, and says which once it can be used.
        let mut number = String::new();
        BufReader::new(server.stdout.take().unwrap()).read_line(&mut number).unwrap();
        Self(format!(":{}", number.trim()), server)
    }
}

impl Drop for Screen {
    fn drop(&mut self) {
        let _ = self.1.kill();
        let _ = self.1.wait();
    }
}
