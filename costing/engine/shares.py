"""The two things a client pays for: the mold, once, and each casting."""

from enum import StrEnum

from studio.workrates import Stage


class Share(StrEnum):
    """Whether something is spent once on the mold or again for every casting."""

    MOLD = "mold"
    RUN = "run"

    @property
    def label(self) -> str:
        """The words a person reads."""
        return {"mold": "Mold", "run": "Castings"}[self.value]


RUN_STAGES = frozenset({Stage.CAST, Stage.FINISH})


def share_of(stage: Stage) -> Share:
    """Say whether work of a stage belongs to the mold or to the run."""
    return Share.RUN if stage in RUN_STAGES else Share.MOLD
