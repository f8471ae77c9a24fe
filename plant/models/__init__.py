"""Tables of the register; Django needs the re-exports."""

from plant.models.api_answer import ApiAnswer
from plant.models.api_key import ApiKey
from plant.models.attachment import Attachment
from plant.models.belt import Belt, BeltMark, Splice
from plant.models.belt_work import BeltWork
from plant.models.component import Component
from plant.models.condition_reading import ConditionReading
from plant.models.connected_system import (
    ConnectedSystem,
    WordingChange,
    WordingEntry,
    WordingGap,
)
from plant.models.conveyor import Conveyor
from plant.models.exchange import ExchangeCursor, ExchangeFile, ExchangeRun, ExchangeSetting
from plant.models.feed import ChangeKind, Feed, FeedArrival, FeedChange, FeedPosition
from plant.models.feed_triggers import Told, told_in_feed
from plant.models.key_log import KeyLogEntry
from plant.models.meter_reading import MeterReading
from plant.models.password_link import PasswordLink
from plant.models.plant import Plant
from plant.models.register_changes import (
    AttachmentChange,
    BeltChange,
    BeltMarkChange,
    ComponentChange,
    ConditionReadingChange,
    ConveyorChange,
    MeterReadingChange,
    PlantChange,
    RollChangeChange,
    SpliceChange,
)
from plant.models.register_import import PlannedRow, RegisterImport
from plant.models.request_pace import RequestPace
from plant.models.roll_change import RollChange
from plant.models.site_counts import RequestCount, SweepCount
from plant.models.user import User
from plant.models.webhook import WebhookDelivery, WebhookSecret, WebhookTarget

__all__ = [
    "ApiAnswer",
    "ApiKey",
    "Attachment",
    "AttachmentChange",
    "Belt",
    "BeltChange",
    "BeltMark",
    "BeltMarkChange",
    "BeltWork",
    "ChangeKind",
    "Component",
    "ComponentChange",
    "ConditionReading",
    "ConditionReadingChange",
    "ConnectedSystem",
    "Conveyor",
    "ConveyorChange",
    "ExchangeCursor",
    "ExchangeFile",
    "ExchangeRun",
    "ExchangeSetting",
    "Feed",
    "FeedArrival",
    "FeedChange",
    "FeedPosition",
    "KeyLogEntry",
    "MeterReading",
    "MeterReadingChange",
    "PasswordLink",
    "PlannedRow",
    "Plant",
    "PlantChange",
    "RegisterImport",
    "RequestCount",
    "RequestPace",
    "RollChange",
    "RollChangeChange",
    "Splice",
    "SpliceChange",
    "SweepCount",
    "Told",
    "User",
    "WebhookDelivery",
    "WebhookSecret",
    "WebhookTarget",
    "WordingChange",
    "WordingEntry",
    "WordingGap",
    "told_in_feed",
]
