"""Rows of the studio app."""

from studio.models.absences import Absence
from studio.models.account import Account, Invitation
from studio.models.document import Document
from studio.models.people import Person, WorkingHours
from studio.models.profile import StudioProfile
from studio.models.rates import WorkRate
from studio.models.room import RoomHour
from studio.models.skills import Skill, StageRule
from studio.models.stations import Station

__all__ = [
    "Absence", "Account", "Document", "Invitation", "Person", "RoomHour", "Skill", "StageRule", "Station", "StudioProfile",
    "WorkRate", "WorkingHours",
]  # fmt: skip
