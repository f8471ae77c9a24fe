"""The site's addresses and one page that is broken on purpose."""

from django.http import HttpRequest, HttpResponse
from django.urls import path

from plant.config.urls import urlpatterns as of_the_site


def breaks(request: HttpRequest) -> HttpResponse:
    raise RuntimeError("the inside of the machine")


urlpatterns = [path("breaks/", breaks), *of_the_site]
