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

// Draws the same screen anew; `focus` names what had the focus.
export function again(focus = "") {
  return show({ focus });
}

// The same for news: nobody who types or answers is disturbed.
export function refreshed() {
  const focused = document.activeElement;
  if (focused && !focused.matches("h1, body, main")) return null;
  if (document.querySelector("main details[open]")) return null;
  return show({ isQuiet: true });
}
