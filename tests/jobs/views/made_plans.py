"""Plans with results put in by hand, so that pages can be looked at whatever the planning knows."""

from dataclasses import replace

from jobs.planning.brief import Deairing
from jobs.planning.results import (
    AirPlan,
    GaugePlan,
    Lift,
    MoldPlan,
    Reason,
    SkinStep,
    StandPlan,
    StripPlan,
    Trouble,
    WallAdvice,
)
from jobs.planning.run.results import FramePlan, LifePlan
from studio.figures import Caution, Figure, Source, SourceKind

PRACTICE = Source(kind=SourceKind.COMMON_PRACTICE)


def fig(key: str, value: float, unit: str) -> Figure:
    """Return a figure whose label is its key in words."""
    return Figure(key=f"hand_{key}", label=key.replace("_", " ").capitalize(), value=value, unit=unit, formula="by hand")


def reason(text: str, tone: str, *figures: Figure) -> Reason:
    return Reason(text=text, tone=tone, source=PRACTICE, figures=figures)


def trouble(key: str, tone: str, **words: str) -> Trouble:
    said = {
        "name": key.replace("_", " ").capitalize(),
        "sign": "Light shows.",
        "words": "Edges keep less.",
        "remedy": "Lay twice.",
    }
    return Trouble(key=key, tone=tone, figures=(fig(f"{key}_number", 7.2, "mm"),), **{**said, **words})


def full_plan(made: MoldPlan) -> MoldPlan:
    """Return a computed plan with every result that may be missing put in."""
    assert made.shell is not None
    assert made.casting is not None
    cups = made.coats[0].mixes
    lift = Lift(label="Closed mold", mass=fig("closed", 41_000, "g"), people=2)
    steps = tuple(
        SkinStep(
            number=number, mass=fig(f"skin_{number}", 400 + number, "g"), thickness=fig(f"adds_{number}", 1.5, "mm"),
            turning=fig(f"turn_{number}", 9, "min"), earliest_next=fig(f"next_{number}", 6, "min"),
            latest_next=fig(f"last_{number}", 11, "min"),
        )
        for number in (1, 2)
    )  # fmt: skip
    caution = Caution(key="frame", hazard="A turning frame", consequence="It catches hair", avoid="Guard it.")
    tasks = tuple(
        replace(task, earliest_h=2.0 * place, latest_h=2.0 * place + 1, people=2 if place == 1 else 1,
                cautions=(caution,) if place == 0 else task.cautions)
        for place, task in enumerate(made.tasks)
    )  # fmt: skip
    return replace(
        made,
        tasks=tasks,
        strip=StripPlan(
            length=fig("strip_length", 0.9, "m"), width=fig("strip_width", 12, "mm"), height=fig("strip_height", 10, "mm"),
            net_mass=fig("strip_net", 130, "g"), mixed_mass=fig("strip_mixed", 140, "g"), mixes=cups, pins=fig("pins", 18, "1"),
            cure=fig("strip_cure", 960, "min"),
        ),
        gauges=GaugePlan(
            count=fig("gauge_count", 9, "1"), height=fig("gauge_height", 6, "mm"), mass=fig("gauge_mass", 3, "g"),
            spots=(("on crowns", 4), ("where the wall gets thin", 5)),
        ),
        stand=StandPlan(
            freestanding=fig("freestanding", 0.14, "m"), tallest=fig("tallest", 0.36, "m"), keys=fig("keys", 24, "1"),
            key_spacing=fig("key_spacing", 100, "mm"), key_mass=fig("key_mass", 90, "g"),
            key_mixed=fig("key_mixed", 97, "g"), key_mixes=cups, ribs=fig("ribs", 4, "1"),
            rib_height=fig("rib_height", 15, "mm"), widest_gap=fig("widest_gap", 60, "mm"),
        ),
        air=AirPlan(
            way=Deairing.THIN, suggested=Deairing.VACUUM, reasons=(reason("The print coat is thick.", "look"),),
            smallest_leaving=fig("smallest_leaving", 0.2, "mm"), clears=fig("clears", 0.5, "mm"), foam=None, container=None,
            minutes=fig("vacuum_minutes", 4, "min"),
        ),
        wall_advice=WallAdvice(
            advised=fig("advised", 9.5, "mm"), mean=fig("mean", 11, "mm"),
            reasons=(
                reason("The size asks for it.", "good"), reason("It is thin for a frame.", "stop", fig("of_frame", 12, "mm")),
            ),
            thicker_at=(reason("Thicker at edges.", "look"),),
        ),
        frame=FramePlan(
            load=fig("load", 41, "kg"), limit=fig("limit", 60, "kg"), imbalance=fig("imbalance", 0.8, "kg*m"),
            counterweight=fig("counterweight", 3, "kg"), cradle=fig("cradle", 12, "kg"),
            turns_before_gel=fig("turns_before_gel", 24, "1"), ratio=fig("ratio", 4, "1"),
        ),
        life=LifePlan(
            expected=fig("expected", 45, "1"), dies_before_end=fig("dies", 12, "%"), molds_wanted=fig("molds_wanted", 2, "1")
        ),
        stretch=fig("stretch", 40, "%"),
        troubles=(trouble("worn_mold", "good"), trouble("thin_spots", "stop"), trouble("trapped_air", "look")),
        shell=replace(
            made.shell, lifts=(lift,), bolts=fig("bolts", 9, "1"), sessions=fig("sessions", 1, "1"),
            catalyst=fig("peroxide", 30, "g"),
        ),
        casting=replace(
            made.casting, steps=steps, film_at_gel=fig("film_at_gel", 2.0, "mm"), heat_rise=fig("heat", 31, "K"),
            oversize=fig("oversize", 1.00704, "1"), demold=fig("demold", 25, "min"),
        ),
    )  # fmt: skip
