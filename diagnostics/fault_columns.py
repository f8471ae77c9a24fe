"""The columns of the list of repeat offenders: what each heading means and how it is estimated."""

from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _


@dataclass(frozen=True)
class Column:
    """`slug` is that of the figure in `fault_words`."""

    slug: str
    heading: str | Promise
    about: str | Promise
    is_number: bool = False


COLUMNS = (
    Column(
        "cases",
        _("Cases"),
        _(
            "Cases opened in the period, and their course: one mark a case, stretch by stretch. A "
            "repeat is the same cause family back within the plant's window after a passed proof "
            "run."
        ),
    ),
    Column(
        "lost",
        _("Lost hours"),
        _(
            "Sum of the hours people noted for the cases. Cases for which nobody said anything "
            "are counted beside it and not taken for 0."
        ),
        is_number=True,
    ),
    Column(
        "rate",
        _("Fair rate"),
        _(
            "Empirical Bayes (gamma-Poisson) estimate: the belt's own rate drawn toward the "
            "plant's, the more so the less is known of the belt. Beneath it its 90 % interval."
        ),
        is_number=True,
    ),
    Column(
        "worse",
        _("Worse than usual"),
        _(
            "Posterior probability that the belt's true rate is more than 1.5 times the usual "
            "rate, the median of the plant's belts. From 80 % on it is hardly bad luck."
        ),
        is_number=True,
    ),
    Column(
        "trend",
        _("Trend"),
        _(
            "Military handbook test (MIL-HDBK-189) whether cases come closer together, adjusted "
            "over all belts after Benjamini and Hochberg: of the trends shown at most 10 % are "
            "chance. The power-law (Crow-AMSAA) shape says how fast."
        ),
    ),
    Column(
        "cause",
        _("Leading cause"),
        _(
            "The cause family of most cases, among those whose cause a person confirmed, with its "
            "share of them."
        ),
    ),
)
