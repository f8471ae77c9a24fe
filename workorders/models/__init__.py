"""Tables of work; Django needs the re-exports."""

from workorders.models.work_order import OrderMove, OrderNote, WorkOrder, WorkStep

__all__ = ["OrderMove", "OrderNote", "WorkOrder", "WorkStep"]
