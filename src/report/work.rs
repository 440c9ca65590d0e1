//! The work on paper: what was found, repaired and proven, with the pictures, the cautions and the record.

use std::collections::BTreeSet;

use maud::{Markup, html};

use super::{Page, short, words};
use crate::bundle::file::BundlePhoto;
use crate::gather::Gather as _;
use crate::job::act::{Finding, Photo};
use crate::job::drawing::{HOLDS_FOR, Stroke, told};
use crate::job::methods::method;
use crate::job::overheated::overheated;
use crate::job::state::Repair;

impl Page<'_> {
    pub(super) fn found(&self) -> Markup {
        html! {
            @if !self.findings.is_empty() {
                section { h2 { "What was found" } @for finding in &self.findings { (self.finding(finding)) } }
            }
        }
    }

    fn finding(&self, finding: &Finding) -> Markup {
        html! {
            div.finding {
                h3 { (self.place(&finding.point)) }
                dl.facts {
                    (super::written("Rubbed on", &finding.rubbed_on))
                    @if !finding.colour_seen.is_empty() {
                        (super::fact("Wire colour as seen", &words::colour(&finding.colour_seen)))
                    }
                    (super::written("Also hurt", &finding.also_hurt))
                    (super::written("Why it came to that", &finding.cause))
                    (super::written("Noticed, perhaps unrelated", &finding.aside))
                }
                @if let Some(why) = self.overheated(finding) { p { strong { (why) } } }
                (self.proof(finding))
            }
        }
    }

    fn overheated(&self, finding: &Finding) -> Option<String> {
        let ready = self.ready?;
        overheated(&self.job, ready, ready.point(&finding.point)?)
    }

    pub(super) fn repairs(&self) -> Markup {
        let (done, advised): (Vec<&Repair>, Vec<&Repair>) = self.job.repairs.iter().partition(|repair| repair.done);
        html! {
            @if !done.is_empty() {
                section { h2 { "What was repaired" } ul { @for repair in &done { (self.repair(repair)) } } }
            }
            @if !advised.is_empty() {
                section { h2 { "What is recommended and not done" } ul { @for repair in &advised { (self.repair(repair)) } } }
            }
        }
    }

    fn repair(&self, repair: &Repair) -> Markup {
        html! {
            li {
                span translate=[repair.method.is_none().then_some("no")] { (repair.what) }
                @if let Some(point) = &repair.point { span.aside { " At: " (self.place(point)) "." } }
                @if let Some(minutes) = repair.minutes { span.aside { " " (minutes) " min." } }
                @if let Some(id) = &repair.method {
                    span.aside { " Method: " (method(id).map_or(id.as_str(), |method| method.name.as_str())) "." }
                }
                @if !repair.materials.is_empty() {
                    ul.small { @for material in &repair.materials {
                        li { (material.name) ": " (material.quantity) " " (material.unit) }
                    } }
                }
                " " span.when { (self.when(*repair.events.last().unwrap_or(&repair.first))) }
            }
        }
    }

    pub(super) fn release(&self) -> Markup {
        let all = self.release.iter().all(|item| item.done);
        html! {
            section {
                h2 { "Check before the vehicle goes back" }
                @if !all { p { strong { "Not everything on this list was done." } } }
                table.release {
                    tbody {
                        @for item in &self.release {
                            tr {
                                th scope="row" { (item.label) }
                                td { @if item.done { "done" } @else { strong.undone { "not done" } } }
                                td {
                                    @if !item.value.is_empty() { p translate="no" { (item.value) } }
                                    @if !item.told.is_empty() {
                                        p { @if item.doubt { strong { (item.told) } } @else { (item.told) } }
                                    }
                                    @if !item.read.is_empty() { p.small { (item.read) } }
                                }
                            }
                        }
                    }
                }
            }
        }
    }

    pub(super) fn pictures(&self) -> Markup {
        let kept = self.bundle.photos.iter().map(|BundlePhoto { photo, .. }| photo);
        let (recordings, photos): (Vec<&Photo>, Vec<&Photo>) = kept.partition(|photo| photo.is_recording());
        html! {
            @if !photos.is_empty() {
                section { h2 { "Photographs" } div.pictures { @for photo in photos { (self.picture(photo)) } } }
            }
            @if !recordings.is_empty() {
                section { h2 { "Recordings" } @for photo in recordings { (self.recording(photo)) } }
            }
        }
    }

    /// What is drawn on a photograph.
    pub(super) fn drawn_on(&self, photo: &Photo) -> &[Stroke] {
        // The same may have been brought back on two phones, and drawn on by one.
        let mut same = self.job.photos.iter().filter(|(_, kept)| kept == photo);
        same.find_map(|(event, _)| self.job.drawings.get(event)).map_or(&[], Vec::as_slice)
    }

    fn recording(&self, photo: &Photo) -> Markup {
        html! {
            figure.recording {
                @match (self.photo)(&photo.sha256) {
                    Some(address) => audio controls preload="none" src=(address) {},
                    None => p.missing { "This recording is not in the file (" (photo.bytes / 1024) " KB, " (photo.media_type) ")." },
                }
                figcaption {
                    strong { "Spoken note" } @if let Some(seconds) = photo.seconds { ", " (seconds.round()) " s" } "."
                    @if let Some(point) = &photo.point { " " (self.place(point)) "." }
                    (taken(photo))
                }
            }
        }
    }

    fn picture(&self, photo: &Photo) -> Markup {
        let strokes = self.drawn_on(photo);
        let told = told(strokes);
        let stage = words::stage(photo.stage);
        let place = photo.point.as_ref().map(|point| self.names.point(point).title).unwrap_or_default();
        let alt = [stage, &place, &photo.annotation].into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>();
        html! {
            figure {
                @match (self.photo)(&photo.sha256) {
                    Some(address) => div.drawn-on {
                        img src=(address) alt=(alt.join(". ")) width=(photo.width.max(1)) height=(photo.height.max(1));
                        @if let (Some(height), false) = (photo.shape(), strokes.is_empty()) { (drawing(strokes, height)) }
                    },
                    None => p.missing { "This photograph is not in the file (" (photo.bytes / 1024) " KB, " (photo.media_type) ")." },
                }
                figcaption {
                    strong { (stage) } "."
                    @if let Some(point) = &photo.point { " " (self.place(point)) "." }
                    @if !photo.annotation.is_empty() { " " (super::own(&photo.annotation)) }
                    @if !told.is_empty() {
                        ol.drawn { @for words in &told { li { (words) } } }
                        @if strokes.iter().any(|stroke| matches!(stroke, Stroke::Length { .. })) { p.aside { (HOLDS_FOR) } }
                    }
                    (taken(photo))
                }
            }
        }
    }

    pub(super) fn cautions(&self) -> Markup {
        html! {
            section {
                h2 { "Please note" }
                p {
                    "This report supports a trained person. It does not replace the vehicle maker's service information, "
                    "whose instructions and the local rules come first."
                }
                ul.small {
                    li { "Never fit a larger fuse and never bridge one: the fuse protects the wire from fire." }
                    li { "Airbag and belt pretensioner circuits: never probe, press or unplug them live. Disconnect the battery and wait as the maker says." }
                    li { "Orange cables carry high voltage: stop, qualified people only." }
                    li { "A raised vehicle stands on the maker's points with its wheels chocked, never only on a jack." }
                    @if self.job.fuse_style().resets() {
                        li {
                            "This circuit has a breaker that trips and closes again by itself: a short is fed again and again, "
                            "and the wire heats at every closing. If it trips again, switch off what it feeds, note what the "
                            "vehicle was doing, and bring it back."
                        }
                    } @else {
                        li { "If the fuse opens again, leave it open, note what the vehicle was doing, and bring it back." }
                    }
                }
            }
        }
    }

    pub(super) fn notes(&self) -> Markup {
        html! {
            @if !self.job.notes.is_empty() {
                section {
                    h2 { "Notes" }
                    @for (event, note) in &self.job.notes { p { (super::own(note)) " " span.when { (self.when(*event)) } } }
                }
            }
        }
    }

    pub(super) fn record(&self) -> Markup {
        let devices: BTreeSet<String> = self.bundle.log.iter().map(|event| event.device_id.to_string()).gather();
        let devices: Vec<&str> = devices.iter().map(|id| short(id)).collect();
        let job = &self.job;
        html! {
            section.record {
                h2 { "Record" }
                p.small {
                    (words::count(self.bundle.log.len(), "entry", "entries")) " in the log, from "
                    (words::count(devices.len(), "device", "devices")) " (" (devices.join(", ")) "). "
                    @if !job.taken_back.is_empty() { (job.taken_back.len()) " taken back: they are in the log and do not count here. " }
                    @if job.from_newer > 0 { (job.from_newer) " from a newer version of the program: not shown here. " }
                    @if !job.unreadable.is_empty() { (job.unreadable.len()) " could not be read: not shown here. " }
                    "Times are UTC, by the devices' clocks. "
                    @for (at, way) in &job.handed_over { "Handed over " (words::way(*way)) " on " (words::moment(*at)) ". " }
                }
                p.small.digest { "Job " (self.bundle.job.id) br; "Bundle " (self.bundle.bundle_id) br; "Log SHA-256 " (self.bundle.log_digest) }
            }
        }
    }
}

fn taken(photo: &Photo) -> Markup {
    html! {
        span.when {
            @if let Some(taken) = photo.taken_at { "Taken " (words::moment(taken)) " UTC. " }
            "SHA-256 " (photo.sha256.as_str().get(..16).unwrap_or_default()) "…"
        }
    }
}

/// Over the picture, so that it is seen on a dark one and on a light one: each line light upon a wider dark one. Said in
/// words below the picture.
pub(super) fn drawing(strokes: &[Stroke], height: f64) -> Markup {
    html! {
        svg viewBox={ "0 0 1000 " (format!("{:.0}", height * 1000.0)) } aria-hidden="true" {
            @for (number, stroke) in (1..).zip(strokes) {
                path.under d=(stroke.path()) {}
                path.over d=(stroke.path()) stroke-dasharray=[matches!(stroke, Stroke::Known { .. }).then_some("18 12")] {}
                @let (x, y) = stroke.number_at(height);
                text x=(x) y=(y) { (number) }
            }
        }
    }
}
