"""Time the stock pages and mixes on a filled database: medians by the clock and of this process's own processor time.

Started with the database in DATABASE_URL: python -m tests.benchmarks.stock.timing TURNS
"""

import datetime
import json
import random
import statistics
import sys
import time
from collections.abc import Callable
from decimal import Decimal

import django

django.setup()

from django.conf import settings  # noqa: E402
from django.contrib.auth import get_user_model  # noqa: E402
from django.db import connection  # noqa: E402
from django.test import Client  # noqa: E402
from django.test.utils import CaptureQueriesContext  # noqa: E402
from django.urls import reverse  # noqa: E402
from django.utils import timezone  # noqa: E402

from materials.models import Lot, Material, Movement  # noqa: E402
from materials.services.mixes import issue_mix  # noqa: E402
from materials.services.stock_value import stock_value  # noqa: E402

STAMP = str(time.time_ns())


def timed(act: Callable[[int], object], turns: int) -> dict[str, float]:
    """Run something several times after two runs that do not count."""
    act(-1)
    act(-2)
    clock, own = [], []
    for turn in range(turns):
        begun, worked = time.perf_counter(), time.process_time()
        act(turn)
        clock.append((time.perf_counter() - begun) * 1000)
        own.append((time.process_time() - worked) * 1000)
    with CaptureQueriesContext(connection) as asked:
        act(turns)
    return {
        "median_ms": round(statistics.median(clock), 1),
        "least_ms": round(min(clock), 1),
        "processor_ms": round(statistics.median(own), 1),
        "queries": len(asked),
    }


def main() -> None:
    turns = int(sys.argv[1])
    settings.ALLOWED_HOSTS = ["*"]
    plain = {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
    settings.STORAGES = {**settings.STORAGES, "staticfiles": plain}
    accounts = get_user_model().objects
    owner = accounts.filter(email="bench@studio.example").first() or accounts.create_account(
        email="bench@studio.example", name="Bench", role="owner", password="wet plaster on the third shelf"
    )
    client = Client()
    client.force_login(owner, backend="django.contrib.auth.backends.ModelBackend")

    def page(address: str) -> Callable[[int], object]:
        def get(_turn: int) -> None:
            answer = client.get(address, secure=True)
            assert answer.status_code == 200, (address, answer.status_code)

        return get

    big, usual = Material.objects.order_by("pk")[0], Material.objects.order_by("pk")[20]
    show = reverse("materials:material_show", args=[big.pk])
    deep = Movement.objects.filter(material=big).order_by("pk").values_list("pk", flat=True)[200]
    lot = Lot.objects.filter(material=usual, on_hand_g__gt=0).order_by("pk")[0]
    days = [timezone.localdate() - datetime.timedelta(days=n) for n in (0, 40, 400, 1200)]
    draw = random.Random(5)

    def mix(turn: int) -> None:
        issue_mix(material=usual, mass_g=Decimal(draw.randint(5, 20)), key=f"mix-{STAMP}-{turn}", by=owner, job_number=7)

    def mix_of_big(turn: int) -> None:
        issue_mix(material=big, mass_g=Decimal(draw.randint(5, 20)), key=f"big-{STAMP}-{turn}", by=owner, job_number=7)

    told = {
        "lines": Movement.objects.count(),
        "lots": Lot.objects.count(),
        "stock page": timed(page(reverse("materials:stock_show")), turns),
        "a material's page": timed(page(reverse("materials:material_show", args=[usual.pk])), turns),
        "the page of the material with a tenth of all lines": timed(page(show), turns),
        "its oldest lines": timed(page(f"{show}?before={deep}"), turns),
        "a lot's page": timed(page(reverse("materials:lot_show", args=[lot.pk])), turns),
        "worth on a day": timed(lambda turn: stock_value(days[turn % 4]), turns),
        "page of worth": timed(page(reverse("materials:stock_value_show") + f"?on={days[2]}"), turns),
        "a mix": timed(mix, turns),
        "a mix of the material with a tenth of all lots": timed(mix_of_big, turns),
    }
    sys.stdout.write(json.dumps(told, indent=1) + "\n")


if __name__ == "__main__":
    main()
