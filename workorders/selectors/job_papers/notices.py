"""What stops a job before it begins: said above everything else, in a box."""

from collections.abc import Iterator

from django.utils.translation import gettext as _

from diagnostics.selectors.case_report import blocks
from diagnostics.selectors.case_report.blocks import Block
from workorders.models import OutageWindow, WorkOrder
from workorders.order_states import OPEN_STATES, OrderState
from workorders.selectors.job_papers import forms
from workorders.selectors.job_papers.rows import JobRecord


def stopped(record: JobRecord) -> Block:
    """A sheet that goes by the order's state would else be work by mistake."""
    window = record.order.window
    called_off = [called_off_words(window)] if window and window.called_off_at else []
    said = [*_of_state(record.order), *called_off]
    return blocks.section(_("Stop"), *(forms.boxed(words) for words in said))


def called_off_words(window: OutageWindow) -> str:
    said = _("This window is CALLED OFF: %(why)s. Nothing here may begin.")
    return said % {"why": window.called_off_why or _("no reason was given")}


def _of_state(order: WorkOrder) -> Iterator[str]:
    state = OrderState(order.state)
    if state is OrderState.PROPOSED:
        yield _("This order is only proposed: nothing here may begin before it is approved.")
    elif state not in OPEN_STATES:
        said = _("This order is %(state)s. Nothing here may begin.")
        yield said % {"state": order.get_state_display()}


def held(record: JobRecord) -> Iterator[Block]:
    """What must have happened before this work begins."""
    order = record.order
    if order.waiting_for:
        what = {"what": order.get_waiting_for_display(), "why": order.waiting_why}
        yield forms.boxed(_("Waits for %(what)s: %(why)s") % what)
    for before in record.waits_for:
        told = {
            "number": before.number,
            "title": before.title,
            "state": before.get_state_display(),
        }
        yield forms.boxed(_("Begins after %(number)s %(title)s (%(state)s)") % told)
