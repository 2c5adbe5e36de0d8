// Sets the theme before the first paint: the one chosen in Records, otherwise the
// system's. The script is inlined in the page, so that nothing flashes. It follows
// the system until a theme is chosen. The app sends `lidoff-look` with the chosen
// theme, "" for the system's.
"use strict";
{
  // The background of each theme in themes.css, for the browser's own bars.
  const PAPER = { light: "#f4f1e8", dark: "#101a19", sunlight: "#ffffff" };
  const dark = matchMedia("(prefers-color-scheme: dark)");
  const contrast = matchMedia("(prefers-contrast: more)");

  const kept = () => {
    try {
      return localStorage.getItem("lidoff/preference/theme");
    } catch {
      return null; // No storage: the app reports it; use the system's theme.
    }
  };

  let chosen = kept();

  const show = () => {
    const systems = contrast.matches ? "sunlight" : dark.matches ? "dark" : "light";
    const theme = Object.hasOwn(PAPER, chosen ?? "") ? chosen : systems;
    document.documentElement.dataset.theme = theme;
    document.querySelector("meta[name=theme-color]").content = PAPER[theme];
    document.querySelector("meta[name=color-scheme]").content = theme === "dark" ? "dark" : "light";
  };

  show();
  dark.addEventListener("change", show);
  contrast.addEventListener("change", show);
  addEventListener("lidoff-look", (event) => {
    chosen = event.detail;
    show();
  });
  // Chosen in another window.
  addEventListener("storage", (event) => {
    if (event.key !== "lidoff/preference/theme") return;
    chosen = event.newValue;
    show();
  });
}
