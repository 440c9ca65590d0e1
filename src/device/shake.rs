//! How much is the phone shaken? By its own sensor, where the browser gives it.

use std::cell::RefCell;
use std::collections::VecDeque;
use std::rc::Rc;

use wasm_bindgen::{JsCast, JsValue};

use super::media::promised;
use super::{Listener, field};

/// Over how long the shaking is averaged, ms.
const OVER: f64 = 3_000.0;

/// The sensor, felt until this is dropped.
pub struct Shake {
    felt: Rc<RefCell<VecDeque<(f64, f64)>>>,
    _listener: Listener,
}

impl Shake {
    /// Begins to feel. To be called at a tap, for some browsers ask the user. `None`: there is no leave.
    pub async fn start() -> Option<Self> {
        let window = web_sys::window()?;
        let kind = field(&window, "DeviceMotionEvent");
        // Only iOS asks.
        if field(&kind, "requestPermission").is_function() {
            let leave = promised(&kind, "requestPermission", &[]).await.ok()?;
            if leave.as_string().as_deref() != Some("granted") {
                return None;
            }
        }
        let felt = Rc::new(RefCell::new(VecDeque::new()));
        let feeling = Rc::clone(&felt);
        let listener = Listener::new(window, "devicemotion", move |event| {
            if let Some(square) = square_of(&field(event.unchecked_ref::<JsValue>(), "acceleration")) {
                let now = js_sys::Date::now();
                let mut felt = feeling.borrow_mut();
                felt.push_back((now, square));
                while felt.front().is_some_and(|(at, _)| now - at > OVER) {
                    felt.pop_front();
                }
            }
        });
        Some(Self { felt, _listener: listener })
    }

    /// The root mean square of the acceleration of the last seconds, without gravity, m/s². `None`: nothing was felt yet,
    /// as on a device without a sensor.
    pub fn shaken(&self) -> Option<f64> {
        let felt = self.felt.borrow();
        let newest = felt.back()?.0;
        if js_sys::Date::now() - newest > OVER {
            return None;
        }
        let sum: f64 = felt.iter().map(|(_, square)| square).sum();
        Some((sum / felt.len() as f64).sqrt())
    }
}

/// `None` where the device tells no acceleration without gravity.
fn square_of(acceleration: &JsValue) -> Option<f64> {
    let axis = |name: &str| field(acceleration, name).as_f64();
    Some(axis("x")?.powi(2) + axis("y")?.powi(2) + axis("z")?.powi(2))
}
