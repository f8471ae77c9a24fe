// A fast hand on a slow link types and chooses before htmx is there to hear it. What then differs
// from what the site sent is told to htmx once it listens, as the event "early" of its triggers.

function isTouched(control) {
  if (control instanceof HTMLSelectElement) {
    const sent = [...control.options].findIndex((one) => one.defaultSelected);
    return control.selectedIndex !== Math.max(sent, 0);
  }
  if (control.type === "radio" || control.type === "checkbox") {
    return control.checked !== control.defaultChecked;
  }
  return "defaultValue" in control && control.value !== control.defaultValue;
}

function isPicked(control) {
  return control.type === "radio" && control.checked && isTouched(control);
}

// A search would replace what it has found before, and with it what was picked out of that.
function wouldUndo(listener) {
  const target = document.querySelector(listener.getAttribute("hx-target"));
  if (!target || target.contains(listener)) return false;
  return [...target.querySelectorAll("input")].some(isPicked);
}

function isOwed(listener) {
  if (listener instanceof HTMLFormElement) return [...listener.elements].some(isTouched);
  if (listener.type === "radio") return isPicked(listener);
  return isTouched(listener) && !wouldUndo(listener);
}

function tell() {
  for (const listener of document.querySelectorAll("[hx-trigger~=early]")) {
    if (isOwed(listener)) listener.dispatchEvent(new Event("early"));
  }
}

// The first of its kind: htmx has just attached itself to the whole page.
document.addEventListener("htmx:load", tell, { once: true });
