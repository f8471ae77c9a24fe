"""Tables of complaints, cases, walk-downs and diagnoses; Django needs the re-exports."""

from diagnostics.models import feed_triggers
from diagnostics.models.case import Case, CaseMove
from diagnostics.models.complaint import Complaint
from diagnostics.models.diagnosis import Diagnosis, Hypothesis
from diagnostics.models.fault_reckoning import BeltFaults, FaultReckoning
from diagnostics.models.field_note import EarlierText, FieldNote, NotePhoto
from diagnostics.models.finding import Finding
from diagnostics.models.knowledge_bundle import KnowledgeBundle
from diagnostics.models.knowledge_edition import KnowledgeChange, KnowledgeEdition
from diagnostics.models.knowledge_trial import KnowledgeTrial, TriedCase
from diagnostics.models.learning import BaseRateWeights, SetAside
from diagnostics.models.photo import Photo
from diagnostics.models.pocket_entry import PocketEntry
from diagnostics.models.search import SearchEntry, SearchOwed, SearchShelf, SearchWord
from diagnostics.models.search_triggers import owes_search
from diagnostics.models.timed_look import TimedLook
from diagnostics.models.walk_down import Sighting, WalkDown

__all__ = [
    "BaseRateWeights",
    "BeltFaults",
    "Case",
    "CaseMove",
    "Complaint",
    "Diagnosis",
    "EarlierText",
    "FaultReckoning",
    "FieldNote",
    "Finding",
    "Hypothesis",
    "KnowledgeBundle",
    "KnowledgeChange",
    "KnowledgeEdition",
    "KnowledgeTrial",
    "NotePhoto",
    "Photo",
    "PocketEntry",
    "SearchEntry",
    "SearchOwed",
    "SearchShelf",
    "SearchWord",
    "SetAside",
    "Sighting",
    "TimedLook",
    "TriedCase",
    "WalkDown",
    "feed_triggers",
    "owes_search",
]
