//! Runs commands, with errors that name them.

use std::ffi::{OsStr, OsString};
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use anyhow::{Context as _, Result, bail};
use serde_json::Value;

/// `cargo`, the one that runs this program.
pub fn cargo(args: &[&str]) -> Command {
    let mut command = Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
    command.args(args);
    command
}

/// A command with its arguments.
pub fn command(program: impl AsRef<OsStr>, args: &[&str]) -> Command {
    let mut command = Command::new(program);
    command.args(args);
    command
}

/// Runs a command; its output goes where ours goes.
pub fn run(command: &mut Command) -> Result<()> {
    let line = line(command);
    let status = command.stdin(Stdio::null()).status();
    let status = status.with_context(|| format!("cannot start `{line}`"))?;
    if !status.success() {
        bail!("`{line}` failed ({status})");
    }
    Ok(())
}

/// Runs a command and returns what it writes to standard output.
pub fn read(command: &mut Command) -> Result<String> {
    let mut text = String::new();
    each_line(command, |line| {
        text.push_str(line);
        text.push('\n');
    })?;
    Ok(text)
}

/// Runs a command and hands over each line of its standard output.
pub fn each_line(command: &mut Command, mut handle: impl FnMut(&str)) -> Result<()> {
    let line = line(command);
    let mut child = command
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .spawn()
        .with_context(|| format!("cannot start `{line}`"))?;
    if let Some(output) = child.stdout.take() {
        for text in BufReader::new(output).lines() {
            handle(&text.with_context(|| format!("cannot read what `{line}` writes"))?);
        }
    }
    let status = child
        .wait()
        .with_context(|| format!("cannot wait for `{line}`"))?;
    if !status.success() {
        bail!("`{line}` failed ({status})");
    }
    Ok(())
}

/// Runs a command without showing its output; on failure, the error ends with its last
/// lines.
pub fn run_quietly(command: &mut Command) -> Result<()> {
    let line = line(command);
    let output = command
        .stdin(Stdio::null())
        .output()
        .with_context(|| format!("cannot start `{line}`"))?;
    if !output.status.success() {
        let text = [output.stdout, output.stderr].concat();
        let text = String::from_utf8_lossy(&text);
        let lines: Vec<&str> = text.lines().collect();
        let last = &lines[lines.len().saturating_sub(30)..];
        bail!("`{line}` failed ({}):\n{}", output.status, last.join("\n"));
    }
    Ok(())
}

/// Builds with cargo and returns the program or module of the target with this name.
pub fn build_artifact(build: &mut Command, name: &str) -> Result<PathBuf> {
    let mut found = None;
    build.args(["--message-format", "json-render-diagnostics"]);
    each_line(build, |line| {
        found = found.take().or_else(|| artifact_in(line, name));
    })?;
    found.with_context(|| format!("cargo has built nothing of the name {name}"))
}

/// The program or module that this message of cargo's names.
fn artifact_in(message: &str, name: &str) -> Option<PathBuf> {
    let message: Value = serde_json::from_str(message).ok()?;
    if message["target"]["name"] != name {
        return None;
    }
    let files = message["filenames"].as_array()?.iter();
    let mut modules = files
        .filter_map(Value::as_str)
        .filter(|file| file.ends_with(".wasm"));
    let file = message["executable"].as_str().or_else(|| modules.next())?;
    Some(PathBuf::from(file))
}

/// The PATH with these folders before all others.
pub fn path_with(folders: &[&Path]) -> Result<OsString> {
    let path = std::env::var_os("PATH").unwrap_or_default();
    let folders = folders.iter().map(|folder| folder.to_path_buf());
    std::env::join_paths(folders.chain(std::env::split_paths(&path)))
        .context("a folder cannot be put on the PATH")
}

/// Whether a program of this name is on the PATH.
pub fn on_path(program: &str) -> bool {
    find_on_path(program).is_some()
}

/// Where on the PATH a program lies.
pub fn find_on_path(program: &str) -> Option<PathBuf> {
    let path = std::env::var_os("PATH")?;
    std::env::split_paths(&path)
        .map(|folder| folder.join(program))
        .find(|file| file.is_file())
}

fn line(command: &Command) -> String {
    let words = std::iter::once(command.get_program()).chain(command.get_args());
    let words: Vec<_> = words.map(|word| word.to_string_lossy()).collect();
    words.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_program_that_does_not_exist_is_named() {
        let error = run(&mut command("no-such-program", &["x"])).expect_err("no program");
        assert!(error.to_string().contains("no-such-program x"), "{error}");
        assert!(!on_path("no-such-program"));
    }

    #[test]
    fn the_built_program_or_module_is_found_in_what_cargo_says() {
        let message = |executable: &str| {
            format!(
                r#"{{"target":{{"name":"app"}},"filenames":["/t/a.js","/t/a.wasm"],"executable":{executable}}}"#
            )
        };
        let module = artifact_in(&message("null"), "app");
        assert_eq!(module, Some(PathBuf::from("/t/a.wasm")));
        let program = artifact_in(&message("\"/t/a\""), "app");
        assert_eq!(program, Some(PathBuf::from("/t/a")));
        assert_eq!(artifact_in(&message("null"), "other"), None);
        assert_eq!(artifact_in("not JSON", "app"), None);
    }
}
