//! What goes out of the house on paper? Two pages made from a bundle, each one self-contained HTML document, the same
//! everywhere: the whole for the file, and a sheet for the customer.
//!
//! No script, nothing from a network, ready for paper. All that people wrote is escaped as it is put in.
//!
//! - [`names`]: what places are called.
//! - [`prices`], [`estimate`], [`table`]: what a shop charges, what the repairs cost, and that as CSV.
//! - `circuit`, `tried`, `search`, `work`, `proof`: the sections of the page for the file.
//! - `customer`: the sheet.
//! - `words`: the terms of a job as they are said on paper.

mod circuit;
mod customer;
pub mod estimate;
pub mod names;
pub mod prices;
mod proof;
mod search;
pub mod table;
pub mod text;
mod tried;
mod words;
mod work;

use std::borrow::Cow;
use std::collections::BTreeMap;

use maud::{DOCTYPE, Markup, PreEscaped, html};

use crate::bundle::Bundle;
use crate::bundle::beside::is_kept;
use crate::bundle::file::BundleJob;
use crate::circuit::said;
use crate::gather::Gather as _;
use crate::ids::{EventId, PhotoHash, PointId};
use crate::job::act::{Concern, Finding};
use crate::job::release::{Item, release};
use crate::job::session::{CircuitView, Ready};
use crate::job::state::Job;
use crate::job::tale::{Tale, tales};
use crate::job::watched::{OutAt, outs};
use crate::job::{Event, Log};
use crate::search::plan::Plan;
use estimate::Estimate;
pub use names::{FromIds, FromVehicle, Names, PlaceName};
use prices::Prices;
pub use text::Lang;
use text::Text;

/// The style of the page, print rules included.
pub const STYLE: &str = include_str!("page.css");

/// All that the sections draw from.
struct Page<'a> {
    bundle: &'a Bundle,
    job: Job,
    concern: &'a Concern,
    findings: Vec<&'a Finding>,
    events: BTreeMap<EventId, &'a Event>,
    /// When the telltale went out beside a press, with the place of it.
    outs: Vec<(PointId, OutAt)>,
    /// What follows from the circuit, where it is sound.
    ready: Option<&'a Ready>,
    plan: Option<&'a Plan>,
    tales: Vec<Tale>,
    release: Vec<Item>,
    estimate: Option<Estimate>,
    text: Text,
    names: &'a dyn Names,
    photo: &'a dyn Fn(&PhotoHash) -> Option<String>,
}

/// For whom the page is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Kind {
    /// For the file: all of it.
    #[default]
    File,
    /// For the customer: one sheet, in plain words.
    Customer,
}

/// What page is wished for.
#[derive(Debug, Clone, Copy, Default)]
pub struct Wish<'a> {
    /// For whom.
    pub kind: Kind,
    /// With an estimate by these prices.
    pub prices: Option<&'a Prices>,
    /// In which language the customer's sheet is. The page for the file is English.
    pub lang: Lang,
}

/// The hand-over page of a bundle for the file, with all that this program knows of its vehicle.
///
/// `photo` gives the address of a photograph, such as a `data:` URI; where it has none the page says that the picture
/// is missing.
pub fn html(bundle: &Bundle, photo: &dyn Fn(&PhotoHash) -> Option<String>) -> String {
    html_for(bundle, photo, &Wish::default())
}

/// The page that is wished for.
pub fn html_for(bundle: &Bundle, photo: &dyn Fn(&PhotoHash) -> Option<String>, wish: &Wish) -> String {
    let job = fold(bundle);
    let bundle = &*by_its_log(bundle, &job);
    match CircuitView::of(&job) {
        CircuitView::Ready(ready) => page(bundle, job, Some(&ready), &FromVehicle(&ready), photo, wish),
        CircuitView::None | CircuitView::Unsound(_) => page(bundle, job, None, &FromIds, photo, wish),
    }
}

/// What the repairs of a bundle's job cost.
pub fn estimate_of(bundle: &Bundle, prices: &Prices) -> Estimate {
    Estimate::of(&fold(bundle), prices)
}

/// The job that a bundle's log tells. A bundle that was read has no two bodies under one id; of any other the first
/// counts.
fn fold(bundle: &Bundle) -> Job {
    let events: BTreeMap<EventId, &Event> = bundle.log.iter().rev().map(|event| (event.id, event)).gather();
    let mut job = Job::fold(bundle.job.id, &Log::of(events.into_values().cloned()).unwrap_or_default());
    // A bundle with a part of the log only still carries the whole circuit.
    if bundle.part || job.circuit.is_none() {
        job.circuit.clone_from(&bundle.job.circuit);
    }
    job
}

/// The bundle with what its log tells beside that. No digest covers what stands there, so it holds only where the log is a
/// part, or has something that this version cannot read.
fn by_its_log<'b>(bundle: &'b Bundle, job: &Job) -> Cow<'b, Bundle> {
    let told = BundleJob::of(job);
    let changed = bundle.job != told || bundle.photos.iter().any(|kept| !is_kept(&kept.photo, job));
    if !(bundle.is_whole(job) && changed) {
        return Cow::Borrowed(bundle);
    }
    let mut bundle = Bundle { job: told, ..bundle.clone() };
    bundle.photos.retain_mut(|kept| {
        let by_log = job.photos.iter().map(|(_, photo)| photo).find(|photo| photo.sha256 == kept.photo.sha256);
        if let (Some(photo), false) = (by_log, is_kept(&kept.photo, job)) {
            kept.photo = photo.clone();
        }
        by_log.is_some()
    });
    Cow::Owned(bundle)
}

fn page(
    bundle: &Bundle,
    job: Job,
    ready: Option<&Ready>,
    names: &dyn Names,
    photo: &dyn Fn(&PhotoHash) -> Option<String>,
    wish: &Wish,
) -> String {
    let events: BTreeMap<EventId, &Event> = bundle.log.iter().rev().map(|event| (event.id, event)).collect();
    let page = Page {
        outs: outs(&mut events.values().copied(), &job),
        tales: tales(&job, ready.map(|ready| &ready.harness)),
        release: release(&job, ready, &mut bundle.log.iter()),
        estimate: wish.prices.map(|prices| Estimate::of(&job, prices)),
        job,
        // What the bundle says of the job holds where its log is only a part.
        concern: &bundle.job.concern,
        findings: bundle.job.findings.iter().collect(),
        bundle,
        events,
        ready,
        plan: ready.map(|ready| &ready.plan),
        text: Text::of(wish.lang),
        names,
        photo,
    };
    let body = match wish.kind {
        Kind::File => page.file(),
        Kind::Customer => page.sheet(),
    };
    without_controls(page.whole(&body, wish.kind).into_string())
}

/// Control characters have no place in HTML, and those that turn the direction of text could make it read otherwise
/// than it is.
fn without_controls(mut page: String) -> String {
    let turns = |letter: char| matches!(letter, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    page.retain(|letter| letter == '\n' || !(letter.is_control() || turns(letter)));
    page
}

impl Page<'_> {
    fn whole(&self, body: &Markup, kind: Kind) -> Markup {
        let title = self.title();
        html! {
            (DOCTYPE)
            html lang=(if kind == Kind::Customer { self.text.lang.tag() } else { "en" }) {
                head {
                    meta charset="utf-8";
                    meta name="viewport" content="width=device-width, initial-scale=1";
                    meta http-equiv="Content-Security-Policy"
                        content="default-src 'none'; style-src 'unsafe-inline'; img-src 'self' data: blob:; media-src 'self' data: blob:";
                    meta name="generator" content=(concat!("Loomwalk ", env!("CARGO_PKG_VERSION")));
                    title { (title) }
                    style { (PreEscaped(STYLE)) }
                }
                body {
                    main.sheet[kind == Kind::Customer] { (body) }
                }
            }
        }
    }

    /// All of it, for the file.
    fn file(&self) -> Markup {
        html! {
            (self.head(&self.title()))
            (self.three_words())
            (self.found())
            (self.pictures())
            (self.repairs())
            (self.release())
            @if let Some(estimate) = &self.estimate { (estimate.section()) }
            (self.notes())
            (self.cautions())
            (self.circuit())
            (self.tried())
            (self.happened())
            (self.looked())
            (self.remains())
            (self.assumed())
            (self.record())
        }
    }

    fn title(&self) -> String {
        match self.bundle.job.vehicle.label.trim() {
            "" => "Fuse fault report".to_owned(),
            label => format!("Fuse fault report: {label}"),
        }
    }

    fn head(&self, title: &str) -> Markup {
        let vehicle = &self.bundle.job.vehicle;
        let circuit = self.bundle.job.circuit.as_ref();
        html! {
            header {
                @if self.job.practice {
                    p.practice { "Practice job. None of this happened on a real vehicle." }
                }
                h1 { (title) }
                dl.facts {
                    @if let Some(vin) = &vehicle.vin { div { dt { "VIN" } dd translate="no" { (vin) } } }
                    @if let Some(circuit) = circuit {
                        @if !circuit.label.is_empty() { div { dt { "Circuit" } dd translate="no" { (circuit.label) } } }
                        @if circuit.fuse.rating_a > 0.0 {
                            div { dt { "Fuse" } dd { (own(&circuit.fuse.label)) " " (circuit.fuse.rating_a) " A, " (said::style(circuit.fuse.style)) } }
                        }
                    }
                    @if let Some(opened) = self.job.opened_at { div { dt { "Opened" } dd { (words::day(opened)) } } }
                    div { dt { "Report made" } dd { (words::moment(self.bundle.made_at)) " UTC" } }
                }
            }
        }
    }

    /// Concern, cause, correction: what a reader with one minute reads.
    fn three_words(&self) -> Markup {
        let concern = self.concern;
        let fresh = words::fresh_fuse(concern.fresh_fuse, self.job.fuse_style());
        let done: Vec<_> = self.job.repairs.iter().filter(|repair| repair.done).collect();
        html! {
            section.three aria-label="In short" {
                div {
                    h2 { "Concern" }
                    p { @if concern.words.is_empty() { em { "Not recorded." } } @else { (own(&concern.words)) } }
                }
                div {
                    h2 { "Cause" }
                    @for finding in &self.findings {
                        p { strong { (self.names.point(&finding.point).title) } }
                        @if !finding.cause.is_empty() { p translate="no" { (finding.cause) } }
                    }
                    @if self.findings.is_empty() { p { em { "Not found yet." } } }
                }
                div {
                    h2 { "Correction" }
                    @for repair in &done { p translate=[repair.method.is_none().then_some("no")] { (repair.what) } }
                    @if done.is_empty() { p { em { "No repair is recorded as done." } } }
                }
            }
            @if [&concern.dead, &concern.how_often, &concern.doing, &concern.telltale].iter().any(|part| !part.is_empty())
                || fresh.is_some() {
                dl.facts {
                    (written("Dead while the fuse is open", &concern.dead))
                    (written("How often", &concern.how_often))
                    @if let Some(often) = concern.often.filter(|often| often.times > 0 && often.hours_of_use() > 0.0) {
                        (fact("In figures", &format!("{} × in {} h of use", often.times, often.hours)))
                    }
                    (written("While doing what", &concern.doing))
                    (written("Shows that the fuse has opened", &concern.telltale))
                    @if let Some((tried, showed)) = fresh { (fact(tried, showed)) }
                }
            }
        }
    }

    fn place(&self, point: &PointId) -> Markup {
        let PlaceName { title, zone } = self.names.point(point);
        html! { (title) @if !zone.is_empty() && !title.contains(&zone) { span.aside { ", " (zone) } } }
    }

    /// When and on which device an event was made.
    fn when(&self, event: EventId) -> String {
        match self.events.get(&event) {
            Some(event) => format!("{}, device {}", words::moment(event.at), short(&event.device_id.to_string())),
            None => String::new(),
        }
    }
}

/// A user's own words: what puts the page into another language leaves them alone.
fn own(text: &str) -> Markup {
    html! { span translate="no" { (text) } }
}

/// The same as a fact.
fn written(term: &str, text: &str) -> Markup {
    html! { @if !text.is_empty() { div { dt { (term) } dd translate="no" { (text) } } } }
}

fn fact(term: &str, text: &str) -> Markup {
    html! { @if !text.is_empty() { div { dt { (term) } dd { (text) } } } }
}

/// The last eight digits of an id: those before are the time in ids of the newer kind, and much alike.
fn short(id: &str) -> &str {
    id.get(id.len().saturating_sub(8)..).unwrap_or(id)
}
