//! What any test that goes through the screens asks of them.

use serde_json::json;

use super::{Phone, until};

/// Waits until nothing is being read any more.
pub async fn settle(phone: &Phone) {
    let complete =
        "return ![...document.querySelectorAll('.sheet [role=status], .words[role=status]')].some((word) => word.innerText.includes('…'))
        && !document.querySelector('.thumb-wait') && [...document.images].every((image) => image.complete)";
    until("the screen is complete", async || phone.script(complete, vec![]).await == json!(true)).await;
}

/// Takes off covers until there is a place to look at; gives its id.
pub async fn first_place(phone: &Phone) -> String {
    loop {
        let step = phone.see("#next-step").await.attr("data-step").await.unwrap().unwrap();
        if !step.starts_with("access:") {
            return step;
        }
        phone.tap("#access-done").await;
        until("the plan follows", async || {
            phone.see("#next-step").await.attr("data-step").await.is_ok_and(|now| now.as_deref() != Some(&step))
        })
        .await;
    }
}

/// Says whether a screen is wider than the phone, and by what.
pub async fn overflow(phone: &Phone, name: &str, how: &str) -> Option<String> {
    let wide = phone
        .script(
            "const width = document.documentElement.clientWidth;
             return document.documentElement.scrollWidth > width
               ? [...document.body.querySelectorAll('*')].filter((part) => part.getBoundingClientRect().right > width + 1 && !part.closest('svg')).map((part) => part.tagName + '.' + part.className).slice(0, 3).join(', ') || 'something'
               : ''",
            vec![],
        )
        .await;
    let wide = wide.as_str().unwrap_or_default().to_owned();
    (!wide.is_empty()).then(|| format!("{name} at {how} is wider than the screen: {wide}"))
}

/// Every screen with its address: of a job, of a place in it, of a load in its circuit, and those that need no job.
pub fn every_screen(job: &str, point: &str, load: String) -> Vec<(&'static str, String)> {
    let of_job = [
        "concern", "opening", "circuit", "paste", "dead", "unplug", "meter", "walk", "list", "watch", "road", "repair",
        "handover", "report",
    ];
    let of_place = ["point", "press", "finding"];
    let without = [
        ("jobs", "/"),
        ("watch-alone", "/watch"),
        ("shelf-empty", "/shelf"),
        ("settings", "/settings"),
        ("pair", "/pair"),
        ("read", "/read"),
        ("guide", "/guide"),
        ("lost", "/nothing/there"),
        ("desk", "/desk"),
    ];
    let of_job = of_job.into_iter().map(|screen| (screen, format!("/job/{job}/{screen}")));
    let of_place = of_place.into_iter().map(|screen| (screen, format!("/job/{job}/{screen}/{point}")));
    let without = without.into_iter().map(|(name, address)| (name, address.to_owned()));
    of_job.chain(of_place).chain([("load", load)]).chain(without).collect()
}
