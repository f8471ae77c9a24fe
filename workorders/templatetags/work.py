"""What stands on every page of work."""

from django import template

from workorders.work_pages import PAGES, WorkPage

register = template.Library()


@register.simple_tag
def work_pages() -> tuple[WorkPage, ...]:
    return PAGES
