"""What the scrap in bins is worth, and what is to be said of it in words."""

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

from django.utils import timezone

from materials.inputs import specs_of
from materials.models import Material, ScrapBin
from materials.properties import Chemistry
from materials.science.bonding import scrap_verdict
from materials.science.compatibility import Outcome
from materials.science.life import KEEPS
from materials.science.material import MaterialSpec
from materials.science.scrap_value import ScrapWorth, scrap_worth
from studio.figures import Figure, Given, Source, SourceKind
from studio.models import StudioProfile
from studio.services.rates import current_rates

CUTTING, SEATING = "scrap_cut_min_per_kg", "scrap_seat_min_per_kg"
DAYS_A_MONTH = 30.4375


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """What scrap is held against: the studio's rubbers, its minutes and its hour."""

    rubbers: tuple[MaterialSpec, ...]
    rates: Mapping[str, Given]
    labour: Given
    today: datetime.date

    def work_left(self, scrap_bin: ScrapBin) -> list[Given]:
        """Return what a bin's chunks still want: they are cut, so seating; what is not washed, that work again."""
        return [self.rates[SEATING], *(() if scrap_bin.washed else (self.rates[CUTTING],))]


@dataclass(frozen=True, slots=True, kw_only=True)
class BinWorth:
    """A bin with what it is worth; `worth` is None where it is waste or no price is known. `flags` are (tone, sentence)."""

    bin: ScrapBin
    worth: ScrapWorth | None
    rubber: MaterialSpec | None
    flags: tuple[tuple[str, str], ...]


def terms_now(profile: StudioProfile) -> Terms:
    """Read what scrap is held against, in a fixed number of queries."""
    return terms_of(profile, rates=current_rates(), rubbers=tuple(specs_of(Material.objects.rubbers()).values()))


def terms_of(profile: StudioProfile, *, rates: Mapping[str, Given], rubbers: tuple[MaterialSpec, ...] = ()) -> Terms:
    """Return what scrap is held against, of rates and rubbers that were read already."""
    own = Source(kind=SourceKind.OWN, text="the studio's labour rate")
    return Terms(
        rubbers=rubbers,
        rates=rates,
        labour=Given(label="Labour", value=float(profile.labour_rate_per_h), unit="money/h", source=own),
        today=timezone.localdate(),
    )


def bin_worths(bins: Iterable[ScrapBin], terms: Terms) -> list[BinWorth]:
    """Return bins with what they are worth."""
    return [bin_worth(one, terms) for one in bins]


def bin_worth(scrap_bin: ScrapBin, terms: Terms) -> BinWorth:
    """Return what a bin is worth, with what is to be said of it."""
    chemistry = Chemistry(scrap_bin.chemistry)
    rubber, verdict_flags = displaced_rubber(terms.rubbers, chemistry=chemistry, family=scrap_bin.family)
    weighed = Source(kind=SourceKind.MEASURED, text=f"scrap bin “{scrap_bin.label}”")
    mass = Given(label="Scrap in the bin", value=float(scrap_bin.on_hand_g), unit="g", source=weighed)
    worth = worth_of(mass, rubber, terms.work_left(scrap_bin), terms, prefix=f"bin_{scrap_bin.pk}")
    flags = (*verdict_flags, *age_flags(scrap_bin, terms.today))
    if not scrap_bin.washed and chemistry is not Chemistry.OTHER:
        flags = (*flags, ("look", "It is not washed: nothing bonds to release and dust. Its worth counts the washing."))
    return BinWorth(bin=scrap_bin, worth=worth, rubber=rubber, flags=flags)


def worth_of(
    mass: Given | Figure, rubber: MaterialSpec | None, minutes: list[Given], terms: Terms, *, prefix: str
) -> ScrapWorth | None:
    """Return what a mass of scrap is worth beside a fresh rubber; None without one or without its price."""
    if rubber is None or rubber.price_per_kg is None:
        return None
    price = replace(rubber.price_per_kg, label=f"Price of {rubber.name}")
    return scrap_worth(mass=mass, price_per_kg=price, minutes_per_kg=minutes, labour_per_h=terms.labour, prefix=prefix)


def displaced_rubber(
    rubbers: Iterable[MaterialSpec], *, chemistry: Chemistry, family: str
) -> tuple[MaterialSpec | None, tuple[tuple[str, str], ...]]:
    """Return the rubber that scrap would displace, and what is to be said: the same family first, then the cheapest."""
    if chemistry is Chemistry.OTHER:
        return None, (("stop", "It is not known what this rubber is, so it is waste: fresh rubber may not cure against it."),)
    fitting = []
    for rubber in rubbers:
        verdict = scrap_verdict(rubber=rubber.chemistry, rubber_family=rubber.family, scrap=chemistry, scrap_family=family)
        if verdict.allowed:
            price = rubber.price_per_kg
            fitting.append(
                (verdict.outcome is not Outcome.GOOD, price is None, price.value if price else 0.0, rubber.name, rubber)
            )
    if not fitting:
        said = f"The studio has no {chemistry.label.lower()} in use that this would bond to, so it displaces nothing now."
        return None, (("look", said),)
    other_family, unpriced, _, _, rubber = min(fitting, key=lambda one: one[:4])
    flags: list[tuple[str, str]] = []
    if not family:
        flags.append(("look", "Its maker's family is not known: try a chunk in a cup of the fresh rubber before counting on it."))
    elif other_family:
        flags.append(("look", "No rubber of its maker's family is in use: with another family it is tested first."))
    if unpriced:
        flags.append(
            ("look", f"No price of {rubber.name} is known, so what it saves cannot be told. Give it a pack with a price.")
        )
    return rubber, tuple(flags)


def age_flags(scrap_bin: ScrapBin, today: datetime.date) -> tuple[tuple[str, str], ...]:
    """Say where scrap is older than makers say that cured rubber of its kind keeps."""
    keeps = KEEPS.get(Chemistry(scrap_bin.chemistry))
    months = (today - scrap_bin.kept_since_on).days / DAYS_A_MONTH
    if keeps is None or months <= (keeps.low or keeps.value):
        return ()
    years = f"{months / 12:.0f} year{'s' if months >= 18 else ''}"
    if months > keeps.value:
        return (("stop", f"It is {years} old, older than makers say its kind keeps: tear a chunk by hand before using it."),)
    return (("look", f"It is {years} old: this kind turns brittle or sticky with age. Tear a chunk by hand before using it."),)


def total_worth(worths: Iterable[BinWorth]) -> Figure | None:
    """Return what all scrap is worth, apart from the stock; None where nothing of it has a worth."""
    parts = tuple(one.worth.value.renamed(key=one.worth.value.key, label=one.bin.label) for one in worths if one.worth)
    if not parts:
        return None
    return Figure(
        key="scrap_worth", label="Worth of the scrap", value=sum(part.value for part in parts), unit="money",
        formula="worth of all bins, added up", given=parts,
        note="Valued apart from the stock: fresh rubber displaced less the work that is still to do.",
    )  # fmt: skip


def cutting_value(*, mass_g: Decimal, minutes: Decimal, rubber: MaterialSpec | None, terms: Terms) -> Decimal:
    """Return what a mold that was cut up is worth as scrap: the cutting as it took, the seating by the rate; nought unpriced."""
    took = Given(
        label="Cutting and washing, as it took", value=float(1000 * minutes / mass_g), unit="min/kg",
        source=Source(kind=SourceKind.MEASURED),
    )  # fmt: skip
    mass = Given(label="Scrap cut", value=float(mass_g), unit="g", source=Source(kind=SourceKind.MEASURED))
    worth = worth_of(mass, rubber, [took, terms.rates[SEATING]], terms, prefix="cut")
    return Decimal(0) if worth is None else Decimal(str(worth.value.value)).quantize(Decimal("0.0001"))
