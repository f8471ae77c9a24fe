"""A work order's number in an address."""

from django.urls import register_converter


class OrderNumber:
    """LT-W-0001: the plant's code, W, a number."""

    regex = "[A-Z0-9]{1,12}-W-[0-9]{1,9}"

    def to_python(self, value: str) -> str:
        return value

    def to_url(self, value: str) -> str:
        return value


# Here, so that it is known before any module of addresses asks for it.
register_converter(OrderNumber, "order_number")
