//! Reads a text in pieces, with a pause between two of them: on a phone, parsing a
//! whole catalog takes longer than a tap should have to wait.
//!
//! First, the long lists are cut out unparsed. Then the rest is parsed, and the lists
//! one element at a time. The same rules apply as for a text parsed in one go.

use std::fmt;

use serde::de::{Deserialize, DeserializeOwned, Deserializer, MapAccess, Visitor};
use serde_json::value::RawValue;

use crate::format::CatalogFile;

/// The catalog; `None` if the text has any error.
pub(super) async fn read(json: &str, rest: &mut impl AsyncFnMut()) -> Option<CatalogFile> {
    let Members(members) = serde_json::from_str(json).ok()?;
    rest().await;
    let mut frame = Vec::with_capacity(members.len());
    let mut lists = Vec::new();
    for (name, value) in members {
        if LONG.contains(&name) {
            lists.push((name, value));
            frame.push(format!("\"{name}\":[]"));
        } else {
            frame.push(format!("\"{name}\":{value}"));
        }
    }
    let frame = format!("{{{}}}", frame.join(","));
    let mut file: CatalogFile = crate::json::read(&frame).ok()?;
    for (name, list) in lists {
        rest().await;
        match name {
            "faces" => file.faces = elements(list, rest).await?,
            "make_safe" => file.make_safe = elements(list, rest).await?,
            "parts" => file.parts = elements(list, rest).await?,
            "services" => file.services = elements(list, rest).await?,
            "prove" => file.prove = elements(list, rest).await?,
            "hand_over" => file.hand_over = elements(list, rest).await?,
            _ => return None,
        }
    }
    Some(file)
}

/// Lists that are parsed separately.
const LONG: [&str; 6] = [
    "faces",
    "make_safe",
    "parts",
    "services",
    "prove",
    "hand_over",
];

async fn elements<T: DeserializeOwned>(
    list: &RawValue,
    rest: &mut impl AsyncFnMut(),
) -> Option<Vec<T>> {
    let cut: Vec<&RawValue> = serde_json::from_str(list.get()).ok()?;
    let mut read = Vec::with_capacity(cut.len());
    for one in cut {
        read.push(crate::json::read(one.get()).ok()?);
        rest().await;
    }
    Some(read)
}

/// The members of an object, in order, with unparsed values.
struct Members<'t>(Vec<(&'t str, &'t RawValue)>);

impl<'t> Deserialize<'t> for Members<'t> {
    fn deserialize<D: Deserializer<'t>>(from: D) -> Result<Self, D::Error> {
        struct Cut;
        impl<'t> Visitor<'t> for Cut {
            type Value = Members<'t>;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("object")
            }

            fn visit_map<A: MapAccess<'t>>(self, mut map: A) -> Result<Members<'t>, A::Error> {
                let mut members = Vec::new();
                while let Some(member) = map.next_entry()? {
                    members.push(member);
                }
                Ok(Members(members))
            }
        }
        from.deserialize_map(Cut)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::block_on;

    const PERCH: &str = lidoff_testkit::demo::CATALOGS[0].1;

    fn in_pieces(json: &str) -> Option<CatalogFile> {
        block_on(read(json, &mut async || {}))
    }

    fn whole(json: &str) -> Option<CatalogFile> {
        serde_json::from_str(json).ok()
    }

    #[test]
    fn reads_what_the_whole_reads() {
        assert!(whole(PERCH).is_some());
        assert_eq!(in_pieces(PERCH), whole(PERCH));
    }

    #[test]
    fn refuses_what_the_whole_refuses() {
        let spoiled = [
            ("\"parts\"", "\"parts_\""),
            ("\"prove\": [", "\"prove\": [7, "),
            ("\"prove\": [", "\"prove\": [{}, "),
            ("\"prove\": [", "\"prove\": [], \"prove\": ["),
            ("\"hand_over\"", "\"unheard_of\": 1, \"hand_over\""),
            ("\"id\"", "\"id_\""),
        ];
        for (right, imbalance) in spoiled {
            let json = PERCH.replacen(right, imbalance, 1);
            assert_ne!(json, PERCH, "{right}");
            assert_eq!(whole(&json), None, "{imbalance}");
            assert_eq!(in_pieces(&json), None, "{imbalance}");
        }
        // Cut off anywhere, or with something after the end.
        let written = PERCH.trim_end().len();
        let step = written / 50;
        for end in (0..written).step_by(step) {
            let cut = PERCH.get(..end).unwrap_or_default();
            assert_eq!(in_pieces(cut), None, "after {end} bytes");
        }
        assert_eq!(in_pieces(&format!("{PERCH} x")), None);
    }

    #[test]
    fn rests_between_the_parts() {
        let mut rests = 0;
        let read = block_on(read(PERCH, &mut async || rests += 1));
        let parts = read.map_or(0, |file| file.parts.len());
        assert!(parts > 10 && rests > parts, "{rests} rests, {parts} parts");
    }
}
