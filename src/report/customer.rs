//! What does the customer read? One sheet: what they said, what was found and done, what was not, and what to do next.

use maud::{Markup, html};

use super::prices::Amount;
use super::text::{Arg, Lang};
use super::work::drawing;
use super::{Page, fact, short};
use crate::ids::{EventId, PointId};
use crate::job::act::{Finding, Photo, ReleaseItem, Stage};
use crate::job::release::Item;
use crate::job::state::{PointState, Repair};
use crate::search::evidence::Seen;

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
        let say = |id: &str| self.text.say(id);
        html! {
            header {
                @if self.job.practice { p.practice { (say("practice")) } }
                h1 { @if self.findings.is_empty() { (say("title-open")) } @else { (say("title-found")) } }
                dl.facts {
                    (fact(&say("vehicle"), vehicle.label.trim()))
                    @if let Some(vin) = &vehicle.vin { div { dt { (say("vin")) } dd { (vin) } } }
                    @if let Some(opened) = self.job.opened_at { div { dt { (say("taken-in")) } dd { (self.text.day(opened)) } } }
                    div { dt { (say("this-sheet")) } dd { (self.text.day(self.bundle.made_at)) } }
                }
            }
        }
    }

    fn told_us(&self) -> Markup {
        let concern = self.concern;
        html! {
            @if !concern.words.is_empty() {
                section { h2 { (self.text.say("told-us")) } p { (concern.words) } }
            }
        }
    }

    fn found_plainly(&self) -> Markup {
        html! {
            section {
                h2 { (self.text.say("found")) }
                @if self.findings.is_empty() { p { (self.text.say("not-found")) } }
                @for finding in &self.findings { (self.finding_plainly(finding)) }
            }
        }
    }

    fn finding_plainly(&self, finding: &Finding) -> Markup {
        let state = self.job.points.get(&finding.point);
        let seen = state.and_then(PointState::found);
        let say = |id: &str| self.text.say(id);
        let sure = self.ready.filter(|ready| ready.point(&finding.point).is_some());
        html! {
            p {
                (self.place_plainly(&finding.point))
                @if let Some(seen) = seen { ": " (say(seen_id(seen))) } "."
                @if state.is_some_and(|state| state.opened) { " " (say("opened-there")) }
                @if let Some(ready) = sure {
                    " " (self.text.say_with("chance", &[("percent", Arg::Text(&self.text.percent(ready.chance(&finding.point))))]))
                }
            }
            dl.facts.plain {
                (fact(&say("rubbed-on"), &finding.rubbed_on))
                (fact(&say("why"), &finding.cause))
                (fact(&say("also-hurt"), &finding.also_hurt))
                (fact(&say("aside"), &finding.aside))
            }
        }
    }

    /// The place by name. Names come from the vehicle's map in English; in another language that is said.
    fn place_plainly(&self, point: &PointId) -> Markup {
        let place = self.place(point);
        html! {
            @if self.text.lang == Lang::En { strong { (place) } }
            @else {
                @let (before, after) = self.around_place();
                (before) strong lang="en" { (place) } (after)
            }
        }
    }

    /// What stands before and behind a place's English name.
    fn around_place(&self) -> (String, String) {
        let whole = self.text.say_with("place-in-english", &[("place", Arg::Text("\u{1}"))]);
        match whole.split_once('\u{1}') {
            Some((before, after)) => (before.to_owned(), after.to_owned()),
            None => (whole, String::new()),
        }
    }

    /// The pictures that show it: close, as it lay, repaired. Of each the newest at a finding.
    fn shown(&self) -> Markup {
        let at_finding = |photo: &&Photo| {
            photo.point.as_ref().is_some_and(|point| self.findings.iter().any(|finding| finding.point == *point))
        };
        let newest = |stage: Stage| {
            let photos = || self.job.pictures().filter(|(_, photo)| photo.stage == stage);
            // What was brought back is as old as it was.
            let age = |(event, _): &&(EventId, Photo)| self.first_said(*event);
            let newest = photos().filter(|(_, photo)| at_finding(&photo)).max_by_key(age);
            let any = || photos().max_by_key(age).filter(|_| stage == Stage::Repaired);
            newest.or_else(any).map(|(_, photo)| photo)
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
            Stage::Lie => "stage-lie",
            Stage::Close => "stage-close",
            Stage::Lifted => "stage-lifted",
            Stage::Repaired => "stage-repaired",
            Stage::Other => "stage-other",
        };
        let shows = self.text.say(shows);
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
                    h2 { (self.text.say("repaired")) }
                    @if done.is_empty() { p { (self.text.say("repaired-nothing")) } }
                    @else { ul { @for repair in done { li { (repair.what) } } } }
                }
                @if !advised.is_empty() {
                    section {
                        h2 { (self.text.say("recommended")) }
                        ul { @for repair in advised { li { (repair.what) } } }
                    }
                }
            }
        }
    }

    fn checked(&self) -> Markup {
        let say = |id: &str| self.text.say(id);
        let undone = self.release.iter().filter(|item| !item.done).count();
        html! {
            section {
                h2 { (say("checked")) }
                @if undone > 0 {
                    p { strong { (self.text.say_with("undone", &[("undone", Arg::Count(undone)), ("of", Arg::Count(self.release.len()))])) } }
                }
                ul.checks {
                    @for item in &self.release {
                        li {
                            (say(item_id(item.item))) ": "
                            @if item.done { (say("done")) } @else { strong { (say("not-done")) } }
                            // What it is stands in the workshop's words, in English.
                            @if item.doubt { ". " @if self.text.lang == Lang::En { (item.told) } @else { (say("doubt")) } }
                            @if let Some(minutes) = driven(item, self) {
                                ", " (self.text.say_with("held-for", &[("minutes", Arg::Text(&self.text.lang.number(&minutes.to_string())))]))
                            }
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
        let parts = [("for-done", true, &estimate.done), ("for-recommended", false, &estimate.recommended)];
        let money = |amount: Amount| self.text.money(amount.0, &estimate.currency);
        html! {
            section {
                h2 { (self.text.say("estimate")) }
                @for (title, done, sum) in parts {
                    @if estimate.lines.iter().any(|line| line.done == done) {
                        p {
                            (self.text.say(title)) ": " strong { (money(sum.total)) }
                            @if let Some(tax) = &estimate.tax {
                                ", " (self.text.say_with("of-that-tax", &[("tax", Arg::Text(&tax.name)), ("amount", Arg::Text(&money(sum.tax)))]))
                            }
                            "."
                            @match estimate.unpriced(done) {
                                0 => {}
                                left => { " " strong { (self.text.say_with("unpriced", &[("count", Arg::Count(left))])) } }
                            }
                        }
                    }
                }
            }
        }
    }

    fn next_time(&self) -> Markup {
        let say = |id: &str| self.text.say(id);
        html! {
            section {
                h2 { (say("next-time")) }
                p {
                    @if self.job.fuse_style().resets() { (say("next-breaker")) } @else { (say("next-fuse")) }
                    " " (say("next-note"))
                }
                p.small { (say("small-print")) }
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
    (item.item == ReleaseItem::RoadTest && item.done).then(|| page.job.checked(item.item).minutes)?
}

/// The message for an item of the release check, for a reader who is not of the trade.
fn item_id(item: ReleaseItem) -> &'static str {
    match item {
        ReleaseItem::RightFuse => "item-right-fuse",
        ReleaseItem::PressedAgain => "item-pressed-again",
        ReleaseItem::DrawMeasured => "item-draw-measured",
        ReleaseItem::AllWorked => "item-all-worked",
        ReleaseItem::ProtectionBack => "item-protection-back",
        ReleaseItem::CautionsUndone => "item-cautions-undone",
        ReleaseItem::RoadTest => "item-road-test",
    }
}

/// The message for what was seen.
fn seen_id(seen: Seen) -> &'static str {
    match seen {
        Seen::Sound => "seen-sound",
        Seen::Marked => "seen-marked",
        Seen::Thinned => "seen-thinned",
        Seen::Bare => "seen-bare",
        Seen::Severed => "seen-severed",
        Seen::NotSeen => "seen-not-seen",
    }
}
