"""What the materials app refuses, in sentences that say what to change."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from decimal import Decimal

from studio.errors import StudioError


class MaterialsError(StudioError):
    """The base of every refusal of this app; masses in the sentence are kept apart, so that a page can show its units."""

    def __init__(self, sentence: str, **masses_g: Decimal) -> None:
        self.sentence, self.masses_g = sentence, masses_g
        super().__init__(self.said(_grams))

    def said(self, show: Callable[[Decimal], str]) -> str:
        """Return the sentence with its masses as `show` writes grams."""
        return self.sentence.format(**{name: show(mass) for name, mass in self.masses_g.items()})


def verbatim(name: str) -> str:
    """Return a name for a refusal's sentence, with its braces kept from being read as a mass."""
    return name.replace("{", "{{").replace("}", "}}")


@contextmanager
def naming(what: str) -> Iterator[None]:
    """Say in a refusal which of several things it is about."""
    try:
        yield
    except MaterialsError as refused:
        raise type(refused)(f"{verbatim(what)}: {refused.sentence}", **refused.masses_g) from refused


def _grams(mass_g: Decimal) -> str:
    return f"{mass_g.normalize():f} g"


class BadMass(MaterialsError):
    """A mass that the ledger cannot write down."""


class NotEnough(MaterialsError):
    """More was wanted than is free."""


class NotReserved(MaterialsError):
    """More was to be released than the job holds."""


class NotUsed(MaterialsError):
    """More was to come back than was ever used."""


class ShelfChanged(MaterialsError):
    """What was offered is not there any more as it was."""


class KeyUsedForOther(MaterialsError):
    """An idempotency key came again with another payload."""


class AlreadyReversed(MaterialsError):
    """A line was to be undone twice, or an undoing line to be undone."""


class Busy(MaterialsError):
    """Too many were writing at once; nothing was written."""


class BadValue(MaterialsError):
    """A value that the ledger cannot write down."""


class OtherRubber(MaterialsError):
    """Scrap of two chemistries was to be put together."""


class ThingGone(MaterialsError):
    """The lot, bin or line does not exist."""


class NotWeighed(MaterialsError):
    """A thing counted by the piece was to be kept by mass."""


class RatioUnknown(MaterialsError):
    """A delivery cannot be split into A and B without the mix ratio."""


class MaterialInUse(MaterialsError):
    """The material cannot be changed so while stock of it exists."""


class NameTaken(MaterialsError):
    """Another material or bin bears the name."""


class NothingToTake(MaterialsError):
    """The studio's own points do not give a value that could be taken over, or it is the one in use already."""


class ValuesChangedSince(MaterialsError):
    """Values were changed after they were taken over, so taking it back would lose that."""


class ExpectedGone(MaterialsError):
    """An expected delivery came, was cancelled, or is not there."""


class TrialGone(MaterialsError):
    """A timing was removed or brought back already."""


class CountClosed(MaterialsError):
    """The stocktake is posted or dropped already, or is not in the state that this asks for."""


class CountedMeanwhile(MaterialsError):
    """Somebody else weighed the same thing since the page was loaded."""


class NotExplained(MaterialsError):
    """A difference too large to be posted without a reason."""


class LabelTooSmall(MaterialsError):
    """What is to stand on a label does not fit on it."""


class FileRefused(MaterialsError):
    """A file that cannot be read as a table."""

    def __init__(self, sentence: str, **masses_g: Decimal) -> None:
        super().__init__(verbatim(sentence) if not masses_g else sentence, **masses_g)


class ImportClosed(MaterialsError):
    """A table that was read in is kept or dropped already, or something of it was used."""


class RowsWrong(MaterialsError):
    """Rows of a table are wrong and were not left out."""
