"""The files of this installation, and what is said about files that cannot be used."""

import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
import yaml
from django.conf import settings
from django.core.management import call_command
from django.core.management.base import SystemCheckError

from diagnostics import knowledge_files
from diagnostics.inference.vocabulary import CauseClass
from diagnostics.knowledge_schema import SHAPES, KnowledgeError

FIXTURES = Path(settings.BASE_DIR) / "fixtures"
Edit = Callable[[str, str, str], None]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for file in SHAPES:
        shutil.copy(FIXTURES / file, tmp_path / file)
    return tmp_path


@pytest.fixture
def edit(folder: Path) -> Edit:
    """Change the first place where the old text stands; a test that changes nothing fails."""

    def change(file: str, old: str, new: str) -> None:
        text = (folder / file).read_text(encoding="utf-8")
        assert old in text
        (folder / file).write_text(text.replace(old, new, 1), encoding="utf-8")

    return change


def refusal(folder: Path) -> KnowledgeError:
    with pytest.raises(KnowledgeError) as caught:
        knowledge_files.load(folder)
    return caught.value


def test_the_installed_files_load_without_a_database() -> None:
    knowledge = knowledge_files.current()

    assert len(knowledge.causes) >= 40
    assert {cause.cause_class for cause in knowledge.causes.values()} == set(CauseClass)
    assert set(knowledge_files.work_methods()) == {
        cause.work_method for cause in knowledge.causes.values()
    }


def test_the_version_names_date_number_and_contents(folder: Path, edit: Edit) -> None:
    before = knowledge_files.load(folder).knowledge.version
    edit("causes.yaml", "squealing, smoking", "squealing or smoking")
    after = knowledge_files.load(folder).knowledge.version

    assert re.fullmatch(r"\d{4}-\d{2}-\d{2} no\. \d+ \([0-9a-f]{12}\)", before)
    assert before != after
    # Kept with each diagnosis in a field of 80 characters.
    assert len(before) <= 80


def test_the_same_files_give_the_same_version(folder: Path) -> None:
    assert knowledge_files.load(folder).knowledge.version == knowledge_files.current().version


def test_a_class_stands_for_the_causes_its_rule_does_not_name() -> None:
    knowledge = knowledge_files.current()
    rule = next(rule for rule in knowledge.rules if rule.slug == "row-before-skirts")
    ratios = {one.cause: one.ratio for one in rule.speaks}

    assert ratios["tail_pulley_skewed"] == 8
    assert ratios["tail_pulley_out_of_level"] == 5
    assert len(ratios) == len(rule.speaks)


def test_a_caution_carries_its_source() -> None:
    sentence = knowledge_files.current().cautions["isolate-lock-try"]

    assert "29 CFR 1910.147" in sentence


@pytest.mark.parametrize(
    ("file", "old", "new", "entry", "field", "says"),
    [
        (
            "causes.yaml",
            "- slug: structure_bowed",
            "- slug: carrying_idlers_skewed",
            "carrying_idlers_skewed",
            "slug",
            "two entries",
        ),
        (
            "causes.yaml",
            "    minutes: 20",
            "    minutes: soon",
            "carrying_idlers_skewed",
            "confirm.minutes",
            "type number",
        ),
        (
            "causes.yaml",
            "    minutes: 20",
            "    minutes: -5",
            "carrying_idlers_skewed",
            "confirm.minutes",
            "above 0",
        ),
        (
            "causes.yaml",
            "    minutes: 20",
            "    minutes: .nan",
            "carrying_idlers_skewed",
            "confirm.minutes",
            "finite",
        ),
        (
            "causes.yaml",
            "  weight: 5",
            "  weight: .inf",
            "carrying_idlers_skewed",
            "weight",
            "finite",
        ),
        (
            "causes.yaml",
            "  weight: 5\n",
            "",
            "carrying_idlers_skewed",
            "",
            "lacks weight",
        ),
        (
            "causes.yaml",
            "  weight: 5",
            "  wheight: 5\n  weight: 5",
            "carrying_idlers_skewed",
            "",
            "does not know wheight",
        ),
        (
            "causes.yaml",
            "  class: carrying_idler_structure",
            "  class: idlers",
            "carrying_idlers_skewed",
            "class",
            "is not one of",
        ),
        (
            "causes.yaml",
            "stands_at: [troughing_idlers, impact_idlers, transition_idlers]",
            "stands_at: [rollers]",
            "carrying_idlers_skewed",
            "stands_at",
            "troughing_idlers",
        ),
        (
            "causes.yaml",
            "needs: [screw take-up]",
            "needs: [screws]",
            "screw_take_up_uneven",
            "needs",
            "screw take-up",
        ),
        (
            "causes.yaml",
            "    - cause: structure_bowed",
            "    - cause: structure_bent",
            "carrying_idlers_skewed",
            "look_alikes",
            "no 'structure_bent'",
        ),
        (
            "causes.yaml",
            "    - cause: structure_bowed",
            "    - cause: carrying_idlers_skewed",
            "carrying_idlers_skewed",
            "look_alikes",
            "itself",
        ),
        (
            "causes.yaml",
            "cautions: [stay-outside-guards, never-reach-in, isolate-lock-try, shifting",
            "cautions: [be-careful, never-reach-in, isolate-lock-try, shifting",
            "carrying_idlers_skewed",
            "cautions",
            "no 'be-careful'",
        ),
        (
            "causes.yaml",
            "work_method: square-troughing-idlers",
            "work_method: hit-it",
            "carrying_idlers_skewed",
            "work_method",
            "no 'hit-it'",
        ),
        (
            "causes.yaml",
            "  shift: troughing idler",
            "  shift: the belt",
            "carrying_idlers_skewed",
            "shift",
            "is not one of",
        ),
        (
            "rules.yaml",
            "    onset: [already off where the return run brings it to the tail]",
            "    onset: [at the tail]",
            "row-tail-arrives-off",
            "when.onset",
            "is not one of",
        ),
        (
            "rules.yaml",
            "    onset: [already off where the return run brings it to the tail]",
            "    place: [tail]",
            "row-tail-arrives-off",
            "when",
            "known are onset",
        ),
        (
            "rules.yaml",
            "    - {cause: return_idler_skewed, ratio: 6}",
            "    - {cause: return_idler_skewed, ratio: 0}",
            "row-tail-arrives-off",
            "speaks",
            "above 0",
        ),
        (
            "rules.yaml",
            "    - {cause: return_idler_skewed, ratio: 6}",
            "    - {cause: return_idler_skewed, ratio: 1.0e+9}",
            "row-tail-arrives-off",
            "speaks",
            "at most 100",
        ),
        (
            "rules.yaml",
            "    - {cause: return_idler_skewed, ratio: 6}",
            "    - {cause: return_idler_askew, ratio: 6}",
            "row-tail-arrives-off",
            "speaks",
            "no 'return_idler_askew'",
        ),
        (
            "rules.yaml",
            "    - {cause: return_idler_skewed, ratio: 6}",
            "    - {cause: return_idler_dropped, ratio: 5}",
            "row-tail-arrives-off",
            "speaks",
            "twice",
        ),
        (
            "rules.yaml",
            "    - {cause: return_idler_skewed, ratio: 6}",
            "    - {cause: return_idler_skewed, class: loading, ratio: 6}",
            "row-tail-arrives-off",
            "speaks",
            "either cause or class",
        ),
        (
            "cautions.yaml",
            "- slug: never-reach-in",
            "- slug: stay-outside-guards",
            "stay-outside-guards",
            "slug",
            "two entries",
        ),
        (
            "work_methods.yaml",
            "  hours: 5.5",
            "  hours: 7",
            "square-troughing-idlers",
            "hours",
            "add up to 5.5",
        ),
        (
            "work_methods.yaml",
            "skill: mechanic}",
            "skill: wizard}",
            "square-troughing-idlers",
            "steps",
            "is not one of",
        ),
    ],
)
def test_a_faulty_entry_is_refused_by_file_entry_and_field(
    folder: Path, edit: Edit, file: str, old: str, new: str, entry: str, field: str, says: str
) -> None:
    edit(file, old, new)

    error = refusal(folder)

    assert (error.file, error.entry) == (file, entry)
    assert error.field.startswith(field)
    assert says in str(error)
    assert str(error).startswith(f"{file}, {entry}")
    assert "\n" not in str(error)


def test_one_check_cannot_confirm_two_causes(folder: Path) -> None:
    path = folder / "causes.yaml"
    document = yaml.safe_load(path.read_text(encoding="utf-8"))
    first, second = document["causes"][:2]
    second["confirm"]["what"] = first["confirm"]["what"].upper() + " "
    path.write_text(yaml.safe_dump(document), encoding="utf-8")

    error = refusal(folder)

    assert (error.entry, error.field) == (second["slug"], "confirm.what")
    assert first["slug"] in str(error)


def test_an_entry_without_a_slug_is_named_by_its_number(folder: Path, edit: Edit) -> None:
    edit("causes.yaml", "- slug: structure_bowed\n  name:", "- name:")

    error = refusal(folder)

    assert error.entry == "entry 2"
    assert "lacks slug" in str(error)


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "type object"),
        (b"[]", "type object"),
        (b"causes: [", "no YAML"),
        (b"\xff\xfe\x00", "no YAML"),
        (b"causes: !!python/object/apply:os.system ['true']", "no YAML"),
        (b"version: 1\nversion: 2\n", "given twice"),
        (b"? [a, b]\n: 1\n", "is not a word"),
        (b"version: 0x" + b"f" * 5000, "too large"),
        (b"version: !!bool perhaps", "no YAML"),
        (b"version: !!timestamp perhaps", "no YAML"),
        (b"a: &a [1, 2]\nb: [*a, *a]\n", "only texts may be shared"),
        (b"[" * 50 + b"]" * 50, "nested deeper"),
        (b"version: 1\ndate: '2026-11-25'\ncauses: []\n", "needs at least 1"),
    ],
)
def test_what_is_no_knowledge_file_is_refused(folder: Path, content: bytes, says: str) -> None:
    (folder / "causes.yaml").write_bytes(content)

    error = refusal(folder)

    assert error.file == "causes.yaml"
    assert says in str(error)
    assert "\n" not in str(error)


def test_a_date_is_written_as_text(folder: Path, edit: Edit) -> None:
    edit("causes.yaml", 'date: "2026-11-25"', "date: 2026-11-25")

    error = refusal(folder)

    assert (error.file, error.field) == ("causes.yaml", "date")
    assert "type string" in str(error)


def test_a_missing_file_is_named(folder: Path) -> None:
    (folder / "rules.yaml").unlink()

    error = refusal(folder)

    assert error.file == "rules.yaml"
    assert "cannot be read" in str(error)


def test_a_file_too_large_is_not_read(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(knowledge_files, "LARGEST_FILE_BYTES", 1000)

    assert "larger than 1000 bytes" in str(refusal(folder))


def test_the_system_check_reports_broken_knowledge(
    folder: Path, edit: Edit, monkeypatch: pytest.MonkeyPatch
) -> None:
    edit("rules.yaml", "ratio: 6}", "ratio: 0}")
    monkeypatch.setattr(knowledge_files, "_installed", lambda: knowledge_files.load(folder))

    with pytest.raises(SystemCheckError, match=r"loopwright\.E101.*row-tail-arrives-off"):
        call_command("check", "--tag", "knowledge")


def test_the_system_check_is_silent_on_sound_knowledge() -> None:
    call_command("check", "--tag", "knowledge")
