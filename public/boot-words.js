// The words that the page has before the app is there, in the language that the
// app will start in: the one chosen in Records or else the first of the device's
// that there is. Stands in the page itself, behind those words, so that no other
// is seen first. The app does the same from its own words (`app/tongue.rs`); a
// test sees to it that every language and every text is here.
"use strict";
{
  // Strict JSON: the test reads it.
  const LANGUAGES = {
    "en": { "lang": "en-GB", "dir": "ltr", "words": {} },
    "de": {
      "lang": "de",
      "dir": "ltr",
      "words": {
        "Plans, times and tallies one job: opening a sealed unit on site, replacing what failed, closing it inside the booked time.": "Plant, stoppt und zählt einen Auftrag: ein verschlossenes Gerät vor Ort öffnen, ersetzen, was ausgefallen ist, und es in der gebuchten Zeit wieder schließen.",
        "Lidoff plans and times the work. For safety the unit's own documents, local codes and licensed practice govern, whatever a screen here says.": "Lidoff plant und stoppt die Arbeit. Für die Sicherheit gelten die Unterlagen des Geräts, örtliche Vorschriften und die anerkannten Regeln, was immer hier auf dem Bildschirm steht.",
        "Lidoff is starting.": "Lidoff startet.",
        "Lidoff could not start. What was saved before is still there.": "Lidoff konnte nicht starten. Was vorher gespeichert wurde, ist noch da.",
        "Lidoff has stopped. Everything up to your last tap is saved.": "Lidoff ist stehen geblieben. Alles bis zum letzten Tippen ist gespeichert.",
        "Reload": "Neu laden",
        "Save the records to a file": "Die Aufzeichnungen in einer Datei speichern",
        "A part of the app could not be loaded.": "Ein Teil der App war nicht zu laden."
      }
    }
  };

  const kept = () => {
    try {
      return localStorage.getItem("lidoff/preference/language");
    } catch {
      return null; // No storage: the device's language will do.
    }
  };

  const wanted = [kept() ?? "", ...navigator.languages]
    .map((tag) => tag.split(/[-_]/)[0].toLowerCase())
    .find((primary) => Object.hasOwn(LANGUAGES, primary));
  const { lang, dir, words } = LANGUAGES[wanted ?? "en"];

  document.documentElement.lang = lang;
  document.documentElement.dir = dir;
  for (const place of document.querySelectorAll("[data-said]")) {
    place.textContent = words[place.textContent] ?? place.textContent;
    // What it says in other cases.
    for (const [when, text] of Object.entries(place.dataset)) {
      place.dataset[when] = words[text] ?? text;
    }
  }
}
