//! Files in and out.

use js_sys::{Array, Function, Reflect};
use lidoff_web::service::files::{self, FileError, Shared};
use wasm_bindgen::{JsCast as _, JsValue};
use wasm_bindgen_futures::JsFuture;
use wasm_bindgen_test::wasm_bindgen_test;

use super::page;

/// Has clicks on such elements kept instead of followed.
fn catch_clicks(class: &str) -> (page::Bent, Array) {
    let caught = Array::new();
    let catcher = Function::new_with_args("caught", "return function () { caught.push(this) }")
        .call1(&JsValue::NULL, &caught)
        .expect("a function");
    let class = Reflect::get(&page::window(), &class.into()).expect("a class");
    let prototype = Reflect::get(&class, &"prototype".into()).expect("a prototype");
    (page::bend(&prototype, "click", &catcher), caught)
}

async fn text_at(url: &str) -> Option<String> {
    let response = JsFuture::from(page::window().fetch_with_str(url))
        .await
        .ok()?;
    let response: web_sys::Response = response.dyn_into().ok()?;
    JsFuture::from(response.text().ok()?)
        .await
        .ok()?
        .as_string()
}

fn attribute(element: &JsValue, name: &str) -> Option<String> {
    element
        .unchecked_ref::<web_sys::Element>()
        .get_attribute(name)
}

#[wasm_bindgen_test]
async fn a_saved_file_has_the_name_and_the_text() {
    let (_bent, caught) = catch_clicks("HTMLAnchorElement");
    files::save("TM-0001.json", "application/json", "{\"£\":1}").expect("saved");
    let link = caught.get(0);
    assert_eq!(
        attribute(&link, "download").as_deref(),
        Some("TM-0001.json")
    );
    let url = attribute(&link, "href").expect("an address");
    assert_eq!(text_at(&url).await.as_deref(), Some("{\"£\":1}"));
}

/// Has `navigator` share in this way: a function of what is shared.
fn sharing(way: &str) -> [page::Bent; 2] {
    let navigator = page::window().navigator();
    let can = Function::new_no_args("return true");
    let share = Function::new_with_args("what", way);
    [
        page::bend(&navigator, "canShare", &can),
        page::bend(&navigator, "share", &share),
    ]
}

#[wasm_bindgen_test]
async fn json_is_shared_as_a_text_file() {
    let _bent = sharing("window.sharedForTest = what.files[0]; return Promise.resolve()");
    let shared = files::share("TM-0001", "TM-0001.json", "application/json", "{}").await;
    assert_eq!(shared, Ok(Shared::Sent));
    let file = Reflect::get(&page::window(), &"sharedForTest".into()).expect("shared");
    let file: web_sys::File = file.dyn_into().expect("a file");
    assert_eq!(file.name(), "TM-0001.json.txt");
    assert_eq!(file.type_(), "text/plain");
    assert_eq!(files::read(&file).await.expect("readable").text, "{}");
}

#[wasm_bindgen_test]
async fn who_closes_the_share_sheet_gets_no_file_instead() {
    let (_bent, caught) = catch_clicks("HTMLAnchorElement");
    let _sharing = sharing("return Promise.reject(new DOMException('no', 'AbortError'))");
    let shared = files::share("TM-0001", "TM-0001.json", "application/json", "{}").await;
    assert_eq!(shared, Ok(Shared::Cancelled));
    assert_eq!(caught.length(), 0);
}

#[wasm_bindgen_test]
async fn where_nothing_can_be_shared_a_file_is_saved() {
    let (_bent, caught) = catch_clicks("HTMLAnchorElement");
    let refused = sharing("return Promise.reject(new DOMException('no', 'NotAllowedError'))");
    let shared = files::share("TM-0001", "TM-0001.json", "application/json", "{}").await;
    assert_eq!(shared, Ok(Shared::Saved));
    drop(refused);
    let _none = page::bend(&page::window().navigator(), "canShare", &JsValue::UNDEFINED);
    let shared = files::share("TM-0001", "TM-0001.json", "application/json", "{}").await;
    assert_eq!(shared, Ok(Shared::Saved));
    assert_eq!(caught.length(), 2);
    let name = attribute(&caught.get(1), "download");
    assert_eq!(name.as_deref(), Some("TM-0001.json"));
}

#[wasm_bindgen_test]
async fn who_chooses_no_file_gets_none_and_the_page_is_as_before() {
    let (_bent, caught) = catch_clicks("HTMLInputElement");
    let chosen = files::open(".json,.txt");
    let input: web_sys::HtmlInputElement = caught.get(0).dyn_into().expect("an input");
    assert_eq!(input.accept(), ".json,.txt");
    let cancelled = web_sys::Event::new("cancel").expect("an event");
    input.dispatch_event(&cancelled).expect("told");
    assert_eq!(chosen.await, Ok(None));
    assert!(!input.is_connected());
}

#[wasm_bindgen_test]
async fn the_chosen_file_is_read() {
    let (_bent, caught) = catch_clicks("HTMLInputElement");
    let chosen = files::open(".json");
    let input = caught.get(0);
    let choose = "const all = new DataTransfer();
        all.items.add(new File(['{\"a\":\"ü\"}'], 'TM-0001.json'));
        input.files = all.files;
        input.dispatchEvent(new Event('change'));";
    Function::new_with_args("input", choose)
        .call1(&JsValue::NULL, &input)
        .expect("chosen");
    let chosen = chosen.await.expect("read").expect("a file");
    assert_eq!(chosen.name, "TM-0001.json");
    assert_eq!(chosen.text, "{\"a\":\"ü\"}");
}

#[wasm_bindgen_test]
async fn a_film_is_not_read_as_a_job() {
    let file = Function::new_no_args("return new File([new Uint8Array(60e6)], 'film.json')")
        .call0(&JsValue::NULL)
        .expect("a file");
    let error = files::read(file.unchecked_ref())
        .await
        .expect_err("too large");
    assert!(matches!(error, FileError::TooLarge { .. }), "{error:?}");
}
