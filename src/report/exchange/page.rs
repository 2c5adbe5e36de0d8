//! A visit's report as one page of HTML that holds its pictures: it opens
//! anywhere, prints, and needs no network.

use std::fmt::Write;

use lidoff_i18n::tr;
use lidoff_job::Job;

use super::name::stem;
use super::report::{describe_photo, head, sections};

/// A photo of the job, as it is put into the page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    /// Its name in the job.
    pub name: String,
    /// The picture itself, as a `data:` address (RFC 2397).
    pub data: String,
}

/// Name of the page's file: "TM-0001-perch-22.html".
pub fn page_name(job: &Job) -> String {
    format!("{}.html", stem(job, "visit"))
}

/// The report as a page. A photo that is not among the pictures is marked as being on
/// another device.
pub fn page(job: &Job, pictures: &[Picture]) -> String {
    let mut text = String::from(
        "<!doctype html><meta charset=\"utf-8\"><meta name=\"viewport\" \
         content=\"width=device-width\"><style>body{font:1rem/1.4 sans-serif;max-width:46rem;\
         margin:1rem auto;padding:0 1rem}dl{display:grid;grid-template-columns:max-content 1fr;\
         gap:.2rem 1rem}dd,figure{margin:0}figure{margin-bottom:1rem;break-inside:avoid}\
         img{max-width:100%;max-height:90vh}</style>",
    );
    let mut lines = head(job).into_iter();
    let title = lines.next().map(|(title, _)| escaped(&title));
    let title = title.unwrap_or_default();
    // Writing to a string does not fail.
    let _ = write!(text, "<title>{title}</title><h1>{title}</h1><dl>");
    for (name, words) in lines {
        let (name, words) = (escaped(&name), escaped(&words));
        let _ = write!(text, "<dt>{name}<dd>{words}");
    }
    text.push_str("</dl>");
    for (title, lines) in sections(job) {
        let _ = write!(text, "<h2>{}</h2><ul>", escaped(&title));
        for line in lines {
            let _ = write!(text, "<li>{}", escaped(&line));
        }
        text.push_str("</ul>");
    }
    for one in &job.photos {
        let words = escaped(&describe_photo(job, one));
        let picture = pictures.iter().find(|it| it.name == one.photo.name);
        let shown = match picture {
            Some(it) => format!("<img alt=\"{words}\" src=\"{}\">", escaped(&it.data)),
            None => format!("<p>{}", escaped(&tr!("This photo is on another device."))),
        };
        let _ = write!(
            text,
            "<figure>{shown}<figcaption>{words}</figcaption></figure>"
        );
    }
    text
}

/// Escapes text for HTML, including attributes.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            _ => out.push(letter),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn typed_text_is_never_markup() {
        let wild = "<img src=x onerror=\"alert(1)\"> & so on";
        assert_eq!(
            escaped(wild),
            "&lt;img src=x onerror=&quot;alert(1)&quot;&gt; &amp; so on"
        );
    }
}
