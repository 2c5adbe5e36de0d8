// Translates the static texts of the page before the app has started. The language is
// the one chosen in Records, otherwise the first device language that Lidoff has.
// This script is inlined after those texts, so that the user never sees them in another
// language first. The app translates its own texts (`src/web/language.rs`); a test
// checks that every language and every text is listed here.
"use strict";
{
  // Strict JSON: the test reads it.
  const LANGUAGES = {
    "en": { "lang": "en-GB", "dir": "ltr", "words": {} },
    "de": {
      "lang": "de",
      "dir": "ltr",
      "words": {
        "Plans, times and tallies one job: open a sealed unit on site, replace what failed and close it within the booked time.": "Plant, stoppt und zählt einen Auftrag: ein verschlossenes Gerät vor Ort öffnen, ersetzen, was ausgefallen ist, und es in der gebuchten Zeit wieder schließen.",
        "Lidoff plans and times the work. For safety, the unit's own documents, local codes and licensed practice always take precedence over this app.": "Lidoff plant und stoppt die Arbeit. Für die Sicherheit haben die Unterlagen des Geräts, örtliche Vorschriften und die anerkannten Regeln immer Vorrang vor dieser App.",
        "Lidoff is starting.": "Lidoff startet.",
        "Lidoff could not start. Your saved jobs are still there.": "Lidoff konnte nicht starten. Die gespeicherten Aufträge sind noch da.",
        "Lidoff has stopped. Everything up to your last tap is saved.": "Lidoff ist stehen geblieben. Alles bis zum letzten Tippen ist gespeichert.",
        "Reload": "Neu laden",
        "Save the records to a file": "Die Aufzeichnungen in einer Datei speichern",
        "Part of the app could not be loaded.": "Ein Teil der App war nicht zu laden."
      }
    }
  };

  const savedLanguage = () => {
    try {
      return localStorage.getItem("lidoff/preference/language");
    } catch {
      return null; // No storage: use the language of the device.
    }
  };

  const wanted = [savedLanguage() ?? "", ...navigator.languages]
    .map((tag) => tag.split(/[-_]/)[0].toLowerCase())
    .find((primary) => Object.hasOwn(LANGUAGES, primary));
  const { lang, dir, words } = LANGUAGES[wanted ?? "en"];

  document.documentElement.lang = lang;
  document.documentElement.dir = dir;
  for (const element of document.querySelectorAll("[data-i18n]")) {
    element.textContent = words[element.textContent] ?? element.textContent;
    // Texts for other cases are kept in data attributes.
    for (const [when, text] of Object.entries(element.dataset)) {
      element.dataset[when] = words[text] ?? text;
    }
  }

  // `boot.js` reports what could not be loaded, unless that is what is missing: a first visit
  // without it would say for ever that Lidoff is starting.
  addEventListener(
    "error",
    ({ target }) => {
      if (!(target instanceof HTMLScriptElement) || window.lidoffOffline) return;
      const byId = (id) => document.getElementById(id);
      const what = byId("stopped-what");
      what.textContent = what.dataset.early;
      // The app would put its own text there if it started behind the boot screen.
      what.removeAttribute("id");
      byId("stopped-why").textContent = byId("stopped-why").dataset.unloaded;
      byId("stopped-save").hidden = true;
      byId("stopped-reload").addEventListener("click", () => location.reload());
      byId("stopped").hidden = false;
    },
    true,
  );
}
