"""Files for the register: templates and exports to take away, and the list of those sent in."""

from zoneinfo import ZoneInfo

from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from plant import access, import_words
from plant.access import needs
from plant.import_forms import RegisterFileForm
from plant.models import Plant, RegisterImport
from plant.register_files import writing
from plant.register_files.columns import Sheet
from plant.register_files.sheets import BY_CODE, SHEETS
from plant.roles import Permission
from plant.selectors import import_pages
from plant.selectors.register_rows import written_rows
from plant.services import importing
from plant.services.import_work import ImportRefused
from plant.views.keeping import posted, who

_FILES = 20
_WORKBOOK = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
_TEXT = "text/csv; charset=utf-8"
# Templates hold no instants.
_NO_ZONE = ZoneInfo("UTC")


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_REGISTER)
def register_files(request: HttpRequest) -> HttpResponse:
    plants = access.plants_of(request.user)
    form = RegisterFileForm(posted(request), request.FILES or None, plants=plants)
    status = 200
    if request.method == "POST":
        status = 400
        if form.is_valid():
            one, why = _sent(request, form)
            if one is not None and not why:
                return redirect("register-import", one.pk)
            form.add_error("file", why)
    rows = access.visible(RegisterImport.objects.all(), request.user)
    context = {
        "form": form,
        "plants": plants,
        "sheets": SHEETS,
        "page": Paginator(rows.select_related("plant", "made_by"), _FILES).get_page(
            request.GET.get("page")
        ),
    }
    return render(request, "plant/imports/files.html", context, status=status)


def _sent(request: HttpRequest, form: RegisterFileForm) -> tuple[RegisterImport | None, str]:
    """The file that was kept, and why nothing of it can be used, empty when it can."""
    file = form.cleaned_data["file"]
    try:
        one = importing.take_in_file(
            plant=form.cleaned_data["plant"],
            name="".join(letter for letter in file.name if letter.isprintable()),
            content=file.read(),
            sheet=form.cleaned_data["sheet"],
            by=who(request),
            now=timezone.now(),
        )
    except ImportRefused as refused:
        reason = refused.reason
        told = (reason.code, reason.column, reason.values)
        return None, import_words.in_words(import_words.FILE, told)
    return one, import_pages.refusal_of(one)


@require_safe
@needs(Permission.KEEP_REGISTER)
def template_book(request: HttpRequest) -> HttpResponse:
    examples = [(sheet, writing.example_rows(sheet)) for sheet in SHEETS]
    content = writing.workbook_bytes(examples, _NO_ZONE)
    return _attached(content, "register-template.xlsx", _WORKBOOK)


@require_safe
@needs(Permission.KEEP_REGISTER)
def template_sheet(request: HttpRequest, sheet: str) -> HttpResponse:
    one = _sheet(sheet)
    content = writing.csv_bytes(one, writing.example_rows(one), _NO_ZONE)
    return _attached(content, f"{one.code}-template.csv", _TEXT)


@require_safe
@needs(Permission.KEEP_REGISTER)
def export_book(request: HttpRequest, plant_code: str) -> HttpResponse:
    plant = _plant(request, plant_code)
    content = writing.workbook_bytes(
        ((sheet, written_rows(plant, sheet.code)) for sheet in SHEETS), plant.zone_info
    )
    return _attached(content, f"{plant.code}-register.xlsx", _WORKBOOK)


@require_safe
@needs(Permission.KEEP_REGISTER)
def export_sheet(request: HttpRequest, plant_code: str, sheet: str) -> HttpResponse:
    plant, one = _plant(request, plant_code), _sheet(sheet)
    content = writing.csv_bytes(one, written_rows(plant, one.code), plant.zone_info)
    return _attached(content, f"{plant.code}-{one.code}.csv", _TEXT)


def _plant(request: HttpRequest, plant_code: str) -> Plant:
    if "\x00" in plant_code:
        raise Http404
    return access.one_visible(Plant.objects.all(), request.user, code=plant_code)


def _sheet(code: str) -> Sheet:
    if code not in BY_CODE:
        raise Http404
    return BY_CODE[code]


def _attached(content: bytes, name: str, kind: str) -> HttpResponse:
    response = HttpResponse(content, content_type=kind)
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response
