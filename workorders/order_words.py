"""What people read for the wire words of work; one place, so that they can be translated."""

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from workorders.order_origins import Origin
from workorders.order_states import OrderState, Waiting
from workorders.urgency import Urgency

Words = str | Promise

STATE_WORDS: dict[OrderState, Words] = {
    OrderState.PROPOSED: _("proposed"),
    OrderState.APPROVED: _("approved"),
    OrderState.SCHEDULED: _("scheduled"),
    OrderState.IN_HAND: _("in hand"),
    OrderState.DONE: _("done"),
    OrderState.PROVED: _("proved"),
    OrderState.DECLINED: _("declined"),
    OrderState.CANCELLED: _("cancelled"),
}
ORIGIN_WORDS: dict[Origin, Words] = {
    Origin.CAUSE: _("an accepted cause"),
    Origin.FINDING: _("what a close look found"),
    Origin.RULE: _("a suspicion above the plant's set probability"),
    Origin.REPLACEMENT: _("a replacement that is due"),
    Origin.HAND: _("somebody who asked for it by hand"),
}
URGENCY_WORDS: dict[Urgency, Words] = {
    Urgency.STOP_NOW: _("stop now"),
    Urgency.THIS_SHIFT: _("this shift"),
    Urgency.NEXT_OUTAGE: _("next outage"),
    Urgency.WATCH: _("watch"),
}
WAITING_WORDS: dict[Waiting, Words] = {
    Waiting.PARTS: _("parts"),
    Waiting.OUTAGE: _("an outage"),
    Waiting.PEOPLE: _("people"),
}
# What a person does who makes a move; back moves say where the order goes.
MOVE_WORDS: dict[OrderState, Words] = {
    OrderState.PROPOSED: _("Back to proposed"),
    OrderState.APPROVED: _("Approve"),
    OrderState.SCHEDULED: _("Schedule"),
    OrderState.IN_HAND: _("Take in hand"),
    OrderState.DONE: _("Report done"),
    OrderState.DECLINED: _("Decline"),
    OrderState.CANCELLED: _("Cancel"),
}
BACK_WORDS: dict[OrderState, Words] = {
    OrderState.PROPOSED: _("Back to proposed"),
    OrderState.APPROVED: _("Back to approved"),
    OrderState.SCHEDULED: _("Back to scheduled"),
    OrderState.IN_HAND: _("Back in hand"),
}
