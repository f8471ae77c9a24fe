"""Keeps what the search looks through in step with knowledge and cases.

Of cases, triggers write what is owed in the transaction of the change (see
models/search_triggers.py); the sweep reads those cases anew. Of knowledge, the version says
whether it is there: whoever needs one that is missing fills it. Nothing here can be lost: dropping
all rows and owing every case makes them anew.
"""

from collections.abc import Iterable
from datetime import timedelta

from django.db import connection, transaction
from django.db.models import Model
from django.utils import timezone

from diagnostics import knowledge_files
from diagnostics.edition_states import EditionState
from diagnostics.knowledge_entries import Library
from diagnostics.models import Case, KnowledgeEdition
from diagnostics.models.search import SearchEntry, SearchOwed, SearchShelf, SearchWord
from diagnostics.selectors import searched_texts, shelf
from diagnostics.selectors.searched_texts import SearchedText
from plant import slips

_CASES_AT_ONCE = 200
# Of one sweep, so that other owed work is not kept waiting.
_ROUNDS = 10
# A number of our own for the database's locks.
_LOCK = 7_215_001
# Somebody may still be on a page of the version that was in force a moment ago.
_KEPT_FOR = timedelta(hours=1)
_LONGEST_WORD = 40
_SHORTEST_WORD = 4


def fill_owed() -> int:
    """Read the cases anew whose texts have changed; returns how many."""
    done = 0
    for _round in range(_ROUNDS):
        some = _fill_some()
        done += some
        if some == 0:
            break
    return done


@transaction.atomic
def _fill_some() -> int:
    # One at a time: of two readers of a case, the earlier could write what it read last.
    if not SearchOwed.objects.exists() or not _locked():
        return 0
    first = SearchOwed.objects.order_by("pk").values_list("case_id", flat=True)
    case_ids = sorted(set(first[:_CASES_AT_ONCE]))
    # Named before the texts are read: a row that comes meanwhile is owed still.
    read = list(SearchOwed.objects.filter(case_id__in=case_ids).values_list("pk", flat=True))
    with shelf.one_page():
        _keep_cases(searched_texts.of_cases(case_ids))
    SearchOwed.objects.filter(pk__in=read).delete()
    return len(case_ids)


def _locked() -> bool:
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_try_advisory_xact_lock(%s)", [_LOCK])
        return bool(cursor.fetchone()[0])


def _keep_cases(texts: Iterable[SearchedText]) -> None:
    entries, words = [], dict[int, set[str]]()
    for text in texts:
        assert text.case is not None
        plant_id = text.case.conveyor.plant_id
        entries.append(_entry(text, case=text.case, plant_id=plant_id))
        words.setdefault(plant_id, set()).update(_words_of(text))
    SearchEntry.objects.bulk_create(
        entries,
        update_conflicts=True,
        unique_fields=["case"],
        update_fields=["plant", "key", "title", "says", "more"],
    )
    for plant_id, said in words.items():
        _keep_words(said, plant_id=plant_id)


def fill_shelf(library: Library) -> SearchShelf:
    """Put a version of knowledge into the search unless it is there already."""
    version = library.knowledge.version
    return SearchShelf.objects.filter(version=version).first() or _fill_shelf(library, version)


@transaction.atomic
def _fill_shelf(library: Library, version: str) -> SearchShelf:
    # Whoever fills the same version at this moment is waited for by the unique version.
    filled, is_new = SearchShelf.objects.get_or_create(version=version)
    if is_new:
        texts = searched_texts.of_library(library)
        SearchEntry.objects.bulk_create([_entry(text, shelf=filled) for text in texts])
        _keep_words({word for text in texts for word in _words_of(text)}, shelf_id=filled.pk)
        _drop_unused(but=filled)
    return filled


def _drop_unused(*, but: SearchShelf) -> None:
    in_force = KnowledgeEdition.objects.filter(state=EditionState.IN_FORCE.value)
    used = {one.version_text for one in in_force.defer("contents")}
    used |= {but.version, knowledge_files.current().version}
    old = SearchShelf.objects.filter(filled_at__lt=timezone.now() - _KEPT_FOR)
    old.exclude(version__in=used).delete()


@transaction.atomic
def fill_anew() -> None:
    """Forget everything and owe every case; knowledge fills itself when it is next asked for."""
    # Notes keep themselves.
    SearchEntry.objects.filter(note=None).delete()
    SearchWord.objects.all().delete()
    SearchShelf.objects.all().delete()
    cases = Case.objects.values_list("pk", flat=True)
    SearchOwed.objects.bulk_create([SearchOwed(case_id=pk) for pk in cases], batch_size=1000)


def _entry(text: SearchedText, **whose: Model | int) -> SearchEntry:
    return SearchEntry(
        kind=text.kind, key=text.key, title=text.title, says=text.says, more=text.more, **whose
    )


def _words_of(text: SearchedText) -> set[str]:
    words = slips.plain_words(f"{text.title} {text.says} {text.more}")
    return {
        word for word in words if _SHORTEST_WORD <= len(word) <= _LONGEST_WORD and word.isalpha()
    }


def _keep_words(words: Iterable[str], **whose: int) -> None:
    rows = [SearchWord(word=word, **whose) for word in sorted(words)]
    SearchWord.objects.bulk_create(rows, ignore_conflicts=True, batch_size=2000)
