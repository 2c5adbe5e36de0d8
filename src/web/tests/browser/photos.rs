//! Photos: scaled down, kept beside the log, and out of its way.

use js_sys::{Array, Function, Promise};
use lidoff_job::JobId;
use lidoff_web::service::photos::{PhotoError, Photos, bytes, scaled};
use wasm_bindgen::{JsCast as _, JsValue};
use wasm_bindgen_futures::JsFuture;
use wasm_bindgen_test::wasm_bindgen_test;
use web_sys::File;

/// A value that JavaScript makes.
fn js(body: &str) -> JsValue {
    Function::new_no_args(body)
        .call0(&JsValue::NULL)
        .expect("a value")
}

async fn settled(promise: JsValue) -> JsValue {
    JsFuture::from(Promise::resolve(&promise))
        .await
        .expect("it settles")
}

/// A picture as a camera would take it, of so many points.
async fn picture(width: u32, height: u32) -> File {
    let made = js(&format!(
        "const canvas = document.createElement('canvas');
         canvas.width = {width}; canvas.height = {height};
         const pen = canvas.getContext('2d');
         pen.fillStyle = 'green'; pen.fillRect(0, 0, {width}, {height});
         return new Promise(done => canvas.toBlob(it => done(new File([it], 'a.png')), 'image/png'))"
    ));
    settled(made).await.unchecked_into()
}

async fn size(data: &str) -> (f64, f64) {
    let load = Function::new_with_args(
        "data",
        "const image = new Image(); image.src = data;
         return image.decode().then(() => [image.naturalWidth, image.naturalHeight])",
    );
    let loaded = load.call1(&JsValue::NULL, &data.into()).expect("a promise");
    let sides: Array = settled(loaded).await.unchecked_into();
    let side = |nth| sides.get(nth).as_f64().expect("a number");
    (side(0), side(1))
}

fn job(name: &str) -> JobId {
    JobId(name.to_owned())
}

#[wasm_bindgen_test]
async fn a_large_picture_is_made_smaller_and_a_small_one_is_left_as_large_as_it_is() {
    let data = scaled(&picture(3000, 1500).await).await.expect("a picture");
    assert_eq!(size(&data).await, (1280.0, 640.0));
    let data = scaled(&picture(40, 90).await).await.expect("a picture");
    assert_eq!(size(&data).await, (40.0, 90.0));
    // RFC 4648, section 10: "foobar" is "Zm9vYmFy", "fooba" is "Zm9vYmE=".
    assert_eq!(bytes("data:x;base64,Zm9vYmFy"), 6);
    assert_eq!(bytes("data:x;base64,Zm9vYmE="), 5);
}

#[wasm_bindgen_test]
async fn what_is_no_picture_is_refused_in_words() {
    let parts = Array::of1(&"not a picture".into());
    let file = File::new_with_str_sequence(&parts, "a.jpg").expect("a file");
    let refused = scaled(&file).await.expect_err("it is no picture");
    assert!(matches!(refused, PhotoError::Unreadable(_)));
    assert!(
        refused.to_string().contains("cannot read this picture"),
        "{refused}"
    );
}

#[wasm_bindgen_test]
async fn photos_are_kept_by_job_and_deleted_one_by_one_or_all() {
    let photos = Photos::new("lidoff-test-photos");
    let (one, other) = (job("1"), job("2"));
    photos.forget(&one).await.expect("a clean start");
    photos.forget(&other).await.expect("a clean start");
    photos.keep(&one, "photo-1", "data:a").await.expect("kept");
    photos.keep(&one, "photo-2", "data:b").await.expect("kept");
    photos
        .keep(&other, "photo-1", "data:c")
        .await
        .expect("kept");
    photos.remove(&one, "photo-1").await.expect("deleted");
    let names = |all: Vec<(String, String)>| all.into_iter().map(|(name, _)| name);
    // Another connection sees the same.
    let again = Photos::new("lidoff-test-photos");
    let all: Vec<_> = names(again.of_job(&one).await.expect("read")).collect();
    assert_eq!(all, ["photo-2"]);
    again.forget(&one).await.expect("deleted");
    assert_eq!(photos.of_job(&one).await.expect("read"), []);
    let stored = photos.of_job(&other).await.expect("read");
    assert_eq!(stored, [("photo-1".to_owned(), "data:c".to_owned())]);
}

#[wasm_bindgen_test]
async fn when_there_is_no_room_the_photo_is_refused_and_the_others_stay() {
    let photos = Photos::new("lidoff-test-photos-full");
    let job = job("1");
    photos.forget(&job).await.expect("a clean start");
    photos.keep(&job, "photo-1", "data:a").await.expect("kept");
    // As a browser does it that has run out of room.
    js("window.realPut = IDBObjectStore.prototype.put;
        IDBObjectStore.prototype.put = () => {
          throw new DOMException('no room', 'QuotaExceededError');
        }");
    let refused = photos.keep(&job, "photo-2", "data:b").await;
    js("IDBObjectStore.prototype.put = window.realPut");
    assert_eq!(refused, Err(PhotoError::Full));
    let message = PhotoError::Full.to_string();
    assert!(message.contains("earlier photos are safe"), "{message}");
    let all = photos.of_job(&job).await.expect("read");
    assert_eq!(all, [("photo-1".to_owned(), "data:a".to_owned())]);
    let nothing =
        js("return Object.keys(localStorage).filter(key => key.includes('photo')).length");
    assert_eq!(nothing.as_f64(), Some(0.0), "none gets into local storage");
}

/// A JPEG file with data on where it was taken (Exif 2.3, 4.5.4: an APP1 segment after the
/// start of the image).
async fn picture_with_place() -> File {
    let made = js("const canvas = document.createElement('canvas');
         canvas.width = canvas.height = 40;
         canvas.getContext('2d').fillRect(0, 0, 40, 40);
         const text = new TextEncoder().encode('Exif\\0\\0MM\\0*\\0\\0\\0\\x08\\0\\0THORNMERE 54.1 N');
         const segment = new Uint8Array([0xff, 0xe1, 0, text.length + 2, ...text]);
         return new Promise(done => canvas.toBlob(it => done(new File(
           [it.slice(0, 2), segment, it.slice(2)], 'a.jpg')), 'image/jpeg'))");
    settled(made).await.unchecked_into()
}

#[wasm_bindgen_test]
async fn a_photo_that_is_kept_does_not_say_where_it_was_taken() {
    let file = picture_with_place().await;
    let before = JsFuture::from(file.text()).await.expect("bytes");
    let before = before.as_string().expect("text");
    assert!(before.contains("THORNMERE"), "the file says it");
    let data = scaled(&file).await.expect("a picture");
    let decode = Function::new_with_args("data", "return atob(data.split(',')[1])");
    let kept = decode.call1(&JsValue::NULL, &data.into()).expect("bytes");
    let kept = kept.as_string().expect("text");
    assert!(kept.len() > 100 && !kept.contains("THORNMERE") && !kept.contains("Exif"));
}

#[wasm_bindgen_test]
async fn a_picture_that_is_too_large_is_refused_with_the_limit() {
    let large = js("return new File([new Uint8Array(50_000_001)], 'a.png')").unchecked_into();
    let refused = scaled(&large).await.expect_err("too large");
    assert!(
        refused.to_string().contains("the limit of 50.0 MB"),
        "{refused}"
    );
}
