//! `cargo bench -p lidoff-sequencing`: how far the solver gets on the files of a folder.
//! `LIDOFF_SOP` names the folder. Beside it there may be a table of the best known values,
//! named like the folder with `_optima.tsv` (columns `name` and `best_known`).
//! `LIDOFF_SECONDS` is the limit for each file.

#[cfg(not(target_arch = "wasm32"))]
mod native {
    use std::collections::HashMap;
    use std::error::Error;
    use std::path::{Path, PathBuf};
    use std::time::Instant;

    use lidoff_sequencing::{DEFAULT_MEMORY, Sop, solve};

    const SECONDS: f64 = 20.0;

    pub fn run() -> Result<(), Box<dyn Error>> {
        let Some(folder) = std::env::var_os("LIDOFF_SOP").map(PathBuf::from) else {
            println!("ordering: LIDOFF_SOP names no folder of SOP files, nothing to measure");
            return Ok(());
        };
        let seconds = std::env::var("LIDOFF_SECONDS").map_or(Ok(SECONDS), |it| it.parse())?;
        let known = known(&folder);
        let mut files: Vec<PathBuf> = std::fs::read_dir(&folder)?
            .filter_map(|entry| Some(entry.ok()?.path()))
            .filter(|path| path.extension().is_some_and(|it| it == "sop"))
            .collect();
        files.sort();
        println!("instance\tknown\tcost\tbound\tproven\tseconds\tstates");
        for file in files {
            let name = file.file_stem().unwrap_or_default().to_string_lossy();
            let sop = Sop::parse(&std::fs::read_to_string(&file)?)?;
            let start = Instant::now();
            let keep_going = &mut || start.elapsed().as_secs_f64() < seconds;
            let found = solve(&sop, DEFAULT_MEMORY, keep_going);
            println!(
                "{name}\t{}\t{}\t{}\t{}\t{:.2}\t{}",
                known.get(&*name).map_or("-", String::as_str),
                found.cost,
                found.bound,
                if found.is_proven() { "yes" } else { "no" },
                start.elapsed().as_secs_f64(),
                found.states
            );
        }
        Ok(())
    }

    /// The best known values, if there is a table of them.
    fn known(folder: &Path) -> HashMap<String, String> {
        let mut table = folder.as_os_str().to_owned();
        table.push("_optima.tsv");
        let text = std::fs::read_to_string(table).unwrap_or_default();
        let mut lines = text
            .lines()
            .filter(|line| !line.starts_with('#'))
            .map(|line| line.split('\t').collect::<Vec<_>>());
        let head = lines.next().unwrap_or_default();
        let column = |name: &str| head.iter().position(|it| *it == name);
        let (Some(name), Some(best)) = (column("name"), column("best_known")) else {
            return HashMap::new();
        };
        lines
            .filter_map(|line| Some((line.get(name)?.to_string(), line.get(best)?.to_string())))
            .collect()
    }
}

#[cfg(not(target_arch = "wasm32"))]
fn main() -> Result<(), Box<dyn std::error::Error>> {
    native::run()
}

#[cfg(target_arch = "wasm32")]
fn main() {}
