// Photos before they are sent: made smaller here, so that a slow link carries them, and shown.
// Without this module the files go as they are, and the site makes them smaller.

const LONGEST_PX = 1600;
const QUALITY = 0.85;
// Older pictures come out of the album: sent as they are, they keep the time of their camera.
const JUST_TAKEN_MS = 10 * 60_000;

function begin(input) {
  const form = input.form;
  const list = document.createElement("ul");
  let chosen = [];
  let in_work = 0;

  list.className = "chosen";
  input.after(list);
  input.addEventListener("change", take);
  // Chosen before this module had arrived: the next choice would otherwise push it out unseen.
  if (input.files.length > 0) take();

  // A camera gives one picture at a time; those taken before it stay.
  async function take() {
    const fresh = [...input.files];
    hold((in_work += 1) > 0);
    try {
      const ready = await Promise.all(fresh.map(prepare));
      // Read only now: another choice may have been made ready meanwhile.
      chosen = [...chosen, ...ready];
    } finally {
      hold((in_work -= 1) > 0);
      tell();
    }
  }

  function hold(is_busy) {
    form.ariaBusy = String(is_busy);
    for (const button of form.querySelectorAll("button")) button.disabled = is_busy;
  }

  function tell() {
    const files = new DataTransfer();
    for (const one of chosen) files.items.add(one.file);
    input.files = files.files;
    list.replaceChildren(...chosen.map(entry));
  }

  function entry(one) {
    const item = document.createElement("li");
    const name = document.createElement("p");
    const remove = document.createElement("button");
    name.textContent = one.file.name;
    remove.type = "button";
    remove.className = "button quiet";
    remove.textContent = input.dataset.remove;
    remove.setAttribute("aria-label", `${input.dataset.remove}: ${one.file.name}`);
    remove.addEventListener("click", () => {
      chosen = chosen.filter((other) => other !== one);
      tell();
      input.focus();
    });
    if (one.canvas) item.append(one.canvas);
    item.append(name, remove);
    return item;
  }
}

// A canvas is drawn, not loaded, so the page's policy needs no exception for it.
async function prepare(file) {
  try {
    const bitmap = await createImageBitmap(file, { imageOrientation: "from-image" });
    const canvas = document.createElement("canvas");
    const share = Math.min(LONGEST_PX / Math.max(bitmap.width, bitmap.height), 1);
    canvas.width = Math.max(Math.round(bitmap.width * share), 1);
    canvas.height = Math.max(Math.round(bitmap.height * share), 1);
    canvas.getContext("2d").drawImage(bitmap, 0, 0, canvas.width, canvas.height);
    bitmap.close();
    return { file: await smaller(file, canvas, share), canvas };
  } catch {
    // What this browser cannot read, the site answers for.
    return { file, canvas: null };
  }
}

async function smaller(file, canvas, share) {
  if (share === 1 || Date.now() - file.lastModified > JUST_TAKEN_MS) return file;
  const blob = await new Promise((done) => canvas.toBlob(done, "image/jpeg", QUALITY));
  if (!blob || blob.size >= file.size) return file;
  const name = `${file.name.replace(/\.[^.]*$/, "")}.jpg`;
  return new File([blob], name, { type: "image/jpeg", lastModified: file.lastModified });
}

for (const input of document.querySelectorAll("input[data-photos]")) begin(input);
