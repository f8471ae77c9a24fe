"""`manage.py knowledge export|import`: what the pages of bundles do, for whoever has the server."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.urls import reverse
from django.utils import timezone

from diagnostics.bundles.faults import BundleRefused
from diagnostics.bundles.reading import LARGEST_BYTES
from diagnostics.knowledge_change_words import KINDS_WORDS
from diagnostics.knowledge_comparison import Kind
from diagnostics.models import KnowledgeBundle, KnowledgeEdition
from diagnostics.selectors import bundles as selector
from diagnostics.selectors import shelf
from diagnostics.services import bundle_taking
from plant.errors import DomainError
from plant.models import Plant


class Command(BaseCommand):
    help = "Write a plant's knowledge as a bundle, or bring a bundle in; never straight into force."

    def add_arguments(self, parser: CommandParser) -> None:
        parts = parser.add_subparsers(dest="part", required=True)
        out = parts.add_parser("export", help="to standard output")
        out.add_argument("plant", help="code of the plant")
        out.add_argument("--edition", type=int, help="its number; what is in force unless given")
        into = parts.add_parser("import", help="read, check, keep and compare a bundle")
        into.add_argument("plant", help="code of the plant")
        into.add_argument("file", type=Path)
        into.add_argument("--why", help="reason; with it the bundle is taken into the draft")
        into.add_argument("--drop", action="store_true", help="also drop what only the plant has")

    def handle(self, *args: Any, **options: Any) -> None:
        plant = Plant.objects.filter(code=options["plant"]).first()
        if plant is None:
            raise CommandError(f"There is no plant {options['plant']!r}.")
        if options["part"] == "export":
            self._export(plant, options["edition"])
            return
        bundle = self._taken(plant, options["file"])
        if options["why"]:
            self._into_draft(bundle, options["why"], is_dropping=options["drop"])

    def _export(self, plant: Plant, number: int | None) -> None:
        edition = shelf.edition_in_force(plant.pk)
        if number is not None:
            edition = KnowledgeEdition.objects.filter(plant=plant, number=number).first()
            if edition is None:
                raise CommandError(f"{plant.code} has no edition {number}.")
        self.stdout.write(selector.bundle_text(plant, edition, timezone.now()), ending="")

    def _taken(self, plant: Plant, path: Path) -> KnowledgeBundle:
        try:
            with path.open("rb") as file:
                # One byte more is enough to see that it is too large.
                content = file.read(LARGEST_BYTES + 1)
            bundle = bundle_taking.take_bundle(
                plant=plant, name=path.name, content=content, by=None, now=timezone.now()
            )
        except OSError as error:
            raise CommandError(f"{path}: {error.strerror}") from error
        except BundleRefused as refusal:
            raise CommandError(f"Nothing of {path} is used:\n{refusal}") from refusal
        for one in selector.preview_of(bundle).counts:
            told = f"{one.new} new, {one.changed} changed, {one.same} the same"
            self.stdout.write(f"{KINDS_WORDS[one.kind]}: {told}, {one.gone} only here")
        self.stdout.write(f"Compare it at {reverse('bundle', args=[bundle.pk])}")
        return bundle

    def _into_draft(self, bundle: KnowledgeBundle, why: str, *, is_dropping: bool) -> None:
        try:
            draft = bundle_taking.take_into_draft(
                bundle_id=bundle.pk,
                kinds=list(Kind),
                is_dropping=is_dropping,
                seen=selector.preview_of(bundle).seen,
                why=why,
                by=None,
                now=timezone.now(),
            )
        except DomainError as refusal:
            raise CommandError(str(refusal)) from refusal
        self.stdout.write(f"In the draft of edition {draft.number}; publish it on its page.")
