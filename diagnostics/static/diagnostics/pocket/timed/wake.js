// The screen stays on while one watches; a phone that cannot, goes dark and the clock goes on.

export function stayAwake() {
  let lock = null;
  let isWanted = true;

  async function ask() {
    if (!isWanted || document.hidden) return;
    try {
      lock = await navigator.wakeLock?.request("screen");
      if (!isWanted) await lock?.release();
    } catch {
      lock = null;
    }
  }

  // The phone takes it back whenever the page is hidden.
  document.addEventListener("visibilitychange", ask);
  ask();
  return {
    release() {
      isWanted = false;
      document.removeEventListener("visibilitychange", ask);
      lock?.release().catch(() => {});
    },
  };
}
