"""/metrics: figures of the running site as text, for whoever has the token."""

from collections.abc import Iterator
from hmac import compare_digest

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe
from prometheus_client import CollectorRegistry, generate_latest
from prometheus_client.core import (
    CounterMetricFamily,
    GaugeMetricFamily,
    HistogramMetricFamily,
    Metric,
)
from prometheus_client.exposition import CONTENT_TYPE_LATEST
from prometheus_client.registry import Collector

from plant import site_figures
from plant.services import request_counts
from plant.site_figures import Durations, Figure

_OURS = "loopwright_"


@login_not_required
@never_cache
@require_safe
def metrics(request: HttpRequest) -> HttpResponse:
    """404 on a site that names no token; 401 for another one."""
    if not settings.METRICS_TOKEN:
        raise Http404
    if not _knows_the_token(request):
        answer = HttpResponse("Send METRICS_TOKEN as a bearer token.\n", status=401)
        answer.headers["Content-Type"] = "text/plain; charset=utf-8"
        answer.headers["WWW-Authenticate"] = 'Bearer realm="Loopwright"'
        return answer
    # What this very process has counted; the others' is there within seconds of their requests.
    request_counts.of_this_process.write()
    registry = CollectorRegistry(auto_describe=False)
    registry.register(_Figures())
    return HttpResponse(generate_latest(registry), content_type=CONTENT_TYPE_LATEST)


def _knows_the_token(request: HttpRequest) -> bool:
    word, _space, token = request.headers.get("Authorization", "").partition(" ")
    is_same = compare_digest(token.strip().encode(), settings.METRICS_TOKEN.encode())
    return word.lower() == "bearer" and is_same


class _Figures(Collector):
    def collect(self) -> Iterator[Metric]:
        for told in site_figures.read_all():
            yield _histogram(told) if isinstance(told, Durations) else _family(told)


def _family(figure: Figure) -> Metric:
    names = sorted({name for sample in figure.samples for name in sample.of})
    family = CounterMetricFamily if figure.is_counter else GaugeMetricFamily
    metric = family(f"{_OURS}{figure.name}", figure.words, labels=names)
    for sample in figure.samples:
        metric.add_metric([sample.of[name] for name in names], sample.value)
    return metric


def _histogram(durations: Durations) -> Metric:
    names = sorted({name for row in durations.rows for name in row[0]})
    metric = HistogramMetricFamily(f"{_OURS}{durations.name}", durations.words, labels=names)
    for of, under, count, seconds in durations.rows:
        buckets = [
            (str(bound), number) for bound, number in zip(durations.bounds_s, under, strict=True)
        ]
        metric.add_metric([of[name] for name in names], [*buckets, ("+Inf", count)], seconds)
    return metric
