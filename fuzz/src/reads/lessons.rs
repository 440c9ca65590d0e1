//! Do any lessons bring down what is counted of them?

use loomwalk::search::lessons::{LearnedFile, Shop};

use super::only_numbers;

/// Whether they were read.
pub fn read(bytes: &[u8]) -> bool {
    let Ok(text) = std::str::from_utf8(bytes) else { return false };
    let Some(file) = LearnedFile::read(text) else { return false };
    only_numbers(&file);
    let shop = file.shop();
    only_numbers(&shop);
    assert_eq!(Shop::of_file(text).as_ref(), Some(&shop), "the same without the lessons");
    for count in &shop.counts {
        assert!(count.factor().is_finite() && count.factor() > 0.0, "{count:?}");
        assert!(!count.in_words(shop.jobs).is_empty());
    }
    let mut sorted = LearnedFile::default();
    file.lessons.iter().rev().for_each(|lesson| sorted.put(lesson.clone()));
    let once = sorted.clone();
    file.lessons.iter().rev().for_each(|lesson| sorted.put(lesson.clone()));
    assert_eq!(sorted, once, "each job teaches once");
    true
}
