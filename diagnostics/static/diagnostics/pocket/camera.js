// Photos made smaller on the phone before they are kept, and shown on a canvas: that is drawn, not
// loaded, so the page's policy needs no exception for it.

import { button, field, make } from "./elements.js";
import { tell } from "./hand.js";
import { say } from "./words.js";

const LONGEST_PX = 1600;
const QUALITY = 0.85;
// Older pictures come out of the album: kept as they are, they keep the time of their camera.
const JUST_TAKEN_MS = 10 * 60_000;

// A field for photos. `chosen()` gives their blobs in order.
export function cameraField(label) {
  const box = make("input", { type: "file", accept: "image/*", capture: "environment", multiple: true });
  const list = make("ul", { class: "chosen", "aria-live": "polite" });
  let photos = [];
  const show = () => list.replaceChildren(...photos.map(entry));
  box.addEventListener("change", async () => {
    const made = await Promise.all([...box.files].map(prepare));
    // The same picture may be chosen again after it was taken out.
    box.value = "";
    photos = [...photos, ...made.filter(Boolean)];
    tell(made.includes(null) ? say("no_picture") : "");
    show();
  });

  function entry(one, place) {
    const remove = () => {
      photos = photos.filter((other) => other !== one);
      show();
      box.focus();
    };
    const name = say("photo_number", { number: place + 1 });
    one.canvas.setAttribute("role", "img");
    one.canvas.setAttribute("aria-label", name);
    return make("li", {}, one.canvas, button(say("remove"), remove, { "aria-label": `${say("remove")}: ${name}` }));
  }

  return { node: make("div", {}, field(label, box), list), chosen: () => photos.map((one) => one.blob) };
}

async function prepare(file) {
  try {
    const bitmap = await createImageBitmap(file, { imageOrientation: "from-image" });
    const share = Math.min(LONGEST_PX / Math.max(bitmap.width, bitmap.height), 1);
    const canvas = document.createElement("canvas");
    canvas.width = Math.max(Math.round(bitmap.width * share), 1);
    canvas.height = Math.max(Math.round(bitmap.height * share), 1);
    canvas.getContext("2d").drawImage(bitmap, 0, 0, canvas.width, canvas.height);
    bitmap.close();
    return { canvas, blob: await smaller(file, canvas, share) };
  } catch {
    return null;
  }
}

async function smaller(file, canvas, share) {
  const isOld = Date.now() - file.lastModified > JUST_TAKEN_MS;
  if (share === 1 || isOld) return file;
  const blob = await new Promise((done) => canvas.toBlob(done, "image/jpeg", QUALITY));
  return blob && blob.size < file.size ? blob : file;
}
