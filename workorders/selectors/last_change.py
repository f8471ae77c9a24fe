"""Who was quicker: the newest line of an order's log, for whoever is told that it changed."""

from django.utils.translation import gettext as _

from workorders.models import WorkOrder
from workorders.planning.outages.minutes import minute_of
from workorders.selectors.order_log import log_of
from workorders.span_words import time_words


def last_change_words(order: WorkOrder) -> str:
    """`Ana Reyes, Tue 1 Dec 08:10: planned for another time, Wed 2 Dec 07:00.`"""
    line = log_of(order)[-1]
    zone = order.conveyor.plant.zone_info
    words = line.words
    if line.moment:
        words = f"{words}, {time_words(minute_of(line.moment), zone)}"
    told = {"who": line.by or _("the site"), "at": time_words(minute_of(line.at), zone)}
    return _("%(who)s, %(at)s: %(what)s.") % {**told, "what": words}
