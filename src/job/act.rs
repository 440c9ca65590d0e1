//! What can a person do or say in a job? The acts, and what they carry.

use chrono::{DateTime, Utc};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::circuit::file::{CircuitFile, Fuse, Load, Mark, OptionState, Supply, TouchLengths, Vehicle};
use crate::circuit::unplug::Unplugged;
use crate::ids::{
    AccessId, BundleId, Condition, EventId, LoadId, MarkId, MethodId, NodeId, OptionId, PhotoHash, PointId, ShelvedId,
};
use crate::job::drawing::Stroke;
use crate::job::road::RoadMark;
use crate::search::evidence::{Heat, Motion, Seen};
use crate::search::lessons::Shop;

/// Something that a person did or said.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
#[schemars(tag = "kind", content = "body")]
pub enum Act {
    /// The job was opened.
    JobOpened {
        /// A practice job: never counted, marked on every page.
        #[serde(default)]
        practice: bool,
    },
    /// The concern was taken in or corrected. The newest one holds.
    Concern(Concern),
    /// The vehicle was entered or corrected.
    Vehicle(Vehicle),
    /// The fuse and what feeds it were entered or corrected.
    Fuse {
        /// The fuse.
        fuse: Fuse,
        /// The source.
        #[serde(default)]
        supply: Supply,
    },
    /// A whole circuit was taken over from a file or from the shelf. Replaces vehicle, fuse and loads.
    Circuit {
        /// The circuit.
        circuit: Box<CircuitFile>,
        /// Where on the shelf it lay.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        shelved: Option<ShelvedId>,
    },
    /// What the shop's closed jobs had taught when this one began. The newest one holds.
    Shop(Shop),
    /// A load was added or changed (same id).
    Load(Load),
    /// A load was taken off the list.
    LoadRemoved {
        /// Which.
        load: LoadId,
    },
    /// An option of this vehicle is there, absent, or taken out with its wiring left.
    Option {
        /// Which.
        option: OptionId,
        /// What is there.
        state: OptionState,
        /// Why, in words, such as the group that it was struck out with. May be empty.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        why: String,
    },
    /// A mark was set or changed (same id).
    Mark(Mark),
    /// A mark was taken off.
    MarkRemoved {
        /// Which.
        mark: MarkId,
    },
    /// How long a rubbing wire is taken to touch. Without lengths: as the program ships.
    Touch {
        /// The lengths.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        touch: Option<TouchLengths>,
    },
    /// The fuse opened.
    Blow {
        /// Conditions that held.
        state: Vec<Condition>,
        /// How the vehicle moved.
        motion: Motion,
        /// How warm it was.
        heat: Heat,
    },
    /// The fuse survived.
    Held {
        /// Conditions that held.
        state: Vec<Condition>,
        /// How the vehicle moved.
        motion: Motion,
        /// How warm it was.
        heat: Heat,
        /// For how long.
        minutes: f64,
    },
    /// Something was unplugged and the fuse was watched.
    Unplugged {
        /// The node where it was unplugged.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        node: Option<NodeId>,
        /// Or the load that was unplugged.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        load: Option<LoadId>,
        /// Whether the fuse opened all the same.
        blew: bool,
        /// Conditions that held.
        state: Vec<Condition>,
        /// For how long.
        minutes: f64,
    },
    /// With this fuse open, something was tried. The newest for one thing in one state holds.
    Tried {
        /// A load's id, or the name of something that is not on this circuit.
        what: String,
        /// It did not work.
        dead: bool,
        /// Conditions that held.
        state: Vec<Condition>,
    },
    /// A look at a point.
    Look {
        /// The point.
        point: PointId,
        /// What was seen.
        seen: Seen,
    },
    /// A press at a point.
    Press {
        /// The point.
        point: PointId,
        /// Whether the fuse opened meanwhile.
        opened: bool,
        /// How many presses.
        presses: u32,
        /// Conditions that held.
        state: Vec<Condition>,
    },
    /// An ohmmeter was held between the load side of the open fuse and ground.
    Meter {
        /// What it showed, Ω. None: an open circuit.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        ohms: Option<f64>,
        /// What was unplugged meanwhile.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        unplugged: Vec<Unplugged>,
        /// Conditions that held, as far as they close switches.
        state: Vec<Condition>,
    },
    /// The telltale went out, or came back, by a phone that watched it.
    Telltale {
        /// Back, or out.
        lit: bool,
        /// When it was seen so first, by the watching phone's clock.
        seen_at: DateTime<Utc>,
    },
    /// The harness was moved at a point.
    Lift {
        /// The point.
        point: PointId,
    },
    /// No lie photo will be taken at a point.
    LieWaived {
        /// The point.
        point: PointId,
        /// Why not.
        why: String,
    },
    /// A photograph or a recording was kept.
    Photo(Photo),
    /// Something was drawn on a photograph, beside it. The newest drawing of one photograph holds.
    Drawn {
        /// The event that kept the photograph.
        photo: EventId,
        /// All that is drawn on it.
        strokes: Vec<Stroke>,
    },
    /// A test drive began.
    RoadBegan {
        /// Conditions that hold.
        state: Vec<Condition>,
        /// How warm it is.
        heat: Heat,
    },
    /// Something was tapped on it.
    RoadMark {
        /// What.
        what: RoadMark,
    },
    /// It is over.
    RoadEnded {},
    /// A note was kept.
    Note {
        /// At a point, or of the job as a whole.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        point: Option<PointId>,
        /// The words.
        text: String,
    },
    /// A part of the vehicle was opened, or closed again.
    Access {
        /// The step.
        access: AccessId,
        /// Done, or undone.
        open: bool,
    },
    /// A point cannot be reached now.
    CannotReach {
        /// The point.
        point: PointId,
        /// Why not; may be empty.
        #[serde(default)]
        why: String,
    },
    /// A point is to be done next.
    DoFirst {
        /// The point.
        point: PointId,
    },
    /// An earlier event was taken back. It stays in the log.
    TakenBack {
        /// Which.
        event: EventId,
    },
    /// The place was found.
    Finding(Finding),
    /// A repair was made or recommended, or one that is written down already is put into other words.
    Repair {
        /// The event that wrote it down first, where it is put into other words.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        of: Option<EventId>,
        /// Where, if at a point.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        point: Option<PointId>,
        /// What was done or is recommended, in words.
        what: String,
        /// Done, or only recommended.
        done: bool,
        /// Working minutes, if stated.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        minutes: Option<f64>,
        /// By which method, if by one of the list.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        method: Option<MethodId>,
        /// What it used or will use up.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        materials: Vec<Material>,
    },
    /// A load on the fuse was worked once after the repair. The newest for one load holds.
    Worked {
        /// Which.
        load: LoadId,
        /// It did what it should.
        works: bool,
    },
    /// An item of the release check was done, or was not.
    Release {
        /// Which.
        item: ReleaseItem,
        /// Done, or not (any more).
        done: bool,
        /// A value that was read, in words: `2.3 A`.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        value: String,
        /// For the drive: the minutes in which the fuse held.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        minutes: Option<f64>,
    },
    /// The job was handed over.
    HandedOver {
        /// In which bundle.
        bundle_id: BundleId,
        /// How.
        way: HandOverWay,
    },
}

impl Act {
    /// The kinds that this version knows, as they stand in an event.
    pub const KINDS: [&'static str; 37] = [
        "job_opened",
        "concern",
        "vehicle",
        "fuse",
        "circuit",
        "shop",
        "load",
        "load_removed",
        "option",
        "mark",
        "mark_removed",
        "touch",
        "blow",
        "held",
        "unplugged",
        "tried",
        "look",
        "press",
        "meter",
        "telltale",
        "lift",
        "lie_waived",
        "photo",
        "drawn",
        "road_began",
        "road_mark",
        "road_ended",
        "note",
        "access",
        "cannot_reach",
        "do_first",
        "taken_back",
        "finding",
        "repair",
        "worked",
        "release",
        "handed_over",
    ];

    /// Its kind as it stands in an event.
    pub fn kind(&self) -> &'static str {
        match self {
            Self::JobOpened { .. } => "job_opened",
            Self::Concern(_) => "concern",
            Self::Vehicle(_) => "vehicle",
            Self::Fuse { .. } => "fuse",
            Self::Circuit { .. } => "circuit",
            Self::Shop(_) => "shop",
            Self::Load(_) => "load",
            Self::LoadRemoved { .. } => "load_removed",
            Self::Option { .. } => "option",
            Self::Mark(_) => "mark",
            Self::MarkRemoved { .. } => "mark_removed",
            Self::Touch { .. } => "touch",
            Self::Blow { .. } => "blow",
            Self::Held { .. } => "held",
            Self::Unplugged { .. } => "unplugged",
            Self::Tried { .. } => "tried",
            Self::Look { .. } => "look",
            Self::Press { .. } => "press",
            Self::Meter { .. } => "meter",
            Self::Telltale { .. } => "telltale",
            Self::Lift { .. } => "lift",
            Self::LieWaived { .. } => "lie_waived",
            Self::Photo(_) => "photo",
            Self::Drawn { .. } => "drawn",
            Self::RoadBegan { .. } => "road_began",
            Self::RoadMark { .. } => "road_mark",
            Self::RoadEnded {} => "road_ended",
            Self::Note { .. } => "note",
            Self::Access { .. } => "access",
            Self::CannotReach { .. } => "cannot_reach",
            Self::DoFirst { .. } => "do_first",
            Self::TakenBack { .. } => "taken_back",
            Self::Finding(_) => "finding",
            Self::Repair { .. } => "repair",
            Self::Worked { .. } => "worked",
            Self::Release { .. } => "release",
            Self::HandedOver { .. } => "handed_over",
        }
    }

    /// The minutes that it states.
    pub(super) fn minutes(&self) -> Option<f64> {
        match self {
            Self::Held { minutes, .. } | Self::Unplugged { minutes, .. } => Some(*minutes),
            Self::Repair { minutes, .. } | Self::Release { minutes, .. } => *minutes,
            _ => None,
        }
    }

    /// The point that it speaks of.
    pub fn point(&self) -> Option<&PointId> {
        match self {
            Self::Look { point, .. }
            | Self::Press { point, .. }
            | Self::Lift { point }
            | Self::LieWaived { point, .. }
            | Self::CannotReach { point, .. }
            | Self::DoFirst { point }
            | Self::Finding(Finding { point, .. }) => Some(point),
            Self::Photo(Photo { point, .. }) | Self::Note { point, .. } | Self::Repair { point, .. } => point.as_ref(),
            _ => None,
        }
    }
}

/// The concern, in the customer's and the technician's words.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct Concern {
    /// What the customer says.
    #[serde(default)]
    pub words: String,
    /// What is dead while the fuse is open.
    #[serde(default)]
    pub dead: String,
    /// How often it happens.
    #[serde(default)]
    pub how_often: String,
    /// The same in figures, as far as anyone can say.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub often: Option<Often>,
    /// What the vehicle is doing when it happens.
    #[serde(default)]
    pub doing: String,
    /// Whether a fresh fuse holds.
    #[serde(default)]
    pub fresh_fuse: FreshFuse,
    /// Something on this fuse that shows at once that it has opened.
    #[serde(default)]
    pub telltale: String,
}

/// How often the fuse opened in how much use.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct Often {
    /// How many times. 0: not said.
    pub times: u32,
    /// In how many hours of use. 0: not said.
    pub hours: f64,
}

impl Often {
    /// No vehicle has been used for longer, more than a hundred years: who states more hours states none. Common practice, no
    /// source.
    pub const MOST_HOURS: f64 = 1e6;

    /// The hours, if a vehicle can have run for so long. 0: not said.
    pub fn hours_of_use(&self) -> f64 {
        if self.hours <= Self::MOST_HOURS { self.hours } else { 0.0 }
    }
}

/// Whether a fresh fuse holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum FreshFuse {
    /// Nobody has tried yet.
    #[default]
    NotTried,
    /// It holds: the short comes and goes.
    Holds,
    /// It opens at once: the short is there now.
    OpensAtOnce,
}

/// A photograph that was kept, or a recording, which its media type tells; its bytes lie elsewhere under its hash.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Photo {
    /// SHA-256 of the bytes as kept.
    pub sha256: PhotoHash,
    /// How many bytes.
    pub bytes: u64,
    /// `image/jpeg` …
    pub media_type: String,
    /// Pixels across, upright; 0 for a recording.
    pub width: u32,
    /// Pixels down, upright; 0 for a recording.
    pub height: u32,
    /// When it was taken, if the file or the phone says so.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub taken_at: Option<DateTime<Utc>>,
    /// At which point; none: of the job as a whole.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub point: Option<PointId>,
    /// What it shows.
    pub stage: Stage,
    /// What it shows, in words.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub annotation: String,
    /// Of a recording: how long it is, s.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seconds: Option<f64>,
}

impl Photo {
    /// Whether it is a recording.
    pub fn is_recording(&self) -> bool {
        self.media_type.starts_with("audio/")
    }

    /// Its height in widths; `None` where the size is not known.
    pub fn shape(&self) -> Option<f64> {
        (self.width > 0 && self.height > 0).then(|| f64::from(self.height) / f64::from(self.width))
    }
}

/// What a photograph shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Stage {
    /// The harness as it lies, before it is touched.
    Lie,
    /// The harness lifted.
    Lifted,
    /// Close, with something for scale.
    Close,
    /// After the repair.
    Repaired,
    /// Anything else.
    Other,
}

/// Where it was, what it rubbed on, and why.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Finding {
    /// The point.
    pub point: PointId,
    /// What it rubbed on.
    #[serde(default)]
    pub rubbed_on: String,
    /// The wire's colour as seen, IEC 60757.
    #[serde(default)]
    pub colour_seen: String,
    /// What else was hurt.
    #[serde(default)]
    pub also_hurt: String,
    /// Why it came to that.
    #[serde(default)]
    pub cause: String,
    /// What was noticed close by and perhaps has nothing to do with it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub aside: String,
}

/// Something that a repair uses up.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Material {
    /// What, as on the price list.
    pub name: String,
    /// How much, in its unit.
    pub quantity: f64,
    /// The unit: `m`, `pc` …
    #[serde(default)]
    pub unit: String,
}

/// What must hold before the vehicle goes back.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum ReleaseItem {
    /// The right fuse is fitted.
    RightFuse,
    /// Pressed again at the place: the fuse held.
    PressedAgain,
    /// The draw was measured.
    DrawMeasured,
    /// Everything on the fuse was worked once.
    AllWorked,
    /// Edge protection, clips and covers are back.
    ProtectionBack,
    /// Battery, airbag and other cautions are undone as the maker says.
    CautionsUndone,
    /// Driven on the road.
    RoadTest,
}

/// How a job was handed over.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum HandOverWay {
    /// As a file.
    File,
    /// Printed.
    Print,
    /// Sent to the desk.
    Desk,
}
