// The clock of one look. While the page lives it goes by performance.now(), which nobody sets; the
// wall clock only bridges what that one cannot know: a page that was loaded again, and a phone that
// slept, during which it stands still on some phones.

// A wall clock that ran ahead by more was not merely read a moment later. [s]
const SLEPT_S = 1;

export function watchClock(elapsedS = 0, wallMs = null, { now = () => performance.now(), wall = () => Date.now() } = {}) {
  const awayS = wallMs === null ? 0 : Math.max((wall() - wallMs) / 1000, 0);
  let base = elapsedS + awayS;
  let from = now();
  let hidden = null;

  const elapsed = () => base + (now() - from) / 1000;
  return {
    elapsed,
    // How long nobody watched before this page was there. [s]
    awayS,
    // What a later page needs to go on from here.
    mark: () => ({ elapsedS: elapsed(), wallMs: wall() }),
    hide() {
      hidden = { elapsedS: elapsed(), wallMs: wall() };
    },
    show() {
      if (!hidden) return;
      const sleptS = hidden.elapsedS + (wall() - hidden.wallMs) / 1000 - elapsed();
      if (sleptS > SLEPT_S) [base, from] = [elapsed() + sleptS, now()];
      hidden = null;
    },
  };
}
