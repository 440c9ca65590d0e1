//! Parts that several screens share.

pub mod chance;
pub mod choice;
pub mod field;
pub mod file_key;
pub mod frame;
pub mod fuse_card;
pub mod groups;
pub mod kept;
pub mod marks;
pub mod photos;
pub mod picture;
pub mod seen;
pub mod take_back;
pub mod tree;
pub mod tried;

pub use chance::Chance;
pub use choice::{Choice, Conditions};
pub use field::Field;
pub use file_key::FileKey;
pub use frame::{Screen, Waiting};
pub use fuse_card::FuseCard;
pub use groups::GroupKeys;
pub use kept::Kept;
pub use marks::Marks;
pub use photos::{PhotoButton, PhotoStrip};
pub use picture::Picture;
pub use seen::SeenLine;
pub use take_back::{TakeBack, last_act};
pub use tree::Tree;
