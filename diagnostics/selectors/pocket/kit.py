"""A kit: everything one phone needs to walk one case without signal, except the table."""

from datetime import datetime
from typing import Any

from django.utils.translation import gettext as _

from diagnostics.class_words import CLASS_WORDS
from diagnostics.inference.cause_zones import zones_of
from diagnostics.inference.causes import Cause, Knowledge
from diagnostics.inference.evidence import ConveyorFacts
from diagnostics.inference.feature_words import Remark
from diagnostics.inference.features import splice_positions_m
from diagnostics.inference.places import is_possible
from diagnostics.models import Case
from diagnostics.selectors import shelf
from diagnostics.selectors.evidence import facts_of
from diagnostics.selectors.pocket.news import news_of
from diagnostics.walking_cautions import walking_cautions
from plant.loop.drawing.outline import outline_of
from plant.loop.parts import GeometryError
from plant.loop.path import Loop, belt_revolution_time_s
from plant.loop.vocabulary import Run
from plant.loop.walking import walking_stations
from plant.models import User
from plant.templatetags.sheet import plant_date
from plant.words import KIND_WORDS

# Earlier cases that are told beside a new one.
_MOST_EARLIER = 5


def kit_of(case: Case, reader: User, now: datetime) -> dict[str, Any]:
    """As JSON takes it; `case` comes with conveyor and plant."""
    known = shelf.knowledge_of(case.conveyor.plant_id)
    news = news_of(case, reader, now)
    try:
        facts, missing = facts_of(case.conveyor), ""
    except GeometryError as refusal:
        facts, missing = None, str(refusal)
    return news | {
        "case": news["case"] | _case(case, known),
        "conveyor": _conveyor(case, facts),
        "plant": {"name": case.conveyor.plant.name, "zone": case.conveyor.plant.time_zone},
        "cautions": walking_cautions(case.conveyor.plant_id),
        "missing": missing,
        "stops": _stops(facts.loop) if facts else [],
        "stations": _stations(facts.loop) if facts else [],
        "drawing": _drawing(facts) if facts else None,
        "remarks": [[one.value, _(one.value)] for one in Remark],
        "checklist": _checklist(facts, known),
        "class_words": {name.value: str(words) for name, words in CLASS_WORDS.items()},
    }


def _case(case: Case, knowledge: Knowledge) -> dict[str, Any]:
    plant = case.conveyor.plant
    return {
        "number": case.number,
        "summary": case.summary,
        "complaints": [
            {"words": one.words, "by": one.caller_name, "at": plant_date(one.received_at, plant)}
            for one in case.complaints.all()[:20]
        ],
        "known": _known(case, knowledge),
    }


def _known(case: Case, knowledge: Knowledge) -> list[str]:
    """Earlier cases of the belt whose cause a person confirmed, the latest first."""
    earlier = Case.objects.filter(conveyor_id=case.conveyor_id).exclude(pk=case.pk)
    return [
        _("%(date)s, %(number)s: %(cause)s (%(state)s)")
        % {
            "date": plant_date(one.opened_at, case.conveyor.plant),
            "number": one.number,
            "cause": knowledge.causes[one.cause].name,
            "state": one.get_state_display(),
        }
        for one in earlier.exclude(cause="").order_by("-opened_at")[:_MOST_EARLIER]
        if one.cause in knowledge.causes
    ]


def _conveyor(case: Case, facts: ConveyorFacts | None) -> dict[str, Any]:
    row = case.conveyor
    told: dict[str, Any] = {
        "tag": row.tag,
        "name": row.name,
        "left_words": row.left_words,
        "right_words": row.right_words,
        "clearance_mm": row.clearance_mm,
        "is_reversing": row.is_reversing,
        "speed_mps": row.speed_mps,
    }
    if facts is not None:
        told |= {
            "belt_length_m": facts.belt.length_m,
            "turn_s": belt_revolution_time_s(facts.belt.length_m, facts.speed_mps),
            "length_m": facts.loop.length_m,
            "head_m": facts.loop.head_m,
            "splices_m": list(splice_positions_m(facts.belt)),
        }
    return told


def _stops(loop: Loop) -> list[dict[str, Any]]:
    stations = walking_stations(loop)
    turn = next((one for one in stations[1:] if one.run is Run.RETURN), None)
    return [
        {
            "number": number,
            "station": one.name,
            "run": one.run.value,
            "position_m": round(one.position_m, 3),
            "kind": one.kind.value,
            "kind_words": str(KIND_WORDS[one.kind]),
            "is_turn": one is turn,
        }
        for number, one in enumerate(stations, start=1)
    ]


def _stations(loop: Loop) -> list[list[Any]]:
    return [[one.name, one.run.value, round(one.position_m, 2)] for one in loop.stations]


def _drawing(facts: ConveyorFacts) -> dict[str, Any]:
    outline = outline_of(facts.loop, lift_m=facts.lift_m)
    return {
        "at_m": outline.at_m,
        "points": outline.points,
        "marks": [
            {"name": one.name, "kind": one.kind.value, "at_m": round(one.first_m, 2)}
            for one in facts.loop.parts
        ],
    }


def _checklist(facts: ConveyorFacts | None, knowledge: Knowledge) -> list[dict[str, Any]]:
    """Causes that can stand on this conveyor, in the order of the catalogue."""
    causes = knowledge.causes.values()
    return [
        _checked(one, knowledge.cautions)
        for one in causes
        if facts is None or is_possible(one, facts)
    ]


def _checked(cause: Cause, cautions: Any) -> dict[str, Any]:
    return {
        "cause": cause.slug,
        "name": cause.name,
        "class": cause.cause_class.value,
        "what": cause.confirm.what,
        "minutes": cause.confirm.minutes,
        "needs_stop": cause.confirm.needs_stop,
        "tools": list(cause.confirm.tools),
        "cautions": [cautions[slug] for slug in cause.cautions if slug in cautions],
        "stands_at": sorted(one.value for one in cause.stands_at),
        "zones": [one.value for one in zones_of(cause)],
    }
