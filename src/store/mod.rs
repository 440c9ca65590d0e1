//! What is kept on the phone. One contract, two stores: in memory for tests, IndexedDB in the browser.
