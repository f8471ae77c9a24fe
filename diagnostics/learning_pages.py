"""What the page of learning draws: the share of each family, and the table of it to take away."""

from django.utils.translation import gettext as _

from diagnostics.class_words import class_words
from diagnostics.learning_charts import Share, shares_by_row
from diagnostics.selectors.learning_page import Learnt
from plant.chart_specs import told
from plant.chart_view import ChartView


def families_chart(learnt: Learnt) -> ChartView | None:
    """None while nothing is learned."""
    if not learnt.confirmed + learnt.unnamed:
        return None
    shares = [
        Share(
            str(class_words(one.cause_class)),
            one.in_force.mean,
            one.in_force.lower,
            one.in_force.upper,
            before=one.in_force.before,
        )
        for one in learnt.lessons
    ]
    header = [_("Family"), _("share now"), _("lower"), _("upper"), _("share at the start"),
              _("accepted cases")]  # fmt: skip
    rows = [
        [one.words, one.mean, one.lower, one.upper, one.before, lesson.in_force.confirmed]
        for one, lesson in zip(shares, learnt.lessons, strict=True)
    ]
    tells = told(
        ("words", _("family")),
        ("mean", _("share now"), ".1%"),
        ("lower", _("at least, with 95 % probability"), ".1%"),
        ("upper", _("at most, with 95 % probability"), ".1%"),
        ("before", _("share at the start"), ".1%"),
    )
    spec = shares_by_row(shares, _("share of the cases"), tells)
    caption = _("Dot: the share now; bar: where it lies with 95 % probability; hollow diamond: "
                "before these cases.")  # fmt: skip
    return ChartView("families", _("Families"), spec, header, rows, caption)
