//! Does the store in memory keep the promises of `Store`? The one on IndexedDB is asked the same in a browser
//! (`examples/store_contract.rs`).

use loomwalk::store::contract::{Subject, run};
use loomwalk::store::{MemoryStore, StoreError};

struct InMemory;

impl Subject for InMemory {
    type Store = MemoryStore;

    async fn fresh(&self) -> Result<MemoryStore, StoreError> {
        Ok(MemoryStore::default())
    }

    async fn reopened(&self, store: MemoryStore) -> Result<MemoryStore, StoreError> {
        Ok(store)
    }

    fn bytes(&self, plain: &[u8]) -> Vec<u8> {
        plain.to_vec()
    }

    fn plain(&self, bytes: &Vec<u8>) -> Vec<u8> {
        bytes.clone()
    }
}

#[tokio::test]
async fn the_store_in_memory_keeps_its_promises() {
    assert_eq!(run(&InMemory).await, Ok(12));
}

#[test]
fn every_error_says_what_happened_why_and_what_to_do() {
    let why = || "QuotaExceededError".to_owned();
    let errors = [
        StoreError::TwoBodies(loomwalk::ids::EventId(uuid::Uuid::nil())),
        StoreError::Full { detail: why() },
        StoreError::NewerTab,
        StoreError::NotOpen,
        StoreError::Unavailable { why: why() },
        StoreError::Unreadable { what: "the log of job 1".to_owned(), why: why() },
        StoreError::Failed { why: why() },
    ];
    let said: Vec<String> = errors.iter().map(ToString::to_string).collect();
    expect_test::expect![[r#"
        event 00000000-0000-0000-0000-000000000000 is here already with other words: one of the two was changed by hand. Nothing was kept; ask for the hand-over file again, from the phone that made it
        there is no room left on this device for that (QuotaExceededError), so it was not kept. Free some space, or hand over and send jobs that are done, then try again
        a newer version of Loomwalk has been at work here; load this page again to go on with it. If it stays so, the desk has an older one than before and needs the newer one back. Nothing was lost
        the storage of this device is not open yet, so nothing was kept; wait a moment and try again
        this browser keeps nothing here (QuotaExceededError), so work would be lost. Leave private mode or allow the page to store data, then load it again
        the log of job 1 on this device cannot be read (QuotaExceededError). It was left as it is; update Loomwalk, or ask the desk for its copy
        the device's storage did not do it (QuotaExceededError), so nothing was changed. Try again; if it stays so, load the page again"#]].assert_eq(&said.join("\n"));
}
