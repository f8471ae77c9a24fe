"""How near the named places lie, beside the first place off centre; sides and belt positions."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from diagnostics.inference.evaluation.judging import Judged
from diagnostics.inference.evaluation.rates import Rate, Spread, rate_or_none, spread_of
from diagnostics.inference.vocabulary import CauseClass
from plant.loop.vocabulary import Run

_ROWS = frozenset({CauseClass.CARRYING, CauseClass.RETURN_IDLER})


@dataclass(frozen=True)
class PlaceScores:
    """Errors of place of the best entry of the true class.

    Attributes
    ----------
    by_run : dict of Run to Spread or None
        Shortest way round the loop, by the run of the true place.
    rows_by_run : dict of Run to Spread or None
        The same of idlers and structure alone: a pulley is hit exactly when its class is right.
    onset_by_run : dict of Run to Spread or None
        From the first place off centre to the true place.
    belt_position : Spread or None
        Along the belt, for what travels.
    side : Rate or None
        The belt is driven to the side that was said.
    """

    by_run: dict[Run, Spread | None]
    rows_by_run: dict[Run, Spread | None]
    onset_by_run: dict[Run, Spread | None]
    belt_position: Spread | None
    side: Rate | None

    @property
    def notes(self) -> tuple[str, ...]:
        """Why a figure is missing."""
        found = [
            f"No {what} with both a true place on the {run} run and a named one."
            for what, spreads in (
                ("cause", self.by_run),
                ("cause at idlers or structure", self.rows_by_run),
                ("onset of a cause", self.onset_by_run),
            )
            for run in Run
            if spreads[run] is None
        ]
        if self.belt_position is None:
            found.append("No true cause travels with a belt position that was named too.")
        if self.side is None:
            found.append("No case names a side in both truth and answer.")
        return tuple(found)

    def as_json(self) -> dict[str, Any]:
        return {
            "place_error": _runs_as_json(self.by_run),
            "idler_place_error": _runs_as_json(self.rows_by_run),
            "onset_rule_place_error": _runs_as_json(self.onset_by_run),
            "belt_position_error": _plain(self.belt_position),
            "side": _plain(self.side),
        }


def places_of(judged: Sequence[Judged], level: float) -> PlaceScores:
    """Errors of place and sides of cases with one cause.

    Parameters
    ----------
    judged : sequence of Judged
    level : float
        Two-sided, of the interval of the sides.
    """
    return PlaceScores(
        by_run=_spreads((one.place.run, one.place.error_m) for one in judged),
        rows_by_run=_spreads(
            (one.place.run, one.place.error_m) for one in judged if one.truth[0] in _ROWS
        ),
        onset_by_run=_spreads((one.place.run, one.place.onset_error_m) for one in judged),
        belt_position=spread_of(
            [one.place.belt_error_m for one in judged if one.place.belt_error_m is not None]
        ),
        side=rate_or_none(
            (one.place.side_is_right for one in judged if one.place.side_is_right is not None),
            level,
        ),
    )


def _spreads(errors: Iterable[tuple[Run | None, float | None]]) -> dict[Run, Spread | None]:
    found = list(errors)
    return {
        run: spread_of([error for where, error in found if where is run and error is not None])
        for run in Run
    }


def _runs_as_json(spreads: dict[Run, Spread | None]) -> dict[str, Any]:
    return {run.value: _plain(spread) for run, spread in spreads.items()}


def _plain(score: Spread | Rate | None) -> dict[str, Any] | None:
    return None if score is None else score.as_json()
