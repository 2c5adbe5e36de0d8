//! Draws the PNG icons from the SVG.

use anyhow::{Context as _, Result, ensure};

use crate::files;
use crate::process::{command, run};
use crate::project;
use crate::tools::{self, Set};

/// Draws the icons again.
pub fn draw() -> Result<()> {
    tools::install(Set::Icons)?;
    let folder = project::root().join(project::ICONS);
    let mut drawn = Vec::new();
    let mut render = |svg: &std::path::Path, size: &str, name: String| -> Result<()> {
        let png = folder.join(name);
        let mut rsvg = command("rsvg-convert", &["--width", size, "--height", size]);
        run(rsvg.arg(svg).arg("--output").arg(&png))?;
        drawn.push(png);
        Ok(())
    };
    let svg = folder.join("icon.svg");
    for size in ["192", "512"] {
        render(&svg, size, format!("icon-{size}.png"))?;
    }

    let work = tempfile::TempDir::new().context("cannot create a temporary folder")?;
    let maskable = work.path().join("maskable.svg");
    files::write(&maskable, without_corners(&files::read_text(&svg)?)?)?;
    render(&maskable, "512", "icon-maskable-512.png".to_owned())?;

    // Three colours and the blends between them.
    run(command("pngquant", &["--ext", ".png", "--force", "32"]).args(&drawn))?;
    run(command("optipng", &["-quiet", "-o7", "-strip", "all"]).args(&drawn))?;
    for png in drawn {
        println!("{:6}  {}", files::read(&png)?.len(), png.display());
    }
    Ok(())
}

/// A launcher may cut a maskable icon to any shape that keeps the inner circle of 80 %
/// (W3C Web Application Manifest): no corners of our own, and a smaller drawing.
fn without_corners(svg: &str) -> Result<String> {
    let square = svg.replace(" rx=\"14\"", "");
    let smaller = square.replace("<g ", "<g transform=\"translate(6 6) scale(.8125)\" ");
    ensure!(
        square != svg && smaller != square,
        "icon.svg has changed: its corners (rx=\"14\") or its group (<g …>) are not found"
    );
    Ok(smaller)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_icon_has_what_is_changed_for_the_maskable_one() {
        let svg = project::root().join(project::ICONS).join("icon.svg");
        let svg = files::read_text(&svg).expect("the icon");
        assert!(without_corners(&svg).is_ok());
        assert!(without_corners("<svg/>").is_err());
    }
}
