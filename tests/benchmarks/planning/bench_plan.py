"""How long a whole plan takes beside making its bare numbers in the same run: prints medians and ratios, asserts counts only."""

import cProfile
import gc
import pstats
import statistics
import time
from collections.abc import Callable, Iterator
from dataclasses import fields, is_dataclass, replace
from typing import Any

import pytest

from jobs.geometry.walls import MeasuredWalls, Rung
from jobs.planning.brief import Deairing, Making, PlanBrief
from jobs.planning.plan import make_plan
from jobs.planning.shape import ShapeBrief
from studio.figures import Figure, Given
from tests.jobs.planning.builders import CASTING, RESIN, SHELL, box_takeoff, brief, given, rubber

ROUNDS = 51
WANTED_MS = 20.0


def whole() -> PlanBrief:
    """Two positions, six coats, a fill with scrap, strip, shell, castings on a frame, and a room that cools at night."""
    return brief(
        positions=2,
        build_coats=4,
        rubber=rubber(elongation_percent=400.0, tear_strength_kn_m=20.0, viscosity_pa_s=25.0),
        shell=replace(SHELL, bolt_spacing_mm=given(125, "mm")),
        casting=replace(CASTING, resin=RESIN, turning_ratio=given(3.7), turning_radius_m=given(0.2, "m")),
        deairing=Deairing.THIN,
        night_temperature_c=given(18, "degC"),
        humidity_percent=given(50, "%"),
        strip_width_mm=given(20, "mm"),
        strip_height_mm=given(12, "mm"),
        widest_girth_mm=given(700, "mm"),
        opening_girth_mm=given(560, "mm"),
        key_spacing_mm=given(110, "mm"),
    )


def measured() -> PlanBrief:
    """The same piece as a scan tells of it: walls at a ladder of thicknesses, and the area worked in either position."""
    box = box_takeoff()
    area, bend, cube = 1e6 * box.area.value, 1e3 * box.mean_curvature.value, box.sphere_part
    over = tuple(
        Rung(
            thickness_mm=t,
            volume_mm3=area * t + bend * t**2 + cube * t**3,
            bound_mm3=area * t / 1000,
            area_mm2=area + 2 * bend * t + 3 * cube * t**2,
        )
        for t in (0.5, 1.0, 2.0, 4.0, 6.0, 8.0, 10.0, 12.0, 16.0, 20.0)
    )
    worked = tuple(given(box.area.value / 2, "m2") for _ in range(2))
    shape = ShapeBrief(position_areas=(*worked, given(60.0), given(0.0, "m2")))
    return replace(whole(), takeoff=replace(box, walls=MeasuredWalls(blanket=over)), shape=shape)


KINDS: dict[str, Callable[[], PlanBrief]] = {
    "whole, brushed in two positions": whole,
    "on a measured and studied shape": measured,
    "two molds": lambda: replace(whole(), molds=2),
    "two metres tall": lambda: replace(whole(), takeoff=box_takeoff(1.5, 1.0, 2.0)),
    "twenty molds in twelve positions": lambda: replace(whole(), molds=20, positions=12),
    "poured under a shell": lambda: replace(whole(), making=Making.POURED),
    "poured as a block": lambda: replace(whole(), making=Making.BLOCK, shell=None, box_margin_mm=given(25, "mm")),
}


def numbers(part: Any, seen: dict[int, Figure | Given]) -> Iterator[Figure | Given]:
    """Walk a plan and give every figure and input in it once."""
    if isinstance(part, (Figure, Given)):
        if id(part) in seen:
            return
        seen[id(part)] = part
        yield part
    if isinstance(part, tuple):
        for item in part:
            yield from numbers(item, seen)
    elif is_dataclass(part):
        for field in fields(part):
            yield from numbers(getattr(part, field.name), seen)


def median_ms(work: Callable[[], object], rounds: int = ROUNDS) -> float:
    """Return the median of the processor's own time, after two rounds to warm up."""
    work(), work()
    took = []
    for _ in range(rounds):
        start = time.process_time()
        work()
        took.append(time.process_time() - start)
    return 1000 * statistics.median(took)


def bare(found: list[Figure | Given]) -> Callable[[], object]:
    """Return what makes the same numbers again and nothing else."""
    told = [(type(one), {field.name: getattr(one, field.name) for field in fields(one)}) for one in found]
    return lambda: [kind(**values) for kind, values in told]


def shares(planned: PlanBrief, rounds: int = 20) -> list[tuple[str, float]]:
    """Return the share of the whole that each step called by `make_plan` takes, largest first.

    Without collecting garbage, which would be counted to whichever step it happens to fall into.
    """
    profile = cProfile.Profile()
    gc.collect()
    gc.disable()
    profile.enable()
    for _ in range(rounds):
        make_plan(planned)
    profile.disable()
    gc.enable()
    stats = pstats.Stats(profile).stats  # type: ignore[attr-defined]
    whole = next(row[3] for key, row in stats.items() if key[2] == "make_plan")
    steps = [
        (key[2], callers[3] / whole)
        for key, row in stats.items()
        for caller, callers in row[4].items()
        if caller[2] == "make_plan"
    ]
    return sorted(steps, key=lambda step: -step[1])


@pytest.mark.benchmark
class TestPlanSpeed:
    @pytest.mark.parametrize("name", KINDS)
    def test_beside_its_bare_numbers(self, name: str, capsys: pytest.CaptureFixture[str]) -> None:
        planned = KINDS[name]()
        plan = make_plan(planned)
        found = list(numbers(plan, {}))
        took, floor = median_ms(lambda: make_plan(planned)), median_ms(bare(found))
        steps = ", ".join(f"{step} {share:.0%}" for step, share in shares(planned)[:8])
        with capsys.disabled():
            print(  # noqa: T201
                f"\n{name}: {took:.2f} ms processor ({took / WANTED_MS:.2f} of the {WANTED_MS:g} wanted), {len(found)} numbers "
                f"and inputs; {took / floor:.1f} × making them bare ({floor:.2f} ms)\n  {steps}"
            )
        if planned.making is Making.BRUSHED:
            assert len(plan.coats) == 6
        assert len(found) > 200
