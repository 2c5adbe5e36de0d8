//! The catalogs, as a server gives them and as a user adds them.

use js_sys::{Function, Object};
use lidoff_web::service::catalogs::{self, AddError, CatalogTrouble, Loaded, Origin, Trouble};
use wasm_bindgen::JsValue;
use wasm_bindgen_test::wasm_bindgen_test;

use super::page::{self, fresh};

const PERCH: &str = lidoff_testkit::demo::CATALOGS[0].1;

/// Has the server give these files and no others.
fn serving(files: &[(&str, &str)]) -> page::Bent {
    let all = Object::new();
    for (name, text) in files {
        page::set(&all, name, &JsValue::from(*text));
    }
    let fetch = Function::new_with_args(
        "all",
        "return async (url) => url in all
            ? new Response(all[url])
            : new Response('not found', { status: 404 })",
    );
    let fetch = fetch.call1(&JsValue::NULL, &all).expect("a function");
    page::bend(&page::window(), "fetch", &fetch)
}

fn index(files: &[&str]) -> String {
    let files: Vec<_> = files
        .iter()
        .map(|file| format!("{{\"file\":\"{file}\",\"sha256\":\"\"}}"))
        .collect();
    let files = files.join(",");
    format!("{{\"format\":\"lidoff-catalog-index/1\",\"catalogs\":[{files}]}}")
}

fn describe(all: &[Result<Loaded, CatalogTrouble>]) -> Vec<String> {
    all.iter()
        .map(|it| match it {
            Ok(it) => format!("{} {:?}", it.file, it.origin),
            Err(it) => match &it.what {
                Trouble::Unreachable(why) => format!("{}: {why}", it.name),
                Trouble::Faulty(faults) => format!("{}: {} faults", it.name, faults.len()),
            },
        })
        .collect()
}

#[wasm_bindgen_test]
async fn a_broken_catalog_hides_no_good_one() {
    let _fresh = fresh().await;
    let index = index(&["heath-8.json", "perch-22.json", "sedge-mini.json"]);
    let _serving = serving(&[
        ("catalogs/index.json", &index),
        ("catalogs/heath-8.json", "{"),
        ("catalogs/perch-22.json", PERCH),
    ]);
    let all = catalogs::load(&page::journal()).await;
    assert_eq!(
        describe(&all),
        [
            "heath-8.json: 1 faults",
            "perch-22.json Served",
            "sedge-mini.json: status 404",
        ]
    );
}

#[wasm_bindgen_test]
async fn without_an_index_the_trouble_names_it() {
    let _fresh = fresh().await;
    let _serving = serving(&[]);
    let all = catalogs::load(&page::journal()).await;
    assert_eq!(describe(&all), ["catalogs/index.json: status 404"]);
}

#[wasm_bindgen_test]
async fn a_catalog_that_was_added_stands_in_for_the_served_one_until_it_is_removed() {
    let _fresh = fresh().await;
    let journal = page::journal();
    let _serving = serving(&[
        ("catalogs/index.json", &index(&["perch-22.json"])),
        ("catalogs/perch-22.json", PERCH),
    ]);
    let added = catalogs::add(&journal, "perch-22.json", PERCH).await;
    assert_eq!(added.expect("added").origin, Origin::Added);
    let all = catalogs::load(&journal).await;
    assert_eq!(describe(&all), ["perch-22.json Added"]);
    catalogs::remove(&journal, "perch-22.json")
        .await
        .expect("removed");
    let all = catalogs::load(&journal).await;
    assert_eq!(describe(&all), ["perch-22.json Served"]);
}

#[wasm_bindgen_test]
async fn a_faulty_catalog_is_not_added() {
    let _fresh = fresh().await;
    let journal = page::journal();
    let error = catalogs::add(&journal, "mine.json", "{}").await;
    assert!(matches!(error, Err(AddError::Faulty(_))));
    let _serving = serving(&[("catalogs/index.json", &index(&[]))]);
    assert!(catalogs::load(&journal).await.is_empty());
}
