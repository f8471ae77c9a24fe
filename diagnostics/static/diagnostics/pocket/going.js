// From one screen to another, so that the phone's back button leads the same way back.

let show = () => {};

export function makeGo(how) {
  show = how;
}

// `path` is an address within the page, such as #/at/5.
export function go(path, { instead = false, focus = "" } = {}) {
  if (instead || path === location.hash) history.replaceState(null, "", path);
  else history.pushState(null, "", path);
  return show({ focus });
}

// Draws the same screen anew and leaves the focus where it was.
export function again(focus = "") {
  return show({ focus });
}
