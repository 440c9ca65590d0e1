//! What a hostile page, a hostile phone or a hostile text cannot make the desk do.

use std::time::Duration;

use crate::desk_support::*;
use reqwest::Method;
use serde_json::json;
use tempfile::TempDir;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;

/// A page without the two scripts that are the desk's own.
fn without_own_scripts(page: &str) -> String {
    ["/desk/desk.js", "/speak.js"].iter().fold(page.to_owned(), |page, own| {
        page.replace(&format!("<script type=\"module\" src=\"{own}\"></script>"), "")
    })
}

/// Sends these bytes as they are and gives the answer as text.
async fn raw(desk: &Running, request: &str) -> String {
    let mut stream = TcpStream::connect(desk.base.trim_start_matches("http://")).await.unwrap();
    stream.write_all(request.as_bytes()).await.unwrap();
    let mut answer = Vec::new();
    stream.read_to_end(&mut answer).await.unwrap();
    String::from_utf8_lossy(&answer).into_owned()
}

fn files(desk: &Running, folder: &str) -> usize {
    std::fs::read_dir(desk.store.path().join(folder)).map_or(0, Iterator::count)
}

#[tokio::test]
async fn a_name_that_was_made_to_point_here_is_not_answered() {
    let desk = Running::start().await;
    for host in ["evil.example", "evil.example:8080", "127.0.0.1.evil.example", "192.168.0.2", "0.0.0.0"] {
        for path in ["/api/v1/health", "/desk", "/", "/desk/desk.css"] {
            let asked = desk.client.get(format!("{}{path}", desk.base)).header("host", host);
            let detail = problem(asked.send().await.unwrap(), 421).await;
            assert!(detail.contains(host), "{detail}");
        }
    }
    for host in ["localhost", "LOCALHOST:1", "127.0.0.1:8080", "[::1]"] {
        let asked = desk.client.get(format!("{}/api/v1/health", desk.base)).header("host", host);
        assert_eq!(asked.send().await.unwrap().status(), 200, "{host}");
    }
}

#[tokio::test]
async fn a_request_without_a_host_or_with_two_or_for_another_host_is_not_answered() {
    let desk = Running::start().await;
    let requests = [
        "GET /desk HTTP/1.0\r\n\r\n",
        "GET /desk HTTP/1.1\r\nConnection: close\r\n\r\n",
        "GET /desk HTTP/1.1\r\nHost: localhost\r\nHost: evil.example\r\nConnection: close\r\n\r\n",
        "GET http://evil.example/desk HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n",
        "GET /desk HTTP/1.1\r\nHost: \r\nConnection: close\r\n\r\n",
    ];
    for request in requests {
        let answer = raw(&desk, request).await;
        assert!(answer.starts_with("HTTP/1.1 421") || answer.starts_with("HTTP/1.0 421"), "{request:?}: {answer}");
    }
}

#[tokio::test]
async fn a_page_from_elsewhere_cannot_write() {
    let desk = Running::start().await;
    let url = format!("{}/api/v1/photos/{}", desk.base, hash(b"x"));
    let foreign = [
        ("origin", "https://evil.example".to_owned()),
        ("origin", "null".to_owned()),
        ("origin", "http://127.0.0.1:1".to_owned()),
        ("sec-fetch-site", "cross-site".to_owned()),
        ("sec-fetch-site", "same-site".to_owned()),
    ];
    for (name, value) in foreign {
        let sent = desk.client.put(&url).header(name, &value).body("x");
        let detail = problem(sent.send().await.unwrap(), 403).await;
        assert!(detail.contains("another site"), "{name}: {value}: {detail}");
    }
    assert_eq!(desk.head(&format!("/api/v1/photos/{}", hash(b"x"))).await.status(), 404);
    let own = desk.client.put(&url).header("origin", &desk.base).header("sec-fetch-site", "same-origin").body("x");
    assert_eq!(own.send().await.unwrap().status(), 201);
}

#[tokio::test]
async fn nothing_here_may_be_read_by_a_page_from_elsewhere() {
    let desk = Running::start().await;
    let asked = desk.client.request(Method::OPTIONS, format!("{}/api/v1/health", desk.base));
    let asked = asked.header("origin", "https://evil.example").header("access-control-request-method", "PUT");
    for response in [asked.send().await.unwrap(), desk.get("/desk").await, desk.get("/api/v1/health").await] {
        assert!(response.headers().keys().all(|name| !name.as_str().starts_with("access-control")));
        assert_eq!(response.headers()["cross-origin-resource-policy"], "same-origin");
    }
}

#[tokio::test]
async fn every_answer_forbids_framing_sniffing_and_telling_where_one_came_from() {
    let desk = Running::start().await;
    let mut phone = Phone::new(1, 1);
    let photo = phone.photo(b"picture");
    desk.put(&format!("/api/v1/photos/{photo}"), "picture").await;
    desk.send(&phone.bundle()).await;
    let paths = [
        "/".to_owned(),
        "/nowhere".to_owned(),
        "/desk".to_owned(),
        "/desk/nowhere".to_owned(),
        "/desk/desk.css".to_owned(),
        format!("/desk/jobs/{}", phone.job),
        format!("/desk/jobs/{}/bundle", phone.job),
        format!("/desk/jobs/{}/photos/{photo}", phone.job),
        format!("/desk/jobs/{}/photos/{photo}/320", phone.job),
        "/desk/sign-in".to_owned(),
        "/desk/begin".to_owned(),
        "/desk/phones".to_owned(),
        "/desk/desk.js".to_owned(),
        "/trust".to_owned(),
        "/api/v1/health".to_owned(),
        "/api/nowhere".to_owned(),
    ];
    for path in paths {
        let response = desk.get(&path).await;
        let header = |name: &str| response.headers()[name].to_str().unwrap().to_owned();
        let csp = header("content-security-policy");
        assert!(csp.starts_with("default-src 'none';"), "{path}: {csp}");
        assert!(csp.contains("frame-ancestors 'none'") && csp.contains("base-uri 'none'"), "{path}: {csp}");
        assert!(!csp.contains("unsafe-inline") && !csp.contains("unsafe-eval"), "{path}: {csp}");
        assert!(!csp.contains("script-src") || csp.contains("script-src 'self';"), "{path}: {csp}");
        assert_eq!(header("x-content-type-options"), "nosniff", "{path}");
        assert_eq!(header("referrer-policy"), "no-referrer", "{path}");
        assert_eq!(header("permissions-policy"), "camera=(self), microphone=(self)", "{path}");
        assert_eq!(response.headers().get_all("content-security-policy").iter().count(), 1, "{path}");
    }
}

#[tokio::test]
async fn no_address_leads_out_of_the_store_or_the_app() {
    let app = tempfile::TempDir::new().unwrap();
    std::fs::write(app.path().join("index.html"), "the app").unwrap();
    let secret = app.path().parent().unwrap().join("loomwalk-secret.txt");
    std::fs::write(&secret, "the secret").unwrap();
    let desk = Running::with(Some(app.path()), |_| {}).await;
    let up = ["..", "%2e%2e", "%2E.", "..%2f..", "..%5c..", "..\\..", "assets/../..", "/..", "%00/.."];
    for up in up {
        for prefix in ["/", "/desk/jobs/x/photos/", "/desk/jobs/", "/desk/", "/api/v1/photos/", "/assets/"] {
            let path = format!("{prefix}{up}/loomwalk-secret.txt");
            let answer = raw(
                &desk,
                &format!("GET {path} HTTP/1.1\r\nHost: localhost\r\n{}Connection: close\r\n\r\n", desk.known()),
            )
            .await;
            assert!(answer.starts_with("HTTP/1.1 4"), "{path}: {answer}");
            assert!(!answer.contains("the secret"), "{path}");
        }
    }
    std::fs::remove_file(secret).unwrap();
}

#[tokio::test]
async fn a_body_that_stops_coming_is_given_up_and_leaves_nothing() {
    let desk = Running::with(None, |desk| desk.idle = Duration::from_millis(100)).await;
    let known = desk.known();
    let put =
        |path: &str| format!("PUT {path} HTTP/1.1\r\nHost: localhost\r\n{known}Content-Length: 1000\r\n\r\nsome bytes");
    let answer = raw(&desk, &put(&format!("/api/v1/photos/{}", hash(b"x")))).await;
    assert!(answer.starts_with("HTTP/1.1 408") && answer.contains("application/problem+json"), "{answer}");
    let answer = raw(&desk, &put(&address(&Phone::new(1, 1).bundle()))).await;
    assert!(answer.starts_with("HTTP/1.1 408"), "{answer}");
    until(|| files(&desk, "photos") == 0).await;
    assert_eq!(files(&desk, "jobs"), 0);
}

#[tokio::test]
async fn a_body_that_comes_byte_by_byte_is_given_up_too() {
    let desk = Running::with(None, |desk| desk.idle = Duration::from_millis(50)).await;
    let stream = TcpStream::connect(desk.base.trim_start_matches("http://")).await.unwrap();
    let (mut reader, mut writer) = stream.into_split();
    let head = format!(
        "PUT {} HTTP/1.1\r\nHost: localhost\r\n{}Content-Length: 100000\r\n\r\n",
        address(&Phone::new(1, 1).bundle()),
        desk.known()
    );
    writer.write_all(head.as_bytes()).await.unwrap();
    let trickle = tokio::spawn(async move {
        while writer.write_all(b" ").await.is_ok() {
            tokio::time::sleep(Duration::from_millis(5)).await;
        }
    });
    let mut answer = Vec::new();
    // It may be cut off before its end: what was said comes first.
    let _ = reader.read_to_end(&mut answer).await;
    trickle.abort();
    assert!(answer.starts_with(b"HTTP/1.1 408"), "{}", String::from_utf8_lossy(&answer));
}

#[tokio::test]
async fn one_phone_cannot_fill_the_memory_with_bodies_that_it_does_not_end() {
    let desk = Running::start().await;
    let mut held = Vec::new();
    let mut answer = desk.get("/api/v1/jobs").await;
    while answer.status() == 200 && held.len() < 100 {
        let mut stream = TcpStream::connect(desk.base.trim_start_matches("http://")).await.unwrap();
        let head = format!(
            "PUT {} HTTP/1.1\r\nHost: localhost\r\n{}Content-Length: 30000000\r\n\r\nsome bytes",
            address(&Phone::new(1, 1).bundle()),
            desk.known()
        );
        stream.write_all(head.as_bytes()).await.unwrap();
        held.push(stream);
        answer = desk.get("/api/v1/jobs").await;
    }
    assert_eq!(answer.status(), 429, "after {} bodies", held.len());
    assert!(answer.headers().contains_key("retry-after"));
    // Others come in all the same, and so does the phone once it has let go.
    let other = paired(&desk.store.path()).await.get(format!("{}/api/v1/jobs", desk.base)).send().await.unwrap();
    assert_eq!(other.status(), 200);
    held.clear();
    let mut tries = 0;
    while desk.get("/api/v1/jobs").await.status() != 200 {
        tries += 1;
        assert!(tries < 200, "it stays shut out");
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
}

#[tokio::test]
async fn a_phone_that_hangs_up_in_the_middle_of_a_photo_leaves_nothing() {
    let desk = Running::start().await;
    let mut stream = TcpStream::connect(desk.base.trim_start_matches("http://")).await.unwrap();
    let head = format!(
        "PUT /api/v1/photos/{} HTTP/1.1\r\nHost: localhost\r\n{}Content-Length: 9000000\r\n\r\n",
        hash(b"x"),
        desk.known()
    );
    stream.write_all(head.as_bytes()).await.unwrap();
    stream.write_all(&vec![0; 4 << 20]).await.unwrap();
    until(|| files(&desk, "photos") == 1).await;
    drop(stream);
    until(|| files(&desk, "photos") == 0).await;
}

#[tokio::test]
async fn who_asks_before_sending_too_much_is_told_before_sending() {
    let desk = Running::start().await;
    let path = format!("/api/v1/photos/{}", hash(b"x"));
    let known = desk.known();
    let head = "Host: localhost\r\nContent-Length: 999999999999\r\nExpect: 100-continue\r\nConnection: close";
    let answer = raw(&desk, &format!("PUT {path} HTTP/1.1\r\n{known}{head}\r\n\r\n")).await;
    assert!(answer.starts_with("HTTP/1.1 413"), "{answer}");
}

#[tokio::test]
async fn hostile_words_are_shown_as_words() {
    let desk = Running::start().await;
    let mut phone = Phone::new(1, 1);
    let hostile = "</h2><script>alert('x')</script><img src=x onerror=\"alert(1)\">";
    phone.concern(hostile);
    phone.act("vehicle", serde_json::json!({ "label": hostile }));
    assert_eq!(desk.send(&phone.bundle()).await.status(), 201);
    for path in ["/desk".to_owned(), format!("/desk/jobs/{}", phone.job)] {
        let page = desk.get(&path).await.text().await.unwrap();
        let page = without_own_scripts(&page);
        assert!(page.contains("&lt;script&gt;alert("), "{page}");
        assert!(!page.contains("<script") && !page.contains("<img src=x"), "{page}");
    }
    for path in ["/desk/jobs/%3Cscript%3E", "/desk/jobs/x/photos/%3Cscript%3E", "/desk/%3Cscript%3E", "/%3Cscript%3E"] {
        let response = desk.get(path).await;
        assert!(response.status().is_client_error(), "{path}");
        let page = response.text().await.unwrap();
        let page = without_own_scripts(&page);
        assert!(!page.contains("<script"), "{path}: {page}");
    }
}

#[tokio::test]
async fn a_photo_is_shown_only_as_a_picture_whatever_its_bundle_says() {
    let desk = Running::start().await;
    let mut phone = Phone::new(1, 1);
    let types = ["text/html", "image/svg+xml", "image/jpeg; charset=utf-7", "IMAGE/JPEG", ""];
    for (at, hostile) in types.into_iter().enumerate() {
        let bytes = format!("<script>{at}</script>");
        let name = phone.photo_of_type(bytes.as_bytes(), hostile);
        desk.put(&format!("/api/v1/photos/{name}"), bytes).await;
        desk.send(&phone.bundle()).await;
        assert_eq!(desk.get(&format!("/desk/jobs/{}/photos/{name}", phone.job)).await.status(), 404, "{hostile}");
    }
    let name = phone.photo_of_type(b"<script>", "image/png");
    desk.put(&format!("/api/v1/photos/{name}"), "<script>").await;
    // Not before a bundle says what it is.
    assert_eq!(desk.get(&format!("/desk/jobs/{}/photos/{name}", phone.job)).await.status(), 404);
    assert_eq!(desk.send(&phone.bundle()).await.status(), 201);
    let shown = desk.get(&format!("/desk/jobs/{}/photos/{name}", phone.job)).await;
    assert_eq!(shown.status(), 200);
    assert_eq!(shown.headers()["content-type"], "image/png");
    assert_eq!(shown.headers()["content-disposition"], "inline");
    assert!(shown.headers()["content-security-policy"].to_str().unwrap().contains("sandbox"));
    assert_eq!(shown.bytes().await.unwrap(), "<script>");
}

/// What a desk answers to 12 wrong codes that a proxy says one address after the other gave.
async fn wrong_codes(options: &[&str]) -> Vec<u16> {
    let store = TempDir::new().unwrap();
    let program = Program::with(store.path(), options);
    let mut answers = Vec::new();
    for host in 1..=12 {
        let body = json!({ "code": "0000-0000", "name": "Bay 2" }).to_string();
        let asked = client_of([]).post(format!("{}/api/v1/pairings", program.base)).body(body);
        // The first of them is what the one who asks says of itself.
        let answer = asked.header("x-forwarded-for", format!("10.9.9.9, 10.0.0.{host}")).send().await.unwrap();
        answers.push(answer.status().as_u16());
    }
    answers
}

#[tokio::test(flavor = "multi_thread")]
async fn tries_are_counted_by_who_asks_a_proxy_only_where_the_proxy_is_believed() {
    assert_eq!(wrong_codes(&["--trusted-proxy", "127.0.0.1"]).await, [403; 12]);
    // From any other program that header is only what somebody says.
    assert_eq!(wrong_codes(&["--trusted-proxy", "127.0.0.2"]).await[10..], [429; 2]);
    assert_eq!(wrong_codes(&[]).await[10..], [429; 2]);
}
