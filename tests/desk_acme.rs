//! A desk with a public name gets its certificate by itself: from Pebble, Let's Encrypt's small authority for tests, which
//! speaks RFC 8555 and checks the name by a real connection.
//!
//! Pebble looks at a port that these tests hold and lead to the desk: so they see that it has looked.
use std::io::{BufRead, BufReader, Read};
use std::net::{TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use reqwest::{Certificate, Client};
use tempfile::TempDir;
use tokio::sync::watch;

/// What is waited for at most: a machine that is busy is not wrong.
const AT_MOST: Duration = Duration::from_secs(240);

/// Waits until something is so.
async fn until(what: &str, mut is: impl AsyncFnMut() -> bool) {
    let start = Instant::now();
    while !is().await {
        assert!(start.elapsed() < AT_MOST, "waited in vain: {what}");
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
}

fn pebble_is_here() -> bool {
    let here = Command::new("pebble").arg("-help").output().is_ok();
    assert!(here || std::env::var_os("CI").is_none(), "Pebble is needed: apt-get install pebble");
    if !here {
        eprintln!("passed over: Pebble is not installed");
    }
    here
}

/// A process that ends with the test, and all that it has said so far.
struct Said {
    child: Child,
    lines: Arc<Mutex<Vec<String>>>,
}

impl Said {
    fn start(command: &mut Command) -> Self {
        let mut child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        let lines = Arc::new(Mutex::new(Vec::new()));
        let streams: [Box<dyn Read + Send>; 2] =
            [Box::new(child.stdout.take().unwrap()), Box::new(child.stderr.take().unwrap())];
        for stream in streams {
            let lines = lines.clone();
            std::thread::spawn(move || {
                for line in BufReader::new(stream).lines().map_while(Result::ok) {
                    lines.lock().unwrap().push(line);
                }
            });
        }
        Self { child, lines }
    }

    fn lines_with(&self, part: &str) -> Vec<String> {
        self.lines.lock().unwrap().iter().filter(|line| line.contains(part)).cloned().collect()
    }

    async fn line(&self, part: &str) -> String {
        until(part, async || !self.lines_with(part).is_empty()).await;
        self.lines_with(part).remove(0)
    }
}

impl Drop for Said {
    fn drop(&mut self) {
        drop(self.child.kill());
        drop(self.child.wait());
    }
}

/// Pebble, and the port at which it looks for the name `localhost`.
struct Authority {
    pebble: Said,
    folder: TempDir,
    ports: [u16; 2],
    /// Knows Pebble's own certificate.
    client: Client,
    looked: Arc<AtomicUsize>,
    leads_to: watch::Sender<Option<u16>>,
}

impl Authority {
    /// Certificates are good for so many seconds.
    async fn start(good_for: u32) -> Self {
        let folder = TempDir::new().unwrap();
        let own = rcgen::generate_simple_self_signed(["localhost".to_owned(), "127.0.0.1".to_owned()]).unwrap();
        std::fs::write(folder.path().join("root.pem"), own.cert.pem()).unwrap();
        std::fs::write(folder.path().join("key.pem"), own.signing_key.serialize_pem()).unwrap();
        let client = trusting(&own.cert.pem());
        let (leads_to, led) = watch::channel(None);
        let looked = Arc::new(AtomicUsize::new(0));
        let door = lead(led, looked.clone()).await;
        loop {
            let free = [(); 2].map(|()| TcpListener::bind("127.0.0.1:0").unwrap());
            let ports = free.each_ref().map(|listener| listener.local_addr().unwrap().port());
            drop(free);
            let config = serde_json::json!({ "pebble": {
                "listenAddress": format!("127.0.0.1:{}", ports[0]),
                "managementListenAddress": format!("127.0.0.1:{}", ports[1]),
                "certificate": folder.path().join("root.pem"),
                "privateKey": folder.path().join("key.pem"),
                "httpPort": door,
                "tlsPort": door,
                "ocspResponderURL": "",
                "externalAccountBindingRequired": false,
                "certificateValidityPeriod": good_for,
            }});
            std::fs::write(folder.path().join("pebble.json"), config.to_string()).unwrap();
            // Another process may have taken a port meanwhile.
            if let Some(pebble) = pebble(folder.path(), &client, ports).await {
                return Self { pebble, folder, ports, client, looked, leads_to };
            }
        }
    }

    fn end(&mut self) {
        self.pebble.child.kill().unwrap();
        self.pebble.child.wait().unwrap();
    }

    /// The same again; it has forgotten all.
    async fn start_anew(&mut self) {
        self.end();
        self.pebble = pebble(self.folder.path(), &self.client, self.ports).await.expect("Pebble starts again");
    }

    /// The certificate at the root of those that it gives.
    async fn root(&self) -> String {
        let url = format!("https://127.0.0.1:{}/roots/0", self.ports[1]);
        self.client.get(url).send().await.unwrap().text().await.unwrap()
    }

    fn looked(&self) -> usize {
        self.looked.load(Ordering::SeqCst)
    }
}

async fn pebble(folder: &Path, client: &Client, ports: [u16; 2]) -> Option<Said> {
    let mut command = Command::new("pebble");
    command.arg("-config").arg(folder.join("pebble.json"));
    // It waits for nothing, refuses nothing for practice, and looks each time.
    command.envs([("PEBBLE_VA_NOSLEEP", "1"), ("PEBBLE_WFE_NONCEREJECT", "0"), ("PEBBLE_AUTHZREUSE", "0")]);
    command.env_remove("PEBBLE_VA_ALWAYS_VALID");
    let mut pebble = Said::start(&mut command);
    let answers = async |url: String| client.get(url).send().await.is_ok();
    let mut ended = false;
    until("Pebble answers", async || {
        ended = pebble.child.try_wait().unwrap().is_some();
        let root = format!("https://127.0.0.1:{}/roots/0", ports[1]);
        ended || answers(format!("https://127.0.0.1:{}/dir", ports[0])).await && answers(root).await
    })
    .await;
    (!ended).then_some(pebble)
}

/// A port that leads to the desk as soon as it is known where that is; counts who comes.
async fn lead(led: watch::Receiver<Option<u16>>, looked: Arc<AtomicUsize>) -> u16 {
    let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await.unwrap();
    let port = listener.local_addr().unwrap().port();
    tokio::spawn(async move {
        while let Ok((mut outside, _)) = listener.accept().await {
            looked.fetch_add(1, Ordering::SeqCst);
            let mut led = led.clone();
            tokio::spawn(async move {
                let Ok(to) = led.wait_for(Option::is_some).await.map(|to| to.unwrap_or_default()) else { return };
                if let Ok(mut inside) = tokio::net::TcpStream::connect(("127.0.0.1", to)).await {
                    drop(tokio::io::copy_bidirectional(&mut outside, &mut inside).await);
                }
            });
        }
    });
    port
}

struct Desk {
    said: Said,
    port: u16,
}

impl Desk {
    async fn start(authority: &Authority, data: &Path) -> Self {
        let mut command = Command::new(env!("CARGO_BIN_EXE_loomwalk"));
        command.args(["desk", "--listen", "127.0.0.1:0", "--tls", "acme", "--acme-name", "localhost"]);
        command.args(["--acme-contact", "mailto:shop@example.org", "--acme-directory"]);
        command.arg(format!("https://localhost:{}/dir", authority.ports[0]));
        command.arg("--acme-root").arg(authority.folder.path().join("root.pem"));
        let said = Said::start(command.env("XDG_DATA_HOME", data));
        let line = said.line("Desk at https://").await;
        let address = line.split("/desk").next().unwrap();
        let port = address.rsplit(':').next().unwrap().parse().unwrap();
        Self { said, port }
    }

    /// Whether a phone that knows this root gets an answer.
    async fn answers(&self, root: &str) -> bool {
        let url = format!("https://localhost:{}/api/v1/health", self.port);
        trusting(root).get(url).send().await.is_ok_and(|answer| answer.status() == 200)
    }

    /// What it shows to whoever offers this protocol, if the handshake comes to an end.
    fn shows(&self, root: &str, protocol: &str) -> Option<Vec<u8>> {
        let mut roots = rustls::RootCertStore::empty();
        roots.add(rustls::pki_types::pem::PemObject::from_pem_slice(root.as_bytes()).unwrap()).unwrap();
        let provider = Arc::new(rustls::crypto::aws_lc_rs::default_provider());
        let config = rustls::ClientConfig::builder_with_provider(provider).with_safe_default_protocol_versions();
        let mut config = config.unwrap().with_root_certificates(roots).with_no_client_auth();
        config.alpn_protocols = vec![protocol.as_bytes().to_vec()];
        let name = "localhost".try_into().unwrap();
        let mut client = rustls::ClientConnection::new(Arc::new(config), name).unwrap();
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        while client.is_handshaking() {
            client.complete_io(&mut stream).ok()?;
        }
        Some(client.peer_certificates()?.first()?.to_vec())
    }
}

fn trusting(pem: &str) -> Client {
    let roots = [Certificate::from_pem(pem.as_bytes()).unwrap()];
    Client::builder().no_proxy().tls_certs_only(roots).build().unwrap()
}

fn kept(data: &Path, what: &str) -> PathBuf {
    data.join("loomwalk/tls").join(format!("acme.{what}.json"))
}

#[tokio::test(flavor = "multi_thread")]
async fn a_certificate_is_ordered_proven_kept_and_used_again() {
    if !pebble_is_here() {
        return;
    }
    let mut authority = Authority::start(90 * 24 * 60 * 60).await;
    let (root, data) = (authority.root().await, TempDir::new().unwrap());
    let desk = Desk::start(&authority, data.path()).await;
    desk.said.line("is being ordered").await;
    assert_eq!(desk.said.lines_with("Phones reach it at https://localhost/").len(), 1);
    assert_eq!(desk.shows(&root, "http/1.1"), None, "there is none yet, and no other in its place");
    // Nothing can be proven before Pebble has come to the desk.
    assert!(desk.said.lines_with("a new certificate").is_empty());
    authority.leads_to.send_replace(Some(desk.port));
    desk.said.line("a new certificate for localhost, good until").await;
    assert!(desk.answers(&root).await);
    assert!(authority.looked() > 0);
    let first = desk.shows(&root, "http/1.1").unwrap();
    // Whoever asks as an authority does is shown nothing when no order is under way.
    assert_eq!(desk.shows(&root, "acme-tls/1"), None);
    #[cfg(unix)]
    for what in ["account", "certificate"] {
        use std::os::unix::fs::PermissionsExt;
        let mode = std::fs::metadata(kept(data.path(), what)).unwrap().permissions().mode();
        assert_eq!(mode & 0o077, 0, "{what} {mode:o}");
    }
    drop(desk);

    // With the authority gone no order can come to anything.
    authority.end();
    let again = Desk::start(&authority, data.path()).await;
    again.said.line("Its certificate for localhost is good until").await;
    assert!(again.answers(&root).await);
    assert_eq!(again.shows(&root, "http/1.1"), Some(first));
}

#[tokio::test(flavor = "multi_thread")]
async fn a_certificate_is_renewed_before_it_ends_and_the_desk_goes_on() {
    if !pebble_is_here() {
        return;
    }
    let authority = Authority::start(15).await;
    let (root, data) = (authority.root().await, TempDir::new().unwrap());
    let desk = Desk::start(&authority, data.path()).await;
    authority.leads_to.send_replace(Some(desk.port));
    desk.said.line("a new certificate").await;
    let first = desk.shows(&root, "http/1.1").unwrap();
    let looked = authority.looked();
    until("another certificate is shown", async || desk.shows(&root, "http/1.1").is_some_and(|shown| shown != first))
        .await;
    assert!(authority.looked() > looked, "proven anew");
    assert!(desk.said.lines_with("no certificate").is_empty(), "{:?}", desk.said.lines);
}

#[tokio::test(flavor = "multi_thread")]
async fn an_authority_that_has_forgotten_the_account_is_given_a_new_one() {
    if !pebble_is_here() {
        return;
    }
    let mut authority = Authority::start(90 * 24 * 60 * 60).await;
    let data = TempDir::new().unwrap();
    let desk = Desk::start(&authority, data.path()).await;
    authority.leads_to.send_replace(Some(desk.port));
    desk.said.line("a new certificate").await;
    drop(desk);
    let account = std::fs::read(kept(data.path(), "account")).unwrap();
    // A damaged certificate is ordered anew, too.
    std::fs::write(kept(data.path(), "certificate"), "{").unwrap();
    authority.start_anew().await;
    authority.leads_to.send_replace(None);
    let desk = Desk::start(&authority, data.path()).await;
    desk.said.line("acme.certificate.json is damaged").await;
    authority.leads_to.send_replace(Some(desk.port));
    desk.said.line("a new certificate").await;
    assert!(desk.answers(&authority.root().await).await);
    assert_ne!(std::fs::read(kept(data.path(), "account")).unwrap(), account);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_name_that_leads_elsewhere_gets_none_and_the_desk_says_why() {
    if !pebble_is_here() {
        return;
    }
    let authority = Authority::start(90 * 24 * 60 * 60).await;
    let (root, data) = (authority.root().await, TempDir::new().unwrap());
    // A port at which nothing listens.
    let free = TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port();
    authority.leads_to.send_replace(Some(free));
    let mut desk = Desk::start(&authority, data.path()).await;
    let why = desk.said.line("no certificate for localhost").await;
    assert!(why.contains("looked for this desk at port 443") && why.contains("tried again in 2 minutes"), "{why}");
    assert!(authority.looked() > 0);
    assert!(!desk.answers(&root).await);
    assert!(!kept(data.path(), "certificate").exists());
    assert!(desk.said.child.try_wait().unwrap().is_none(), "it goes on");
}

#[test]
fn what_does_not_go_together_is_refused() {
    let refused = |arguments: &str| {
        let data = TempDir::new().unwrap();
        let output = Command::new(env!("CARGO_BIN_EXE_loomwalk"))
            .args(["desk", "--listen", "127.0.0.1:0"])
            .args(arguments.split_whitespace())
            .env("XDG_DATA_HOME", data.path())
            .output()
            .unwrap();
        (output.status.code(), String::from_utf8(output.stderr).unwrap())
    };
    for (arguments, why) in [
        ("--tls acme", "needs --acme-name"),
        ("--tls own --acme-name desk.example.org", "leave it out, or say --tls acme"),
        ("--tls off --acme-name desk.example.org", "leave it out, or say --tls acme"),
        ("--tls files", "needs --tls-cert and --tls-key"),
        ("--tls own --tls-cert c --tls-key k", "go with --tls files only"),
        ("--tls acme --tls-cert c --tls-key k", "go with --tls files only"),
        ("--acme-name desk.example.org --tls-cert c --tls-key k", "two ways"),
        ("--acme-name 192.168.1.5", "one full name"),
        ("--acme-name *.example.org", "one full name"),
        ("--acme-name desk.example.org --acme-contact shop@example.org", "mailto:you@example.org"),
        ("--acme-name desk.example.org --acme-directory http://ca.example.org/dir", "over https only"),
        ("--acme-contact mailto:shop@example.org", "--acme-name"),
        ("--acme-name desk.example.org --acme-root root.pem", "--acme-directory"),
        ("--acme-name desk.example.org --public-url https://other.example.org/", "name the same in both"),
    ] {
        let (code, told) = refused(arguments);
        assert_eq!(code, Some(2), "{arguments}: {told}");
        assert!(told.contains(why), "{arguments}: {told}");
    }
    // A file that is not there is named before anything is asked of anyone.
    let (code, told) =
        refused("--acme-name desk.example.org --acme-directory https://ca.invalid/dir --acme-root /nowhere.pem");
    assert_eq!(code, Some(1), "{told}");
    assert!(told.contains("/nowhere.pem"), "{told}");
}
