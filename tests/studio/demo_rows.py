"""The demo studio's rows, taken once a run and put into each test that wants them, and their addresses."""

import shutil
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import Any

from django.apps import apps
from django.db import models, transaction
from django.test import Client as Browser
from django.test import override_settings
from django.urls import NoReverseMatch, reverse
from django.utils import timezone

from costing.models import OfferOption, Quote, QuoteLink
from jobs.documents import HANDOUT_KIND
from jobs.models import Client, Job, Mold, PiecePhoto, ScanFile, TakeoffRecord, Timetable, TimetableEntry
from materials.models import (
    ExpectedDelivery,
    ImportRun,
    Lot,
    Material,
    MaterialTrial,
    Movement,
    Pack,
    ScrapBin,
    ScrapCut,
    Stocktake,
    StocktakeLine,
)
from materials.tables.leaving import tables
from studio.access import Role
from studio.demo.load import load_demo
from studio.documents.outbox import request_document
from studio.documents.rendering import render_document
from studio.models import Absence, Account, Document, Invitation, Person, Skill, Station, StudioProfile, WorkingHours
from studio.services.invitations import invite
from studio.services.secret_links import hash_of
from studio.workrates import WORK_RATES
from tests.jobs.shown_drum import studied
from tests.jobs.views.timetable_rows import entry, timetable
from tests.studio.addresses import VIEWS

# What shows more once a shape is studied.
OF_A_SHAPE = {
    "jobs:shape_show", "jobs:shape_mesh", "jobs:shape_still", "jobs:sections_show", "jobs:pulls_show",
}  # fmt: skip
NOT_TAKEN = {"contenttypes", "auth", "sessions", "axes"}


@dataclass(frozen=True)
class DemoRows:
    """What the demo studio wrote: its rows, the folder of its files, and its sign-in as told and as kept in a file."""

    rows: list[models.Model]
    folder: Path
    accounts: list[dict[str, str]]
    sign_in: Path


def own_models() -> list[type[models.Model]]:
    return [model for model in apps.get_models(include_auto_created=True) if model._meta.app_label not in NOT_TAKEN]


def take_demo(folder: Path) -> DemoRows:
    """Load the demo, print its documents, keep copies of all rows and take everything back."""
    files = folder / "files"
    storages = {
        "default": {"BACKEND": "django.core.files.storage.FileSystemStorage", "OPTIONS": {"location": files}},
        "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
    }
    with (
        override_settings(DATA_DIR=folder, DOCUMENTS_DIR=files / "documents", MEDIA_ROOT=files, STORAGES=storages),
        transaction.atomic(),
    ):
        accounts = load_demo()
        study_shapes()
        propose_days()
        link_quotes()
        owner = Account.objects.get(role=Role.OWNER)
        for job in Job.objects.filter(state=Job.State.WORKING):
            request_document(kind=HANDOUT_KIND, subject_id=job.pk, title=f"Cure schedule of job {job.number}", by=owner)
        invite(role=Role.MAKER, by=owner, name="Guest")
        for document in Document.objects.all():
            render_document(document.pk)
        rows = [row for model in own_models() for row in model._base_manager.all()]
        transaction.set_rollback(True)
    return DemoRows(rows=rows, folder=files, accounts=accounts, sign_in=folder / "demo-sign-in.json")


def study_shapes() -> None:
    """Have the shapes of the measured jobs studied up to the capital, whose page is one that waits."""
    capital = Job.objects.get(title__startswith="Leaf capital")
    measured = Job.objects.filter(piece__takeoffs__isnull=False, number__lt=capital.number).distinct().order_by("number")
    for job in measured:
        studied(job)


def propose_days() -> None:
    """Have days proposed for the jobs that are agreed or being made, each with a coat, so that a proposal has a page."""
    proposal = timetable(used_at=None, begins_at=timezone.now(), finished_at=timezone.now(), news=["Coat 1 is late."])
    people = list(Person.objects.filter(active=True))
    for place, job in enumerate(Job.objects.filter(state__in=[Job.State.AGREED, Job.State.WORKING]).order_by("number")):
        begins = timezone.now() + timedelta(days=place + 1)
        entry(
            proposal, job, *people[:1], at=begins, key="coat_1#1", waits_until_at=begins + timedelta(hours=3), late_min=30 * place
        )


def link_quotes() -> None:
    """Open each quote to its client, under a token that its number tells."""
    ends = timezone.now() + timedelta(days=60)
    QuoteLink.objects.bulk_create(
        QuoteLink(quote=quote, token_hash=hash_of(token_of(quote)), expires_at=ends) for quote in Quote.objects.all()
    )


def token_of(quote: Quote) -> str:
    return f"of-the-client-of-quote-{quote.number}-version-{quote.version}"


def put_demo(taken: DemoRows, folder: Path) -> None:
    """Write the rows again, with the numbers that they had, and copy their files."""
    shutil.copytree(taken.folder, folder, dirs_exist_ok=True)
    for model in own_models():
        model._base_manager.bulk_create([row for row in taken.rows if type(row) is model])
    StudioProfile.objects.current()


def _choices(each: int) -> dict[str, list[dict[str, Any]]]:
    """Return the arguments that addresses take, by the beginning of their names."""
    found: dict[str, list[dict[str, Any]]] = {}
    jobs = list(Job.objects.order_by("number").values_list("number", flat=True)[: 2 * each])
    of_a_job = (
        "price_",
        "quote_freeze",
        "quote_try",
        "quote_draft",
        "option",
        "alternative",
        "copy_",
        "after_",
        "run_",
        "spread_",
    )
    for prefix in ("jobs:", *(f"costing:{name}" for name in of_a_job)):
        found[prefix] = [{"number": number} for number in jobs]
    # What is noted stands at jobs that are delivered.
    done = list(Job.objects.filter(work_done__isnull=False).distinct().order_by("number").values_list("number", flat=True))
    found["costing:after_"] = [{"number": number} for number in [*jobs[:each], *done[:each]]]
    found["jobs:takeoff_"] = [
        {"number": row.piece.job.number, "pk": row.pk} for row in TakeoffRecord.objects.select_related("piece__job")
    ]
    scans = [{"number": scan.piece.job.number, "pk": scan.pk} for scan in ScanFile.objects.select_related("piece__job")]
    found["jobs:scan_"] = scans
    found["jobs:shape_still"] = [{"number": number, "name": "depth-front"} for number in jobs]
    found["jobs:scan_add"] = [{"number": number} for number in jobs]
    found["costing:quote"] = [{"number": quote.number, "version": quote.version} for quote in Quote.objects.all()]
    found["costing:payment_"] = [{"number": 1, "version": 1, "pk": 999_999}]
    found["costing:client_"] = [{"token": "of-nobody"}, *({"token": token_of(quote)} for quote in Quote.objects.all())]
    found["costing:option_"] = [
        {"number": option.job.number, "pk": option.pk} for option in OfferOption.objects.select_related("job")[:each]
    ]
    found["costing:option_add"] = found["costing:option"]
    found["jobs:photo_"] = [
        {"number": photo.piece.job.number, "pk": photo.pk} for photo in PiecePhoto.objects.select_related("piece__job")
    ]
    found["jobs:photo_add"] = [{"number": number} for number in jobs]
    found["costing:client_picture"] = [{**known, "position": 1} for known in found["costing:client_"]]
    hours = list(WorkingHours.objects.all()[:1])
    found["studio:hours_remove"] = [{"pk": row.person_id, "hours_pk": row.pk} for row in hours]
    found["studio:rates_"] = [{"key": next(iter(WORK_RATES))}]
    found["studio:documents_"] = [{"public_id": found_id} for found_id in Document.objects.values_list("public_id", flat=True)]
    found["studio:invitations_accept"] = found["jobs:feed_read"] = [{"token": "of-nobody"}]
    found["jobs:task_fact_"] = tasks_in_use(each) or [{"number": number, "task_key": "none"} for number in jobs[:1]]
    found["jobs:scrap_take"] = [
        {"number": number, "pk": pk} for number in jobs[:1] for pk in ScrapBin.objects.values_list("pk", flat=True)
    ]
    found["jobs:day_sheet_"] = days_of_people(each)
    found["code_open"] = [{"code": f"l{pk}"} for pk in Lot.objects.order_by("pk").values_list("pk", flat=True)[:each]]
    found["materials:files_csv"] = [{"table": key} for key in tables()]
    found["materials:files_template"] = [{"kind": kind} for kind in ImportRun.Kind.values]
    found["materials:count_line"] = [
        {"pk": line.stocktake_id, "line_pk": line.pk} for line in StocktakeLine.objects.order_by("-pk")[:each]
    ]
    pks: dict[str, models.QuerySet[Any]] = {
        "jobs:client_": Client.objects.all(), "materials:material_": Material.objects.all(),
        "materials:delivery_": Material.objects.filter(packs__isnull=False).distinct(),
        "materials:pack_": Pack.objects.all(), "materials:lot_": Lot.objects.all(), "materials:line_": Movement.objects.all(),
        "jobs:feed_": Person.objects.all(), "jobs:timetable_": Timetable.objects.all(),
        "jobs:kept_mold_": Mold.objects.all(),
        "materials:count_": Stocktake.objects.all(), "materials:import_": ImportRun.objects.all(),
        "materials:scrap_": ScrapBin.objects.all(), "materials:session_": ScrapCut.objects.all(),
        "materials:trial_": MaterialTrial.objects.all(),
        "materials:behaviour_": Material.objects.filter(trials__isnull=False).distinct(),
        "materials:expected_": ExpectedDelivery.objects.all(),
        "studio:people_": Person.objects.all(), "studio:hours_": Person.objects.all(),
        "studio:away_": Absence.objects.all(),
        "studio:skills_": Skill.objects.all(),
        "studio:stations_": Station.objects.all(), "studio:accounts_": Account.objects.all(),
        "studio:invitations_withdraw": Invitation.objects.all(),
    }  # fmt: skip
    for prefix, rows in pks.items():
        found[prefix] = [{"pk": row.pk} for row in rows.order_by("pk")[:each]]
    found["materials:pack_add"] = found["materials:cost_method_"] = found["materials:material_"]
    found["materials:line_mix"] = [
        {"pk": pk} for pk in Movement.objects.filter(kind="issue").order_by("pk").values_list("pk", flat=True)[:each]
    ]
    found["materials:trial_add"] = found["materials:behaviour_"]
    return found


def tasks_in_use(each: int) -> list[dict[str, Any]]:
    """Return tasks of the newest timetable."""
    rows = TimetableEntry.objects.order_by("-timetable", "starts_at").values_list("job__number", "task_key")
    return [{"number": number, "task_key": key} for number, key in rows[: 2 * each]]


def days_of_people(each: int) -> list[dict[str, Any]]:
    """Return days of people with work in the timetable in use, and one of somebody without."""
    busy = (
        TimetableEntry.objects.filter(people__isnull=False).order_by("-timetable", "starts_at").values_list("people", "starts_at")
    )
    days = [{"pk": pk, "on": timezone.localtime(at).date().isoformat()} for pk, at in busy[:each]]
    return [*days, *({"pk": pk, "on": "2001-01-01"} for pk in Person.objects.order_by("pk").values_list("pk", flat=True)[:1])]


def _reversed(name: str, kwargs: Mapping[str, Any]) -> str | None:
    try:
        return reverse(name, kwargs=kwargs)
    except NoReverseMatch:
        return None


def visit(browser: Browser, address: str, **options: Any) -> Any:
    """Get a page or a file whole; `body` holds what was sent, and the file is closed."""
    response: Any = browser.get(address, **options)
    response.body = b"".join(response.streaming_content) if response.streaming else response.content
    # Only its file: `close()` would end the request a second time, and with it the test's own connection to a server.
    for close_file in response._resource_closers:
        close_file()
    return response


def demo_addresses(each: int = 1) -> Iterator[tuple[str, str]]:
    """Go through every address of the project with the first rows of each kind, twice as many jobs; no name is left out."""
    choices = _choices(each)
    for name in sorted(VIEWS):
        plain = _reversed(name, {})
        if plain is not None:
            yield name, plain
            continue
        prefixes = [prefix for prefix in choices if name.startswith(prefix)]
        seen = {address for kwargs in choices[max(prefixes, key=len)] if (address := _reversed(name, kwargs))}
        yield from ((name, address) for address in sorted(seen))
    for number in Quote.objects.values_list("number", flat=True).distinct():
        yield "costing:quote_show", reverse("costing:quote_show", kwargs={"number": number})
