"""What a phone may send, kind by kind; what is read here goes to the services as it is.

Sides and offsets come in the one convention of the record: the phone knows which way its person
faces.
"""

import json
import math
from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any

from django.utils.translation import gettext_lazy as _
from rest_framework import serializers

from diagnostics.inference.evidence import Tap
from diagnostics.inference.feature_words import Remark
from diagnostics.inference.vocabulary import Degree, LoadState, Persistence, TapEvent
from diagnostics.inference.watching.tap_lines import LONGEST_S, MOST_TAPS
from diagnostics.models import WalkDown
from diagnostics.services.contested_looks import Choice
from diagnostics.services.pocket import EntryKind, SentEntry
from diagnostics.services.walking import Pass, Seen
from plant.loop.vocabulary import Run, Side

# A phone in a drawer: what it tells later than this is dated to then.
_LONGEST_AGO_S = 90 * 24 * 3600.0
_LONGEST_LOOP_M = 100_000.0
# Of a belt no wider than any. [mm]
_MOST_OFF_MM = 4000.0
_MOST_KNOWN = 200
# What can be taken back, under the names that say which it is.
_COUNTED = ("look", "finding", "photo", "taps")


class NotJson(ValueError):
    """The text says what is wrong, for the answer."""


def read_json(body: bytes) -> Any:
    """Raises NotJson for what is none, nested without end, or holds half a character."""
    try:
        parsed = json.loads(body)
        json.dumps(parsed, ensure_ascii=False).encode()
    except (ValueError, RecursionError):
        raise NotJson("The body must be JSON.") from None
    return parsed


class _Finite(serializers.FloatField):
    def to_internal_value(self, data: Any) -> float:
        value = super().to_internal_value(data)
        if not math.isfinite(value):
            self.fail("invalid")
        return float(value)


def _words(most: int) -> serializers.CharField:
    return serializers.CharField(max_length=most, allow_blank=True, default="")


def _one_of(words: Any, **how: Any) -> serializers.ChoiceField:
    return serializers.ChoiceField([one.value for one in words], **how)


class Envelope(serializers.Serializer[Any]):
    """What every entry says of itself."""

    id = serializers.UUIDField()
    kind = _one_of(EntryKind)
    age_s = _Finite(min_value=0)
    body = serializers.DictField()

    def sent(self, now: datetime, photo: bytes = b"") -> SentEntry:
        """Raises ValidationError for a body that is none of its kind."""
        told = self.validated_data
        form = BODIES[EntryKind(told["kind"])](data=told["body"])
        form.is_valid(raise_exception=True)
        return SentEntry(
            id=told["id"],
            kind=EntryKind(told["kind"]),
            body=form.read(),
            made_at=now - timedelta(seconds=min(told["age_s"], _LONGEST_AGO_S)),
            photo=photo,
        )


class _Body(serializers.Serializer[Any]):
    def read(self) -> Mapping[str, Any]:
        told: Mapping[str, Any] = self.validated_data
        return told


class _HowBody(_Body):
    facing = serializers.ChoiceField(WalkDown.Facing.values)
    load = _one_of(LoadState)
    is_running_backwards = serializers.BooleanField(default=False)
    stopped_reason = _words(200)
    remarks = serializers.ListField(child=_one_of(Remark), default=list, max_length=len(Remark))
    note = _words(4000)

    def how(self) -> Pass:
        told = self.validated_data
        return Pass(
            facing=told["facing"],
            load=LoadState(told["load"]),
            is_running_backwards=told["is_running_backwards"],
            stopped_reason=told["stopped_reason"],
            remarks=tuple(dict.fromkeys(told["remarks"])),
            note=told["note"],
        )


class BeginBody(_HowBody):
    cautions_read = serializers.BooleanField(default=False)

    def read(self) -> Mapping[str, Any]:
        return {"how": self.how(), "cautions_read": self.validated_data["cautions_read"]}


class PassBody(_HowBody):
    walk = serializers.UUIDField()

    def read(self) -> Mapping[str, Any]:
        return {"how": self.how(), "walk": self.validated_data["walk"]}


class _PlaceBody(_Body):
    station = serializers.CharField(max_length=48)
    run = _one_of(Run)
    position_m = _Finite(min_value=0, max_value=_LONGEST_LOOP_M)
    load = _one_of(LoadState)
    is_running_backwards = serializers.BooleanField(default=False)
    note = _words(400)


class LookBody(_PlaceBody):
    walk = serializers.UUIDField()
    offset_mm = _Finite(
        allow_null=True, default=None, min_value=-_MOST_OFF_MM, max_value=_MOST_OFF_MM
    )
    degree = _one_of(Degree, allow_null=True, default=None)
    side = _one_of(Side, allow_null=True, default=None)
    persistence = _one_of(Persistence, allow_null=True, default=None)
    not_seen_reason = _words(200)
    beside = serializers.ListField(
        child=serializers.UUIDField(), default=list, max_length=_MOST_KNOWN
    )

    def read(self) -> Mapping[str, Any]:
        told = self.validated_data
        degree, side, persistence = told["degree"], told["side"], told["persistence"]
        seen = Seen(
            station=told["station"],
            run=Run(told["run"]),
            position_m=told["position_m"],
            load=LoadState(told["load"]),
            offset_mm=told["offset_mm"],
            degree=Degree(degree) if degree else None,
            side=Side(side) if side and degree != Degree.CENTRED else None,
            persistence=Persistence(persistence) if persistence else None,
            is_running_backwards=told["is_running_backwards"],
            not_seen_reason=told["not_seen_reason"],
            note=told["note"],
        )
        return {"walk": told["walk"], "seen": seen, "beside": set(told["beside"])}


class CountBody(_Body):
    look = serializers.UUIDField(required=False)
    finding = serializers.UUIDField(required=False)
    photo = serializers.UUIDField(required=False)
    taps = serializers.UUIDField(required=False)
    counts = serializers.BooleanField()

    def validate(self, told: dict[str, Any]) -> dict[str, Any]:
        if sum(name in told for name in _COUNTED) != 1:
            raise serializers.ValidationError(
                _("Name exactly one of: %(names)s.") % {"names": ", ".join(_COUNTED)}
            )
        return told


class ChooseBody(_Body):
    mine = serializers.UUIDField()
    theirs = serializers.UUIDField()
    counts = _one_of(Choice)

    def read(self) -> Mapping[str, Any]:
        return {**self.validated_data, "counts": Choice(self.validated_data["counts"])}


class FindingBody(_Body):
    cause = serializers.CharField(max_length=60)
    place = _words(48)
    is_present = serializers.BooleanField()
    note = _words(400)


class PhotoBody(_Body):
    place = _words(48)
    caption = _words(200)
    look = serializers.UUIDField(allow_null=True, default=None)
    finding = serializers.UUIDField(allow_null=True, default=None)


class TapsBody(_PlaceBody):
    taps = serializers.ListField(child=serializers.ListField(max_length=2), max_length=MOST_TAPS)
    duration_s = _Finite(min_value=0, max_value=LONGEST_S)
    cautions_read = serializers.BooleanField(default=False)

    def validate_taps(self, told: list[list[Any]]) -> list[Tap]:
        try:
            return [Tap(float(at_s), TapEvent(event)) for at_s, event in told]
        except (ValueError, TypeError, OverflowError):
            raise serializers.ValidationError(
                _("Every tap is a time in seconds and one of: %(events)s.")
                % {"events": ", ".join(TapEvent)}
            ) from None

    def read(self) -> Mapping[str, Any]:
        told = self.validated_data
        return {**told, "run": Run(told["run"]), "load": LoadState(told["load"])}


class WalkBody(_Body):
    walk = serializers.UUIDField()


BODIES: dict[EntryKind, type[_Body]] = {
    EntryKind.BEGIN: BeginBody,
    EntryKind.MANNER: PassBody,
    EntryKind.LOOK: LookBody,
    EntryKind.COUNT: CountBody,
    EntryKind.CHOOSE: ChooseBody,
    EntryKind.FINDING: FindingBody,
    EntryKind.PHOTO: PhotoBody,
    EntryKind.TAPS: TapsBody,
    EntryKind.FINISH: WalkBody,
    EntryKind.GO_ON: WalkBody,
}
