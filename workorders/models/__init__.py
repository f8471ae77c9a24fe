"""Tables of work; Django needs the re-exports."""

from workorders.models import search_triggers
from workorders.models.order_log import OrderChange, OrderMove, OrderNote
from workorders.models.proof_run import ProofRun
from workorders.models.work_order import WorkOrder, WorkStep

__all__ = [
    "OrderChange",
    "OrderMove",
    "OrderNote",
    "ProofRun",
    "WorkOrder",
    "WorkStep",
    "search_triggers",
]
