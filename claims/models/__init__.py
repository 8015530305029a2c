"""Stored facts about people, ground and papers.

Each row belongs to a party. Amounts are integers in base units (micrograms, millilitres,
metres, minutes, minor units of money); null means "not known", never zero.
"""

from claims.models.duties import CalendarFeed, Duty, DutyDone
from claims.models.files import KeptFile
from claims.models.ground import Hole, Site, Spot
from claims.models.jobs import Job
from claims.models.papers import ConditionMark, Paper, PaperCondition
from claims.models.party import Invitation, Membership, Party, Person, User
from claims.models.rules import OwnRule, PartyPack
from claims.models.shapes import SiteShape

__all__ = [
    "CalendarFeed",
    "ConditionMark",
    "Duty",
    "DutyDone",
    "Hole",
    "Invitation",
    "Job",
    "KeptFile",
    "Membership",
    "OwnRule",
    "Paper",
    "PaperCondition",
    "Party",
    "PartyPack",
    "Person",
    "Site",
    "SiteShape",
    "Spot",
    "User",
]
