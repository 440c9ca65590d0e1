//! A desk in a network: over TLS only, with a certificate that a phone can check.

use std::io::{BufRead, BufReader};
use std::process::{Child, Command, Stdio};

use crate::desk_support::*;
use reqwest::{Certificate, Client};
use tempfile::TempDir;

struct Desk {
    child: Child,
    lines: Vec<String>,
    data: TempDir,
}

impl Drop for Desk {
    fn drop(&mut self) {
        drop(self.child.kill());
        drop(self.child.wait());
    }
}

/// Starts the program with a data folder of its own; reads so many lines of what it says.
fn start(data: TempDir, arguments: &[&str], lines: usize) -> Desk {
    let mut child = Command::new(env!("CARGO_BIN_EXE_loomwalk"))
        .args(["desk", "--listen", "0.0.0.0:0"])
        .args(arguments)
        .env("XDG_DATA_HOME", data.path())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let lines = BufReader::new(child.stdout.take().unwrap()).lines().take(lines).map(Result::unwrap).collect();
    Desk { child, lines, data }
}

impl Desk {
    fn port(&self) -> u16 {
        let address = self.lines[0].split("/desk").next().unwrap();
        address.rsplit(':').next().unwrap().parse().unwrap()
    }

    fn url(&self, path: &str) -> String {
        format!("https://localhost:{}{path}", self.port())
    }
}

fn trusting(pem: &str) -> Client {
    let builder = Client::builder().no_proxy().tls_certs_only([Certificate::from_pem(pem.as_bytes()).unwrap()]);
    builder.redirect(reqwest::redirect::Policy::none()).build().unwrap()
}

#[tokio::test]
async fn a_phone_that_trusts_the_desks_own_authority_reaches_it_and_no_other_does() {
    let desk = start(TempDir::new().unwrap(), &[], 3);
    assert!(desk.lines[0].starts_with("Desk at https://"), "{:?}", desk.lines);
    let authority = std::fs::read_to_string(desk.data.path().join("loomwalk/tls/authority.pem")).unwrap();
    let phone = trusting(&authority);
    assert_eq!(phone.get(desk.url("/api/v1/health")).send().await.unwrap().status(), 200);
    // By any address of this machine, too.
    let by_address = format!("https://127.0.0.1:{}/api/v1/health", desk.port());
    assert_eq!(phone.get(by_address).send().await.unwrap().status(), 200);
    // The page for phones hands out the same certificate, and the terminal its digits.
    let page = phone.get(desk.url("/trust")).send().await.unwrap().text().await.unwrap();
    let digits = desk.lines[1].rsplit("SHA-256 ").next().unwrap();
    assert_eq!(digits.len(), 32 * 3 - 1);
    assert!(page.contains(digits), "{page}");
    assert_eq!(phone.get(desk.url("/trust/desk.crt")).send().await.unwrap().text().await.unwrap(), authority);
    // Held against OpenSSL where that is to be had.
    let told = Command::new("openssl")
        .args(["x509", "-noout", "-fingerprint", "-sha256", "-in"])
        .arg(desk.data.path().join("loomwalk/tls/authority.pem"))
        .output();
    if let Ok(told) = told {
        let told = String::from_utf8(told.stdout).unwrap();
        assert!(told.trim().ends_with(&digits.replace(' ', ":")), "{told}");
    }
    // Whoever does not know the authority, or was told another, is not let be fooled.
    let stranger = Client::builder().no_proxy().build().unwrap();
    assert!(stranger.get(desk.url("/api/v1/health")).send().await.is_err());
    let other = start(TempDir::new().unwrap(), &[], 1);
    assert!(phone.get(other.url("/api/v1/health")).send().await.is_err());
    // Nothing is said in the clear.
    let clear = client_of([]).get(format!("http://127.0.0.1:{}/api/v1/health", desk.port())).send().await;
    assert!(clear.is_err() || !clear.unwrap().status().is_success());
}

#[tokio::test]
async fn the_authority_stays_the_same_and_its_key_is_for_the_desk_alone() {
    let first = start(TempDir::new().unwrap(), &[], 1);
    let folder = first.data.path().join("loomwalk/tls");
    let authority = std::fs::read_to_string(folder.join("authority.pem")).unwrap();
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        let mode = std::fs::metadata(folder.join("authority.key.pem")).unwrap().permissions().mode();
        assert_eq!(mode & 0o077, 0, "{mode:o}");
    }
    let kept = TempDir::new().unwrap();
    std::fs::create_dir_all(kept.path().join("loomwalk/tls")).unwrap();
    for file in ["authority.pem", "authority.key.pem"] {
        std::fs::copy(folder.join(file), kept.path().join("loomwalk/tls").join(file)).unwrap();
    }
    drop(first);
    let again = start(kept, &[], 1);
    assert_eq!(trusting(&authority).get(again.url("/api/v1/health")).send().await.unwrap().status(), 200);
}

#[tokio::test]
async fn certificate_files_from_elsewhere_are_used_and_bad_ones_named() {
    let files = TempDir::new().unwrap();
    let made = rcgen::generate_simple_self_signed(["localhost".to_owned()]).unwrap();
    let (certificate, key) = (files.path().join("c.pem"), files.path().join("k.pem"));
    std::fs::write(&certificate, made.cert.pem()).unwrap();
    std::fs::write(&key, made.signing_key.serialize_pem()).unwrap();
    let named = [certificate.to_str().unwrap(), key.to_str().unwrap()];
    let desk = start(TempDir::new().unwrap(), &["--tls-cert", named[0], "--tls-key", named[1]], 1);
    assert_eq!(trusting(&made.cert.pem()).get(desk.url("/api/v1/health")).send().await.unwrap().status(), 200);

    let refused = |cert: &str, key: &str| {
        let data = TempDir::new().unwrap();
        let output = Command::new(env!("CARGO_BIN_EXE_loomwalk"))
            .args(["desk", "--listen", "127.0.0.1:0", "--tls-cert", cert, "--tls-key", key])
            .env("XDG_DATA_HOME", data.path())
            .output()
            .unwrap();
        assert_eq!(output.status.code(), Some(1));
        String::from_utf8(output.stderr).unwrap()
    };
    assert!(refused(named[1], named[1]).contains(named[1]));
    assert!(refused("/nowhere.pem", named[1]).contains("/nowhere.pem"));
}
