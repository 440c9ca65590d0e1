//! How is a photograph made small? Drawn upright by the browser, kept as JPEG.
//!
//! Works in the worker and in the page: only the canvas differs.

use js_sys::{ArrayBuffer, Function, Promise};
use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{
    Blob, HtmlCanvasElement, HtmlVideoElement, ImageBitmap, ImageEncodeOptions, OffscreenCanvas,
    OffscreenCanvasRenderingContext2d,
};

use super::files::buffer_of;
use super::{DeviceError, field, object, said};

/// The long edge of a preview, pixels: sharp on a phone's whole screen, and small enough to print several on a page.
const PREVIEW: u32 = 1600;
/// The long edge of a thumb, pixels.
const THUMB: u32 = 320;
const QUALITY: f64 = 0.85;
/// Of a photograph taken from the finder: it is an original, and is cut small again.
const ORIGINAL: f64 = 0.92;
const JPEG: &str = "image/jpeg";

/// A photograph made small.
pub(super) struct Small {
    pub preview: ArrayBuffer,
    pub thumb: ArrayBuffer,
    /// Of the original, upright, pixels.
    pub width: u32,
    /// Likewise.
    pub height: u32,
}

/// Makes a photograph small. `upright`: its size in pixels, if the file tells; then the large picture is never unpacked
/// as a whole.
///
/// # Errors
/// [`DeviceError::Missing`], with the browser's words, where it cannot show this picture.
pub(super) async fn make_small(blob: &Blob, upright: Option<(u32, u32)>) -> Result<Small, DeviceError> {
    let bitmap = decode(blob, upright).await.map_err(missing)?;
    let shown = (bitmap.width(), bitmap.height());
    let made = async {
        let preview = draw(&bitmap, PREVIEW).await?;
        Ok::<_, JsValue>((preview, draw(&bitmap, THUMB).await?))
    };
    let made = made.await;
    bitmap.close();
    let (preview, thumb) = made.map_err(missing)?;
    // The file says how large it is; which way is up, the browser knows for more kinds of file.
    let (width, height) = match upright {
        Some((width, height)) if (width > height) == (shown.0 > shown.1) => (width, height),
        Some((width, height)) => (height, width),
        None => shown,
    };
    Ok(Small { preview: buffer_of(&preview).await?, thumb: buffer_of(&thumb).await?, width, height })
}

/// What a video shows now, as a photograph of its full size.
///
/// # Errors
/// [`DeviceError::Missing`], with the browser's words.
pub(super) async fn frame_of(video: &HtmlVideoElement) -> Result<Blob, DeviceError> {
    let made = async {
        let (width, height) = (video.video_width(), video.video_height());
        let canvas = Canvas::new(width, height)?;
        let context = canvas.context()?;
        context.draw_image_with_html_video_element(video, 0.0, 0.0)?;
        canvas.to_jpeg(ORIGINAL).await
    };
    made.await.map_err(missing)
}

/// A canvas of the page as a photograph.
///
/// # Errors
/// [`DeviceError::Missing`], with the browser's words.
pub(super) async fn to_jpeg(canvas: &HtmlCanvasElement) -> Result<Blob, DeviceError> {
    Canvas::Page(canvas.clone()).to_jpeg(ORIGINAL).await.map_err(missing)
}

/// Unpacks, turns upright, and then shrinks a large picture. Should the file be wrong about which edge is the long one,
/// the picture comes out a little larger; it is fitted when it is drawn.
async fn decode(blob: &Blob, upright: Option<(u32, u32)>) -> Result<ImageBitmap, JsValue> {
    let options = object([("imageOrientation", "from-image".into()), ("resizeQuality", "high".into())]);
    if let Some((width, height)) = upright.filter(|(width, height)| *width.max(height) > PREVIEW) {
        let long_edge = if width >= height { "resizeWidth" } else { "resizeHeight" };
        js_sys::Reflect::set(&options, &long_edge.into(), &PREVIEW.into())?;
    }
    create_bitmap(blob, &options).await
}

async fn create_bitmap(blob: &Blob, options: &js_sys::Object) -> Result<ImageBitmap, JsValue> {
    let global = js_sys::global();
    let create: Function = field(&global, "createImageBitmap").dyn_into()?;
    let promise: Promise = create.call2(&global, blob, options)?.dyn_into()?;
    JsFuture::from(promise).await?.dyn_into()
}

/// Draws with the long edge at most so long, as JPEG.
async fn draw(bitmap: &ImageBitmap, long_edge: u32) -> Result<Blob, JsValue> {
    let (width, height) = (f64::from(bitmap.width()), f64::from(bitmap.height()));
    let scale = (f64::from(long_edge) / width.max(height)).min(1.0);
    let (width, height) = ((width * scale).round().max(1.0), (height * scale).round().max(1.0));
    let canvas = Canvas::new(width as u32, height as u32)?;
    let context = canvas.context()?;
    // JPEG has no transparency: what is see-through would turn black.
    context.set_fill_style_str("white");
    context.fill_rect(0.0, 0.0, width, height);
    context.set_image_smoothing_enabled(true);
    context.draw_image_with_image_bitmap_and_dw_and_dh(bitmap, 0.0, 0.0, width, height)?;
    let blob = canvas.to_jpeg(QUALITY).await?;
    // Asked for a type that it cannot write, a browser silently gives PNG.
    if blob.type_() == JPEG { Ok(blob) } else { Err(format!("it writes {} instead of JPEG", blob.type_()).into()) }
}

enum Canvas {
    Offscreen(OffscreenCanvas),
    Page(HtmlCanvasElement),
}

impl Canvas {
    fn new(width: u32, height: u32) -> Result<Self, JsValue> {
        if !field(&js_sys::global(), "OffscreenCanvas").is_undefined() {
            return OffscreenCanvas::new(width, height).map(Self::Offscreen);
        }
        let document = web_sys::window().and_then(|window| window.document()).ok_or("there is no canvas")?;
        let canvas: HtmlCanvasElement = document.create_element("canvas")?.unchecked_into();
        canvas.set_width(width);
        canvas.set_height(height);
        Ok(Self::Page(canvas))
    }

    /// Both kinds draw by the same calls.
    fn context(&self) -> Result<OffscreenCanvasRenderingContext2d, JsValue> {
        let context = match self {
            Self::Offscreen(canvas) => canvas.get_context("2d")?,
            Self::Page(canvas) => canvas.get_context("2d")?,
        };
        Ok(context.ok_or("there is no canvas")?.unchecked_into())
    }

    async fn to_jpeg(&self, quality: f64) -> Result<Blob, JsValue> {
        let made = match self {
            Self::Offscreen(canvas) => {
                let options = ImageEncodeOptions::new();
                options.set_type(JPEG);
                options.set_quality(quality);
                JsFuture::from(canvas.convert_to_blob_with_options(&options)?).await?
            }
            Self::Page(canvas) => {
                let mut asked = Ok(());
                let promise = Promise::new(&mut |resolve, _| {
                    let done = Closure::once_into_js(move |blob: JsValue| drop(resolve.call1(&JsValue::NULL, &blob)));
                    let done = done.unchecked_ref();
                    asked = canvas.to_blob_with_type_and_encoder_options(done, JPEG, &quality.into());
                });
                asked?;
                JsFuture::from(promise).await?
            }
        };
        made.dyn_into().map_err(|_| "the picture is too large for its memory".into())
    }
}

fn missing(error: JsValue) -> DeviceError {
    DeviceError::Missing { why: said(&error) }
}
