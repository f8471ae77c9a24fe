// The belt path as the kit has it, as geometry: a point and its outward normal at any loop position.
// Outside the loop is right, looking in carrying travel, on both runs.

// Middle of each degree as a share of the edge clearance.
const SHARES = { centred: 0, slight: 0.275, half: 0.6, "hard-over": 0.95 };

export class BeltPath {
  constructor({ points, at_m }, length_m) {
    this.points = points;
    this.at_m = at_m;
    this.length_m = length_m;
  }

  // Metres from one loop position on to another, in carrying travel.
  ahead(from_m, to_m) {
    const way = (to_m - from_m) % this.length_m;
    return way < 0 ? way + this.length_m : way;
  }

  // {x, y, nx, ny} at a loop position, which may run past the end.
  spot(position_m) {
    const { points, at_m, length_m } = this;
    const place = this.ahead(0, position_m);
    let next = at_m.findIndex((one) => one > place);
    if (next < 0) next = at_m.length;
    const from = (next - 1 + points.length) % points.length;
    const to = next % points.length;
    const span = this.ahead(at_m[from], at_m[to]) || length_m;
    const share = this.ahead(at_m[from], place) / span;
    const [[x0, y0], [x1, y1]] = [points[from], points[to]];
    const size = Math.hypot(x1 - x0, y1 - y0) || 1;
    return {
      x: x0 + (x1 - x0) * share,
      y: y0 + (y1 - y0) * share,
      nx: (y1 - y0) / size,
      ny: -(x1 - x0) / size,
    };
  }

  // The spots of a stretch, its ends included, each with its way from the beginning.
  stretch(from_m, way_m) {
    const inside = this.at_m
      .map((one) => this.ahead(from_m, one))
      .filter((one) => one > 0 && one < way_m)
      .sort((one, other) => one - other);
    return [0, ...inside, way_m].map((one) => ({ ...this.spot(from_m + one), way_m: one }));
  }
}

// How far off centre a look is, as a share of the clearance, right positive; null when it tells none.
export function shareOf(look, clearance_mm) {
  if (look.not_seen_reason) return null;
  const { offset_mm } = look;
  if (offset_mm !== null && offset_mm !== undefined) {
    return Math.min(Math.max(offset_mm / clearance_mm, -1.2), 1.2);
  }
  const share = SHARES[look.degree];
  return share === undefined ? null : share * (look.side === "left" ? -1 : 1);
}
