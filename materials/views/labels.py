"""Labels: what to print them for, how the sheet will look, and the sheet itself."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_http_methods

from materials.counting.lines import places
from materials.documents.labels import labels_pdf
from materials.errors import MaterialsError
from materials.forms.labels import LabelsForm
from materials.labels.drawing import pages
from materials.labels.kinds import MOST_CHOICES, LabelKind, kinds
from materials.labels.sheets import SHEETS
from materials.views.said import said
from studio.access import Right, needs
from studio.documents.errors import DocumentError
from studio.web.context import current_profile
from studio.web.downloads import download_headers
from studio.web.htmx import render_page

SHOWN_PAGES = 2


@require_http_methods(["GET", "POST"])
@needs(Right.SEE_STOCK)
def labels_show(request: HttpRequest) -> HttpResponse:
    """Choose, look, and print; nothing is written down."""
    known = kinds()
    kind = known.get(request.GET.get("of", "l")) or known["l"]
    place = request.GET.get("place", "")
    choices = _choices(kind, place, request.GET.get("one", ""))
    form = LabelsForm(
        request.POST if request.method == "POST" else None, kind=kind, choices=choices, initial=_usual(request, choices)
    )
    shown: list[Any] = []
    if request.method == "POST" and form.is_valid():
        wanted = form.wanted()
        try:
            if "print" in request.POST:
                return _pdf(labels_pdf(wanted))
            shown = list(pages(wanted, outlines=True))
        except MaterialsError as refused:
            form.add_error(None, said(refused))
        except DocumentError as refused:
            form.add_error(None, str(refused))
    return _page(request, kind, place, form, shown)


def _choices(kind: LabelKind, place: str, one: str) -> list[tuple[int, str]]:
    """Return what may be ticked: the one thing that a link named, or what stands at a place."""
    if one.isdecimal() and len(one) < 10:
        return [(label.code.pk, f"{label.name}, {label.lot}") for label in kind.labels([int(one)])]
    return list(kind.choices(place))


def _page(request: HttpRequest, kind: LabelKind, place: str, form: LabelsForm, shown: list[Any]) -> HttpResponse:
    choices: Any = form.fields["things"]
    context = {
        "form": form,
        "kind": kind,
        "kinds": kinds().values(),
        "place": place,
        "places": places(),
        "any": bool(choices.choices),
        "many": len(choices.choices) == MOST_CHOICES,
        "pages": shown[:SHOWN_PAGES],
        "more": max(0, len(shown) - SHOWN_PAGES),
    }
    status = 422 if request.method == "POST" and not shown else 200
    return render_page(request, "materials/labels.html", context, status=status)


def _usual(request: HttpRequest, choices: list[tuple[int, str]]) -> dict[str, Any]:
    """Return what is usually wanted: the studio's own paper, and the thing that the link named."""
    asked = request.GET.get("one", "")
    sheet = next(sheet for sheet in SHEETS.values() if sheet.page == current_profile().paper)
    chosen = [pk for pk, _words in choices if str(pk) == asked]
    return {"things": chosen, "sheet": sheet.key, "start": 1, "copies": 1, "facts": ["lot", "expiry", "pair", "place", "safety"]}


def _pdf(content: bytes) -> HttpResponse:
    return HttpResponse(content, headers=download_headers("labels.pdf", "application/pdf"))
