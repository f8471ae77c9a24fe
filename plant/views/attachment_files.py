"""One picture or drawing handed out to somebody who may see it."""

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_safe

from plant import access
from plant.access import needs
from plant.handing_out import attachment_answer, picture_answer
from plant.models import Attachment
from plant.roles import Permission
from plant.views.keeping import conveyor_or_404

# A file never changes under its address; whoever shares the machine must not be shown it, though.
_private = cache_control(private=True, max_age=3600)


@_private
@require_safe
@needs(Permission.SEE)
def attachment(request: HttpRequest, plant_code: str, tag: str, pk: int) -> HttpResponse:
    row = _asked(request, plant_code, tag, pk)
    return attachment_answer(row)


@_private
@require_safe
@needs(Permission.SEE)
def attachment_small(request: HttpRequest, plant_code: str, tag: str, pk: int) -> HttpResponse:
    row = _asked(request, plant_code, tag, pk)
    if not row.is_picture:
        raise Http404
    return picture_answer(row.small_file, f"{row.pk}-small.jpg")


def _asked(request: HttpRequest, plant_code: str, tag: str, pk: int) -> Attachment:
    row = conveyor_or_404(request, plant_code, tag)
    return access.one_visible(Attachment.objects.all(), request.user, conveyor=row, pk=pk)
