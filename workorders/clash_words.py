"""What people read for a clash: what is wrong, by how much, against what."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from zoneinfo import ZoneInfo

from django.utils.text import get_text_list
from django.utils.translation import gettext as _

from workorders.planning.outages.clashes import Clash, ClashKind
from workorders.planning.outages.plan import Plan
from workorders.span_words import day_words, length_words, time_words


@dataclass(frozen=True)
class Names:
    """What the keys of a plan are called; windows that are called off are named too."""

    zone: ZoneInfo
    windows: Mapping[str, str] = field(default_factory=dict)
    crews: Mapping[str, str] = field(default_factory=dict)


def clash_words(clash: Clash, plan: Plan, names: Names) -> str:
    """One sentence without its subject, the order: `ends 40 min after the window`."""
    return _WORDS[clash.kind](clash, plan, names)


def _needs_window(clash: Clash, plan: Plan, names: Names) -> str:
    told = {"belt": plan.jobs[clash.job].conveyor}
    return _("needs %(belt)s locked and stands in no outage") % told


def _window_unknown(clash: Clash, plan: Plan, names: Names) -> str:
    name = names.windows.get(clash.other)
    return _("its window %(window)s is called off") % {"window": name} if name else _no_window()


def _no_window() -> str:
    return _("its window is no more")


def _window_of_others(clash: Clash, plan: Plan, names: Names) -> str:
    told = {"window": names.windows[clash.other], "belt": plan.jobs[clash.job].conveyor}
    return _("%(belt)s does not stand still in %(window)s") % told


def _outside_window(clash: Clash, plan: Plan, names: Names) -> str:
    told = {"length": length_words(clash.minutes)}
    if clash.minutes == plan.placements[clash.job].span.minutes:
        return _("lies outside the window")
    if clash.late_minutes == clash.minutes:
        return _("ends %(length)s after the window") % told
    if not clash.late_minutes:
        return _("begins %(length)s before the window") % told
    return _("reaches over both ends of the window, by %(length)s") % told


def _crew_unknown(clash: Clash, plan: Plan, names: Names) -> str:
    return _("its crew %(crew)s is no more") % {"crew": names.crews.get(clash.other, "")}


def _outside_shift(clash: Clash, plan: Plan, names: Names) -> str:
    told = {"length": length_words(clash.minutes), "crew": names.crews[clash.other]}
    return _("%(length)s outside the shifts and overtime of %(crew)s") % told


def _lacks_skill(clash: Clash, plan: Plan, names: Names) -> str:
    skills = get_text_list(list(clash.names), _("or"))
    return _("%(crew)s has no %(skills)s") % {"crew": names.crews[clash.other], "skills": skills}


def _too_few_people(clash: Clash, plan: Plan, names: Names) -> str:
    others = [one for one in clash.names if one != clash.job]
    told = _people(clash, names)
    if not others:
        return _("wants %(asked)s people, %(crew)s has %(there)s") % told
    told["others"] = get_text_list(others, _("and"))
    return _("%(asked)s people wanted, %(crew)s has %(there)s, %(time)s, with %(others)s") % told


def _crew_away(clash: Clash, plan: Plan, names: Names) -> str:
    told = _people(clash, names)
    return _("%(asked)s people wanted, %(there)s of %(crew)s there, others away, %(time)s") % told


def _people(clash: Clash, names: Names) -> dict[str, object]:
    assert clash.at is not None
    return {
        "time": time_words(clash.at, names.zone),
        "asked": clash.asked,
        "there": clash.there,
        "crew": names.crews[clash.other],
    }


def _before_earliest(clash: Clash, plan: Plan, names: Names) -> str:
    assert clash.at is not None
    return _("may not begin before %(time)s") % {"time": time_words(clash.at, names.zone)}


def _before_parts(clash: Clash, plan: Plan, names: Names) -> str:
    assert clash.at is not None
    return _("its parts come on %(day)s") % {"day": day_words(clash.at, names.zone)}


def _parts_missing(clash: Clash, plan: Plan, names: Names) -> str:
    return _("parts are missing: %(parts)s") % {"parts": clash.why}


def _after_latest(clash: Clash, plan: Plan, names: Names) -> str:
    assert clash.at is not None
    # The limit is the midnight at the end of the day.
    told = {"day": day_words(clash.at - 1, names.zone)}
    return _("ends after %(day)s, when it is due") % told


def _before_predecessor(clash: Clash, plan: Plan, names: Names) -> str:
    if clash.at is None:
        return _("%(first)s must be done first and has no place") % {"first": clash.other}
    told = {"first": clash.other, "time": time_words(clash.at, names.zone)}
    return _("begins before %(first)s ends, %(time)s") % told


def _held(clash: Clash, plan: Plan, names: Names) -> str:
    return clash.why


_WORDS: dict[ClashKind, Callable[[Clash, Plan, Names], str]] = {
    ClashKind.NEEDS_WINDOW: _needs_window,
    ClashKind.WINDOW_UNKNOWN: _window_unknown,
    ClashKind.WINDOW_OF_OTHERS: _window_of_others,
    ClashKind.OUTSIDE_WINDOW: _outside_window,
    ClashKind.CREW_UNKNOWN: _crew_unknown,
    ClashKind.OUTSIDE_SHIFT: _outside_shift,
    ClashKind.LACKS_SKILL: _lacks_skill,
    ClashKind.TOO_FEW_PEOPLE: _too_few_people,
    ClashKind.CREW_AWAY: _crew_away,
    ClashKind.BEFORE_EARLIEST: _before_earliest,
    ClashKind.BEFORE_PARTS: _before_parts,
    ClashKind.PARTS_MISSING: _parts_missing,
    ClashKind.AFTER_LATEST: _after_latest,
    ClashKind.BEFORE_PREDECESSOR: _before_predecessor,
    ClashKind.HELD: _held,
}
