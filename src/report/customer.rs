//! What does the customer read? One sheet: what they said, what was found and done, what was not, and what to do next.

use maud::{Markup, html};

use super::search::percent;
use super::work::drawing;
use super::{Page, fact, short, words};
use crate::job::act::{Finding, Photo, ReleaseItem, Stage};
use crate::job::release::Item;
use crate::job::state::{PointState, Repair};

/// As many pictures as one sheet has room for.
const MOST_PICTURES: usize = 3;

impl Page<'_> {
    /// The sheet for the customer.
    pub(super) fn sheet(&self) -> Markup {
        html! {
            (self.sheet_head())
            (self.told_us())
            (self.found_plainly())
            (self.shown())
            (self.done_and_not())
            (self.checked())
            (self.costs())
            (self.next_time())
            (self.reference())
        }
    }

    fn sheet_head(&self) -> Markup {
        let vehicle = &self.bundle.job.vehicle;
        html! {
            header {
                @if self.job.practice { p.practice { "Practice job. None of this happened on a real vehicle." } }
                h1 { @if self.findings.is_empty() { "Your vehicle: where the work stands" } @else { "Your vehicle: what was found and done" } }
                dl.facts {
                    (fact("Vehicle", vehicle.label.trim()))
                    @if let Some(vin) = &vehicle.vin { div { dt { "Vehicle number" } dd { (vin) } } }
                    @if let Some(opened) = self.job.opened_at { div { dt { "Taken in" } dd { (words::day(opened)) } } }
                    div { dt { "This sheet" } dd { (words::day(self.bundle.made_at)) } }
                }
            }
        }
    }

    fn told_us(&self) -> Markup {
        let concern = self.concern;
        html! {
            @if !concern.words.is_empty() {
                section { h2 { "What you told us" } p { (concern.words) } }
            }
        }
    }

    fn found_plainly(&self) -> Markup {
        html! {
            section {
                h2 { "What was found" }
                @if self.findings.is_empty() { p { "The place has not been found yet. The search goes on." } }
                @for finding in &self.findings { (self.finding_plainly(finding)) }
            }
        }
    }

    fn finding_plainly(&self, finding: &Finding) -> Markup {
        let state = self.job.points.get(&finding.point);
        let seen = state.and_then(PointState::seen);
        let sure = self.ready.filter(|ready| ready.point(&finding.point).is_some());
        html! {
            p {
                strong { (self.place(&finding.point)) }
                @if let Some(seen) = seen { ": " (words::seen_meaning(seen)) } "."
                @if state.is_some_and(|state| state.opened) { " When it was pressed there, the fuse opened." }
                @if let Some(ready) = sure {
                    " By what was seen and tried, this is the cause with a chance of " (percent(ready.chance(&finding.point))) "."
                }
            }
            dl.facts.plain {
                (fact("It rubbed on", &finding.rubbed_on))
                (fact("Why", &finding.cause))
                (fact("Also hurt", &finding.also_hurt))
                (fact("Also noticed, perhaps unrelated", &finding.aside))
            }
        }
    }

    /// The pictures that show it: close, as it lay, repaired. Of each the newest at a finding.
    fn shown(&self) -> Markup {
        let at_finding = |photo: &&Photo| {
            photo.point.as_ref().is_some_and(|point| self.findings.iter().any(|finding| finding.point == *point))
        };
        let newest = |stage: Stage| {
            let photos = || self.job.pictures().map(|(_, photo)| photo).filter(|photo| photo.stage == stage);
            photos().filter(at_finding).last().or_else(|| photos().last().filter(|_| stage == Stage::Repaired))
        };
        let chosen = [Stage::Close, Stage::Lie, Stage::Repaired].into_iter().filter_map(newest);
        let there: Vec<(&Photo, String)> =
            chosen.filter_map(|photo| Some((photo, (self.photo)(&photo.sha256)?))).take(MOST_PICTURES).collect();
        html! {
            @if !there.is_empty() {
                div.pictures { @for (photo, address) in &there { (self.small(photo, address)) } }
            }
        }
    }

    fn small(&self, photo: &Photo, address: &str) -> Markup {
        let strokes = self.drawn_on(photo);
        let shows = match photo.stage {
            Stage::Lie => "As it lay, before it was touched",
            Stage::Close => "From close by",
            other => words::stage(other),
        };
        let tall = photo.height > photo.width;
        html! {
            figure.tall[tall] {
                div.drawn-on {
                    img src=(address) alt=(shows) width=(photo.width.max(1)) height=(photo.height.max(1));
                    @if let (Some(height), false) = (photo.shape(), strokes.is_empty()) { (drawing(strokes, height)) }
                }
                figcaption { (shows) }
            }
        }
    }

    fn done_and_not(&self) -> Markup {
        let (done, advised): (Vec<&Repair>, Vec<&Repair>) = self.job.repairs.iter().partition(|repair| repair.done);
        html! {
            div.beside {
                section {
                    h2 { "What was repaired" }
                    @if done.is_empty() { p { "No repair is written down as done." } }
                    @else { ul { @for repair in done { li { (repair.what) } } } }
                }
                @if !advised.is_empty() {
                    section {
                        h2 { "Recommended, and not done" }
                        ul { @for repair in advised { li { (repair.what) } } }
                    }
                }
            }
        }
    }

    fn checked(&self) -> Markup {
        let undone = self.release.iter().filter(|item| !item.done).count();
        html! {
            section {
                h2 { "Checked before it goes back" }
                @if undone > 0 { p { strong { (undone) " of " (self.release.len()) " checks " (if undone == 1 { "was" } else { "were" }) " not done." } } }
                ul.checks {
                    @for item in &self.release {
                        li {
                            (plainly(item.item)) ": "
                            @if item.done { "done" } @else { strong { "not done" } }
                            @if item.doubt { ". " (item.told) }
                            @if let Some(minutes) = driven(item, self) { ", " (minutes) " min in which the fuse held" }
                        }
                    }
                }
            }
        }
    }

    fn costs(&self) -> Markup {
        let Some(estimate) = self.estimate.as_ref().filter(|estimate| !estimate.lines.is_empty()) else {
            return html! {};
        };
        let parts =
            [("For what was done", true, &estimate.done), ("For what is recommended", false, &estimate.recommended)];
        html! {
            section {
                h2 { "Estimate" }
                @for (title, done, sum) in parts {
                    @if estimate.lines.iter().any(|line| line.done == done) {
                        p {
                            (title) ": " strong { (estimate.money(sum.total)) }
                            @if let Some(tax) = &estimate.tax { ", of that " (tax.name) " " (estimate.money(sum.tax)) }
                            "."
                            @match estimate.unpriced(done) {
                                0 => {}
                                left => { " " strong { (words::count(left, "item has", "items have")) " no price yet and " (if left == 1 { "is" } else { "are" }) " not in it." } }
                            }
                        }
                    }
                }
            }
        }
    }

    fn next_time(&self) -> Markup {
        html! {
            section {
                h2 { "If it happens again" }
                p {
                    @if self.job.fuse_style().resets() {
                        "Switch off what has gone dead, for the breaker closes again by itself and the wire heats each time. "
                    } @else {
                        "Do not put in one fuse after another, and never a larger one or a piece of wire: the fuse keeps the wire from burning. "
                    }
                    "Write down what you were doing: standing or driving, bump or bend, what was switched on, warm or cold. Bring it "
                    "back with this sheet. If you smell burning or see smoke, stop, switch off, get out, and call for help."
                }
                p.small {
                    "A wire may rub in a second place that has not shown yet; no test rules that out. The maker's instructions come first. "
                    "This sheet describes the work on this fuse and is no inspection of the whole vehicle."
                }
            }
        }
    }

    fn reference(&self) -> Markup {
        html! {
            p.small.digest {
                "Job " (self.bundle.job.id) " · bundle " (short(&self.bundle.bundle_id.to_string()))
                " · log " (self.bundle.log_digest.chars().take(16).collect::<String>())
            }
        }
    }
}

fn driven(item: &Item, page: &Page) -> Option<f64> {
    page.job.release.get(&item.item).filter(|_| item.item == ReleaseItem::RoadTest && item.done)?.minutes
}

/// An item of the release check for a reader who is not of the trade.
fn plainly(item: ReleaseItem) -> &'static str {
    match item {
        ReleaseItem::RightFuse => "The right fuse is fitted",
        ReleaseItem::PressedAgain => "The repaired place was pressed again and the fuse held",
        ReleaseItem::DrawMeasured => "The current was measured",
        ReleaseItem::AllWorked => "Everything on this fuse was switched on once",
        ReleaseItem::ProtectionBack => "Covers and protection are back",
        ReleaseItem::CautionsUndone => "What was disconnected for safety is connected again",
        ReleaseItem::RoadTest => "Test drive",
    }
}
