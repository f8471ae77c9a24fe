"""What every page of the site needs from diagnosis."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

from diagnostics.selectors import shelf


class OneEditionAPage:
    """A list that names a hundred causes asks once which edition of knowledge its plant goes by."""

    def __init__(self, answer: Callable[[HttpRequest], HttpResponse]) -> None:
        self.answer = answer

    def __call__(self, request: HttpRequest) -> HttpResponse:
        with shelf.one_page():
            return self.answer(request)
