// What is suspected as things stand on this phone; the table gives it, with or without signal.

import { evidenceOf } from "./evidence.js";
import { openTable, rank } from "./ranking/rank.js";
import { placeFrom } from "./route.js";

let opened = { buffer: null, table: null };
let last = { state: null, at: "", found: null };

// {classes, places, isSufficient, next, isFromSite}; null when neither phone nor site has a say.
export function suspicion({ kit, table, state, at }) {
  if (last.state === state && last.at === at) return last.found;
  last = { state, at, found: table ? onPhone(kit, table, state, at) : fromSite(kit) };
  return last.found;
}

function onPhone(kit, buffer, state, at) {
  if (opened.buffer !== buffer) opened = { buffer, table: openOrNull(buffer) };
  if (!opened.table) return fromSite(kit);
  const from_m = placeFrom(kit, at.split("/"))?.position_m;
  const told = { ...evidenceOf(kit, state), load: state.walk?.load, from_m };
  return { ...rank(opened.table, told), isFromSite: false };
}

// A table that an older or newer site made is of no use; the next fetching brings another.
function openOrNull(buffer) {
  try {
    return openTable(buffer);
  } catch {
    return null;
  }
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
