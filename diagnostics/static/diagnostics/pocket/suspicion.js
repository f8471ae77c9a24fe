// What is suspected as things stand on this phone; the table gives it, with or without signal.

import { openTable, rank } from "./ranking/rank.js";
import { placeFrom, stands } from "./route.js";

let opened = { buffer: null, table: null };
let last = { state: null, at: "", found: null };

// {classes, places, isSufficient, next, isFromSite}; null when neither phone nor site has a say.
export function suspicion({ kit, table, state, at }) {
  if (last.state === state && last.at === at) return last.found;
  last = { state, at, found: table ? onPhone(kit, table, state, at) : fromSite(kit) };
  return last.found;
}

function onPhone(kit, buffer, state, at) {
  if (opened.buffer !== buffer) opened = { buffer, table: openTable(buffer) };
  const from_m = placeFrom(kit, at.split("/"))?.position_m;
  const told = { ...evidence(kit, state), load: state.walk?.load, from_m };
  return { ...rank(opened.table, told), isFromSite: false };
}

function evidence(kit, state) {
  const told = kit.evidence;
  const findings = state.findings
    .filter(stands)
    .map(({ cause, is_present, component, place }) => ({
      cause,
      is_present,
      component: component ?? place ?? "",
    }));
  return {
    log_priors: told.log_priors,
    travel: told.travel,
    remarks: [...new Set([...told.remarks, ...(state.walk?.remarks ?? [])])],
    findings,
    sightings: state.looks.filter((one) => stands(one) && !one.not_seen_reason),
  };
}

function fromSite({ suspicion: told, suspects }) {
  if (!told) return null;
  return {
    classes: told.classes,
    places: suspects,
    isSufficient: told.is_sufficient,
    next: [],
    isFromSite: true,
  };
}
