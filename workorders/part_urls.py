"""Addresses of the parts catalogue, and of parts on orders."""

from django.urls import path

from workorders import order_number  # noqa: F401
from workorders.views import order_parts, part_dues, part_file, part_keeping, parts

_ORDER = "work/<order_number:number>/parts/"

urlpatterns = [
    path("work/parts/", parts.parts, name="parts"),
    path("work/parts/parts.csv", parts.parts_csv, name="parts-csv"),
    path("work/parts/parts.xlsx", parts.parts_xlsx, name="parts-xlsx"),
    path("work/parts/file/", part_file.parts_file, name="parts-file"),
    path("work/parts/file/take/", part_file.parts_file_take, name="parts-file-take"),
    path("work/parts/new/", part_keeping.part_new, name="part-new"),
    path("work/parts/<int:pk>/", parts.part, name="part"),
    path("work/parts/<int:pk>/edit/", part_keeping.part_edit, name="part-edit"),
    path("work/parts/<int:pk>/count/", part_keeping.part_count, name="part-count"),
    path("work/parts/<int:pk>/retire/", part_keeping.part_retire, name="part-retire"),
    path("work/parts/<int:pk>/bring-back/", part_keeping.part_bring_back, name="part-bring-back"),
    path("work/parts/<int:pk>/fits/", part_keeping.part_use_new, name="part-use-new"),
    path("work/parts/fits/<int:pk>/remove/", part_keeping.part_use_remove, name="part-use-remove"),
    path("work/parts/<int:pk>/due/", part_dues.part_due_new, name="part-due-new"),
    path("work/parts/due/<int:pk>/", part_dues.part_due_edit, name="part-due-edit"),
    path("work/parts/due/<int:pk>/came/", part_dues.part_due_came, name="part-due-came"),
    path(
        "work/parts/due/<int:pk>/not-come/", part_dues.part_due_not_come, name="part-due-not-come"
    ),
    path(
        "work/parts/due/<int:pk>/call-off/", part_dues.part_due_call_off, name="part-due-call-off"
    ),
    path(
        "work/parts/due/<int:pk>/after-all/",
        part_dues.part_due_after_all,
        name="part-due-after-all",
    ),
    path(_ORDER, order_parts.order_part_new, name="order-part-new"),
    path(f"{_ORDER}<int:pk>/", order_parts.order_part_amount, name="order-part-amount"),
    path(f"{_ORDER}<int:pk>/use/", order_parts.order_part_use, name="order-part-use"),
    path(
        f"{_ORDER}<int:pk>/put-back/", order_parts.order_part_put_back, name="order-part-put-back"
    ),
]
