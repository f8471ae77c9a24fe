"""What was written in the orders of cases, as the search below asks for it."""

from collections import defaultdict
from collections.abc import Collection, Mapping

from workorders.models import OrderMove, OrderNote, OrderPhoto, ProofRun, WorkOrder


def texts_of_cases(case_ids: Collection[int]) -> Mapping[int, list[str]]:
    """Titles, corrections, notes, captions, reasons, what proof runs saw; five queries."""
    found: dict[int, list[str]] = defaultdict(list)
    orders = WorkOrder.objects.filter(case_id__in=case_ids).order_by("pk")
    for case_id, title, correction in orders.values_list("case_id", "title", "correction"):
        found[case_id] += [title, *_said_in(correction)]
    for rows, field in (
        (OrderNote.objects.filter(taken_back_at__isnull=True), "words"),
        (OrderPhoto.objects.standing().exclude(caption=""), "caption"),
        (OrderMove.objects.exclude(why=""), "why"),
        (ProofRun.objects.exclude(note=""), "note"),
    ):
        of_cases = rows.filter(order__case_id__in=case_ids).order_by("pk")
        for case_id, text in of_cases.values_list("order__case_id", field):
            found[case_id].append(text)
    return found


def _said_in(correction: dict[str, object] | None) -> list[str]:
    """What to do and where; figures and waiting times are no words to look for."""
    told = (correction or {}).get("what"), (correction or {}).get("where")
    return [text for text in told if isinstance(text, str)]
