"""All mixes of a plan as one table: a line for equal cups, a column for each thing that is weighed."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import groupby

from jobs.planning.results import Mix, MoldPlan, Part
from studio.figures import Figure


@dataclass(frozen=True, slots=True, kw_only=True)
class MixLine:
    """Equal cups: what they belong to (`first` of its lines), where they are laid, how many, and what goes into each."""

    heading: str
    first: bool
    place: str
    cups: int
    whole: Figure
    cells: tuple[tuple[str, Figure | None], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class MixTable:
    """Headings ("A", "B", "Thickener") with the materials they stand for, and the lines."""

    headings: tuple[str, ...]
    materials: tuple[tuple[str, str], ...]
    lines: tuple[MixLine, ...]

    def every_figure(self) -> Iterator[Figure]:
        """Return the figures of all lines."""
        for line in self.lines:
            yield line.whole
            yield from (cell for _, cell in line.cells if cell is not None)


def heading_of(part: Part) -> str:
    """Return the column that a part is weighed in."""
    word = part.component.value
    return word[0].upper() + word[1:]


def coats_table(made: MoldPlan) -> MixTable:
    """Return the mixes of all coats."""
    return _table(((f"{coat.number}. {coat.role.label}", coat.mixes) for coat in made.coats), places=made.positions > 1)


def fill_table(made: MoldPlan) -> MixTable | None:
    """Return the mixes of the fill, if there is one."""
    return None if made.fill is None or not made.fill.mixes else _table([("Fill", made.fill.mixes)])


def strip_table(made: MoldPlan) -> MixTable | None:
    """Return the mixes of the parting strip and of what glues it on, if it is planned."""
    if made.strip is None or not made.strip.mixes:
        return None
    groups = [("Parting strip", made.strip.mixes), ("Glue for the strip", made.strip.glue_mixes)]
    return _table([(label, mixes) for label, mixes in groups if mixes])


def keys_table(made: MoldPlan) -> MixTable | None:
    """Return the mixes of the keys, if there are any."""
    return None if made.stand is None or not made.stand.key_mixes else _table([("Keys", made.stand.key_mixes)])


def ingredients(made: MoldPlan) -> list[tuple[str, str]]:
    """Name the materials of the coats, each with the headings it is weighed under."""
    return list(coats_table(made).materials)


def equal_cups(mixes: Iterable[Mix]) -> Iterator[tuple[Mix, int]]:
    """Return each mix that differs from the one before it, in weight or in place, with how many there are of it."""
    for _, same in groupby(mixes, key=lambda mix: (mix.position, round(mix.mass.value, 6))):
        cups = list(same)
        yield cups[0], len(cups)


def _table(groups: Iterable[tuple[str, tuple[Mix, ...]]], *, places: bool = False) -> MixTable:
    known = list(groups)
    parts = [part for _, mixes in known for mix in mixes for part in mix.parts]
    headings = tuple(dict.fromkeys(heading_of(part) for part in parts))
    lines = tuple(
        MixLine(
            heading=label,
            first=index == 0,
            place=f"position {mix.position}" if places else "",
            cups=cups,
            whole=mix.mass,
            cells=_cells(mix, headings),
        )
        for label, mixes in known
        for index, (mix, cups) in enumerate(equal_cups(mixes))
    )
    return MixTable(headings=headings, materials=materials_named(parts), lines=lines)


def materials_named(parts: Iterable[Part]) -> tuple[tuple[str, str], ...]:
    """Name each material once, with the columns it stands in: A and B of a rubber are one material."""
    found: dict[str, dict[str, None]] = {}
    for part in parts:
        name = part.label.removesuffix(f" {part.component.value}")
        found.setdefault(name, {})[heading_of(part)] = None
    return tuple((" and ".join(headings), name) for name, headings in found.items())


def _cells(mix: Mix, headings: tuple[str, ...]) -> tuple[tuple[str, Figure | None], ...]:
    masses = {heading_of(part): part.mass for part in mix.parts}
    return tuple((heading, masses.get(heading)) for heading in headings)
