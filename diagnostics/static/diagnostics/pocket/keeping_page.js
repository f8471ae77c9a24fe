// Whether this page itself opens without signal: its files must be in the phone's keeping, which
// only a page with HTTPS may ask for.

const workers = navigator.serviceWorker;
let failed = null;

export const canBeKept = () => Boolean(workers);

// Once the first screen is there: fetching all files must not keep it waiting.
export function keepPage() {
  workers?.register("/sw.js", { scope: "/walk/" }).catch((error) => {
    failed = error;
    console.warn(error);
  });
}

export async function isKept() {
  return Boolean((await workers?.getRegistration("/walk/"))?.active);
}

// Calls back once, when everything is kept; never where it cannot be.
export function whenKept(tell) {
  if (!failed) workers?.ready.then(tell);
}
