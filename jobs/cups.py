"""Every cup of a plan as it is taken off the shelf: what it is called, and how much of which material goes into it."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from urllib.parse import urlencode

from django.urls import reverse

from jobs.planning.results import Component, Mix, MoldPlan, Part
from jobs.weighed_out import piece_cards, skin_cards
from studio.web.quantities import own_number

# What a mix is made of first; what else goes into the cup follows it.
LEADS = (Component.A, Component.B, Component.ONE_PART)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cup:
    """One mix: `name` is what it was for in the day book; `masses_g` by material, the one that cures first."""

    name: str
    masses_g: tuple[tuple[int, str, float], ...]

    @property
    def whole_g(self) -> float:
        """What the cup weighs, water left out."""
        return sum(mass for _, _, mass in self.masses_g)

    def address(self, job_number: int) -> str:
        """Return the page on which it is taken off the shelf."""
        (lead, _, mass), *others = self.masses_g
        typed = {"mass_g": own_number(Decimal(_weighable(mass)), "g"), "job_number": job_number, "why": self.name}
        if others:
            typed["with"] = ",".join(f"{key}:{_weighable(added)}" for key, _, added in others)
        return f"{reverse('materials:material_mix', args=[lead])}?{urlencode(typed)}"


def cups_of(made: MoldPlan) -> list[tuple[str, list[Cup]]]:
    """Return the cups of a plan under their headings, in the order of the work."""
    groups: list[tuple[str, Iterator[Cup]]] = [
        (f"{coat.number}. {coat.role.label}", _mixes(f"Coat {coat.number}", coat.mixes)) for coat in made.coats
    ]
    if made.stand is not None:
        groups.append(("Keys", _mixes("Keys", made.stand.key_mixes)))
    if made.fill is not None:
        groups.append(("Fill", _mixes("Fill", made.fill.mixes)))
    if made.strip is not None:
        groups.append(("Parting strip", _mixes("Parting strip", made.strip.mixes)))
        groups.append(("Glue for the strip", _mixes("Glue for the strip", made.strip.glue_mixes)))
    if made.shell is not None:
        shell = made.shell
        groups.append(("Shell", _cups((card.label, shell.parts, card.parts_g) for card in piece_cards(shell))))
    if made.casting is not None:
        run = made.casting
        skins = ((f"Casting, skin {card.number}", run.skin_parts, card.parts_g) for card in skin_cards(run))
        groups.append(("Each casting", _cups(skins)))
    found = [(heading, list(cups)) for heading, cups in groups]
    return [(heading, cups) for heading, cups in found if cups]


def _mixes(name: str, mixes: Iterable[Mix]) -> Iterator[Cup]:
    known = list(mixes)
    places = len({mix.position for mix in known}) > 1
    return _cups(
        (
            f"{name}, {f'position {mix.position}, ' if places else ''}mix {mix.number}",
            mix.parts,
            [part.mass.value for part in mix.parts],
        )
        for mix in known
    )


def _cups(named: Iterable[tuple[str, Sequence[Part], Sequence[float]]]) -> Iterator[Cup]:
    for name, parts, masses in named:
        sums: dict[int, tuple[str, float]] = {}
        for part, mass in sorted(zip(parts, masses, strict=True), key=lambda pair: pair[0].component not in LEADS):
            if isinstance(part.material_key, int) and part.component is not Component.SCRAP and mass > 0:
                label = part.label.removesuffix(f" {part.component.value}")
                sums[part.material_key] = (label, sums.get(part.material_key, ("", 0.0))[1] + mass)
        if sums:
            yield Cup(name=name, masses_g=tuple((key, label, mass) for key, (label, mass) in sums.items()))


def _weighable(mass_g: float) -> str:
    """Write a mass as finely as a bench scale shows it."""
    return f"{mass_g:.1f}" if mass_g >= 100 else f"{mass_g:.2f}"
