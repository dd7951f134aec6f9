"""Load the whole demo studio, once, into an empty installation."""

import json
import os
from pathlib import Path

from django.conf import settings
from django.db import transaction
from django.utils import timezone

from studio.demo import commissions, counts, days, finished_jobs, imports, molds, people, small_jobs, stock, timings, whole_jobs
from studio.errors import StudioError
from studio.models import Account


class NotEmpty(StudioError):
    """The installation is in use; demo data would mix with real work."""


def load_demo() -> list[dict[str, str]]:
    """Fill an empty installation and return the accounts with their passphrases."""
    if Account.objects.exists():
        raise NotEmpty("This studio has accounts already; the demo is loaded into an empty one only.")
    today = timezone.localdate()
    with transaction.atomic():
        people.add_studio()
        accounts = people.add_accounts()
        owner = Account.objects.get(email=accounts[0]["email"])
        people.add_people(today)
        people.add_absences(owner, today)
        people.add_room(owner, today)
        people.add_skills()
        people.add_stations()
        stock.add_materials(owner, today)
        stock.add_lots(owner, today)
        stock.expect_some(owner, today)
        stock.use_some(owner)
        timings.add_timings(owner, today)
        scrap = stock.add_scrap(owner, today)
        commissions.add_heron(owner, today, scrap)
        commissions.add_finial(owner, today)
        commissions.add_lamp(owner, today)
        commissions.add_mask(owner)
        whole_jobs.add_whole_jobs(owner, today, scrap)
        molds.add_molds(owner, today, scrap)
        counts.add_counts(owner)
        imports.add_import(owner, stock.rubber_name())
        small_jobs.add_small_jobs(owner, today)
        finished_jobs.add_finished_jobs(owner, today)
        days.add_days(owner, today)
        keep_sign_in(accounts)
    return accounts


def keep_sign_in(accounts: list[dict[str, str]]) -> None:
    """Write the sign-in where only this installation's user can read it; `up` prints it."""
    path = Path(settings.DATA_DIR) / "demo-sign-in.json"
    path.unlink(missing_ok=True)
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "w", encoding="utf-8") as file:
        json.dump({"accounts": accounts}, file, indent=1)
