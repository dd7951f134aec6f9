"""What is weighed out for one task of a plan: its cups, each with the mass of every part."""

from collections.abc import Sequence
from dataclasses import dataclass

from jobs.mixing_table import heading_of, materials_named
from jobs.planning.results import CastingPlan, Mix, MoldPlan, Part, ShellPlan, SkinStep
from jobs.planning.work.work import plain_key


@dataclass(frozen=True, slots=True, kw_only=True)
class SkinCard:
    """One skin: what is weighed for it, in g, and its step where the steps are known."""

    number: int
    mass_g: float
    parts_g: tuple[float, ...]
    step: SkinStep | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceCard:
    """One shell piece: what it weighs and what is weighed for it, in g."""

    label: str
    mass_g: float
    parts_g: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CupLine:
    """One cup, skin or shell piece by its name, with the mass in each column of its table."""

    label: str
    cells: tuple[tuple[str, float], ...]
    whole_g: float


@dataclass(frozen=True, slots=True, kw_only=True)
class WeighedOut:
    """A table of what is weighed out: what a line is, the headings of its parts, the materials behind them, the lines."""

    line_is: str
    headings: tuple[str, ...]
    materials: tuple[tuple[str, str], ...]
    lines: tuple[CupLine, ...]


def skin_cards(run: CastingPlan) -> tuple[SkinCard, ...]:
    """Weigh out every skin; skins without a step of their own take equal cups."""
    steps: tuple[SkinStep | None, ...] = run.steps or (None,) * run.skins
    return tuple(_skin(run, number, step) for number, step in enumerate(steps, start=1))


def _skin(run: CastingPlan, number: int, step: SkinStep | None) -> SkinCard:
    mass = run.skin_mass.value if step is None else step.mass.value
    share = mass / run.skin_mass.value
    return SkinCard(number=number, mass_g=mass, parts_g=tuple(part.mass.value * share for part in run.skin_parts), step=step)


def piece_cards(shell: ShellPlan) -> tuple[PieceCard, ...]:
    """Divide what goes into a shell among its pieces, as they weigh; equally where their masses are not known."""
    masses = [mass.value for mass in shell.piece_masses] or [shell.mass.value / shell.pieces] * shell.pieces
    labels = [mass.label for mass in shell.piece_masses] or [f"Shell piece {number}" for number in range(1, shell.pieces + 1)]
    whole = sum(masses)
    return tuple(
        PieceCard(label=label, mass_g=mass, parts_g=tuple(part.mass.value * mass / whole for part in shell.parts))
        for label, mass in zip(labels, masses, strict=True)
    )


def weighed_out(plan: MoldPlan, plan_key: str) -> WeighedOut | None:
    """Return what is weighed out for a task of a plan, by the task's key; None where nothing is."""
    key = plain_key(plan_key)
    if key.startswith("coat_"):
        return _cups(_coat_mixes(plan, key, _position_of(plan_key)))
    if key.startswith("shell_") and plan.shell is not None:
        return _shell_piece(plan.shell, key)
    if key == "castings" and plan.casting is not None:
        return _skins(plan.casting)
    return _cups(_other_mixes(plan, key))


def _position_of(plan_key: str) -> int:
    _, _, rest = plan_key.partition("_position_")
    number = rest.partition("_")[0]
    return int(number) if number.isdigit() else 1


def _coat_mixes(plan: MoldPlan, key: str, position: int) -> Sequence[Mix]:
    coats = (coat for coat in plan.coats if key == f"coat_{coat.number}")
    return [mix for coat in coats for mix in coat.mixes if mix.position == position]


def _other_mixes(plan: MoldPlan, key: str) -> Sequence[Mix]:
    if key == "fill" and plan.fill is not None:
        return plan.fill.mixes
    if key == "keys" and plan.stand is not None:
        return plan.stand.key_mixes
    if plan.strip is not None:
        return {"strip_pour": plan.strip.mixes, "parting_strip": plan.strip.glue_mixes}.get(key, ())
    return ()


def _cups(mixes: Sequence[Mix]) -> WeighedOut | None:
    if not mixes:
        return None
    parts = mixes[0].parts
    lines = tuple(
        _line(str(number), mix.parts, [part.mass.value for part in mix.parts], mix.mass.value)
        for number, mix in enumerate(mixes, start=1)
    )
    return WeighedOut(line_is="Mix", headings=_headings(parts), materials=materials_named(parts), lines=lines)


def _shell_piece(shell: ShellPlan, key: str) -> WeighedOut | None:
    number = key.removeprefix("shell_").partition("_")[0]
    cards = piece_cards(shell)
    if not number.isdigit() or not 1 <= int(number) <= len(cards):
        return None
    card = cards[int(number) - 1]
    line = _line(card.label, shell.parts, card.parts_g, card.mass_g)
    return WeighedOut(
        line_is="Whole piece", headings=_headings(shell.parts), materials=materials_named(shell.parts), lines=(line,)
    )


def _skins(run: CastingPlan) -> WeighedOut:
    parts = run.skin_parts
    lines = tuple(_line(str(card.number), parts, card.parts_g, card.mass_g) for card in skin_cards(run))
    return WeighedOut(line_is="Skin of each casting", headings=_headings(parts), materials=materials_named(parts), lines=lines)


def _line(label: str, parts: Sequence[Part], masses_g: Sequence[float], whole_g: float) -> CupLine:
    return CupLine(label=label, cells=tuple(zip(_headings(parts), masses_g, strict=True)), whole_g=whole_g)


def _headings(parts: Sequence[Part]) -> tuple[str, ...]:
    return tuple(heading_of(part) for part in parts)
