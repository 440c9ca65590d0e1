//! Which screens are there, and at which address?

use dioxus::prelude::*;

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
#[derive(Debug, Clone, PartialEq, Routable)]
#[allow(missing_docs)] // The fields are the parts of the addresses.
pub enum Route {
    /// What is open.
    #[route("/")]
    Jobs {},
    /// Vehicle, concern, fuse.
    #[route("/job/:job/concern")]
    Concern { job: JobId },
    /// When the fuse opened, and when it held.
    #[route("/job/:job/opening")]
    Opening { job: JobId },
    /// Everything on the fuse.
    #[route("/job/:job/circuit")]
    Circuit { job: JobId },
    /// More of it, from a list that someone else wrote.
    #[route("/job/:job/paste")]
    Paste { job: JobId },
    /// What is dead with the fuse open, and what works.
    #[route("/job/:job/dead")]
    Dead { job: JobId },
    /// One load.
    #[route("/job/:job/load/:load")]
    Load { job: JobId, load: String },
    /// What to unplug, where a fresh fuse opens at once.
    #[route("/job/:job/unplug")]
    Unplug { job: JobId },
    /// What a meter should show, to hold beside it.
    #[route("/job/:job/meter")]
    Meter { job: JobId },
    /// The next step.
    #[route("/job/:job/walk")]
    Walk { job: JobId },
    /// All points, zone by zone.
    #[route("/job/:job/list")]
    List { job: JobId },
    /// Look, press, lift at one point.
    #[route("/job/:job/point/:point")]
    Point { job: JobId, point: String },
    /// Pressing, and watching the telltale.
    #[route("/job/:job/press/:point")]
    Press { job: JobId, point: String },
    /// The phone watches the telltale.
    #[route("/job/:job/watch")]
    Watch { job: JobId },
    /// A test drive with a passenger.
    #[route("/job/:job/road")]
    Road { job: JobId },
    /// Rings, arrows and lengths on a photograph.
    #[route("/job/:job/photo/:photo")]
    Draw { job: JobId, photo: EventId },
    /// The place, what it rubbed on, the cause.
    #[route("/job/:job/finding/:point")]
    Finding { job: JobId, point: String },
    /// Repair and release check.
    #[route("/job/:job/repair")]
    Repair { job: JobId },
    /// Report, file, desk.
    #[route("/job/:job/handover")]
    HandOver { job: JobId },
    /// The report as the customer will read it.
    #[route("/job/:job/report")]
    Report { job: JobId },
    /// Circuits that are kept for the next time.
    #[route("/shelf")]
    Shelf {},
    /// One of them.
    #[route("/shelf/:entry")]
    Shelved { entry: ShelvedId },
    /// The same circuits, to use one in a job.
    #[route("/job/:job/shelf")]
    ShelfIn { job: JobId },
    /// The phone watches the telltale for another one.
    #[route("/watch")]
    WatchAlone {},
    /// What this device's user likes, and what is kept here.
    #[route("/settings")]
    Settings {},
    /// This phone and the desk.
    #[route("/pair")]
    Pair {},
    /// The method, the cautions, what the numbers mean.
    #[route("/guide")]
    Guide {},
    /// Nothing there.
    #[route("/:..rest")]
    Lost { rest: Vec<String> },
}
