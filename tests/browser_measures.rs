//! How fast it is on a slow phone. Measures nothing in a test run: `cargo xtask bench` asks for it with `LOOMWALK_MEASURE`
//! and compares what is printed with `benches/budget.toml`. What is checked here always: the long job that is measured can be walked.

use std::ffi::OsStr;
use std::path::Path;
use std::process::Command;
use std::time::Duration;

use crate::browser_support::{Desk, Phone, place, until};
use serde_json::{Value, json};

/// How much slower than this machine's the measured processor is.
const SLOW: f64 = 4.0;

/// A circuit whose walk has at least 500 points: a few loads, and marks all along their wires.
fn long_circuit() -> Value {
    let zones = ["dash_left", "floor_left", "load_area_left", "load_area_right", "roof_rear", "rear_closure"];
    let runs: Vec<Value> = (0..10)
        .map(|number| {
            let path: Vec<Value> = zones.iter().map(|zone| json!({ "zone": zone, "m": 1.0 })).collect();
            json!({ "id": format!("r{number}"), "from": "fuse", "to": format!("l{number}.feed"), "colour": "BK/YE",
                    "area_mm2": 0.75, "length_m": zones.len(), "path": path })
        })
        .collect();
    let loads: Vec<Value> = (0..10)
        .map(|number| {
            json!({ "id": format!("l{number}"), "label": format!("Lamp {number}"), "kind": "filament_lamp", "watts": 10,
                    "zone": "rear_closure", "return": "ground" })
        })
        .collect();
    let marks: Vec<Value> = (0..500)
        .map(|number| {
            json!({ "id": format!("m{number}"), "run": format!("r{}", number % 10), "at_m": 0.1 + f64::from(number / 10) * 0.11,
                    "kind": "edge" })
        })
        .collect();
    json!({ "format": "loomwalk/circuit", "version": 1, "label": "long", "vehicle": { "label": "Van", "body": "panel_van" },
            "fuse": { "label": "F1", "rating_a": 15 }, "runs": runs, "loads": loads, "marks": marks })
}

/// A little arithmetic in the browser, ms: the least of some, for only what disturbs makes it longer.
const ARITHMETIC: &str = "
    const took = () => {
      const began = performance.now();
      let number = 1;
      for (let turn = 0; turn < 2e7; turn++) number = Math.imul(number, 1664525) + 1013904223 | 0;
      window.kept = number;
      return performance.now() - began;
    };
    return Math.min(...Array.from({ length: 7 }, took))";
/// What it takes on the machine for which the limits in milliseconds were set, ms.
const ARITHMETIC_THERE: f64 = 19.0;

/// Opens the long job up to its walk.
pub async fn open_long_job(phone: &Phone, desk: &Desk) -> String {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("long.circuit.json");
    std::fs::write(&file, long_circuit().to_string()).unwrap();
    phone.open(&desk.url()).await;
    phone.ready_for_offline().await;
    phone.tap("#new-job").await;
    phone.reads("Its name in the fuse box").await;
    let job = phone.job().await;
    phone.open(&format!("{}/job/{job}/circuit", desk.url())).await;
    phone.see("#find").await;
    phone.choose_file("#open-circuit", &file).await;
    phone.reads("Circuit taken over, 10 loads").await;
    phone.tap(".action .main").await;
    phone.see("#next-step").await;
    job
}

/// Notes when the list of jobs stands on the screen, in ms since the address was opened.
const USABLE: &str = "new MutationObserver((_, watch) => {
    if (document.querySelector('.lines .line')) { window.usableAt = performance.now(); watch.disconnect(); }
}).observe(document, {childList: true, subtree: true});";

/// The same for a page that shows one line and needs nothing else, from the browser's own cache.
const LINE: &str = "new MutationObserver((_, watch) => {
    if (document.getElementById('usable')) { window.usableAt = performance.now(); watch.disconnect(); }
}).observe(document, {childList: true, subtree: true});";

async fn cold_starts_of_empty_page(phone: &mut Phone, folder: &Path) -> f64 {
    let desk = Desk::serving(folder).await;
    phone.open(&desk.url()).await;
    let mut starts = Vec::new();
    for _ in 0..5 {
        phone.restart().await;
        phone.devtools("Emulation.setCPUThrottlingRate", json!({ "rate": SLOW })).await;
        phone.devtools("Page.addScriptToEvaluateOnNewDocument", json!({ "source": LINE })).await;
        phone.open(&desk.url()).await;
        phone.see("#usable").await;
        starts.push(phone.script("return window.usableAt", vec![]).await.as_f64().unwrap());
    }
    p95(starts)
}

/// What the browser needs for the same two small pictures without the program: decoding once, and encoding each.
const BARE: &str = "async (blob) => {
    const began = performance.now();
    const whole = await createImageBitmap(blob);
    for (const edge of [1600, 320]) {
      const canvas = new OffscreenCanvas(edge, Math.round(edge * whole.height / whole.width));
      canvas.getContext('2d').drawImage(whole, 0, 0, canvas.width, canvas.height);
      await canvas.convertToBlob({type: 'image/jpeg', quality: 0.8});
    }
    return performance.now() - began;
}";

/// Notes what keeps the page from answering: of each task that takes longer than 50 ms, how long it takes.
const TASKS: &str = "window.tasks = [];
    new PerformanceObserver((list) => { for (const task of list.getEntries()) window.tasks.push(task.duration); })
      .observe({type: 'longtask'});";

/// Goes by a link of the page, and says how long the longest task was up to some time after `then` is there, ms; 0 where
/// none took longer than 50 ms.
async fn longest_task_on_the_way(phone: &Phone, link: &str, then: &str) -> f64 {
    phone.see(link).await;
    // What the page before had to do is none of it.
    tokio::time::sleep(Duration::from_secs(3)).await;
    phone.script(TASKS, vec![]).await;
    phone.script("document.querySelector(arguments[0]).click()", vec![json!(link)]).await;
    phone.see(then).await;
    tokio::time::sleep(Duration::from_secs(3)).await;
    let tasks = phone.script("return window.tasks", vec![]).await;
    println!("tasks on the way to {then}: {tasks}");
    tasks.as_array().unwrap().iter().filter_map(Value::as_f64).fold(0.0, f64::max)
}

fn p95(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[(values.len() * 95).div_ceil(100) - 1]
}

fn print(name: &str, value: f64, unit: &str) {
    println!("measured {name} {value:.1} {unit}");
}

/// How often Lighthouse is asked: only what disturbs takes points off.
const LIGHTHOUSE_RUNS: usize = 3;

/// How many of 100 points Lighthouse's mobile preset takes off in each of its categories, at a slow phone's speed and network.
fn lighthouse(program: &OsStr, name: &str, url: &str, cookie: Option<&str>) {
    let headers = cookie.map(|cookie| json!({ "Cookie": format!("loomwalk={cookie}") }).to_string());
    let categories = ["performance", "accessibility", "best-practices"];
    let mut command = Command::new("node");
    command.arg(program).arg(url).env("CHROME_PATH", place("LOOMWALK_CHROMIUM")).args([
        "--quiet",
        "--output=json",
        "--chrome-flags=--headless=new --no-sandbox",
        &format!("--only-categories={}", categories.join(",")),
    ]);
    command.args(headers.map(|headers| format!("--extra-headers={headers}")));
    let runs: [Value; LIGHTHOUSE_RUNS] = std::array::from_fn(|_| {
        let said = command.output().unwrap();
        assert!(said.status.success(), "{}", String::from_utf8_lossy(&said.stderr));
        serde_json::from_slice(&said.stdout).unwrap()
    });
    for category in categories {
        let score = |run: &Value| run["categories"][category]["score"].as_f64().unwrap();
        let best = runs.iter().map(score).fold(0.0, f64::max);
        let name = format!("lighthouse_{name}_{}_points_lost", category.replace('-', "_"));
        print(&name, 100.0 - 100.0 * best, "points");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_job_with_five_hundred_points_can_be_walked_on_a_slow_phone() {
    let measure = std::env::var_os("LOOMWALK_MEASURE").is_some();
    let mut desk = Desk::start().await;
    // Before any other browser runs beside its own.
    if let Some(program) = std::env::var_os("LOOMWALK_LIGHTHOUSE").filter(|_| measure) {
        lighthouse(&program, "app", &desk.url(), None);
        lighthouse(&program, "desk", &format!("{}/desk", desk.url()), Some(&desk.cookie().await));
    }
    let mut phone = Phone::new().await;
    let job = open_long_job(&phone, &desk).await;
    phone.open(&format!("{}/job/{job}/list", desk.url())).await;
    phone.unfold_zones().await;
    let places =
        phone.script("return [...document.querySelectorAll('.place a')].map((place) => place.pathname)", vec![]).await;
    let places: Vec<String> = serde_json::from_value(places).unwrap();
    assert!(places.len() >= 500, "{} points", places.len());
    if measure {
        let here = phone.script(ARITHMETIC, vec![]).await.as_f64().unwrap();
        print("arithmetic", here, "ms");
        print("slowness_of_this_machine", here / ARITHMETIC_THERE, "times");
        phone.devtools("Emulation.setCPUThrottlingRate", json!({ "rate": SLOW })).await;
    }
    let mut taps = Vec::new();
    for place in places.iter().step_by(25) {
        phone.open(&format!("{}{place}", desk.url())).await;
        phone.see("#seen-Sound").await;
        if measure {
            // Nobody taps before they have read where to look.
            tokio::time::sleep(Duration::from_secs(1)).await;
        }
        let took = phone
            .script_async(
                "const done = arguments[arguments.length - 1];
                 const key = document.querySelector('#seen-Sound');
                 const began = performance.now();
                 const painted = () => requestAnimationFrame(() => {
                   const channel = new MessageChannel();
                   channel.port1.onmessage = () => done(performance.now() - began);
                   channel.port2.postMessage('');
                 });
                 new MutationObserver((_, watch) => {
                   if (key.getAttribute('aria-pressed') === 'true') { watch.disconnect(); painted(); }
                 }).observe(key, {attributes: true});
                 key.click();",
                vec![],
            )
            .await;
        taps.push(took.as_f64().expect("the tap is answered"));
    }
    if !measure {
        return;
    }
    print("tap_to_paint_p95", p95(taps), "ms");

    phone.devtools("Emulation.setCPUThrottlingRate", json!({ "rate": 1 })).await;
    for _ in 0..7 {
        phone.open(&desk.url()).await;
        phone.tap("#practice").await;
        phone.see("#next-step").await;
    }
    phone.devtools("Emulation.setCPUThrottlingRate", json!({ "rate": SLOW })).await;
    phone.open(&desk.url()).await;
    let walk = longest_task_on_the_way(&phone, &format!(".line[href*='{job}']"), "#next-step").await;
    print("walk_of_500_points_longest_main_thread_task", walk, "ms");
    let list = longest_task_on_the_way(&phone, "a[href='/']", ".lines .line").await;
    print("list_of_8_jobs_longest_main_thread_task", list, "ms");

    desk.stop();
    let mut starts = Vec::new();
    for _ in 0..5 {
        phone.restart().await;
        phone.devtools("Emulation.setCPUThrottlingRate", json!({ "rate": SLOW })).await;
        phone.devtools("Page.addScriptToEvaluateOnNewDocument", json!({ "source": USABLE })).await;
        phone.open(&desk.url()).await;
        phone.see(".lines .line").await;
        starts.push(phone.script("return window.usableAt", vec![]).await.as_f64().unwrap());
    }
    let cold = p95(starts);
    print("cold_offline_start_p95", cold, "ms");
    if let Some(folder) = std::env::var_os("LOOMWALK_EMPTY_PAGE") {
        let empty = cold_starts_of_empty_page(&mut phone, Path::new(&folder)).await;
        print("cold_start_of_empty_page_p95", empty, "ms");
        print("cold_start_over_empty_page", cold / empty, "times");
    }

    phone.open(&format!("{}{}", desk.url(), places[3])).await;
    phone.see("#photo-lie").await;
    let script = "const done = arguments[arguments.length - 1];
             (async () => {
               const canvas = new OffscreenCanvas(4000, 3000);
               const ink = canvas.getContext('2d');
               for (let n = 0; n < 20000; n++) {
                 ink.fillStyle = `hsl(${n % 360} 60% ${20 + n % 60}%)`;
                 ink.fillRect((n * 7919) % 4000, (n * 104729) % 3000, 90, 70);
               }
               const blob = await canvas.convertToBlob({type: 'image/jpeg', quality: 0.92});
               const files = new DataTransfer();
               files.items.add(new File([blob], 'photo.jpg', {type: 'image/jpeg'}));
               await new Promise((go) => setTimeout(go, 1000));
               let longest = 0;
               new PerformanceObserver((list) => { for (const task of list.getEntries()) longest = Math.max(longest, task.duration); })
                 .observe({type: 'longtask'});
               const input = document.querySelector('#photo-lie');
               input.files = files.files;
               const began = performance.now();
               input.dispatchEvent(new Event('change', {bubbles: true}));
               while (!document.querySelector('.strip li')) await new Promise((go) => setTimeout(go, 10));
               const took = performance.now() - began;
               await new Promise((go) => setTimeout(go, 500));
               done([took, longest, blob.size, await bare(blob)]);
             })();";
    let photo = phone.script_async(&format!("const bare = {BARE}; {script}"), vec![]).await;
    print("photo_12_megapixels_kept", photo[0].as_f64().unwrap(), "ms");
    print("photo_over_bare_pictures", photo[0].as_f64().unwrap() / photo[3].as_f64().unwrap(), "times");
    print("photo_longest_main_thread_task", photo[1].as_f64().unwrap(), "ms");
    print("photo_bytes", photo[2].as_f64().unwrap() / 1e6, "MB");

    phone.devtools("Emulation.setCPUThrottlingRate", json!({ "rate": 1 })).await;
    let mut kept = 0;
    for batch in 0..10 {
        let more = phone
            .script_async(
                "const [batch, done] = arguments;
                 (async () => {
                   if (!window.blob) {
                     const canvas = new OffscreenCanvas(4000, 3000);
                     const ink = canvas.getContext('2d');
                     for (let n = 0; n < 20000; n++) {
                       ink.fillStyle = `hsl(${n % 360} 60% ${20 + n % 60}%)`;
                       ink.fillRect((n * 7919) % 4000, (n * 104729) % 3000, 90, 70);
                     }
                     window.blob = await canvas.convertToBlob({type: 'image/jpeg', quality: 0.92});
                   }
                   const input = document.querySelector('#photo-lie-file');
                   const before = document.querySelectorAll('.strip li').length;
                   for (let n = 1; n <= 20; n++) {
                     const files = new DataTransfer();
                     files.items.add(new File([window.blob, `${batch} ${n}`], 'photo.jpg', {type: 'image/jpeg'}));
                     input.files = files.files;
                     input.dispatchEvent(new Event('change', {bubbles: true}));
                     while (document.querySelectorAll('.strip li').length < before + n) await new Promise((go) => setTimeout(go, 10));
                   }
                   done(20);
                 })();",
                vec![json!(batch)],
            )
            .await;
        kept += more.as_u64().unwrap();
    }
    assert_eq!(kept, 200);
    phone.open(&format!("{}{}", desk.url(), places[3])).await;
    until("the thumbs are shown", async || {
        phone.script("return document.querySelectorAll('.strip img').length >= 200", vec![]).await == json!(true)
    })
    .await;
    phone.script("window.scrollTo(0, document.body.scrollHeight)", vec![]).await;
    phone.devtools("HeapProfiler.collectGarbage", json!({})).await;
    let heap = phone.devtools("Runtime.getHeapUsage", json!({})).await;
    let program = phone
        .script_async(
            "const done = arguments[arguments.length - 1];
             const glue = document.querySelector('meta[name=loomwalk-glue]').content;
             import(glue).then((glue) => glue.default()).then((program) => done(program.memory.buffer.byteLength));",
            vec![],
        )
        .await;
    // Of the page: what its scripts hold, and the program's own memory.
    let held = heap["usedSize"].as_f64().unwrap() + program.as_f64().unwrap();
    print("heap_with_200_photos_of_12_megapixels", held / 1e6, "MB");
}
