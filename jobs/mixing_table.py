"""All mixes of a plan as one table: a line a cup, a column for each thing that is weighed."""

from collections.abc import Iterable
from dataclasses import dataclass

from jobs.planning.results import Mix, MoldPlan, Part
from studio.figures import Figure


@dataclass(frozen=True, slots=True, kw_only=True)
class MixLine:
    """One cup: the coat it belongs to on its first line, then what is weighed, in the order of the headings."""

    heading: str
    number: int
    whole: Figure
    cells: tuple[tuple[str, Figure | None], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class MixTable:
    """Headings ("A", "B", "Thickener") with the materials they stand for, and the lines."""

    headings: tuple[str, ...]
    materials: tuple[tuple[str, str], ...]
    lines: tuple[MixLine, ...]


def heading_of(part: Part) -> str:
    """Return the column that a part is weighed in."""
    word = part.component.value
    return word[0].upper() + word[1:]


def coats_table(made: MoldPlan) -> MixTable:
    """Return the mixes of all coats."""
    return _table((f"{coat.number}. {coat.role.label}", coat.mixes) for coat in made.coats)


def fill_table(made: MoldPlan) -> MixTable | None:
    """Return the mixes of the fill, if there is one."""
    return None if made.fill is None else _table([("Fill", made.fill.mixes)])


def ingredients(made: MoldPlan) -> list[tuple[str, str]]:
    """Name the materials of the coats, each with the headings it is weighed under."""
    return list(coats_table(made).materials)


def _table(groups: Iterable[tuple[str, tuple[Mix, ...]]]) -> MixTable:
    known = list(groups)
    parts = [part for _, mixes in known for mix in mixes for part in mix.parts]
    headings = tuple(dict.fromkeys(heading_of(part) for part in parts))
    lines = tuple(
        MixLine(
            heading=label if position == 0 else "",
            number=mix.number,
            whole=mix.mass,
            cells=_cells(mix, headings),
        )
        for label, mixes in known
        for position, mix in enumerate(mixes)
    )
    return MixTable(headings=headings, materials=_materials(parts), lines=lines)


def _materials(parts: Iterable[Part]) -> tuple[tuple[str, str], ...]:
    """Name each material once, with the columns it stands in: A and B of a rubber are one material."""
    found: dict[str, dict[str, None]] = {}
    for part in parts:
        name = part.label.removesuffix(f" {part.component.value}")
        found.setdefault(name, {})[heading_of(part)] = None
    return tuple((" and ".join(headings), name) for name, headings in found.items())


def _cells(mix: Mix, headings: tuple[str, ...]) -> tuple[tuple[str, Figure | None], ...]:
    masses = {heading_of(part): part.mass for part in mix.parts}
    return tuple((heading, masses.get(heading)) for heading in headings)
