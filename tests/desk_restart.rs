//! What a desk still knows after it ended, however it ended.

use std::collections::HashSet;
use std::fs;
use std::process::{Command, Stdio};
use std::sync::Arc;

use crate::desk_support::*;
use crate::dice::Dice;
use loomwalk::desk::access::Purpose;
use loomwalk::desk::intake::{Desk, Taken};
use loomwalk::desk::shelf::Shelf;
use loomwalk::desk::store::{Place, Store};
use loomwalk::ids::JobId;
use loomwalk::sync::protocol::{EventPage, Receipt};
use tempfile::TempDir;

async fn everything(desk: &Desk) -> Vec<(JobId, Arc<Shelf>)> {
    let mut all = Vec::new();
    for line in desk.index().all() {
        all.extend(desk.shelf(line.job).await.ok().map(|shelf| (line.job, shelf)));
    }
    all
}

async fn take(desk: &Desk, bundle: &loomwalk::bundle::file::Bundle) -> Taken<Receipt> {
    let body = serde_json::to_vec(bundle).unwrap().into();
    desk.take_bundle(bundle.job.id, bundle.bundle_id, body, None).await.unwrap()
}

/// Three jobs, two phones, bundles in an order that is neither that of their ids nor that of their events.
async fn fill(desk: &Desk) {
    for job in 0..3 {
        let (mut one, mut two) = (Phone::new(job, 1), Phone::new(job, 2));
        let early = one.bundle();
        one.concern("the rear lamps go out");
        one.photo(b"a picture");
        let late = one.bundle_of(1);
        two.concern("seen by the other");
        for bundle in [late, two.bundle(), early] {
            assert!(matches!(take(desk, &bundle).await, Taken::New(_)));
        }
    }
}

#[tokio::test]
async fn the_index_that_is_rebuilt_equals_the_one_that_was() {
    let store = TempDir::new().unwrap();
    let desk = open(store.path()).await;
    fill(&desk).await;
    let before = everything(&desk).await;
    drop(desk);
    let desk = open(store.path()).await;
    assert_eq!(before.len(), 3);
    assert_eq!(everything(&desk).await, before);
    assert_eq!(desk.index().damaged(), [] as [String; 0]);
}

#[tokio::test]
async fn what_was_of_use_for_a_while_only_goes_when_that_is_over_and_nothing_else_does() {
    let desk = Running::start().await;
    let mut phone = Phone::new(1, 1);
    let photo = phone.photo(b"a picture");
    desk.put(&format!("/api/v1/photos/{photo}"), b"a picture".to_vec()).await;
    assert_eq!(desk.send(&phone.bundle()).await.status(), 201);
    let half = hash(b"the whole");
    let piece = desk.client.patch(format!("{}/api/v1/photos/{half}/pieces", desk.base)).header("upload-offset", "0");
    let piece =
        piece.header("upload-length", "9").header("content-type", "application/offset+octet-stream").body("the w");
    assert!(piece.send().await.unwrap().status().is_success());
    let access = desk.desk.access();
    let code = access.make_code(Purpose::Pair).await.unwrap();
    assert!(access.use_code(&code, Purpose::Pair).await.unwrap());
    access.set_password("seven quiet kettles", "seven quiet kettles").await.unwrap().unwrap();
    let cookie = access.sign_in().await.unwrap();
    let store = desk.desk.store();
    let folders = async || {
        let there = store.list(&object_store::path::Path::default()).await.unwrap();
        let folder = |path: &object_store::path::Path| match path.as_ref().split('/').take(2).collect::<Vec<_>>()[..] {
            ["access", within] => format!("access/{within}"),
            [first, ..] => first.to_owned(),
            [] => String::new(),
        };
        there.iter().map(folder).collect::<std::collections::BTreeSet<_>>()
    };
    let all = folders().await;
    for passing in ["arrivals", "uploads", "access/sessions", "access/codes", "access/used"] {
        assert!(all.contains(passing), "{passing}: {all:?}");
    }
    let now = chrono::Utc::now();
    assert_eq!(store.let_pass(now).await.unwrap(), 0);
    assert_eq!(store.let_pass(now + chrono::TimeDelta::hours(30)).await.unwrap(), 0);
    // A code goes before the mark that it was used; who is signed in stays so for two weeks.
    store.let_pass(now + chrono::TimeDelta::days(3)).await.unwrap();
    let there = folders().await;
    assert!(!there.contains("access/codes") && there.contains("access/used"), "{there:?}");
    store.let_pass(now + chrono::TimeDelta::days(13)).await.unwrap();
    assert!(folders().await.contains("uploads") && access.is_signed_in(&cookie).await.unwrap());
    store.let_pass(now + chrono::TimeDelta::days(16)).await.unwrap();
    let left = folders().await;
    for passing in ["arrivals", "uploads", "access/sessions", "access/codes", "access/used"] {
        assert!(!left.contains(passing), "{passing}: {left:?}");
    }
    let stays: Vec<_> =
        all.iter().filter(|folder| ["jobs", "photos", "desk.json"].contains(&folder.as_str())).collect();
    assert_eq!(stays.len(), 3, "{all:?}");
    assert!(stays.into_iter().all(|folder| left.contains(folder)) && left.contains("access/phones"), "{left:?}");
    assert!(access.is_password("seven quiet kettles").await.unwrap());
}

#[tokio::test]
async fn everything_acknowledged_survives_a_kill() {
    let store = TempDir::new().unwrap();
    let client = paired(store.path()).await;
    let mut phone = Phone::new(1, 1);
    let mut receipts = Vec::new();
    let mut photos = Vec::new();
    let mut cursor = String::new();
    for round in 0..5 {
        let mut program = Program::start(store.path());
        for at in 0..4 {
            let picture = format!("picture {round} {at}").into_bytes();
            let name = phone.photo(&picture);
            let sent = client.put(format!("{}/api/v1/photos/{name}", program.base)).body(picture).send().await.unwrap();
            assert_eq!(sent.status(), 201);
            photos.push(name);
        }
        let sent = phone.events.len() - if round == 0 { 5 } else { 4 };
        let bundle = phone.bundle_of(sent);
        let url = format!("{}{}", program.base, address(&bundle));
        let answer = client.put(url).json(&bundle).send().await.unwrap();
        assert_eq!(answer.status(), 201);
        program.child.kill().unwrap();
        program.child.wait().unwrap();
        receipts.push((bundle, answer.json::<Receipt>().await.unwrap()));

        let program = Program::start(store.path());
        for name in &photos {
            let asked = client.head(format!("{}/api/v1/photos/{name}", program.base)).send().await.unwrap();
            assert_eq!(asked.status(), 200);
        }
        for (bundle, receipt) in &receipts {
            let url = format!("{}{}", program.base, address(bundle));
            let again = client.put(url).json(bundle).send().await.unwrap();
            assert_eq!(again.status(), 200);
            assert_eq!(&again.json::<Receipt>().await.unwrap(), receipt);
        }
        // A cursor from before the kill goes on behind it.
        let url = format!("{}/api/v1/jobs/{}/events?after={cursor}", program.base, phone.job);
        let page: EventPage = client.get(url).send().await.unwrap().json().await.unwrap();
        assert_eq!(page.events, phone.events[sent..]);
        cursor = page.next;
    }
}

#[tokio::test]
async fn a_bundle_that_was_kept_but_not_answered_before_a_crash_gets_its_receipt() {
    let store = TempDir::new().unwrap();
    let desk = open(store.path()).await;
    let mut phone = Phone::new(1, 1);
    let bundle = phone.bundle();
    let Taken::New(receipt) = take(&desk, &bundle).await else { panic!("it was new") };
    drop(desk);
    let receipts = store.path().join(format!("jobs/{}/receipts", phone.job));
    fs::remove_dir_all(&receipts).unwrap();

    let desk = open(store.path()).await;
    assert_eq!(desk.shelf(phone.job).await.unwrap().log().len(), 1, "it is held, not only known");
    assert_eq!(take(&desk, &bundle).await, Taken::Known(receipt));
    assert_eq!(fs::read_dir(receipts).unwrap().count(), 1);
}

#[tokio::test]
async fn what_was_half_written_is_never_shown_and_is_swept_away() {
    let store = TempDir::new().unwrap();
    drop(open(store.path()).await);
    let name = hash(b"whole");
    let (photos, bundles) = (store.path().join("photos"), store.path().join(format!("jobs/{}/bundles", job_id(1))));
    for folder in [&photos, &bundles] {
        fs::create_dir_all(folder).unwrap();
    }
    let left = [photos.join(format!("{name}#1")), bundles.join(format!("{}.json#7", job_id(2)))];
    fs::write(&left[0], "who").unwrap();
    fs::write(&left[1], "{").unwrap();
    let desk = open(store.path()).await;
    assert!(!desk.has_photo(&name).await.unwrap());
    assert!(everything(&desk).await.is_empty());
    assert!(desk.index().damaged().is_empty());
    // Another desk may be at it still; after a day nobody is.
    assert!(left.iter().all(|file| file.exists()));
    for file in &left {
        let yesterday = std::time::SystemTime::now() - std::time::Duration::from_secs(25 * 60 * 60);
        fs::File::options().write(true).open(file).unwrap().set_modified(yesterday).unwrap();
    }
    drop(open(store.path()).await);
    assert_eq!(fs::read_dir(photos).unwrap().count() + fs::read_dir(bundles).unwrap().count(), 0);
}

#[tokio::test]
async fn what_others_keep_in_the_folder_is_neither_swept_away_nor_copied() {
    let (store, backup) = (TempDir::new().unwrap(), TempDir::new().unwrap());
    let yesterday = std::time::SystemTime::now() - std::time::Duration::from_secs(25 * 60 * 60);
    let others = ["Invoice #12", ".git/refs/heads/fix#123", "lost+found/#12345", "photos/Invoice #12", "letter.txt"];
    let others = others.map(|name| store.path().join(name));
    for file in &others {
        fs::create_dir_all(file.parent().unwrap()).unwrap();
        fs::write(file, "a stranger's").unwrap();
        fs::File::options().write(true).open(file).unwrap().set_modified(yesterday).unwrap();
    }
    // Whoever is not root may not even look into it.
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        fs::set_permissions(store.path().join("lost+found"), fs::Permissions::from_mode(0o000)).unwrap();
    }
    // The first start and a later one.
    drop(open(store.path()).await);
    let desk = open(store.path()).await;
    let mut phone = Phone::new(1, 1);
    take(&desk, &phone.bundle()).await;
    desk.store().copy_to(&store_in(backup.path()).await).await.unwrap();
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        fs::set_permissions(store.path().join("lost+found"), fs::Permissions::from_mode(0o700)).unwrap();
    }
    for file in &others {
        assert!(file.is_file(), "{}", file.display());
    }
    for name in ["letter.txt", ".git", "lost+found"] {
        assert!(!backup.path().join(name).exists(), "{name}");
    }
    assert_eq!(open(backup.path()).await.index().bundles(phone.job), 1);
}

#[tokio::test]
async fn a_damaged_file_is_reported_and_costs_nothing_else() {
    let store = TempDir::new().unwrap();
    let desk = open(store.path()).await;
    fill(&desk).await;
    let before = everything(&desk).await;
    drop(desk);
    let bundles = store.path().join(format!("jobs/{}/bundles", job_id(0)));
    let victim = fs::read_dir(&bundles).unwrap().next().unwrap().unwrap().path();
    fs::write(&victim, "{\"format\":").unwrap();

    let desk = open(store.path()).await;
    let damaged = desk.index().damaged();
    assert_eq!(damaged.len(), 1);
    assert!(damaged[0].contains(victim.file_name().unwrap().to_str().unwrap()), "{damaged:?}");
    let after = everything(&desk).await;
    assert_eq!(after[1..], before[1..]);
    assert_eq!(fs::read(victim).unwrap(), b"{\"format\":");
}

#[tokio::test]
async fn two_desks_on_one_store_hold_the_same() {
    let store = TempDir::new().unwrap();
    let (one, two) = (open(store.path()).await, open(store.path()).await);
    let mut phone = Phone::new(1, 1);
    let mut cursor = String::new();
    let mut heard = HashSet::new();
    for round in 0..6 {
        let (taker, other) = if round % 2 == 0 { (&one, &two) } else { (&two, &one) };
        let before = phone.events.len() - usize::from(round == 0);
        phone.concern(&format!("round {round}"));
        let bundle = phone.bundle_of(before);
        let Taken::New(receipt) = take(taker, &bundle).await else { panic!("it was new") };
        assert_eq!(take(other, &bundle).await, Taken::Known(receipt), "the same receipt from the other desk");
        // A cursor from one desk goes on at the other, and brings what is new, once.
        let page = other.shelf(phone.job).await.unwrap().page(Some(&cursor)).unwrap();
        assert_eq!(page.events, phone.events[before..]);
        cursor = page.next;
        other.hear_others(&mut heard).await.unwrap();
        assert_eq!(other.index().bundles(phone.job), round + 1);
    }
    assert_eq!(everything(&one).await, everything(&two).await);
    drop((one, two));
    let again = open(store.path()).await;
    assert_eq!(again.shelf(phone.job).await.unwrap().page(Some(&cursor)).unwrap().events, []);
}

#[tokio::test]
async fn what_is_gone_from_under_a_running_desk_is_not_said_to_be_held() {
    let store = TempDir::new().unwrap();
    let desk = Arc::new(open(store.path()).await);
    let mut phone = Phone::new(1, 1);
    let early = phone.bundle();
    let picture = phone.photo(b"a picture");
    let late = phone.bundle_of(1);
    let (base, _server) = serve(&desk, None).await;
    let client = paired(store.path()).await;
    let at = format!("{base}/api/v1/photos/{picture}");
    let put = async || client.put(&at).body("a picture").send().await.unwrap().status().as_u16();
    let held = async || client.head(&at).send().await.unwrap().status().as_u16();
    let events = async || client.get(format!("{base}/api/v1/jobs/{}/events", phone.job)).send().await.unwrap();
    assert_eq!((put().await, held().await), (201, 200));
    for bundle in [&early, &late] {
        assert!(matches!(take(&desk, bundle).await, Taken::New(_)));
    }
    let cursor = events().await.json::<EventPage>().await.unwrap().next;

    // One object: only what it held is not there any more.
    let job = store.path().join(format!("jobs/{}", phone.job));
    for folder in ["bundles", "receipts"] {
        fs::remove_file(job.join(folder).join(format!("{}.json", late.bundle_id))).unwrap();
    }
    assert_eq!(events().await.json::<EventPage>().await.unwrap().events, early.log);
    let old = client.get(format!("{base}/api/v1/jobs/{}/events?after={cursor}", phone.job)).send().await.unwrap();
    assert_eq!(old.status(), 400, "the cursor counts what is gone");
    assert!(matches!(take(&desk, &late).await, Taken::New(_)), "it is taken again");
    assert_eq!(events().await.json::<EventPage>().await.unwrap().events.len(), 2);

    // The whole disk.
    for folder in [&job, &store.path().join("photos")] {
        fs::remove_dir_all(folder).unwrap();
    }
    assert_eq!(held().await, 404);
    assert_eq!(events().await.status(), 404);
    // What is sent once more is kept once more.
    assert_eq!((put().await, held().await), (201, 200));
    assert!(store.path().join("photos").join(picture.as_str()).is_file());
    for bundle in [&early, &late] {
        assert!(matches!(take(&desk, bundle).await, Taken::New(_)));
    }
    assert_eq!(everything(&open(store.path()).await).await, everything(&desk).await);
}

#[tokio::test]
async fn the_list_that_was_written_down_is_the_list() {
    let store = TempDir::new().unwrap();
    let desk = open(store.path()).await;
    fill(&desk).await;
    desk.write_down().await;
    let before = desk.index().all();
    drop(desk);
    // Whoever cannot read it makes it again.
    let written = store.path().join("index/jobs.jsonl");
    for change in ["", "x", "{}\n{}"] {
        let text = fs::read_to_string(&written).unwrap();
        fs::write(&written, format!("{change}{text}")).unwrap();
        let desk = open(store.path()).await;
        assert_eq!(desk.index().all(), before, "{change:?}");
        desk.write_down().await;
    }
    // What grew behind its back is noticed.
    let desk = open(store.path()).await;
    let mut phone = Phone::new(0, 3);
    phone.concern("a third phone");
    take(&desk, &phone.bundle()).await;
    drop(desk);
    let desk = open(store.path()).await;
    assert_eq!(desk.index().line(phone.job).unwrap().bundles, 4);
}

#[tokio::test]
async fn a_store_of_a_newer_program_is_left_alone() {
    let store = TempDir::new().unwrap();
    drop(open(store.path()).await);
    let identity = store.path().join("desk.json");
    let newer = fs::read_to_string(&identity).unwrap().replace("\"version\":1", "\"version\":2");
    fs::write(&identity, newer).unwrap();
    let refused = Store::open(&Place::Folder(store.path().to_owned())).await.unwrap_err().to_string();
    assert!(refused.contains("version 2") && refused.contains("version 1"), "{refused}");
}

#[test]
fn the_first_line_says_where_the_desk_and_the_app_are() {
    let store = TempDir::new().unwrap();
    let program = Program::start(store.path());
    let port = program.base.trim_start_matches("http://127.0.0.1:").parse::<u16>().unwrap();
    let expected = format!("Desk at http://127.0.0.1:{port}/desk · app at http://127.0.0.1:{port}/\n");
    assert_eq!(program.line, expected);
}

#[cfg(unix)]
#[test]
fn a_desk_that_is_asked_to_end_ends_well() {
    for signal in ["-TERM", "-INT"] {
        let store = TempDir::new().unwrap();
        let mut program = Program::start(store.path());
        assert!(Command::new("kill").args([signal, &program.child.id().to_string()]).status().unwrap().success());
        assert_eq!(program.child.wait().unwrap().code(), Some(0), "{signal}");
    }
}

fn refused(arguments: &[&str]) -> (Option<i32>, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_loomwalk")).arg("desk").args(arguments).output().unwrap();
    (output.status.code(), String::from_utf8(output.stderr).unwrap())
}

#[test]
fn an_address_that_others_could_reach_is_never_answered_in_the_clear() {
    let store = TempDir::new().unwrap();
    let store = format!("file://{}", store.path().display());
    for address in ["0.0.0.0:0", "[::]:0"] {
        let (code, words) = refused(&["--listen", address, "--tls", "off", "--store", &store]);
        assert_eq!(code, Some(1), "{words}");
        assert!(words.contains("for all to read"), "{words}");
    }
}

#[test]
fn a_port_that_is_in_use_is_named_with_a_way_out() {
    let taken = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let address = taken.local_addr().unwrap().to_string();
    let store = TempDir::new().unwrap();
    let (code, words) = refused(&["--listen", &address, "--store", &format!("file://{}", store.path().display())]);
    assert_eq!(code, Some(1), "{words}");
    assert!(words.contains(&address) && words.contains("choose another port with --listen"), "{words}");
}

#[test]
fn a_store_elsewhere_and_a_folder_that_is_no_app_are_refused() {
    let (code, words) = refused(&["--store", "ftp://host/jobs"]);
    assert_eq!(code, Some(2), "{words}");
    assert!(words.contains("nothing can be kept at ftp"), "{words}");
    let store = TempDir::new().unwrap();
    let store = format!("file://{}", store.path().display());
    let (code, words) = refused(&["--listen", "127.0.0.1:0", "--store", &store, "--app", "/nowhere"]);
    assert_eq!(code, Some(1), "{words}");
    assert!(words.contains("no index.html in /nowhere"), "{words}");
}

#[test]
fn without_a_store_a_folder_in_the_users_data_is_used() {
    let data = TempDir::new().unwrap();
    let child = Command::new(env!("CARGO_BIN_EXE_loomwalk"))
        .args(["desk", "--listen", "127.0.0.1:0"])
        .env("XDG_DATA_HOME", data.path())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let program = Program::greeted(child);
    assert!(data.path().join("loomwalk/desk.json").is_file());
    drop(program);
}

#[tokio::test]
async fn a_copy_brings_everything_back_and_goes_on_where_it_stopped() {
    let (store, backup, back) = (TempDir::new().unwrap(), TempDir::new().unwrap(), TempDir::new().unwrap());
    let desk = open(store.path()).await;
    fill(&desk).await;
    fs::create_dir_all(store.path().join("photos")).unwrap();
    fs::write(store.path().join("photos").join(hash(b"a picture").as_str()), "a picture").unwrap();
    let before = everything(&desk).await;
    let copy = |from: &TempDir, to: &TempDir| {
        let url = |folder: &TempDir| format!("file://{}", folder.path().display());
        let output =
            Command::new(env!("CARGO_BIN_EXE_loomwalk")).args(["copy", &url(from), &url(to)]).output().unwrap();
        (output.status.success(), String::from_utf8([output.stdout, output.stderr].concat()).unwrap())
    };
    assert!(copy(&store, &backup).0);
    // While the desk works on, the next copy takes only what is new.
    let mut phone = Phone::new(7, 1);
    take(&desk, &phone.bundle()).await;
    let (done, words) = copy(&store, &backup);
    assert!(done && words.starts_with("2 objects copied"), "{words}");
    assert!(copy(&backup, &back).0);
    let again = open(back.path()).await;
    let after = everything(&again).await;
    assert_eq!(after[..3], before);
    assert_eq!(after[3].0, phone.job);
    assert!(again.has_photo(&hash(b"a picture")).await.unwrap());
    // A photograph that has gone bad is not carried on as if it were good.
    fs::write(store.path().join("photos").join(hash(b"another").as_str()), "rotten").unwrap();
    let (done, words) = copy(&store, &backup);
    assert!(!done && words.contains("do not hash to its name"), "{words}");
    assert!(!backup.path().join("photos").join(hash(b"another").as_str()).exists());
}

#[tokio::test]
async fn a_store_that_is_not_there_is_neither_copied_nor_made_by_asking_who_may_come_in() {
    let folder = TempDir::new().unwrap();
    let url = |name: &str| format!("file://{}", folder.path().join(name).display());
    let run = |arguments: &[&str]| {
        let output = Command::new(env!("CARGO_BIN_EXE_loomwalk")).args(arguments).output().unwrap();
        let said = [output.stdout, output.stderr].map(|said| String::from_utf8(said).unwrap());
        (output.status.code(), said)
    };
    // A disk that is not there, and the empty folder that it would be seen in.
    fs::create_dir(folder.path().join("empty")).unwrap();
    let (gone, empty, to) = (url("gone"), url("empty"), url("to"));
    for from in [&gone, &empty] {
        for arguments in [
            &["copy", from, &to][..],
            &["access", "--store", from, "token", "--name", "Bay 2"],
            &["access", "--store", from, "password"],
        ] {
            let (code, [out, words]) = run(arguments);
            assert_eq!((code, out.as_str()), (Some(1), ""), "{arguments:?}: {words}");
            let place = from.trim_start_matches("file://");
            assert!(words.contains(place) && words.contains("no desk.json"), "{words}");
        }
    }
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1, "nothing was made");
    assert_eq!(fs::read_dir(folder.path().join("empty")).unwrap().count(), 0);

    // Once a desk was there, both work, and say where.
    drop(open(&folder.path().join("store")).await);
    let (code, [token, words]) = run(&["access", "--store", &url("store"), "token", "--name", "Bay 2"]);
    assert!(code == Some(0) && words.contains("/store"), "{words}");
    assert_eq!(token.lines().count(), 1, "for programs to read");
    let (code, [words, _]) = run(&["copy", &url("store"), &to]);
    assert!(code == Some(0) && words.contains("/store to ") && words.contains("/to,"), "{words}");
    // Not onto itself, by whatever name.
    #[cfg(unix)]
    std::os::unix::fs::symlink(folder.path().join("store"), folder.path().join("link")).unwrap();
    for name in if cfg!(unix) { &["store", "store/", "link"][..] } else { &["store", "store/"] } {
        let (code, [_, words]) = run(&["copy", &url("store"), &url(name)]);
        assert!(code == Some(1) && words.contains("one place"), "{words}");
    }
}

#[tokio::test]
async fn whoever_reads_only_the_beginning_of_an_answer_breaks_nothing() {
    let store = TempDir::new().unwrap();
    open(store.path()).await.access().pair("Bay 2").await.unwrap();
    let url = format!("file://{}", store.path().display());
    let circuit = concat!(env!("CARGO_MANIFEST_DIR"), "/assets/demo/van.circuit.json");
    for arguments in [&["access", "--store", &url, "phones"][..], &["check", circuit]] {
        // As behind `| head -0`.
        let (reader, writer) = std::io::pipe().unwrap();
        drop(reader);
        let mut command = Command::new(env!("CARGO_BIN_EXE_loomwalk"));
        let output = command.args(arguments).stdout(writer).stderr(Stdio::piped()).spawn().unwrap();
        let output = output.wait_with_output().unwrap();
        assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    }
}

#[tokio::test]
async fn a_copy_lets_in_the_phones_and_nobody_who_was_signed_in() {
    let (store, backup) = (TempDir::new().unwrap(), TempDir::new().unwrap());
    let desk = open(store.path()).await;
    let cookie = desk.access().sign_in().await.unwrap();
    let code = desk.access().make_code(Purpose::Begin).await.unwrap();
    let (token, _) = desk.access().pair("Bay 2").await.unwrap();
    desk.store().copy_to(&store_in(backup.path()).await).await.unwrap();
    // Signed out and used up after the copy: brought back, they would be good again.
    desk.access().sign_out(&cookie).await.unwrap();
    assert!(desk.access().use_code(&code, Purpose::Begin).await.unwrap());
    let back = open(backup.path()).await;
    assert!(!back.access().is_signed_in(&cookie).await.unwrap());
    assert!(!back.access().use_code(&code, Purpose::Begin).await.unwrap());
    assert!(back.access().phone(&token).await.unwrap().is_some());
}

#[tokio::test]
async fn two_hundred_kills_during_uploads_leave_nothing_half_and_lose_no_receipt() {
    const KILLS: u64 = 200;
    let store = TempDir::new().unwrap();
    let client = paired(store.path()).await;
    let mut dice = Dice(7);
    let (mut receipts, mut acknowledged) = (Vec::new(), Vec::new());
    let mut phone = Phone::new(1, 1);
    for kill in 0..KILLS {
        let mut program = Program::start(store.path());
        // So many exchanges to their end, and the kill somewhere in the next one.
        let whole = dice.below(3);
        let cut = std::time::Duration::from_micros(dice.below(40_000) as u64);
        for at in 0..=whole {
            let picture = vec![(kill % 251) as u8 ^ at as u8; 200_000 + at * 1_000 + kill as usize];
            let exchange = async {
                let name = phone.photo(&picture);
                let url = format!("{}/api/v1/photos/{name}", program.base);
                assert!(client.put(url).body(picture.clone()).send().await.unwrap().status().is_success());
                acknowledged.push(name);
                let bundle = phone.bundle_of(phone.events.len() - 1);
                let url = format!("{}{}", program.base, address(&bundle));
                let receipt = client.put(url).json(&bundle).send().await.unwrap().json::<Receipt>().await.unwrap();
                receipts.push((bundle, receipt));
            };
            if at < whole {
                exchange.await;
            } else {
                // Where it got is what the test is about.
                let _ = tokio::time::timeout(cut, exchange).await;
            }
        }
        program.child.kill().unwrap();
        program.child.wait().unwrap();
    }
    assert!(receipts.len() > 50, "{} receipts: too few to mean anything", receipts.len());
    let desk = open(store.path()).await;
    assert_eq!(desk.index().damaged(), [] as [String; 0]);
    for name in acknowledged {
        assert_eq!(hash(&fs::read(store.path().join("photos").join(name.as_str())).unwrap()), name);
    }
    for (bundle, receipt) in receipts {
        assert_eq!(take(&desk, &bundle).await, Taken::Known(receipt));
    }
    // Whatever has a photo's name is that photo, acknowledged or not.
    for entry in fs::read_dir(store.path().join("photos")).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_str().unwrap().to_owned();
        assert!(name.contains('#') || hash(&fs::read(&path).unwrap()).as_str() == name, "{name}");
    }
}
