"""What is to be looked at about the shell, the castings, the frame and the life of the molds."""

from collections.abc import Iterator

from jobs.planning.brief import CastingBrief, PlanBrief, ShellBrief, ShellKind
from jobs.planning.rates import rate
from jobs.planning.results import CastingPlan, Component, ShellPlan
from jobs.planning.run.results import FramePlan, LifePlan
from jobs.planning.shape import lengths
from jobs.planning.shell.lifts import piece_lifts
from jobs.planning.sums import count, fact, scaled
from materials.properties import Chemistry, MixBasis
from materials.science.casting import skins_for
from materials.science.laminate import (
    BRUSHED_PLASTIC_MM,
    LEAST_PEROXIDE_PERCENT,
    MOST_PEROXIDE_PERCENT,
    PUTTY_MM,
    WET_LAYERS,
    layers_of_practice,
)
from materials.science.life import RUN_SHARE
from materials.science.plaster import FIBRE_LAYERS, LEAST_SHELL
from materials.science.spans import outward_share
from materials.science.turning import FASTEST_RPM, WANTED_TURNS, turns_until_repeat
from studio.figures import Figure, Given, Remark, Source, SourceKind, low_end

LB_PER_KG = 2.2046226
# Below this a scale that reads tenths of a gram is a fifth off or more: this program's choice.
WEIGHED_TINT_G = 0.5
# Calculated: turning holds 1 to 2 mm of resin that has thickened to about 1 Pa·s.
THICK_SKIN = Given(
    label="Thickest skin that turning usually carries", value=2.0, unit="mm", low=1.0, high=2.0,
    source=Source(kind=SourceKind.COMPUTED, text="0.10 m from the axis at 8 turns a minute, resin at about 1 Pa·s"),
)  # fmt: skip


def masses(kg: float) -> str:
    """Write a mass in both systems, for a sentence that stands in every studio."""
    return f"{kg:g} kg ({kg * LB_PER_KG:.0f} lb)"


def shell_remarks(brief: PlanBrief, shell: ShellPlan | None) -> Iterator[Remark]:
    """Look at heavy pieces, too many wet layers, peroxide outside its range, and thin plaster."""
    if shell is None or brief.shell is None:
        return
    limit, material = rate(brief.rates, "lift_limit_kg"), brief.shell.material
    heaviest = max(piece_lifts(shell), key=lambda lift: lift.mass.value, default=None)
    if heaviest is not None and heaviest.people > 1:
        text = f"A shell piece is heavier than one lift of {masses(limit.value)}; divide it, or lift it with {heaviest.by}."
        yield Remark(key="lift", text=text, figures=(heaviest.mass,))
    if shell.pieces > 1 and brief.shell.kind is not ShellKind.PLASTER:
        text = (
            "Release the flange of each piece, and its bolt holes, before the next piece is built against it: resin bonds to "
            "resin. The rubber itself needs none."
        )
        yield Remark(key="shell_flange_release", text=text)
    polyester = material.chemistry is Chemistry.POLYESTER
    if polyester and brief.shell.layers.value > WET_LAYERS.value:
        text = f"Lay no more than {WET_LAYERS.value:g} layers wet on wet; let their heat pass before the next."
        yield Remark(key="wet_layers", text=text, figures=() if shell.sessions is None else (shell.sessions,))
    dose = material.get("dose_percent") if polyester and material.mix_basis is MixBasis.PERCENT_ON_BASE else None
    if dose is not None and not LEAST_PEROXIDE_PERCENT <= dose.value <= MOST_PEROXIDE_PERCENT:
        text = (
            f"Polyester takes {LEAST_PEROXIDE_PERCENT:g} to {MOST_PEROXIDE_PERCENT:g} % of peroxide: with less it may never "
            "cure, with more it runs hot. Correct the dose on the material's page, or follow its data sheet."
        )
        yield Remark(key="shell_peroxide", text=text, tone="stop", figures=() if shell.catalyst is None else (shell.catalyst,))
    yield from _shell_thickness(brief, brief.shell, shell)


def _shell_thickness(brief: PlanBrief, asked: ShellBrief, shell: ShellPlan) -> Iterator[Remark]:
    """Compare layers and thickness with what is usual for this kind of shell and this size."""
    if asked.kind is ShellKind.PLASTER and shell.thickness.value < LEAST_SHELL.value:
        text = f"Plaster shells are laid at least {lengths(LEAST_SHELL.value)} thick; thinner ones crack when they are lifted."
        yield Remark(key="shell_thin", text=text, figures=(shell.thickness,))
    fibre = FIBRE_LAYERS.low
    if asked.kind is ShellKind.PLASTER and asked.reinforcement is not None and fibre is not None and asked.layers.value < fibre:
        text = f"Plaster shells usually have {fibre:g} to {FIBRE_LAYERS.high:g} layers of fibre; with fewer a fall breaks them."
        yield Remark(key="shell_layers", text=text, figures=(shell.thickness,))
    usual = {ShellKind.PUTTY: PUTTY_MM, ShellKind.BRUSHED: BRUSHED_PLASTIC_MM}.get(asked.kind)
    if usual is not None and usual.low is not None and shell.thickness.value < usual.low:
        text = f"Shells of {asked.kind.label.lower()} are usually at least {lengths(usual.low)} thick; a thinner one gives way."
        yield Remark(key="shell_thin", text=text, figures=(shell.thickness,))
    if asked.kind is ShellKind.LAMINATE:
        layers = layers_of_practice(longest_mm=max(brief.takeoff.box_mm))
        if layers.low is not None and asked.layers.value < layers.low:
            text = (
                f"A laminate over a piece of this size usually has {layers.low:g} to {layers.high:g} layers; with fewer it "
                "bends, and the blanket with it. Lay more, or add stiffeners."
            )
            yield Remark(key="shell_layers", text=text, figures=(shell.thickness,))


def casting_remarks(brief: PlanBrief, casting: CastingPlan | None) -> Iterator[Remark]:
    """Look at skins that pool, at their heat, at few of them, at long cycles, and at a warm room."""
    if casting is None or brief.casting is None:
        return
    skin = max((step.thickness for step in casting.steps), key=lambda figure: figure.value, default=casting.skin_thickness)
    late, early = casting.film_at_gel, casting.film_limit
    if late is not None and skin.value > late.value:
        wanted = skins_for(wall_mm=skin.value * casting.skins, film_mm=late.value)
        text = (
            "A skin is thicker than turning holds even when the resin is about to gel: it runs to the bottom and sets there. "
            f"Pour {wanted} skins, turn faster, or use a thicker resin."
        )
        yield Remark(key="film", text=text, tone="stop", figures=(skin, late))
    elif early is not None and casting.skin_thickness.value > early.value:
        text = (
            "A skin is thicker than turning holds while the resin is thin; it pools until it thickens. Pour more skins, "
            "turn faster, or use a resin that gels gradually."
        )
        yield Remark(key="film", text=text, figures=(casting.skin_thickness, early))
    elif casting.skins < 3:
        text = "Hollow castings are usually poured in three or four skins, to even out thin spots."
        yield Remark(key="few_skins", text=text)
    if casting.heat_rise is not None and skin.value > (THICK_SKIN.value if late is None else late.value):
        text = (
            "A skin this thick gathers at the bottom and cures there in bulk; it keeps most of its heat, which wears out the "
            "rubber and can burn. Pour thinner skins."
        )
        yield Remark(key="heat_skin", text=text, figures=(skin, casting.heat_rise))
    tint = next((part.mass for part in casting.skin_parts if part.component is Component.TINT), None)
    if tint is not None and tint.value < WEIGHED_TINT_G:
        run = count("tinted_skins", "Skins of the run", casting.skins * casting.count, formula="skins × castings")
        whole = scaled(tint, run.value, key="tint_run", label="Tint for the run", unit="g",
                       formula="tint of one skin × skins of the run", given=(run,))  # fmt: skip
        text = "So little tint cannot be weighed for each skin: stir the run's tint into all of its A beforehand."
        yield Remark(key="few_grams_tint", text=text, figures=(tint, whole))
    if casting.per_day.value < 1:
        text = "One casting takes longer than a working day; plan it over night only where curing alone remains."
        yield Remark(key="slow_casting", text=text, figures=(casting.cycle,))
    elif brief.molds > 1 and brief.molds * casting.minutes_each.value >= casting.cycle.value:
        text = (
            "One person does not keep all of these molds going: hands are on each for too much of its cycle. Cast with more "
            "people, or count on the castings a day that are said here."
        )
        yield Remark(key="slow_molds", text=text, figures=(casting.minutes_each, casting.cycle, casting.per_day))
    if casting.warm_loss is not None:
        text = "The room is warmer than where castings are used: rubber that cures warm is smaller when it is cool."
        yield Remark(key="warm_cure", text=text, figures=(casting.warm_loss,))


def frame_remarks(brief: PlanBrief, frame: FramePlan | None) -> Iterator[Remark]:
    """Look at a frame that carries too much, turns too few times or too fast, or always runs the same track."""
    if frame is None or brief.casting is None:
        return
    if frame.load.value > frame.limit.value:
        text = (
            "The closed mold with its cradle is heavier than the frame may carry; the frame's own plate decides. Make the shell "
            "lighter, cast in parts, or use a stronger frame: an overloaded one can drop the mold."
        )
        yield Remark(key="frame_load", text=text, tone="stop", figures=(frame.load, frame.limit))
    speed, turns = brief.casting.turning_rpm, frame.turns_before_gel
    if speed is not None and speed.value > FASTEST_RPM:
        text = f"Molds are turned at up to {FASTEST_RPM:g} turns a minute; nothing here is known of faster ones."
        yield Remark(key="frame_fast", text=text, figures=(_outward(brief, brief.casting, speed),))
    if turns is not None and turns.value < low_end(WANTED_TURNS):
        text = (
            f"The resin gels before the mold has turned {WANTED_TURNS.low:g} times, so it may not cover all of it. Turn faster, "
            "cool the resin, or choose one that gels later."
        )
        yield Remark(key="frame_turns", text=text, figures=(turns,))
    if frame.ratio is not None and turns_until_repeat(ratio=frame.ratio.value) == 1:
        text = "At a whole ratio the resin always runs the same track and leaves the rest thin; set one like 3.7 instead of 4."
        yield Remark(key="frame_ratio", text=text, figures=(frame.ratio,))


def _outward(brief: PlanBrief, casting: CastingBrief, speed: Given) -> Figure:
    """Compute how hard turning presses the resin outward, beside its weight [%]."""
    radius = casting.turning_radius_m or fact("Half the longest side of the piece", max(brief.takeoff.box_mm) / 2000, "m")
    return Figure(
        key="frame_outward", label="Turning presses the resin outward by, of its weight", unit="%",
        value=100 * outward_share(turning_rpm=speed.value, radius_m=radius.value),
        formula="(2 π × turns a minute ÷ 60)² × radius ÷ g", given=(speed, radius),
    )  # fmt: skip


def life_remarks(brief: PlanBrief, life: LifePlan | None) -> Iterator[Remark]:
    """Look at a run that the molds may not outlive."""
    if life is None or brief.casting is None or life.molds_wanted.value <= brief.molds:
        return
    whole = life.expected.value * brief.molds
    those, more = ("one mold", "a second mold") if brief.molds == 1 else (f"{brief.molds} molds", "a further mold")
    text = (
        f"The run of {brief.casting.count} is more than {RUN_SHARE:g} of the about {whole:.0f} castings that {those} may give; "
        f"price {more} or keep a first casting as a new piece."
    )
    yield Remark(key="life", text=text, figures=(life.expected, life.dies_before_end, life.molds_wanted))
