"""Rows of the studio app."""

from studio.models.account import Account, Invitation
from studio.models.document import Document
from studio.models.people import Person, WorkingHours
from studio.models.profile import StudioProfile
from studio.models.rates import WorkRate
from studio.models.stations import Station

__all__ = ["Account", "Document", "Invitation", "Person", "Station", "StudioProfile", "WorkRate", "WorkingHours"]
