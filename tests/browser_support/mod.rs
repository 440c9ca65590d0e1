//! A phone and a desk for tests: a browser about the size of a phone with a profile that outlives it, and the real desk. The browser
//! is Chromium where a test asks for no other.
//!
//! `cargo xtask test` builds the app and says where things are:
//! `LOOMWALK_WEB` (the built app), `LOOMWALK_CHROMIUM`, `LOOMWALK_CHROMEDRIVER`, `LOOMWALK_AXE` (axe-core's script);
//! for the other engines `LOOMWALK_FIREFOX`, `LOOMWALK_GECKODRIVER`, `LOOMWALK_WEBKITDRIVER`, `LOOMWALK_WEBKIT_PYTHON`
//! (a Python that has WebKitGTK) and `LOOMWALK_XVFB`.

#![allow(dead_code, clippy::unwrap_used, clippy::expect_used)]

pub mod engines;
mod processes;
pub mod screens;
pub mod sound;

use std::net::TcpListener;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::OnceLock;
use std::time::{Duration, Instant};

use engines::{Engine, Screen};
use loomwalk::desk::access::Access;
use loomwalk::desk::store::{Place, Store};
use serde_json::{Value, json};
use thirtyfour::prelude::*;

/// How long anything may take before a test gives up. Long, because machines under test are slow; never a measure.
pub const PATIENCE: Duration = Duration::from_secs(60);

/// A place that `cargo xtask test` names.
pub fn place(name: &str) -> PathBuf {
    let value = std::env::var_os(name).unwrap_or_else(|| {
        panic!("{name} is not set: run browser tests through `cargo xtask test`, which builds the app")
    });
    PathBuf::from(value)
}

/// A port that is free now.
pub fn free_port() -> u16 {
    TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port()
}

/// The real desk, on a port of its own that stays the same when it is started again.
pub struct Desk {
    pub port: u16,
    pub store: tempfile::TempDir,
    app: PathBuf,
    child: Option<Child>,
    /// With which the tests read what it holds.
    token: OnceLock<String>,
}

impl Desk {
    pub async fn start() -> Self {
        Self::serving(&place("LOOMWALK_WEB")).await
    }

    /// A desk that serves the app from that folder.
    pub async fn serving(app: &Path) -> Self {
        let store = tempfile::tempdir().unwrap();
        let mut desk = Self { port: free_port(), store, app: app.to_owned(), child: None, token: OnceLock::new() };
        desk.start_again().await;
        desk
    }

    pub async fn start_again(&mut self) {
        let store = self.store_url();
        let child = Command::new(env!("CARGO_BIN_EXE_loomwalk"))
            .args(["desk", "--listen", &format!("127.0.0.1:{}", self.port), "--store", &store, "--app"])
            .arg(&self.app)
            .stdout(Stdio::null())
            .spawn()
            .expect("the desk starts");
        self.child = Some(child);
        let health = format!("{}/api/v1/health", self.url());
        until("the desk answers", async || reqwest::get(&health).await.is_ok_and(|answer| answer.status() == 200))
            .await;
    }

    /// Pulls the plug.
    pub fn stop(&mut self) {
        if let Some(mut child) = self.child.take() {
            child.kill().unwrap();
            child.wait().unwrap();
        }
    }

    pub fn url(&self) -> String {
        format!("http://127.0.0.1:{}", self.port)
    }

    fn store_url(&self) -> String {
        format!("file://{}", self.store.path().display())
    }

    /// What `loomwalk access` gives out: the last word of its first line.
    pub fn access(&self, arguments: &[&str]) -> String {
        let mut command = Command::new(env!("CARGO_BIN_EXE_loomwalk"));
        let said = command.arg("access").args(arguments).args(["--store", &self.store_url()]).output().unwrap();
        let text = String::from_utf8_lossy(&said.stdout).into_owned();
        let word = text.lines().next().and_then(|line| line.split_whitespace().last());
        word.unwrap_or_else(|| panic!("no access: {}", String::from_utf8_lossy(&said.stderr))).to_owned()
    }

    /// The ids of the phones that are paired, without the tests' own, shortened as `loomwalk access` shows them.
    pub fn phones(&self) -> Vec<String> {
        let mut command = Command::new(env!("CARGO_BIN_EXE_loomwalk"));
        let said = command.args(["access", "phones", "--store", &self.store_url()]).output().unwrap();
        let text = String::from_utf8(said.stdout).unwrap();
        text.lines()
            .filter(|line| !line.contains("  tests  "))
            .filter_map(|line| line.split_whitespace().next())
            .map(str::to_owned)
            .collect()
    }

    /// The cookie of a service writer who is signed in, without its name.
    pub async fn cookie(&self) -> String {
        let store = Store::open(&Place::Folder(self.store.path().to_owned())).await.unwrap();
        Access::of(store).sign_in().await.unwrap()
    }

    /// Asks as a paired program, and as the service writer.
    pub async fn get(&self, path: &str) -> reqwest::Response {
        let token = self.token.get_or_init(|| self.access(&["token", "--name", "tests"]));
        let asked = reqwest::Client::new().get(format!("{}{path}", self.url())).bearer_auth(token);
        asked.header("cookie", format!("loomwalk={}", self.cookie().await)).send().await.unwrap()
    }

    /// Every event of a job that the desk holds; none of a job that has not come yet.
    pub async fn events(&self, job: &str) -> Vec<Value> {
        let mut events = Vec::new();
        let mut cursor = String::new();
        loop {
            let answer = self.get(&format!("/api/v1/jobs/{job}/events?after={cursor}")).await;
            if answer.status() == 404 {
                return events;
            }
            let page: Value = answer.json().await.unwrap();
            events.extend(page["events"].as_array().unwrap().iter().cloned());
            cursor = page["next"].as_str().unwrap().to_owned();
            if page["more"] != json!(true) {
                return events;
            }
        }
    }
}

impl Drop for Desk {
    fn drop(&mut self) {
        self.stop();
    }
}

/// Waits until something holds; panics with its name when it never does.
pub async fn until(what: &str, mut holds: impl AsyncFnMut() -> bool) {
    let start = Instant::now();
    while !holds().await {
        assert!(start.elapsed() < PATIENCE, "never came true: {what}");
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
}

/// A browser profile, as a phone has one: it stays when the browser is killed.
pub struct Phone {
    engine: Engine,
    pub profile: tempfile::TempDir,
    /// What speaks to the browser; the browser is its child.
    service: Option<Child>,
    driver: Option<WebDriver>,
    screen: Option<Screen>,
    /// Where the browser and its driver put what they need for a while: who is killed takes nothing away.
    scratch: tempfile::TempDir,
    pub downloads: tempfile::TempDir,
    /// More flags for its browser.
    flags: Vec<String>,
}

impl Phone {
    /// A new phone with its browser running.
    pub async fn new() -> Self {
        Self::with(&[]).await
    }

    /// A new phone whose browser runs with more flags.
    pub async fn with(flags: &[String]) -> Self {
        Self::made_of(Engine::Chromium, flags).await
    }

    /// A new phone whose browser has that engine.
    pub async fn of(engine: Engine) -> Self {
        Self::made_of(engine, &[]).await
    }

    async fn made_of(engine: Engine, flags: &[String]) -> Self {
        let mut phone = Self {
            engine,
            profile: tempfile::tempdir().unwrap(),
            service: None,
            driver: None,
            screen: engine.needs_screen().then(Screen::new),
            scratch: tempfile::tempdir().unwrap(),
            downloads: tempfile::tempdir().unwrap(),
            flags: flags.to_vec(),
        };
        phone.start_browser().await;
        phone
    }

    pub async fn start_browser(&mut self) {
        let port = free_port();
        let mut service = self.engine.driver(port, self.screen.as_ref());
        service.env("TMPDIR", self.scratch.path());
        self.service = Some(service.spawn().expect("the browser's driver starts"));
        let status = format!("http://127.0.0.1:{port}/status");
        until("the browser's driver answers", async || reqwest::get(&status).await.is_ok()).await;
        let capabilities = self.engine.capabilities(self.profile.path(), self.downloads.path(), &self.flags);
        let driver =
            WebDriver::new(format!("http://127.0.0.1:{port}"), capabilities).await.expect("the browser starts");
        driver.set_script_timeout(PATIENCE).await.unwrap();
        self.driver = Some(driver);
        if self.engine == Engine::Chromium {
            self.size(390, 844).await;
        }
    }

    pub fn driver(&self) -> &WebDriver {
        self.driver.as_ref().expect("the browser runs")
    }

    /// The browser's processes, ended at once: no time to write anything.
    pub fn kill_browser(&mut self) {
        if let Some(mut service) = self.service.take() {
            processes::kill(&processes::family(service.id()));
            let _ = service.wait();
            let start = Instant::now();
            loop {
                let left = processes::left_of(self.profile.path());
                if left.is_empty() || start.elapsed() > PATIENCE {
                    break;
                }
                processes::kill(&left);
            }
        }
        if let Some(driver) = self.driver.take() {
            driver.leak().ok();
        }
        for left in self.engine.left_behind() {
            let _ = std::fs::remove_file(self.profile.path().join(left));
        }
    }

    /// Kills the browser and starts it again with the same profile.
    pub async fn restart(&mut self) {
        self.kill_browser();
        self.start_browser().await;
    }

    /// Kills it once what the page keeps for its settings is written down, for which a browser takes some seconds.
    pub async fn restart_later(&mut self) {
        tokio::time::sleep(Duration::from_secs(15)).await;
        self.restart().await;
    }

    pub async fn devtools(&self, command: &str, parameters: Value) -> Value {
        self.driver().cdp().send_raw(command, parameters).await.unwrap()
    }

    pub async fn size(&self, width: u32, height: u32) {
        self.devtools(
            "Emulation.setDeviceMetricsOverride",
            json!({ "width": width, "height": height, "deviceScaleFactor": 1, "mobile": width < 800 }),
        )
        .await;
    }

    pub async fn dark(&self, dark: bool) {
        let value = if dark { "dark" } else { "light" };
        self.devtools(
            "Emulation.setEmulatedMedia",
            json!({ "features": [{ "name": "prefers-color-scheme", "value": value }] }),
        )
        .await;
    }

    /// Signs in at the desk, which the browser has open, as the service writer.
    pub async fn sign_in(&self, desk: &Desk) {
        self.driver().add_cookie(Cookie::new("loomwalk", desk.cookie().await)).await.unwrap();
    }

    pub async fn open(&self, url: &str) {
        self.driver().goto(url).await.unwrap();
        self.see("h1").await;
    }

    /// Allows or denies something to every page, as its user would: `camera`, `microphone`.
    pub async fn permit(&self, name: &str, allowed: bool) {
        let setting = if allowed { "granted" } else { "denied" };
        self.devtools("Browser.setPermission", json!({ "permission": { "name": name }, "setting": setting })).await;
    }

    /// Pairs the phone with the desk, as by scanning the code that it shows.
    pub async fn pair(&self, desk: &Desk) {
        let code = desk.access(&["code"]);
        self.open(&format!("{}/pair#{code}", desk.url())).await;
        self.tap("#pair:not(:disabled)").await;
        self.see("#paired").await;
    }

    /// Opens the practice job on a phone that is paired; gives the job's id.
    pub async fn practise(&self, desk: &Desk) -> String {
        self.pair(desk).await;
        self.open(&desk.url()).await;
        self.tap("#practice").await;
        self.see("#next-step").await;
        self.job().await
    }

    /// Waits until the camera's finder shows something and its shutter can be tapped.
    pub async fn finder_sees(&self) {
        self.see("#shutter:not(:disabled)").await;
        // Ready is not yet seeing: the first picture takes a moment.
        until("the finder shows a picture", async || {
            self.script("return document.querySelector('.finder-view').videoWidth > 0", vec![]).await == json!(true)
        })
        .await;
    }

    /// From the walk to the first place on it that can be looked at.
    pub async fn to_a_place(&self) {
        loop {
            let step = self.see("#next-step").await.attr("data-step").await.unwrap().unwrap();
            if !step.starts_with("access:") {
                self.tap("#look-here").await;
                self.see("#seen-Sound").await;
                return;
            }
            self.tap("#access-done").await;
            until("the plan follows", async || {
                let now = self.see("#next-step").await.attr("data-step").await;
                now.is_ok_and(|now| now.as_deref() != Some(&step))
            })
            .await;
        }
    }

    /// The element that the selector names, once it is there.
    pub async fn see(&self, css: &str) -> WebElement {
        let start = Instant::now();
        loop {
            if let Ok(element) = self.driver().find(By::Css(css)).await {
                return element;
            }
            if start.elapsed() > PATIENCE {
                let text = self.script("return document.body.innerText", vec![]).await;
                panic!("{css} is not there. The screen says: {text}");
            }
            tokio::time::sleep(Duration::from_millis(30)).await;
        }
    }

    /// Unfolds all zones of the list of places, each of which draws its places then.
    pub async fn unfold_zones(&self) {
        self.see("details.group").await;
        self.script("for (const zone of document.querySelectorAll('details.group')) zone.open = true", vec![]).await;
        let drawn = "return document.querySelector('details.group:not(:has(li))') === null";
        until("all zones are drawn", async || self.script(drawn, vec![]).await == json!(true)).await;
    }

    /// As if time had gone since the last tap: no key is deaf to the next one (`public/thumb.js`).
    pub async fn looks_first(&self) {
        self.script("window.dispatchEvent(new Event('pointercancel'))", vec![]).await;
    }

    /// Taps what the selector names, scrolled into view as a thumb would.
    pub async fn tap(&self, css: &str) {
        let start = Instant::now();
        loop {
            let element = self.see(css).await;
            self.looks_first().await;
            let _ = self
                .driver()
                .execute("arguments[0].scrollIntoView({block: 'center'})", vec![element.to_json().unwrap()])
                .await;
            match element.click().await {
                Ok(()) => return,
                Err(error) if start.elapsed() > PATIENCE => panic!("{css} cannot be tapped: {error}"),
                Err(_) => tokio::time::sleep(Duration::from_millis(50)).await,
            }
        }
    }

    /// Taps the key, link or answer that bears these words.
    pub async fn tap_words(&self, words: &str) {
        let path = format!(
            "//*[self::button or self::a or self::label or self::summary][contains(normalize-space(.), {words:?})]"
        );
        let start = Instant::now();
        loop {
            if let Ok(element) = self.driver().find(By::XPath(path.as_str())).await {
                self.looks_first().await;
                let _ = self
                    .driver()
                    .execute("arguments[0].scrollIntoView({block: 'center'})", vec![element.to_json().unwrap()])
                    .await;
                if element.click().await.is_ok() {
                    return;
                }
            }
            if start.elapsed() > PATIENCE {
                let text = self.script("return document.body.innerText", vec![]).await;
                panic!("nothing to tap says {words:?}. The screen says: {text}");
            }
            tokio::time::sleep(Duration::from_millis(50)).await;
        }
    }

    /// Types into a field in place of what is there, and leaves it.
    pub async fn write(&self, css: &str, text: &str) {
        let field = self.see(css).await;
        let _ = self
            .driver()
            .execute("arguments[0].scrollIntoView({block: 'center'})", vec![field.to_json().unwrap()])
            .await;
        field.clear().await.unwrap();
        field.send_keys(text).await.unwrap();
        self.script("document.activeElement.blur()", vec![]).await;
    }

    /// Chooses an answer of a list by its value.
    pub async fn choose(&self, css: &str, value: &str) {
        self.see(&format!("{css} option[value='{value}']")).await.click().await.unwrap();
    }

    /// Gives a file to a file chooser.
    pub async fn choose_file(&self, css: &str, file: &Path) {
        self.see(css).await.send_keys(file.display().to_string()).await.unwrap();
    }

    /// Waits until the page says these words.
    pub async fn reads(&self, words: &str) {
        let start = Instant::now();
        loop {
            let text = self.script("return document.body.innerText", vec![]).await;
            if text.as_str().is_some_and(|text| text.contains(words)) {
                return;
            }
            assert!(start.elapsed() < PATIENCE, "the screen never says {words:?}. It says: {text}");
            tokio::time::sleep(Duration::from_millis(50)).await;
        }
    }

    pub async fn text(&self) -> String {
        self.script("return document.body.innerText", vec![]).await.as_str().unwrap_or_default().to_owned()
    }

    pub async fn title(&self) -> String {
        self.see("h1").await.text().await.unwrap()
    }

    pub async fn script(&self, script: &str, arguments: Vec<Value>) -> Value {
        self.driver().execute(script, arguments).await.map_or(Value::Null, |answer| answer.json().clone())
    }

    pub async fn script_async(&self, script: &str, arguments: Vec<Value>) -> Value {
        self.driver().execute_async(script, arguments).await.unwrap().json().clone()
    }

    /// The id of the job in the address bar.
    pub async fn job(&self) -> String {
        let url = self.driver().current_url().await.unwrap();
        url.path().split('/').nth(2).expect("a job's address").to_owned()
    }

    /// Waits until the service worker is in charge of the page and holds everything.
    pub async fn ready_for_offline(&self) {
        let done = self
            .script_async(
                "const done = arguments[arguments.length - 1];
                 navigator.serviceWorker.ready.then(async (registration) => {
                   while (!navigator.serviceWorker.controller) await new Promise((go) => setTimeout(go, 50));
                   done(registration.active.state);
                 });",
                vec![],
            )
            .await;
        assert!(done == "activated" || done == "activating", "{done}");
    }

    /// The log of a job as it lies in the browser's database, sorted by id.
    pub async fn kept_events(&self, job: &str) -> Vec<Value> {
        // After a kill a browser on a busy machine may not answer the first time.
        let script = "
            const [job, done] = [arguments[0], arguments[arguments.length - 1]];
            setTimeout(() => done(null), 15_000);
            const open = indexedDB.open('loomwalk');
            open.onsuccess = () => {
              const all = open.result.transaction('events').objectStore('events').getAll();
              all.onsuccess = () => { open.result.close(); done(JSON.stringify(all.result.filter((row) => row.job === job).map((row) => row.event ?? row))); };
              all.onerror = () => done('[]');
            };
            open.onerror = () => done('[]');";
        let mut text = json!(null);
        until("the browser tells what it keeps", async || {
            text = self.script_async(script, vec![json!(job)]).await;
            text.is_string()
        })
        .await;
        let mut events: Vec<Value> = serde_json::from_str(text.as_str().unwrap_or("[]")).unwrap();
        for event in &mut events {
            if let Some(text) = event.as_str() {
                *event = serde_json::from_str(text).unwrap();
            }
        }
        events.sort_by_key(|event| event["id"].as_str().unwrap_or_default().to_owned());
        events
    }

    /// Waits until these words lie in the browser's database among the small things.
    pub async fn keeps_small(&self, words: &str) {
        until("it is in the database", async || self.small().await.contains(words)).await;
    }

    /// The small things as they lie in the browser's database.
    pub async fn small(&self) -> String {
        let script = "
            const [done] = arguments;
            const open = indexedDB.open('loomwalk');
            open.onsuccess = () => {
              const small = open.result.transaction('settings').objectStore('settings').get('beside');
              small.onsuccess = () => { open.result.close(); done(String(small.result)); };
              small.onerror = () => done('');
            };
            open.onerror = () => done('');";
        self.script_async(script, vec![]).await.as_str().unwrap_or_default().to_owned()
    }

    /// How many rows lie in the browser's database, store by store.
    pub async fn rows(&self) -> Value {
        let script = "
            const done = arguments[arguments.length - 1];
            const open = indexedDB.open('loomwalk');
            open.onsuccess = () => {
              const names = ['events', 'jobs', 'originals', 'previews', 'thumbs'];
              const read = open.result.transaction(names);
              const rows = {};
              for (const name of names) {
                read.objectStore(name).count().onsuccess = (counted) => { rows[name] = counted.target.result; };
              }
              read.oncomplete = () => { open.result.close(); done(rows); };
            };
            open.onerror = () => done(null);";
        self.script_async(script, vec![]).await
    }

    /// The bytes of a photograph as they lie in the browser's database.
    pub async fn kept_photo(&self, hash: &str) -> Vec<u8> {
        let script = "
            const [hash, done] = [arguments[0], arguments[arguments.length - 1]];
            const open = indexedDB.open('loomwalk');
            open.onsuccess = () => {
              const one = open.result.transaction('originals').objectStore('originals').get(hash);
              one.onsuccess = () => {
                open.result.close();
                const bytes = new Uint8Array(one.result.bytes);
                let text = '';
                for (const byte of bytes) text += String.fromCharCode(byte);
                done(btoa(text));
              };
            };";
        let text = self.script_async(script, vec![json!(hash)]).await;
        use base64::Engine;
        base64::engine::general_purpose::STANDARD.decode(text.as_str().unwrap()).unwrap()
    }

    /// The downloaded file whose name ends so. Firefox makes it empty first, and moves what it has fetched over it.
    pub async fn downloaded(&self, ending: &str) -> PathBuf {
        let find = || {
            let files = std::fs::read_dir(self.downloads.path()).unwrap().flatten();
            files.map(|file| file.path()).find(|path| {
                path.to_string_lossy().ends_with(ending) && path.metadata().is_ok_and(|file| file.len() > 0)
            })
        };
        until("the file is downloaded", async || find().is_some()).await;
        find().unwrap()
    }

    /// A picture of the screen, into the target folder.
    pub async fn picture(&self, name: &str) {
        let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("screens");
        std::fs::create_dir_all(&folder).unwrap();
        self.driver().screenshot(&folder.join(format!("{name}.png"))).await.unwrap();
    }

    /// What axe-core finds wrong with the screen by the rules of WCAG 2.2, levels A and AA, a line each.
    pub async fn axe(&self) -> Vec<String> {
        self.axe_by(json!(["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"])).await
    }

    /// What it finds by some of its rules, also by those that it leaves out otherwise.
    pub async fn axe_rules(&self, rules: &[&str]) -> Vec<String> {
        self.axe_by(json!({ "type": "rule", "values": rules })).await
    }

    async fn axe_by(&self, run_only: Value) -> Vec<String> {
        let source = std::fs::read_to_string(place("LOOMWALK_AXE")).unwrap();
        self.devtools("Runtime.evaluate", json!({ "expression": source })).await;
        let run = format!(
            "axe.run(document, {{runOnly: {run_only}}}).then((found) => JSON.stringify(found.violations.flatMap((rule) => rule.nodes.map((node) => rule.id + ': ' + node.target.join(' ') + ' · ' + node.failureSummary))))"
        );
        let run = json!({ "expression": run, "awaitPromise": true, "returnByValue": true });
        let answer = self.devtools("Runtime.evaluate", run).await;
        serde_json::from_str(answer["result"]["value"].as_str().unwrap_or("[\"axe did not run\"]")).unwrap()
    }
}

/// Enters the concern and a short circuit, up to the walk.
pub async fn enter(phone: &Phone) {
    phone.tap("#new-job").await;
    phone.reads("Its name in the fuse box").await;
    phone.write("#vehicle", "Panel van, white, long roof").await;
    phone.tap_words("Panel van").await;
    phone.tap_words("Right").await;
    phone.write("#fuse", "F23").await;
    phone.choose("#rating", "15").await;
    phone.write("#concern", "Lamps in the back die on bad roads").await;
    phone.write("#telltale", "Load-area lamp").await;
    phone.tap_words("It holds").await;
    phone.tap(".action .main").await;
    phone.reads("Each time the fuse opened").await;
    phone.tap_words("Rough road").await;
    phone.tap("#it-opened").await;
    phone.reads("It opened: rough road").await;
    phone.tap_words("On to the circuit").await;
    for typed in ["load-area lamp", "rear wiper", "number", "step lamp"] {
        phone.see("#find").await.send_keys(typed).await.unwrap();
        phone.tap(".offers li:first-child button").await;
        until("the load is on the list", async || {
            phone.script("return document.querySelector('#find').value", vec![]).await == json!("")
        })
        .await;
    }
    phone.see("#find").await.send_keys("Beacon on the roof").await.unwrap();
    phone.tap("#by-hand").await;
    phone.reads("Where it sits").await;
    phone.write("#watts", "21").await;
    phone.choose("#zone", "roof_rear").await;
    phone.tap(".action .main").await;
    // Three of them come in pairs.
    phone.reads("On this fuse: 8").await;
    phone.tap(".action .main").await;
    phone.see("#next-step").await;
}

impl Drop for Phone {
    fn drop(&mut self) {
        self.kill_browser();
    }
}
