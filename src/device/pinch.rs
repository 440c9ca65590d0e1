//! How far apart are two fingers on something?

use wasm_bindgen::{JsCast, JsValue};
use web_sys::Element;

use super::{Listener, field};

/// A change that is worth a step: a tenth.
const WORTH: f64 = 1.1;

/// Two fingers on an element, felt until this is dropped.
pub struct Pinch {
    _listeners: [Listener; 2],
}

impl Pinch {
    /// Calls back with how many times as far apart the fingers are, a step at a time.
    pub fn on(element: &Element, mut callback: impl FnMut(f64) + 'static) -> Self {
        let before = std::rc::Rc::new(std::cell::Cell::new(None::<f64>));
        let ended = std::rc::Rc::clone(&before);
        let moved = Listener::new(element.clone(), "touchmove", move |event| {
            let Some(apart) = apart(event.unchecked_ref()) else { return };
            let times = before.get().map_or(1.0, |before| apart / before);
            if before.get().is_none() {
                before.set(Some(apart));
            } else if !(1.0 / WORTH..=WORTH).contains(&times) {
                before.set(Some(apart));
                callback(times);
            }
        });
        let end = Listener::new(element.clone(), "touchend", move |_| ended.set(None));
        Self { _listeners: [moved, end] }
    }
}

/// `None` where there are not just two.
fn apart(event: &JsValue) -> Option<f64> {
    let touches = field(event, "touches");
    if field(&touches, "length").as_f64() != Some(2.0) {
        return None;
    }
    let place = |at: &str, axis: &str| field(&field(&touches, at), axis).as_f64();
    let x = place("0", "clientX")? - place("1", "clientX")?;
    let y = place("0", "clientY")? - place("1", "clientY")?;
    Some(x.hypot(y)).filter(|apart| *apart > 0.0)
}
