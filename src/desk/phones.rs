//! Which phones may send here? Paired by a code that is shown for a moment, listed, shut out.

use axum::Router;
use axum::extract::{Request, State};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use maud::{Markup, PreEscaped, html};
use qrcode::QrCode;
use qrcode::render::svg;
use serde::Deserialize;

use super::access::audit::{self, Deed};
use super::access::code::Code;
use super::access::{Phone, Purpose};
use super::door::form;
use super::guard::{self, Front, Gate};
use super::index::of_phone;
use super::list::moment;
use super::pages::{Here, Page, sheet};
use super::problem::Refusal;

/// The list, the code, the shutting out.
pub fn routes() -> Router<Gate> {
    Router::new()
        .route("/desk/phones", get(list))
        .route("/desk/phones/code", post(show_code))
        .route("/desk/phones/shut-out", post(shut_out))
}

async fn list(State(gate): State<Gate>) -> Result<Response, Page> {
    let phones = gate.desk.access().phones().await.map_err(Refusal::from)?;
    let words = html! {
        h1 { "Phones" }
        p { "Only phones that were paired may send here and read what is here. Each has a key of its own, which can be taken from it at any time." }
        form method="post" action="/desk/phones/code" { button.main { "Pair a phone" } }
        @if phones.is_empty() { p.hint { "No phone is paired yet." } }
        @else { ul.rows { @for phone in &phones { li { (row(phone)) } } } }
    };
    Ok(sheet("Phones", Some(Here::Phones), &words).into_response())
}

fn row(phone: &Phone) -> Markup {
    html! {
        div.row {
            div {
                h2 translate="no" { (phone.name) }
                p {
                    "Paired " (moment(Some(phone.paired_at)))
                    @if phone.revoked { ". " strong { "Shut out." } }
                    @else if phone.seen_at.is_some() { ", last here " (moment(phone.seen_at)) "." }
                    @else { ", has not sent anything yet." }
                }
            }
            @if phone.seen_at.is_some() {
                a href={ "/desk?words=" (of_phone(&phone.id)) } aria-label={ "Its jobs: " (phone.name) } { "Its jobs" }
            }
            @if !phone.revoked {
                form method="post" action="/desk/phones/shut-out" {
                    input type="hidden" name="id" value=(phone.id);
                    button aria-label={ "Shut out " (phone.name) } { "Shut out" }
                }
            }
        }
    }
}

async fn show_code(State(gate): State<Gate>, request: Request) -> Result<Response, Page> {
    let code = gate.desk.access().make_code(Purpose::Pair).await.map_err(Refusal::from)?;
    let from = guard::from_where(request.extensions());
    audit::note(gate.desk.store(), &from.to_string(), Deed::CodeShown).await;
    Ok(sheet("Pair a phone", Some(Here::Phones), &code_page(&gate.front, &code)).into_response())
}

fn code_page(front: &Front, code: &Code) -> Markup {
    let link = front.public.as_ref().and_then(|public| {
        let mut link = public.join("pair").ok()?;
        link.set_fragment(Some(&code.to_string()));
        Some(link)
    });
    let picture = link.as_ref().and_then(|link| QrCode::new(link.as_str()).ok());
    html! {
        h1 { "Pair a phone" }
        p { "Good for ten minutes and for one phone." }
        div.pair {
            @if let Some(picture) = picture {
                div.qr role="img" aria-label="The same code as a picture to scan" {
                    (PreEscaped(picture.render::<svg::Color>().min_dimensions(240, 240).build().replace(r#"<?xml version="1.0" standalone="yes"?>"#, "")))
                }
            }
            div {
                p.code translate="no" { (code) }
                ol {
                    @if let Some(link) = &link {
                        li { "Scan the picture with the phone’s camera, or open " code translate="no" { (without_fragment(link)) } " on it." }
                    } @else {
                        li {
                            "On this machine " a href={ "/pair#" (code) } { "open it in the app" } ". Phones elsewhere need this desk to be in the network: start it with "
                            code translate="no" { "--listen 0.0.0.0:8443" } "."
                        }
                    }
                    li { "If the app is on the home screen already: there, under Settings, “Pair with the desk”, and type the code." }
                    li { "The phone then appears under " a href="/desk/phones" { "Phones" } "." }
                }
                @if front.secure {
                    p.hint { "Does the phone warn that it does not know this desk? " a href="/trust" { "What to do about it" } "." }
                }
            }
        }
    }
}

fn without_fragment(link: &url::Url) -> String {
    let mut link = link.clone();
    link.set_fragment(None);
    link.to_string()
}

#[derive(Debug, Deserialize)]
struct ShutOut {
    id: String,
}

async fn shut_out(State(gate): State<Gate>, request: Request) -> Result<Response, Page> {
    let from = guard::from_where(request.extensions());
    let ShutOut { id } = form(&gate, request).await?;
    if let Some(phone) = gate.desk.access().revoke(&id).await.map_err(Refusal::from)? {
        audit::note(gate.desk.store(), &from.to_string(), Deed::Revoked { phone: phone.name }).await;
    }
    Ok(Redirect::to("/desk/phones").into_response())
}
