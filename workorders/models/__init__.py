"""Tables of work; Django needs the re-exports."""

from workorders.models import feed_triggers, search_triggers
from workorders.models.calendar_file import CalendarFile
from workorders.models.campaign import Campaign
from workorders.models.condition_limit import ConditionLimit
from workorders.models.crew import Crew, CrewAbsence, CrewShift
from workorders.models.due import DueItem, DueOrder, DueState
from workorders.models.hand_over import HandOverNote, Reminder, ReminderWish
from workorders.models.monthly_report import (
    MonthlyReport,
    MonthlyReportMail,
    MonthlyReportSetting,
)
from workorders.models.order_link import OrderLink
from workorders.models.order_log import OrderChange, OrderMove, OrderNote
from workorders.models.order_photo import OrderPhoto
from workorders.models.outage_window import OutageSeries, OutageWindow
from workorders.models.part import OrderPart, Part, PartDue, PartMovement
from workorders.models.part_use import PartUse
from workorders.models.plan_run import PlanRun
from workorders.models.proof_run import ProofRun
from workorders.models.proof_watch import ProofLook, ProofWatch
from workorders.models.raising_setting import RaisingSetting
from workorders.models.renewal import Renewal
from workorders.models.replacement_costs import ReplacementCosts
from workorders.models.shift_made import ShiftMade
from workorders.models.status_file import PickUp, StatusFile, StatusRow
from workorders.models.time_booking import TimeBooking
from workorders.models.work_order import WorkOrder, WorkStep

__all__ = [
    "CalendarFile",
    "Campaign",
    "ConditionLimit",
    "Crew",
    "CrewAbsence",
    "CrewShift",
    "DueItem",
    "DueOrder",
    "DueState",
    "HandOverNote",
    "MonthlyReport",
    "MonthlyReportMail",
    "MonthlyReportSetting",
    "OrderChange",
    "OrderLink",
    "OrderMove",
    "OrderNote",
    "OrderPart",
    "OrderPhoto",
    "OutageSeries",
    "OutageWindow",
    "Part",
    "PartDue",
    "PartMovement",
    "PartUse",
    "PickUp",
    "PlanRun",
    "ProofLook",
    "ProofRun",
    "ProofWatch",
    "RaisingSetting",
    "Reminder",
    "ReminderWish",
    "Renewal",
    "ReplacementCosts",
    "ShiftMade",
    "StatusFile",
    "StatusRow",
    "TimeBooking",
    "WorkOrder",
    "WorkStep",
    "feed_triggers",
    "search_triggers",
]
