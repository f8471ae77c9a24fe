"""Tables of charts as files, under the address of the page that shows them.

A view hands its charts to `with_files` and answers `file_asked(...) or render(...)`; then each
table can be taken away, for just what the page shows.
"""

from collections.abc import Iterable
from dataclasses import replace

from django.http import Http404, HttpRequest, HttpResponse

from plant.chart_view import ChartView

PARAMETER = "table"


def with_files(request: HttpRequest, charts: Iterable[ChartView]) -> list[ChartView]:
    """The charts, each with the address of its file where it has none of its own."""
    return [
        chart if chart.file_address else replace(chart, file_address=_address(request, chart.slug))
        for chart in charts
    ]


def with_file(request: HttpRequest, chart: ChartView | None) -> ChartView | None:
    """The same of one chart, where there may be none."""
    return None if chart is None else with_files(request, [chart])[0]


def file_asked(request: HttpRequest, charts: Iterable[ChartView | None]) -> HttpResponse | None:
    """The file that was asked for, None where the page itself was; unknown tables are 404."""
    slug = request.GET.get(PARAMETER)
    if slug is None:
        return None
    for chart in charts:
        if chart is not None and chart.slug == slug:
            return chart.file()
    raise Http404(slug)


def _address(request: HttpRequest, slug: str) -> str:
    query = request.GET.copy()
    query[PARAMETER] = slug
    return f"{request.path}?{query.urlencode()}"
