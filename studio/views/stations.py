"""Stations: places and machines."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from studio.access import Right, account_of, needs
from studio.forms.stations import StationForm, typed_from
from studio.models import Station
from studio.services import stations
from studio.services.errors import StationError
from studio.web.htmx import render_page


@require_safe
@needs(Right.SEE_STUDIO)
def stations_list(request: HttpRequest) -> HttpResponse:
    """List places and machines."""
    found = list(Station.objects.all())
    context = {
        "stations": [station for station in found if station.active],
        "retired": [station for station in found if not station.active],
        "kinds": {station.kind for station in found if station.active},
        "may_change": account_of(request).may(Right.CHANGE_STUDIO),
    }
    return render_page(request, "studio/stations.html", context)


@require_http_methods(["GET", "POST"])
@needs(Right.CHANGE_STUDIO)
def stations_add(request: HttpRequest) -> HttpResponse:
    """Add a station."""
    return _edit(request, None, "{} is added.")


@require_http_methods(["GET", "POST"])
@needs(Right.CHANGE_STUDIO)
def stations_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a station."""
    return _edit(request, get_object_or_404(Station, pk=pk), "{} is saved.")


@require_POST
@needs(Right.CHANGE_STUDIO)
def stations_retire(request: HttpRequest, pk: int) -> HttpResponse:
    """Leave a station out of new plans."""
    station = get_object_or_404(Station, pk=pk)
    stations.retire_station(station=station)
    messages.success(request, f"{station.name} is left out of new plans. Bring it back at the end of this page.")
    return redirect("studio:stations_list")


@require_POST
@needs(Right.CHANGE_STUDIO)
def stations_return(request: HttpRequest, pk: int) -> HttpResponse:
    """Let a retired station be planned again."""
    station = get_object_or_404(Station, pk=pk)
    stations.bring_station_back(station=station)
    messages.success(request, f"{station.name} is in use again.")
    return redirect("studio:stations_list")


def _edit(request: HttpRequest, station: Station | None, said: str) -> HttpResponse:
    form = StationForm(request.POST or None, initial=typed_from(station) if station else {"kind": "bench", "places": 1})
    heading = station.name if station else "A new station"
    if request.method == "POST" and form.is_valid():
        try:
            saved = stations.save_station(station=station, **form.cleaned_data)
        except StationError as refused:
            form.add_error("name", str(refused))
        else:
            messages.success(request, said.format(saved.name))
            return redirect("studio:stations_list")
    context = {"form": form, "station": station, "heading": heading}
    return render_page(request, "studio/station.html", context, status=422 if request.method == "POST" else 200)
