"""Whether a look, finding or photo is to count: the state that a page's button asks for."""

from django.core.exceptions import BadRequest
from django.http import HttpRequest

_ASKED = {"yes": True, "no": False}


def counts_asked(request: HttpRequest) -> bool:
    """The wanted state, not a change of it: a button pressed twice asks for the same thing."""
    try:
        return _ASKED[request.POST.get("counts", "")]
    except KeyError:
        raise BadRequest("counts must be yes or no") from None
