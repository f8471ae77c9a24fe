"""Whatever writes a text of an order, and however, owes the search a new reading of its case."""

from diagnostics.models.search_triggers import OWN_CASE, owes_search
from workorders.models.order_log import OrderMove, OrderNote
from workorders.models.order_photo import OrderPhoto
from workorders.models.proof_run import ProofRun
from workorders.models.work_order import WorkOrder

_CASE_OF_ORDER = "SELECT one.case_id FROM workorders_workorder AS one WHERE one.id = {row}.order_id"

owes_search(OWN_CASE, "case_id", "title", "correction")(WorkOrder)
for model, columns in (
    (OrderMove, ("why",)),
    (OrderNote, ("words", "taken_back_at")),
    (OrderPhoto, ("caption", "taken_back_at")),
    (ProofRun, ("note",)),
):
    owes_search(_CASE_OF_ORDER, *columns)(model)
