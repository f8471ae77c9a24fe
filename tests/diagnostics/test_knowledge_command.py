"""`manage.py knowledge`: bundles for whoever has the server but no browser."""

from io import StringIO

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

from diagnostics.knowledge_comparison import Kind, entries_of
from diagnostics.models import KnowledgeBundle, KnowledgeEdition
from tests.diagnostics import bundle_rows, editions
from tests.diagnostics.factories import make_plant

pytestmark = pytest.mark.django_db
RULE = "row-before-skirts"


def run(*args):
    out = StringIO()
    call_command("knowledge", *(str(one) for one in args), stdout=out)
    return out.getvalue()


def test_knowledge_goes_from_plant_to_plant_into_a_draft(tmp_path):
    ours, theirs = make_plant(), make_plant(code="QRY", name="Larkwater Quarry")
    editions.publish_change(theirs, RULE, says="Look at the tail.")
    path = tmp_path / "quarry.yaml"
    path.write_text(run("export", "QRY"), encoding="utf-8")

    said = run("import", ours.code, path, "--why", "they have it right")

    assert "Rules: 0 new, 1 changed" in said
    draft = KnowledgeEdition.objects.get(plant=ours)
    assert draft.is_draft
    assert entries_of(draft.contents, Kind.RULE)[RULE]["says"] == "Look at the tail."


def test_without_a_reason_a_bundle_is_only_compared(tmp_path):
    path = tmp_path / "few.json"
    path.write_bytes(bundle_rows.text(cautions=[bundle_rows.caution()]))

    said = run("import", make_plant().code, path)

    assert "Cautions: 1 new" in said
    assert KnowledgeBundle.objects.count() == 1
    assert not KnowledgeEdition.objects.exists()


def test_what_cannot_be_done_is_said_and_changes_nothing(tmp_path):
    plant = make_plant()
    path = tmp_path / "wrong.yaml"
    path.write_bytes(b"format: loopwright-knowledge\nformat_version: 9\n")

    for args, says in (
        (("import", plant.code, path, "--why", "x"), "line 2, format_version"),
        (("import", plant.code, tmp_path / "none.yaml"), "No such file"),
        (("import", "ELSEWHERE", path), "no plant 'ELSEWHERE'"),
        (("export", plant.code, "--edition", "4"), "no edition 4"),
    ):
        with pytest.raises(CommandError, match=says):
            run(*args)

    assert not KnowledgeBundle.objects.exists()
