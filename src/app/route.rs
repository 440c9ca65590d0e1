//! Which screens are there, and at which address?
//!
//! Read and written by hand: what dioxus derives for it keeps every way in which an address can be wrong, which nobody is
//! ever shown, and was 28 kB before compression.

use std::convert::Infallible;
use std::fmt::{Display, Formatter, Write};
use std::str::FromStr;

use dioxus::prelude::*;
use dioxus::router::SiteMapSegment;

use crate::app::screens::{
    circuit::Circuit,
    concern::Concern,
    dead::Dead,
    draw::Draw,
    finding::Finding,
    guide::Guide,
    handover::HandOver,
    jobs::Jobs,
    list::List,
    load::Load,
    lost::Lost,
    meter::Meter,
    opening::Opening,
    pair::Pair,
    paste::Paste,
    point::Point,
    press::Press,
    repair::Repair,
    report::Report,
    road::Road,
    settings::Settings,
    shelf::{Shelf, ShelfIn},
    shelved::Shelved,
    unplug::Unplug,
    walk::Walk,
    watch::{Watch, WatchAlone},
};
use crate::ids::{EventId, JobId, ShelvedId};

/// Every screen. The address bar says which; the back button goes where one came from.
#[derive(Debug, Clone, PartialEq)]
#[allow(missing_docs)] // The fields are the parts of the addresses.
pub enum Route {
    /// What is open.
    Jobs {},
    /// Vehicle, concern, fuse.
    Concern { job: JobId },
    /// When the fuse opened, and when it held.
    Opening { job: JobId },
    /// Everything on the fuse.
    Circuit { job: JobId },
    /// More of it, from a list that someone else wrote.
    Paste { job: JobId },
    /// What is dead with the fuse open, and what works.
    Dead { job: JobId },
    /// One load.
    Load { job: JobId, load: String },
    /// What to unplug, where a fresh fuse opens at once.
    Unplug { job: JobId },
    /// What a meter should show, to hold beside it.
    Meter { job: JobId },
    /// The next step.
    Walk { job: JobId },
    /// All points, zone by zone.
    List { job: JobId },
    /// Look, press, lift at one point.
    Point { job: JobId, point: String },
    /// Pressing, and watching the telltale.
    Press { job: JobId, point: String },
    /// The phone watches the telltale.
    Watch { job: JobId },
    /// A test drive with a passenger.
    Road { job: JobId },
    /// Rings, arrows and lengths on a photograph.
    Draw { job: JobId, photo: EventId },
    /// The place, what it rubbed on, the cause.
    Finding { job: JobId, point: String },
    /// Repair and release check.
    Repair { job: JobId },
    /// Report, file, desk.
    HandOver { job: JobId },
    /// The report as the customer will read it.
    Report { job: JobId },
    /// The report of a job that is in a file, and is not kept.
    Read {},
    /// Circuits that are kept for the next time.
    Shelf {},
    /// One of them.
    Shelved { entry: ShelvedId },
    /// The same circuits, to use one in a job.
    ShelfIn { job: JobId },
    /// The phone watches the telltale for another one.
    WatchAlone {},
    /// What this device's user likes, and what is kept here.
    Settings {},
    /// This phone and the desk.
    Pair {},
    /// The method, the cautions, what the numbers mean; and what a screen asks for, by the word for it in its address.
    Guide { at: String },
    /// Nothing there.
    Lost { rest: Vec<String> },
}

impl Route {
    /// The screen at the parts of an address. `None`: there is none.
    fn at(parts: &[&str]) -> Option<Self> {
        Some(match *parts {
            [] => Self::Jobs {},
            ["read"] => Self::Read {},
            ["shelf"] => Self::Shelf {},
            ["shelf", entry] => Self::Shelved { entry: entry.parse().ok()? },
            ["watch"] => Self::WatchAlone {},
            ["settings"] => Self::Settings {},
            ["pair"] => Self::Pair {},
            ["guide"] => Self::Guide { at: String::new() },
            ["guide", at] => Self::Guide { at: at.to_owned() },
            ["job", job, screen] => {
                let job = job.parse().ok()?;
                match screen {
                    "concern" => Self::Concern { job },
                    "opening" => Self::Opening { job },
                    "circuit" => Self::Circuit { job },
                    "paste" => Self::Paste { job },
                    "dead" => Self::Dead { job },
                    "unplug" => Self::Unplug { job },
                    "meter" => Self::Meter { job },
                    "walk" => Self::Walk { job },
                    "list" => Self::List { job },
                    "watch" => Self::Watch { job },
                    "road" => Self::Road { job },
                    "repair" => Self::Repair { job },
                    "handover" => Self::HandOver { job },
                    "report" => Self::Report { job },
                    "shelf" => Self::ShelfIn { job },
                    _ => return None,
                }
            }
            ["job", job, screen, one] => {
                let job = job.parse().ok()?;
                match screen {
                    "load" => Self::Load { job, load: one.to_owned() },
                    "point" => Self::Point { job, point: one.to_owned() },
                    "press" => Self::Press { job, point: one.to_owned() },
                    "photo" => Self::Draw { job, photo: one.parse().ok()? },
                    "finding" => Self::Finding { job, point: one.to_owned() },
                    _ => return None,
                }
            }
            _ => return None,
        })
    }
}

impl Route {
    /// What the guide says about a screen of a job.
    pub fn guide(&self) -> Self {
        let address = self.to_string();
        Self::Guide { at: address.split('/').nth(3).unwrap_or_default().to_owned() }
    }
}

impl FromStr for Route {
    type Err = Infallible;

    fn from_str(address: &str) -> Result<Self, Infallible> {
        let path = address.split(['?', '#']).next().unwrap_or_default();
        let parts = path.split('/').filter(|part| !part.is_empty());
        let parts: Vec<String> = parts
            .map(|part| js_sys::decode_uri_component(part).map_or_else(|_| part.to_owned(), String::from))
            .collect();
        let parts_as_text: Vec<&str> = parts.iter().map(String::as_str).collect();
        Ok(Self::at(&parts_as_text).unwrap_or(Self::Lost { rest: parts }))
    }
}

impl Display for Route {
    fn fmt(&self, out: &mut Formatter<'_>) -> std::fmt::Result {
        // A screen of a job, and which one of several of its kind.
        let (job, screen, one) = match self {
            Self::Jobs {} => return out.write_str("/"),
            Self::Concern { job } => (job, "concern", String::new()),
            Self::Opening { job } => (job, "opening", String::new()),
            Self::Circuit { job } => (job, "circuit", String::new()),
            Self::Paste { job } => (job, "paste", String::new()),
            Self::Dead { job } => (job, "dead", String::new()),
            Self::Load { job, load } => (job, "load", load.clone()),
            Self::Unplug { job } => (job, "unplug", String::new()),
            Self::Meter { job } => (job, "meter", String::new()),
            Self::Walk { job } => (job, "walk", String::new()),
            Self::List { job } => (job, "list", String::new()),
            Self::Point { job, point } => (job, "point", point.clone()),
            Self::Press { job, point } => (job, "press", point.clone()),
            Self::Watch { job } => (job, "watch", String::new()),
            Self::Road { job } => (job, "road", String::new()),
            Self::Draw { job, photo } => (job, "photo", photo.to_string()),
            Self::Finding { job, point } => (job, "finding", point.clone()),
            Self::Repair { job } => (job, "repair", String::new()),
            Self::HandOver { job } => (job, "handover", String::new()),
            Self::Report { job } => (job, "report", String::new()),
            Self::Read {} => return out.write_str("/read"),
            Self::Shelf {} => return out.write_str("/shelf"),
            Self::Shelved { entry } => return write!(out, "/shelf/{entry}"),
            Self::ShelfIn { job } => (job, "shelf", String::new()),
            Self::WatchAlone {} => return out.write_str("/watch"),
            Self::Settings {} => return out.write_str("/settings"),
            Self::Pair {} => return out.write_str("/pair"),
            Self::Guide { at } if at.is_empty() => return out.write_str("/guide"),
            Self::Guide { at } => return write!(out, "/guide/{}", Encoded(at)),
            Self::Lost { rest } => {
                for part in rest {
                    write!(out, "/{}", Encoded(part))?;
                }
                return Ok(());
            }
        };
        write!(out, "/job/{job}/{screen}")?;
        if one.is_empty() { Ok(()) } else { write!(out, "/{}", Encoded(&one)) }
    }
}

/// A part of an address: what would end it, or mean something else in one, written as its bytes.
struct Encoded<'a>(&'a str);

impl Display for Encoded<'_> {
    fn fmt(&self, out: &mut Formatter<'_>) -> std::fmt::Result {
        self.0.bytes().try_for_each(|byte| match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'_' | b'.' | b'~' | b':' | b'@' | b'!' | b',' => {
                out.write_char(byte.into())
            }
            _ => write!(out, "%{byte:02X}"),
        })
    }
}

impl Routable for Route {
    // Only for lists of all screens, of which there are none.
    const SITE_MAP: &'static [SiteMapSegment] = &[];

    fn render(&self, level: usize) -> Element {
        if level > 0 {
            return VNode::empty();
        }
        match self.clone() {
            Self::Jobs {} => rsx! { Jobs {} },
            Self::Concern { job } => rsx! { Concern { job } },
            Self::Opening { job } => rsx! { Opening { job } },
            Self::Circuit { job } => rsx! { Circuit { job } },
            Self::Paste { job } => rsx! { Paste { job } },
            Self::Dead { job } => rsx! { Dead { job } },
            Self::Load { job, load } => rsx! { Load { job, load } },
            Self::Unplug { job } => rsx! { Unplug { job } },
            Self::Meter { job } => rsx! { Meter { job } },
            Self::Walk { job } => rsx! { Walk { job } },
            Self::List { job } => rsx! { List { job } },
            Self::Point { job, point } => rsx! { Point { job, point } },
            Self::Press { job, point } => rsx! { Press { job, point } },
            Self::Watch { job } => rsx! { Watch { job } },
            Self::Road { job } => rsx! { Road { job } },
            Self::Draw { job, photo } => rsx! { Draw { job, photo } },
            Self::Finding { job, point } => rsx! { Finding { job, point } },
            Self::Repair { job } => rsx! { Repair { job } },
            Self::HandOver { job } => rsx! { HandOver { job } },
            Self::Report { job } => rsx! { Report { job: Some(job) } },
            Self::Read {} => rsx! { Report { job: None } },
            Self::Shelf {} => rsx! { Shelf {} },
            Self::Shelved { entry } => rsx! { Shelved { entry } },
            Self::ShelfIn { job } => rsx! { ShelfIn { job } },
            Self::WatchAlone {} => rsx! { WatchAlone {} },
            Self::Settings {} => rsx! { Settings {} },
            Self::Pair {} => rsx! { Pair {} },
            Self::Guide { at } => rsx! { Guide { at } },
            Self::Lost { rest } => rsx! { Lost { rest } },
        }
    }
}
