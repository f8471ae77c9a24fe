"""What the log of an order says about why it stands: judged again, surer or less sure."""

from django.utils.translation import gettext as _

from workorders.models import OrderChange
from workorders.order_words import URGENCY_WORDS
from workorders.urgency import Urgency


def words_of(change: OrderChange) -> str:
    """Empty for changes of other kinds."""
    match change.kind:
        case OrderChange.Kind.JUDGED_AGAIN:
            return _judged_again(change)
        case OrderChange.Kind.LESS_SURE | OrderChange.Kind.SURE_AGAIN:
            return _sure(change)
    return ""


def _judged_again(change: OrderChange) -> str:
    if change.before == change.after:
        return _("judged again: the reasons are new, the urgency is the same")
    return _("judged again: from %(before)s to %(after)s") % {
        "before": URGENCY_WORDS[Urgency(change.before)],
        "after": URGENCY_WORDS[Urgency(change.after)],
    }


def _sure(change: OrderChange) -> str:
    figure = {"probability": f"{100 * float(change.after):.0f}"}
    if change.kind == OrderChange.Kind.LESS_SURE:
        return _("a new diagnosis gives it only %(probability)s %%") % figure
    return _("a new diagnosis gives it %(probability)s %% again") % figure
