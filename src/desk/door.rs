//! How does the service writer come in? By a password, chosen once with the code that the desk's terminal shows.

use axum::body::Body;
use axum::extract::{Query, Request, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use axum::{Router, middleware};
use maud::{Markup, html};
use serde::Deserialize;
use serde::de::DeserializeOwned;
use serde_json::Value;

use super::access::audit::{self, Deed};
use super::access::code::Code;
use super::access::{LEAST_LETTERS, Purpose, check_password};
use super::guard::{self, Gate};
use super::incoming::Incoming;
use super::pages::{Page, sheet};
use super::problem::Refusal;

/// The most bytes of a form.
const FORM: u64 = 16 * 1024;

/// The ways in, which are open to all, and the way out.
pub fn routes(gate: &Gate) -> Router {
    let signed_in = Router::new()
        .route("/desk/sign-out", post(sign_out))
        .route_layer(middleware::from_fn_with_state(gate.clone(), guard::only_signed_in));
    Router::new()
        .route("/desk/sign-in", get(ask).post(sign_in))
        .route("/desk/begin", get(ask_first).post(begin))
        .merge(signed_in)
        .with_state(gate.clone())
}

#[derive(Debug, Deserialize)]
struct Back {
    #[serde(default)]
    back: String,
}

#[derive(Debug, Deserialize)]
struct SignIn {
    password: String,
    #[serde(default)]
    back: String,
}

#[derive(Debug, Deserialize)]
struct Begin {
    code: String,
    password: String,
    again: String,
}

/// Reads a form of a few fields.
pub(super) async fn form<T: DeserializeOwned>(gate: &Gate, request: Request) -> Result<T, Refusal> {
    form_of(gate, request, FORM).await
}

/// Reads a form of at most so many bytes; of fields of one name the last holds.
pub(super) async fn form_of<T: DeserializeOwned>(gate: &Gate, request: Request, most: u64) -> Result<T, Refusal> {
    let (parts, body): (_, Body) = request.into_parts();
    let kind = parts.headers.get(header::CONTENT_TYPE).map(|kind| kind.as_bytes());
    if !kind.is_some_and(|kind| kind.starts_with(b"application/x-www-form-urlencoded")) {
        return Err(Refusal::OtherType("application/x-www-form-urlencoded"));
    }
    let body = Incoming::new(&parts.headers, body, most, gate.desk.idle).await?.all().await?;
    let fields = url::form_urlencoded::parse(&body);
    let fields = fields.map(|(name, value)| (name.into_owned(), Value::String(value.into_owned())));
    serde_json::from_value(Value::Object(fields.collect())).map_err(|error| Refusal::Unreadable(error.to_string()))
}

async fn ask(State(gate): State<Gate>, Query(Back { back }): Query<Back>) -> Result<Response, Page> {
    if !gate.desk.access().has_password().await.map_err(Refusal::from)? {
        return Ok(Redirect::to("/desk/begin").into_response());
    }
    Ok(door("Sign in", &sign_in_form(&back, None)))
}

fn sign_in_form(back: &str, why: Option<&str>) -> Markup {
    html! {
        h1 { "Sign in" }
        form.door method="post" action="/desk/sign-in" {
            @if let Some(why) = why { p.wrong role="alert" { (why) } }
            label for="password" { "The service writer’s password" }
            input #password type="password" name="password" autocomplete="current-password" required autofocus;
            input type="hidden" name="back" value=(back);
            button { "Sign in" }
        }
        p.hint { "Forgotten? On the machine that runs the desk: " code { "loomwalk access password" } "." }
        p.hint { "A technician with a phone does not sign in here: the phone is paired once, under Phones." }
    }
}

async fn sign_in(State(gate): State<Gate>, request: Request) -> Result<Response, Page> {
    let from = guard::from_where(request.extensions());
    gate.limits.a_try(from)?;
    let SignIn { password, back } = form(&gate, request).await?;
    let (access, store) = (gate.desk.access(), gate.desk.store());
    let held = gate.limits.a_password()?;
    if !access.is_password(&password).await.map_err(Refusal::from)? {
        gate.limits.refused(store, from, Deed::WrongPassword).await;
        let again = sign_in_form(&back, Some("That is not the password. Nothing was changed."));
        return Ok((StatusCode::FORBIDDEN, door("Sign in", &again)).into_response());
    }
    drop(held);
    let cookie = access.sign_in().await.map_err(Refusal::from)?;
    audit::note(store, &from.to_string(), Deed::SignedIn).await;
    Ok(([(header::SET_COOKIE, gate.front.set_cookie(&cookie))], Redirect::to(within(&back))).into_response())
}

/// Only to pages of the desk: an address that leads elsewhere is not followed.
fn within(back: &str) -> &str {
    let ours = (back == "/desk" || back.starts_with("/desk/") || back.starts_with("/desk?")) && !back.contains('\\');
    if ours { back } else { "/desk" }
}

async fn ask_first(State(gate): State<Gate>) -> Result<Response, Page> {
    if gate.desk.access().has_password().await.map_err(Refusal::from)? {
        return Ok(Redirect::to("/desk/sign-in").into_response());
    }
    Ok(door("First start", &begin_form("", None)))
}

fn begin_form(code: &str, why: Option<&str>) -> Markup {
    html! {
        h1 { "First start" }
        p { "Choose the password with which the service writer signs in on this desk." }
        form.door method="post" action="/desk/begin" {
            @if let Some(why) = why { p.wrong role="alert" { (why) } }
            label for="code" { "Code from the desk’s terminal" }
            input #code name="code" value=(code) autocomplete="one-time-code" autocapitalize="characters" spellcheck="false" required;
            label for="password" { "Password, at least " (LEAST_LETTERS) " letters: a few words are easy to keep in mind" }
            input #password type="password" name="password" autocomplete="new-password" minlength=(LEAST_LETTERS) required;
            label for="again" { "The same once more" }
            input #again type="password" name="again" autocomplete="new-password" required;
            button { "Choose it" }
        }
        p.hint { "The code has scrolled away? " code { "loomwalk access code --begin" } " on that machine makes a new one." }
    }
}

async fn begin(State(gate): State<Gate>, request: Request) -> Result<Response, Page> {
    let from = guard::from_where(request.extensions());
    gate.limits.a_try(from)?;
    let Begin { code, password, again } = form(&gate, request).await?;
    let (access, store) = (gate.desk.access(), gate.desk.store());
    let refused = |why: String| {
        let form = begin_form(&code, Some(&format!("{why}.")));
        Ok((StatusCode::FORBIDDEN, door("First start", &form)).into_response())
    };
    // Before the code is used up, so that a short password does not cost it.
    if let Err(why) = check_password(&password, &again) {
        return refused(why.to_string());
    }
    let good = match code.parse::<Code>() {
        Ok(code) => access.use_code(&code, Purpose::Begin).await.map_err(Refusal::from)?,
        Err(_) => false,
    };
    if !good {
        gate.limits.refused(store, from, Deed::WrongCode).await;
        return refused("This code is not good (any more)".to_owned());
    }
    if let Err(why) = access.set_password(&password, &again).await.map_err(Refusal::from)? {
        return refused(why.to_string());
    }
    audit::note(store, &from.to_string(), Deed::PasswordSet).await;
    let cookie = access.sign_in().await.map_err(Refusal::from)?;
    Ok(([(header::SET_COOKIE, gate.front.set_cookie(&cookie))], Redirect::to("/desk/phones")).into_response())
}

async fn sign_out(State(gate): State<Gate>, request: Request) -> Result<Response, Page> {
    if let Some(cookie) = gate.front.cookie_in(request.headers()) {
        gate.desk.access().sign_out(cookie).await.map_err(Refusal::from)?;
        let from = guard::from_where(request.extensions());
        audit::note(gate.desk.store(), &from.to_string(), Deed::SignedOut).await;
    }
    Ok(([(header::SET_COOKIE, gate.front.set_cookie(""))], Redirect::to("/desk/sign-in")).into_response())
}

fn door(title: &str, content: &Markup) -> Response {
    sheet(title, None, content).into_response()
}

#[cfg(test)]
mod tests {
    use super::within;

    #[test]
    fn after_signing_in_one_stays_at_the_desk() {
        for ours in ["/desk", "/desk/phones", "/desk?words=van", "/desk/jobs/1?x=//y"] {
            assert_eq!(within(ours), ours);
        }
        for elsewhere in ["", "//evil.example", "https://evil.example", "/desk.evil", "/\\evil", "/desk\\..", "desk"] {
            assert_eq!(within(elsewhere), "/desk", "{elsewhere}");
        }
    }
}
