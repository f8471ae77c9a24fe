"""The root certificate of `manage.py demo --tls`, for phones that are to trust it."""

from pathlib import Path

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe


@login_not_required
@never_cache
@require_safe
def local_root(request: HttpRequest) -> HttpResponse:
    """The certificate, never its key; 404 on a site that does not do TLS by itself."""
    if not settings.LOCAL_ROOT_CERTIFICATE:
        raise Http404
    try:
        content = Path(settings.LOCAL_ROOT_CERTIFICATE).read_bytes()
    except FileNotFoundError:
        # The data folder was emptied under the running demo.
        raise Http404 from None
    return HttpResponse(
        content,
        content_type="application/x-x509-ca-cert",
        headers={"Content-Disposition": 'attachment; filename="loopwright-demo-root.crt"'},
    )
