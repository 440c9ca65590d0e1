//! How is a vehicle drawn, from above and from either side, and which part of the drawing is which zone?
//!
//! From above every zone lies where its map says ([`Zone::shape`], a sheet 100 wide and 200 long, front at the top).
//! From a side (200 long, 80 high, front towards the edge that it drives to) a zone lies as far back as it does from
//! above, and as high as things of its name lie: see `HEIGHTS`. What lies inside, and what would cover another zone,
//! is only seen from above.

use crate::circuit::file::Body;
use crate::vehicle::body::{Zone, ZoneMap};

/// Left edge, upper edge, width, height.
pub type Shape = [f64; 4];

/// From where the vehicle is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Seen {
    /// From above, front at the top.
    #[default]
    Above,
    /// Its left side, front at the left.
    Left,
    /// Its right side, front at the right.
    Right,
}

impl Seen {
    /// All, in the order in which to offer them.
    pub const ALL: [Self; 3] = [Self::Above, Self::Left, Self::Right];

    /// Width and height of the sheet.
    pub fn sheet(self) -> [f64; 2] {
        if self == Self::Above { [100.0, 200.0] } else { [LENGTH, 80.0] }
    }
}

const LENGTH: f64 = 200.0;

/// The lines of a drawing, as SVG paths (W3C, SVG 2 §9.3). From the side they show the left one.
pub struct Drawing {
    /// The body from above.
    pub above: &'static str,
    /// Glass and joints from above.
    pub above_lines: &'static str,
    /// The body from the side.
    pub side: &'static str,
    /// Glass, joints and wheels from the side.
    pub side_lines: &'static str,
    /// Zones that lie elsewhere from the side than [`HEIGHTS`] says, by their name without a side.
    side_zones: &'static [(&'static str, [u8; 4])],
}

/// Upper edge and height of zones from the side, by their name without a side. What is not here lies inside.
const HEIGHTS: [(&str, [u8; 2]); 27] = [
    ("headlamp", [34, 9]),
    ("engine_front", [44, 11]),
    ("engine", [34, 9]),
    ("luggage_front", [34, 9]),
    ("underbody_front", [62, 7]),
    ("bulkhead", [30, 28]),
    ("wheel_front", [44, 17]),
    ("wheel_rear", [44, 17]),
    ("door_front", [29, 24]),
    ("door_rear", [29, 24]),
    ("side_door", [41, 12]),
    ("sill", [54, 7]),
    ("quarter", [30, 13]),
    ("bulkhead_partition", [14, 44]),
    ("load_area", [32, 11]),
    ("bed", [34, 9]),
    ("frame", [54, 7]),
    ("tail", [32, 15]),
    ("rear_closure", [32, 22]),
    ("rear_shelf", [24, 6]),
    ("roof_well", [24, 6]),
    ("tow_coupling", [58, 8]),
    ("underbody_tunnel", [62, 7]),
    ("exhaust", [62, 7]),
    ("tank", [62, 7]),
    ("underbody_rear", [62, 7]),
    ("roof_frame", [12, 6]),
];

/// A drawing of that body style.
pub fn drawing(body: Body) -> &'static Drawing {
    match body {
        Body::Saloon => &SALOON,
        Body::Hatchback => &HATCHBACK,
        Body::Estate => &ESTATE,
        Body::Pickup => &PICKUP,
        Body::PanelVan => &PANEL_VAN,
        Body::Convertible => &CONVERTIBLE,
    }
}

/// Where each zone of a map lies in a drawing, in the order of the map. `None`: it is not seen from there.
pub fn shapes(map: &ZoneMap, body: Body, from: Seen) -> Vec<Option<Shape>> {
    if from == Seen::Above {
        return map.zones.iter().map(|zone| Some(zone.shape)).collect();
    }
    let mut shapes: Vec<Option<Shape>> = Vec::new();
    for zone in &map.zones {
        let free = |shape: &Shape| !shapes.iter().flatten().any(|other| covers(other, shape));
        let shape = from_side(zone, drawing(body), from).filter(free);
        shapes.push(shape);
    }
    shapes
}

fn from_side(zone: &Zone, drawing: &Drawing, from: Seen) -> Option<Shape> {
    let [x, y, width, length] = zone.shape;
    let middle = x + width / 2.0;
    let id = zone.id.as_str();
    let (left_name, right_name) = (id.strip_suffix("_left"), id.strip_suffix("_right"));
    // What lies in the middle, or nearly so, is seen from both sides.
    let hidden = match from {
        Seen::Left => right_name.is_some() || middle > 80.0,
        _ => left_name.is_some() || middle < 20.0,
    };
    if hidden {
        return None;
    }
    let name = left_name.or(right_name).unwrap_or(id);
    let own = drawing.side_zones.iter().find(|(known, _)| *known == name);
    let [left, top, wide, high] = match own {
        Some((_, shape)) => shape.map(f64::from),
        None => {
            let (_, [top, high]) = HEIGHTS.iter().find(|(known, _)| *known == name)?;
            [y, f64::from(*top), length, f64::from(*high)]
        }
    };
    Some([if from == Seen::Right { LENGTH - left - wide } else { left }, top, wide, high])
}

/// Whether two shapes share more than an edge.
fn covers(one: &Shape, other: &Shape) -> bool {
    let shared = |at: usize| (one[at] + one[at + 2]).min(other[at] + other[at + 2]) - one[at].max(other[at]);
    shared(0) > 1.0 && shared(1) > 1.0
}

/// The shape to go to from another in a direction (right and down count up); from nowhere, the first.
pub fn beside(shapes: &[Option<Shape>], at: Option<usize>, [right, down]: [f64; 2]) -> Option<usize> {
    let Some(here) = at.and_then(|at| shapes.get(at).copied().flatten()) else {
        return shapes.iter().position(Option::is_some);
    };
    let middle = |shape: &Shape, axis: usize| shape[axis] + shape[axis + 2] / 2.0;
    let (along, across) = if right == 0.0 { (1, 0) } else { (0, 1) };
    let mut best = None;
    for (place, shape) in shapes.iter().enumerate() {
        let Some(shape) = shape else { continue };
        let ahead = (middle(shape, along) - middle(&here, along)) * (right + down);
        let aside = (middle(shape, across) - middle(&here, across)).abs();
        // What lies straight ahead shares a part of the width; what is beside it is far.
        let gap = aside - (shape[across + 2] + here[across + 2]) / 2.0;
        let far = ahead + 0.3 * aside + if gap > 0.0 { 30.0 + 3.0 * gap } else { 0.0 };
        if ahead > 0.5 && best.is_none_or(|(_, nearest)| far < nearest) {
            best = Some((place, far));
        }
    }
    best.map(|(place, _)| place).or(at)
}

const SALOON: Drawing = Drawing {
    above: "M12 3Q50-4 88 3Q98 5 99 26L101 60V140L100 182Q99 194 86 197Q50 201 14 197Q1 194 0 182L-1 140V60L1 26Q2 5 12 3Z",
    above_lines: "M14 40Q50 30 86 40L80 57Q50 51 20 57ZM20 130Q50 136 80 130L86 146Q50 152 14 146ZM20 57V130M80 57V130",
    side: "M4 54L5 43Q6 38 14 36L46 32Q52 31 57 28L76 13Q81 8 92 8H118Q130 8 140 16L156 28L184 30Q195 31 196 40V54Q196 60 188 60H10Q4 60 4 54Z",
    side_lines: "M63 28L80 15Q83 12 92 12H103V28ZM107 28V12H118Q127 12 135 18L147 28ZM57 30V58M105 30V58M136 30V44M14 61a11 11 0 1 0 22 0a11 11 0 1 0-22 0M135 61a11 11 0 1 0 22 0a11 11 0 1 0-22 0",
    side_zones: &[
        ("roof_front", [76, 7, 26, 5]),
        ("roof_rear", [103, 7, 34, 5]),
        ("exhaust", [98, 62, 33, 7]),
        ("tank", [132, 62, 24, 7]),
        ("underbody_rear", [157, 62, 28, 7]),
        ("rear_closure", [185, 32, 11, 22]),
    ],
};

const HATCHBACK: Drawing = Drawing {
    above: "M12 3Q50-4 88 3Q98 5 99 26L101 60V150L100 186Q99 195 88 197Q50 200 12 197Q1 195 0 186L-1 150V60L1 26Q2 5 12 3Z",
    above_lines: "M14 40Q50 30 86 40L80 57Q50 51 20 57ZM16 172Q50 178 84 172L88 186Q50 193 12 186ZM20 57V172M80 57V172",
    side: "M4 54L5 43Q6 38 14 36L46 32Q52 31 57 28L76 13Q81 8 92 8H150Q164 8 172 16L188 32Q194 35 195 42V54Q195 60 188 60H10Q4 60 4 54Z",
    side_lines: "M63 28L80 15Q83 12 92 12H103V28ZM107 28V12H136V28ZM140 28V12H150Q161 12 168 19L176 28ZM57 30V58M105 30V58M138 30V44M14 61a11 11 0 1 0 22 0a11 11 0 1 0-22 0M138 61a11 11 0 1 0 22 0a11 11 0 1 0-22 0",
    side_zones: &[
        ("roof_front", [76, 7, 40, 5]),
        ("roof_rear", [117, 7, 48, 5]),
        ("exhaust", [98, 62, 37, 7]),
        ("tank", [136, 62, 22, 7]),
        ("underbody_rear", [159, 62, 27, 7]),
        ("rear_closure", [185, 28, 11, 26]),
    ],
};

const ESTATE: Drawing = Drawing {
    above: "M12 3Q50-4 88 3Q98 5 99 26L101 60V160L100 188Q99 196 90 197Q50 199 10 197Q1 196 0 188L-1 160V60L1 26Q2 5 12 3Z",
    above_lines: "M14 40Q50 30 86 40L80 57Q50 51 20 57ZM16 182Q50 187 84 182L87 192Q50 197 13 192ZM20 57V182M80 57V182M26 62V178M74 62V178",
    side: "M4 54L5 43Q6 38 14 36L46 32Q52 31 57 28L76 13Q81 8 92 8H172Q182 8 185 14L194 33Q196 38 196 44V54Q196 60 188 60H10Q4 60 4 54Z",
    side_lines: "M63 28L80 15Q83 12 92 12H103V28ZM107 28V12H134V28ZM138 28V12H172Q179 12 181 16L186 28ZM57 30V58M105 30V58M136 30V44M80 5H178M14 61a11 11 0 1 0 22 0a11 11 0 1 0-22 0M133 61a11 11 0 1 0 22 0a11 11 0 1 0-22 0",
    side_zones: &[
        ("roof_front", [76, 7, 50, 5]),
        ("roof_rear", [127, 7, 54, 5]),
        ("exhaust", [98, 62, 31, 7]),
        ("tank", [130, 62, 24, 7]),
        ("underbody_rear", [155, 62, 31, 7]),
        ("rear_closure", [185, 28, 11, 26]),
    ],
};

const PICKUP: Drawing = Drawing {
    above: "M12 3Q50-3 88 3Q97 4 98 22L100 50V97H101V186Q101 190 97 190H3Q-1 190-1 186V97H0V50L2 22Q3 4 12 3Z",
    above_lines: "M13 44Q50 35 87 44L81 58Q50 53 19 58ZM20 92Q50 95 80 92V97H20ZM19 58V92M81 58V92M7 101H93V180H7ZM7 110H93M7 120H93M7 130H93M7 140H93M7 150H93M7 160H93M7 170H93",
    side: "M4 52L5 42Q6 36 14 35L52 32L66 14Q70 9 78 9H92Q98 9 99 15L101 33H196V54Q196 60 188 60H10Q4 60 4 52Z",
    side_lines: "M59 31L70 17Q73 13 79 13H80V31ZM84 31V13H92Q95 13 96 17L97 31ZM54 32V58M92 33V58M101 33V58M101 37H196M15 61a12 12 0 1 0 24 0a12 12 0 1 0-24 0M138 61a12 12 0 1 0 24 0a12 12 0 1 0-24 0",
    side_zones: &[
        ("roof_front", [70, 7, 15, 5]),
        ("roof_rear", [86, 7, 15, 5]),
        ("frame", [102, 54, 33, 7]),
        ("tank", [96, 62, 28, 7]),
        ("exhaust", [125, 62, 30, 7]),
        ("underbody_rear", [156, 62, 28, 7]),
        ("rear_closure", [186, 33, 10, 22]),
        ("tail", [172, 38, 12, 14]),
    ],
};

const PANEL_VAN: Drawing = Drawing {
    above: "M12 1Q50-3 88 1Q97 2 98 16L101 40V182Q101 187 96 187H4Q-1 187-1 182V40L2 16Q3 2 12 1Z",
    above_lines: "M12 32Q50 22 88 32L84 46Q50 40 16 46ZM16 46V84M84 46V84M6 85H94M50 172V187M28 172H72",
    side: "M3 52L4 42Q5 36 11 33L30 27L50 9Q54 5 62 5H186Q196 5 196 14V54Q196 60 190 60H10Q3 60 3 52Z",
    side_lines: "M36 27L53 12Q56 9 62 9H70V27ZM40 29V58M74 9V58M86 9V58M122 9V53M86 53H122M185 7V58M9 61a11 11 0 1 0 22 0a11 11 0 1 0-22 0M121 61a11 11 0 1 0 22 0a11 11 0 1 0-22 0",
    side_zones: &[
        ("bulkhead", [31, 30, 6, 24]),
        ("roof_front", [52, 4, 32, 5]),
        ("roof_rear", [87, 4, 97, 5]),
        ("load_area", [93, 16, 53, 24]),
        ("side_door", [93, 41, 24, 12]),
        ("exhaust", [76, 62, 40, 7]),
        ("tank", [117, 62, 30, 7]),
        ("underbody_rear", [148, 62, 36, 7]),
        ("tail", [161, 30, 12, 18]),
        ("rear_closure", [186, 12, 10, 42]),
    ],
};

const CONVERTIBLE: Drawing = Drawing {
    above: "M14 3Q50-4 86 3Q97 5 98 26L100 60V140L99 184Q98 194 84 197Q50 200 16 197Q2 194 1 184L0 140V60L2 26Q3 5 14 3Z",
    above_lines: "M14 42Q50 32 86 42L81 56Q50 50 19 56ZM18 58Q18 132 24 136Q50 142 76 136Q82 132 82 58M24 90h20v10H24ZM56 90h20v10H56ZM20 140Q50 147 80 140V150Q50 156 20 150Z",
    side: "M4 54L5 44Q6 39 14 37L48 33L56 31H60L74 16H78L68 31H132Q140 28 150 29L184 32Q195 33 196 42V54Q196 60 188 60H10Q4 60 4 54Z",
    side_lines: "M82 31Q83 22 87 22Q90 22 90 31M112 31Q113 23 117 23Q120 23 120 31M56 33V58M102 33V58M78 16Q104 8 126 16Q136 20 142 29M14 61a11 11 0 1 0 22 0a11 11 0 1 0-22 0M131 61a11 11 0 1 0 22 0a11 11 0 1 0-22 0",
    side_zones: &[
        ("windscreen_header", [72, 12, 10, 6]),
        ("roof_frame", [90, 9, 34, 6]),
        ("roof_well", [138, 22, 20, 6]),
        ("exhaust", [98, 62, 30, 7]),
        ("tank", [129, 62, 26, 7]),
        ("underbody_rear", [156, 62, 28, 7]),
        ("rear_closure", [185, 34, 11, 20]),
    ],
};
