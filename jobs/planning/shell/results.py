"""What is lifted in the making of a mold."""

from dataclasses import dataclass

from studio.figures import Figure

MOST_HANDS = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Lift:
    """One thing to lift: its name, its mass (g) and how many people share it."""

    label: str
    mass: Figure
    people: int

    @property
    def by(self) -> str:
        """Who lifts it, in words; no more than four find a place round a mold."""
        if self.people > MOST_HANDS:
            return "a hoist"
        return "1 person" if self.people == 1 else f"{self.people} people or a hoist"
