"""Filters of the hit rate; all of them stand in the address."""

from collections.abc import Mapping
from datetime import date

from diagnostics.trend_forms import TrendForm
from plant.models import Plant


class HitRateForm(TrendForm):
    """As of the trends, by the day a cause was accepted; cause families are rows of the page."""

    def __init__(self, asked: Mapping[str, str], *, plants: list[Plant], today: date) -> None:
        super().__init__(asked, plants=plants, today=today)
        # Shares of cases have no exposure.
        del self.fields["family"], self.fields["per"]
