// Answers the app's requests for its files from the page: a page that is opened from a
// file may not read other files.
"use strict";
{
  const TYPES = { wasm: "application/wasm", json: "application/json", txt: "text/plain" };
  const folder = new URL(".", location.href).href;

  window.fetch = async (address) => {
    const { href } = new URL(address, location.href);
    const name = href.startsWith(folder) ? href.slice(folder.length) : href;
    const inside = document.querySelector(`script[data-file="${CSS.escape(name)}"]`);
    if (!inside) return new Response(null, { status: 404 });
    const bytes = Uint8Array.from(atob(inside.textContent), (letter) => letter.charCodeAt(0));
    return new Response(bytes, { headers: { "content-type": TYPES[name.split(".").pop()] } });
  };

  // The file itself is the offline version.
  window.lidoffOneFile = true;
}
