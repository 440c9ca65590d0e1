//! Who comes in to the desk, and who does not.

use crate::desk_support::*;
use loomwalk::desk::access::Purpose;
use loomwalk::desk::access::audit::{self, Deed};
use loomwalk::desk::guard::Limits;
use loomwalk::sync::protocol::Paired;
use reqwest::{Client, Method, Response};
use serde_json::{Value, json};

const PASSWORD: &str = "seven quiet kettles";

async fn ask(client: &Client, desk: &Running, method: Method, path: &str) -> Response {
    client.request(method, format!("{}{path}", desk.base)).send().await.unwrap()
}

async fn form(client: &Client, desk: &Running, path: &str, fields: &[(&str, &str)]) -> Response {
    let body = url::form_urlencoded::Serializer::new(String::new()).extend_pairs(fields).finish();
    let sent = client.post(format!("{}{path}", desk.base)).body(body);
    sent.header("content-type", "application/x-www-form-urlencoded").send().await.unwrap()
}

async fn pair(desk: &Running, code: &str) -> Response {
    let body = json!({ "code": code, "name": "Bay 2" }).to_string();
    desk.stranger.post(format!("{}/api/v1/pairings", desk.base)).body(body).send().await.unwrap()
}

fn cookie_of(response: &Response) -> String {
    let cookie = response.headers()["set-cookie"].to_str().unwrap();
    assert!(cookie.contains("HttpOnly") && cookie.contains("SameSite=Strict") && cookie.contains("Path=/"), "{cookie}");
    cookie.split(';').next().unwrap().to_owned()
}

/// What the API has, and what every call of it needs.
fn calls() -> Vec<(Method, String)> {
    let (photo, job) = (hash(b"x"), job_id(1));
    vec![
        (Method::HEAD, format!("/api/v1/photos/{photo}")),
        (Method::GET, format!("/api/v1/photos/{photo}?edge=320")),
        (Method::PUT, format!("/api/v1/photos/{photo}")),
        (Method::HEAD, format!("/api/v1/photos/{photo}/pieces")),
        (Method::PATCH, format!("/api/v1/photos/{photo}/pieces")),
        (Method::GET, "/api/v1/jobs".to_owned()),
        (Method::PUT, format!("/api/v1/jobs/{job}/bundles/{job}")),
        (Method::GET, format!("/api/v1/jobs/{job}/events")),
        (Method::GET, "/api/v1/lessons".to_owned()),
    ]
}

#[tokio::test]
async fn without_a_good_token_every_call_says_401_and_nothing_of_what_is_here() {
    let desk = Running::start().await;
    let mut phone = Phone::new(1, 1);
    phone.concern("a secret concern");
    desk.put(&format!("/api/v1/photos/{}", hash(b"x")), "x").await;
    desk.send(&phone.bundle()).await;
    let wrong = ["Bearer", "Bearer x", "Basic eDp4", "bearer  ", &desk.token];
    for (method, path) in calls() {
        let mut answers = vec![ask(&desk.stranger, &desk, method.clone(), &path).await];
        for header in wrong {
            answers.push(ask(&client_of([("authorization", header)]), &desk, method.clone(), &path).await);
        }
        // Nor does the service writer's cookie help.
        answers.push(ask(&client_of([("cookie", &desk.cookie)]), &desk, method.clone(), &path).await);
        for answer in answers {
            assert_eq!(answer.status(), 401, "{method} {path}");
            assert_eq!(answer.headers()["www-authenticate"], "Bearer");
            let text = answer.text().await.unwrap();
            assert!(!text.contains("secret"), "{text}");
            // A stranger cannot tell what is here from what is not.
            assert!(method == Method::HEAD || text.contains("not paired"), "{text}");
        }
    }
    assert_eq!(ask(&desk.stranger, &desk, Method::GET, "/api/v1/health").await.status(), 200);
}

#[tokio::test]
async fn the_service_writers_pages_are_for_who_is_signed_in() {
    let desk = Running::start().await;
    let mut phone = Phone::new(1, 1);
    let photo = phone.photo(b"x");
    desk.send(&phone.bundle()).await;
    let job = phone.job;
    for path in [
        "/desk".to_owned(),
        "/desk/arrivals".to_owned(),
        "/desk/phones".to_owned(),
        "/desk/learned".to_owned(),
        "/desk/done".to_owned(),
        "/desk/nowhere".to_owned(),
        format!("/desk/jobs/{job}"),
        format!("/desk/jobs/{job}/bundle"),
        format!("/desk/jobs/{job}/photos/{photo}"),
        format!("/desk/jobs/{job}/photos/{photo}/320"),
    ] {
        for client in [&desk.stranger, &client_of([("authorization", &format!("Bearer {}", desk.token))])] {
            let answer = ask(client, &desk, Method::GET, &path).await;
            assert_eq!(answer.status(), 303, "{path}");
            assert!(answer.headers()["location"].to_str().unwrap().starts_with("/desk/sign-in?back=%2Fdesk"));
            assert_eq!(answer.text().await.unwrap(), "");
        }
    }
    for path in ["/desk/phones/code", "/desk/phones/shut-out", "/desk/sign-out"] {
        assert_eq!(form(&desk.stranger, &desk, path, &[("id", "x")]).await.status(), 303, "{path}");
    }
    assert_eq!(desk.desk.access().phones().await.unwrap().len(), 1, "no code, no shutting out");
}

#[tokio::test]
async fn a_token_is_no_cookie_and_a_cookie_no_token_not_even_a_moment_after_it_was_used() {
    let desk = Running::start().await;
    let (name, cookie) = desk.cookie.split_once('=').unwrap();
    // Both were found good just now, and are not looked up again for a while.
    assert_eq!(desk.get("/api/v1/jobs").await.status(), 200);
    assert_eq!(desk.get("/desk").await.status(), 200);
    let writer = client_of([("cookie", &format!("{name}={}", desk.token))]);
    for path in ["/desk", "/desk/phones", "/desk/done", "/desk/learned"] {
        assert_eq!(ask(&writer, &desk, Method::GET, path).await.status(), 303, "{path}");
    }
    for path in ["/desk/phones/code", "/desk/phones/shut-out"] {
        let answer = form(&writer, &desk, path, &[("id", "x")]).await;
        assert!(answer.headers()["location"].to_str().unwrap().starts_with("/desk/sign-in"), "{path}");
    }
    let phone = client_of([("authorization", &format!("Bearer {cookie}"))]);
    for (method, path) in calls() {
        assert_eq!(ask(&phone, &desk, method.clone(), &path).await.status(), 401, "{method} {path}");
    }
    // And each is good where it belongs, still.
    assert_eq!(desk.get("/api/v1/jobs").await.status(), 200);
    assert_eq!(desk.get("/desk").await.status(), 200);
}

#[tokio::test]
async fn the_password_is_chosen_once_with_the_terminals_code_and_then_signs_in() {
    let desk = Running::start().await;
    let first = ask(&desk.stranger, &desk, Method::GET, "/desk/sign-in").await;
    assert_eq!(first.headers()["location"], "/desk/begin");
    let begin = async |code: &str, password: &str, again: &str| {
        let fields = [("code", code), ("password", password), ("again", again)];
        form(&desk.stranger, &desk, "/desk/begin", &fields).await
    };
    let code = desk.desk.access().make_code(Purpose::Begin).await.unwrap().to_string();
    let for_phones = desk.desk.access().make_code(Purpose::Pair).await.unwrap().to_string();
    for (code, password, again, why) in [
        ("0000-0000", PASSWORD, PASSWORD, "not good"),
        (&for_phones, PASSWORD, PASSWORD, "not good"),
        (&code, PASSWORD, "something else that is long", "not the same"),
        (&code, "short", "short", "at least 15"),
    ] {
        let answer = begin(code, password, again).await;
        assert_eq!(answer.status(), 403);
        assert!(answer.text().await.unwrap().contains(why));
    }
    assert!(!desk.desk.access().has_password().await.unwrap());
    // Typed as people do.
    let chosen = begin(&code.to_lowercase().replace('-', " "), PASSWORD, PASSWORD).await;
    assert_eq!(chosen.status(), 303);
    assert_eq!(begin(&code, "another long password", "another long password").await.status(), 403, "only once");

    let sign_in = async |password: &str, back: &str| {
        form(&desk.stranger, &desk, "/desk/sign-in", &[("password", password), ("back", back)]).await
    };
    assert_eq!(sign_in("wrong password here", "/desk").await.status(), 403);
    let signed_in = sign_in(PASSWORD, "//evil.example/").await;
    assert_eq!(signed_in.headers()["location"], "/desk");
    let writer = client_of([("cookie", &cookie_of(&signed_in))]);
    assert_eq!(ask(&writer, &desk, Method::GET, "/desk").await.status(), 200);
    // Signed out, the same cookie is worth nothing.
    assert_eq!(form(&writer, &desk, "/desk/sign-out", &[]).await.status(), 303);
    assert_eq!(ask(&writer, &desk, Method::GET, "/desk").await.status(), 303);
    // What lies in the store lets nobody in.
    let kept = std::fs::read_to_string(desk.store.path().join("access/password.json")).unwrap();
    assert!(kept.contains("$argon2id$") && !kept.contains(PASSWORD), "{kept}");
}

#[tokio::test]
async fn once_a_password_is_chosen_no_earlier_code_chooses_another() {
    let desk = Running::start().await;
    let access = desk.desk.access();
    // As of two starts, the first of which nobody answered.
    let early = access.make_code(Purpose::Begin).await.unwrap().to_string();
    let late = access.make_code(Purpose::Begin).await.unwrap().to_string();
    let for_phones = access.make_code(Purpose::Pair).await.unwrap().to_string();
    let begin = async |code: &str, password: &str| {
        let fields = [("code", code), ("password", password), ("again", password)];
        form(&desk.stranger, &desk, "/desk/begin", &fields).await.status()
    };
    assert_eq!(begin(&late, PASSWORD).await, 303);
    assert_eq!(begin(&early, "another long password").await, 403);
    assert!(access.is_password(PASSWORD).await.unwrap());
    // One that is made since is for who has forgotten it; and phones are paired all the same.
    let forgotten = access.make_code(Purpose::Begin).await.unwrap().to_string();
    assert_eq!(begin(&forgotten, "another long password").await, 303);
    assert_eq!(pair(&desk, &for_phones).await.status(), 201);
}

#[tokio::test]
async fn a_code_pairs_one_phone_whose_token_can_be_taken_again() {
    let desk = Running::start().await;
    let shown = form(&desk.client, &desk, "/desk/phones/code", &[]).await.text().await.unwrap();
    let code = shown.split("class=\"code\" translate=\"no\">").nth(1).unwrap().split('<').next().unwrap().to_owned();
    let paired = pair(&desk, &code).await;
    assert_eq!(paired.status(), 201);
    let Paired { token, name } = paired.json().await.unwrap();
    assert_eq!(name, "Bay 2");
    problem(pair(&desk, &code).await, 403).await;

    let phone = client_of([("authorization", &format!("Bearer {token}"))]);
    assert_eq!(ask(&phone, &desk, Method::GET, "/api/v1/jobs").await.status(), 200);
    let page = desk.get("/desk/phones").await.text().await.unwrap();
    assert!(page.contains("Bay 2") && !page.contains(&token));
    let id = desk.desk.access().phones().await.unwrap().into_iter().find(|phone| phone.name == "Bay 2").unwrap().id;
    form(&desk.client, &desk, "/desk/phones/shut-out", &[("id", &id)]).await;
    assert_eq!(ask(&phone, &desk, Method::GET, "/api/v1/jobs").await.status(), 401);
    let page = desk.get("/desk/phones").await.text().await.unwrap();
    assert!(page.contains("Shut out."), "{page}");
    // The store holds the token nowhere.
    for entry in walk(&desk.store.path()) {
        assert!(
            !entry.to_string_lossy().contains(&token)
                && !std::fs::read(&entry).unwrap().windows(token.len()).any(|part| part == token.as_bytes())
        );
    }
    let done = desk.get("/desk/done").await.text().await.unwrap();
    for deed in
        ["A code for a phone was shown", "Paired: Bay 2", "A code that is not good was given", "Shut out: Bay 2"]
    {
        assert!(done.contains(deed), "{deed}: {done}");
    }
}

#[tokio::test]
async fn whoever_tries_passwords_pushes_nothing_out_of_sight_and_fills_no_store() {
    let desk = Running::start().await;
    let store = desk.desk.store();
    audit::note(store, "command line", Deed::PasswordSet).await;
    let limits = Limits::default();
    let written = || walk(&desk.store.path().join("audit/refused")).len();
    for _ in 0..60 {
        limits.refused(store, [192, 0, 2, 7].into(), Deed::WrongPassword).await;
    }
    // A begun one more, should the hour go on meanwhile.
    assert!((20..=22).contains(&written()), "{}", written());
    limits.refused(store, [198, 51, 100, 4].into(), Deed::WrongCode).await;
    assert!((21..=23).contains(&written()), "who makes noise drowns nobody else");
    let page = desk.get("/desk/done").await.text().await.unwrap();
    assert!(page.contains("The password was chosen") && page.contains("198.51.100.4"), "{page}");
    assert_eq!(page.matches("A wrong password was given").count(), 19, "{page}");
    for other in 1..=200 {
        limits.refused(store, [203, 0, 113, other].into(), Deed::WrongPassword).await;
    }
    assert!((100..=105).contains(&written()), "{}", written());
}

fn walk(folder: &std::path::Path) -> Vec<std::path::PathBuf> {
    let entries = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    entries.flat_map(|path| if path.is_dir() { walk(&path) } else { vec![path] }).collect()
}

#[tokio::test]
async fn codes_are_not_good_for_long_nor_guessed() {
    let desk = Running::start().await;
    let code = desk.desk.access().make_code(Purpose::Pair).await.unwrap();
    // As if ten minutes had passed.
    let kept = std::fs::read_dir(desk.store.path().join("access/codes")).unwrap().next().unwrap().unwrap().path();
    let mut old: Value = serde_json::from_slice(&std::fs::read(&kept).unwrap()).unwrap();
    old["until"] = json!("2023-11-14T00:00:00Z");
    std::fs::write(&kept, old.to_string()).unwrap();
    problem(pair(&desk, &code.to_string()).await, 403).await;
    // Ten tries a minute from one address, then none; also not a good one.
    let mut statuses = Vec::new();
    for _ in 0..12 {
        statuses.push(pair(&desk, "0000-0000").await.status().as_u16());
    }
    assert_eq!(statuses[..9], [403; 9]);
    assert_eq!(statuses[9..], [429; 3]);
    let good = desk.desk.access().make_code(Purpose::Pair).await.unwrap();
    let answer = pair(&desk, &good.to_string()).await;
    let wait: u64 = answer.headers()["retry-after"].to_str().unwrap().parse().unwrap();
    assert!((1..=60).contains(&wait));
    problem(answer, 429).await;
}

#[tokio::test]
async fn a_page_from_elsewhere_cannot_sign_in_or_shut_out_for_the_service_writer() {
    let desk = Running::start().await;
    for path in ["/desk/sign-in", "/desk/begin", "/desk/phones/code", "/desk/phones/shut-out", "/desk/sign-out"] {
        for (name, value) in [("origin", "https://evil.example"), ("sec-fetch-site", "cross-site")] {
            let sent = desk.client.post(format!("{}{path}", desk.base)).header(name, value);
            let sent = sent.header("content-type", "application/x-www-form-urlencoded").body("id=x");
            assert_eq!(sent.send().await.unwrap().status(), 403, "{path} {name}");
        }
    }
    assert_eq!(desk.desk.access().phones().await.unwrap().len(), 1);
    assert_eq!(desk.get("/desk").await.status(), 200, "still signed in");
}

#[tokio::test]
async fn forms_of_another_kind_too_large_or_without_their_fields_are_refused() {
    let desk = Running::start().await;
    desk.desk.access().set_password(PASSWORD, PASSWORD).await.unwrap().unwrap();
    let post = async |kind: &str, body: String| {
        let sent = desk.client.post(format!("{}/desk/sign-in", desk.base)).header("content-type", kind);
        sent.body(body).send().await.unwrap().status().as_u16()
    };
    assert_eq!(post("application/json", format!("{{\"password\":\"{PASSWORD}\"}}")).await, 415);
    assert_eq!(post("application/x-www-form-urlencoded", "passwort=x".to_owned()).await, 400);
    assert_eq!(post("application/x-www-form-urlencoded", "x".repeat(20_000)).await, 413);
}
