"""The demo's own timings of two rubbers and what stayed on its cards; all of them invented."""

from datetime import date, timedelta

from materials.models import Lot, Material
from materials.services.trials import add_trial
from studio.models import Account, Person

# Days ago, temperature of the cup, minutes, note.
_PLATINUM = {
    "pot_life": (
        (212, 19.0, 47, "unheated room"),
        (168, 20.5, 42, ""),
        (121, 22.0, 37, ""),
        (93, 24.5, 29, "afternoon sun on the bench"),
        (47, 27.0, 25, "heat wave"),
        (19, 21.5, 39, ""),
    ),
    "gel": ((168, 20.5, 112, "no drag under the brush"), (47, 27.0, 66, ""), (19, 21.5, 101, "")),
    "demold": ((121, 22.0, 640, "cup turned out whole"),),
}
_TIN = {"pot_life": ((290, 20.0, 44, ""), (251, 20.5, 51, "a pinch less of B"))}
_CARDS = ((168, 20.5, 3.0, 90), (93, 24.5, 2.5, 90), (19, 21.5, 4.0, 50))


def add_timings(by: Account, today: date) -> None:
    """Write down what the demo's makers timed over the last months."""
    person = Person.objects.order_by("pk").last()
    for key, timings in (("platinum-20a", _PLATINUM), ("tin-25a", _TIN)):
        material = Material.objects.get(starter_key=key)
        lot = Lot.objects.filter(material=material).order_by("pk").first()
        for kind, lines in timings.items():
            for days, temperature_c, minutes, note in lines:
                add_trial(
                    material=material,
                    kind=kind,
                    temperature_c=temperature_c,
                    value=float(minutes),
                    timed_on=today - timedelta(days=days),
                    lot=lot if days < 100 else None,
                    person=person,
                    note=note,
                    key=f"demo-{key}-{kind}-{days}",
                    by=by,
                )
    platinum = Material.objects.get(starter_key="platinum-20a")
    for days, temperature_c, thickness_mm, slope_deg in _CARDS:
        add_trial(
            material=platinum,
            kind="held",
            temperature_c=temperature_c,
            value=thickness_mm,
            slope_deg=float(slope_deg),
            timed_on=today - timedelta(days=days),
            person=person,
            note="buttered in steps",
            key=f"demo-card-{days}",
            by=by,
        )
