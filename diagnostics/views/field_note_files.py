"""Photos of field notes, handed out to who may see them."""

from django.http import HttpRequest, HttpResponse
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_safe

from diagnostics.models import NotePhoto
from plant import access
from plant.access import needs
from plant.handing_out import picture_answer
from plant.roles import Permission

# A photo never changes under its address; whoever shares the machine must not be shown it, though.
_private = cache_control(private=True, max_age=3600)


@_private
@require_safe
@needs(Permission.SEE)
def note_photo(request: HttpRequest, pk: int) -> HttpResponse:
    return picture_answer(_asked(request, pk).file, f"note-{pk}.jpg")


@_private
@require_safe
@needs(Permission.SEE)
def note_photo_small(request: HttpRequest, pk: int) -> HttpResponse:
    return picture_answer(_asked(request, pk).small_file, f"note-{pk}-small.jpg")


def _asked(request: HttpRequest, pk: int) -> NotePhoto:
    return access.one_visible(NotePhoto.objects.all(), request.user, pk=pk)
