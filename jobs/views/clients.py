"""Clients: the list, one with their jobs, adding and changing."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_http_methods, require_safe

from jobs.forms.clients import ClientForm, ClientsFilterForm
from jobs.models import Client
from jobs.moves import TONES
from jobs.services.clients import add_client, change_client
from studio.access import Right, needs
from studio.web.htmx import render_page

LINES = 50


@needs(Right.SEE_JOBS)
@require_safe
def clients_list(request: HttpRequest) -> HttpResponse:
    """List clients by name."""
    form = ClientsFilterForm(request.GET or None)
    words = form.cleaned_data["words"] if form.is_bound and form.is_valid() else ""
    found = Client.objects.matching(words).with_job_counts().order_by("name")
    page = Paginator(found, LINES).get_page(request.GET.get("page"))
    context = {
        "form": form,
        "page": page,
        "filtered": bool(words),
        "may_change": request.user.may(Right.CHANGE_JOBS),  # type: ignore[union-attr]
    }
    return render_page(request, "jobs/clients_list.html", context, partial="clients-table")


@needs(Right.SEE_JOBS)
@require_safe
def client_show(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one client with their jobs."""
    client = get_object_or_404(Client, pk=pk)
    jobs = client.jobs.select_related("piece").order_by("-number")
    context = {
        "client": client,
        "lines": [(job, TONES[job.state]) for job in jobs],
        "may_change": request.user.may(Right.CHANGE_JOBS),  # type: ignore[union-attr]
    }
    return render_page(request, "jobs/client.html", context)


@needs(Right.CHANGE_JOBS)
@require_http_methods(["GET", "HEAD", "POST"])
def client_add(request: HttpRequest) -> HttpResponse:
    """Add a client."""
    form = ClientForm(request.POST if request.method == "POST" else None)
    if form.is_bound and form.is_valid():
        client = add_client(**form.cleaned_data)
        messages.success(request, f"{client.name} is added.")
        return redirect("jobs:client_show", pk=client.pk)
    return render_page(request, "jobs/client_change.html", {"form": form}, status=422 if form.is_bound else 200)


@needs(Right.CHANGE_JOBS)
@require_http_methods(["GET", "HEAD", "POST"])
def client_change(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a client."""
    client = get_object_or_404(Client, pk=pk)
    form = ClientForm(request.POST if request.method == "POST" else None, client=client)
    if form.is_bound and form.is_valid():
        change_client(client=client, values=form.cleaned_data)
        messages.success(request, "The client is changed.")
        return redirect("jobs:client_show", pk=client.pk)
    context = {"form": form, "client": client}
    return render_page(request, "jobs/client_change.html", context, status=422 if form.is_bound else 200)
