"""The records of organisations, people, jobs, plans, work and entries. Each module holds what its name says."""

from jobs.models.accounts import Device, Invitation, Membership, Organisation, User
from jobs.models.audit import AuditLink, AuditRecord, FormerId
from jobs.models.entries import Entry, EntryNote, EntryShare, Receipt
from jobs.models.hours import Hours, HoursSpan
from jobs.models.inspections import Inspection, InspectionNote
from jobs.models.people import Crew, CrewMember, Person
from jobs.models.photos import EntryPhoto
from jobs.models.plans import Level, PlanRevision, Wall, WallVersion
from jobs.models.second_factors import SecondFactor
from jobs.models.sites import BudgetLine, Job, JobAccess
from jobs.models.words import Word, WordNote
from jobs.models.work import Operation, WorkUnit, WorkUnitMeasure

__all__ = [
    "AuditLink",
    "AuditRecord",
    "BudgetLine",
    "Crew",
    "CrewMember",
    "Device",
    "Entry",
    "EntryNote",
    "EntryPhoto",
    "EntryShare",
    "FormerId",
    "Hours",
    "HoursSpan",
    "Inspection",
    "InspectionNote",
    "Invitation",
    "Job",
    "JobAccess",
    "Level",
    "Membership",
    "Operation",
    "Organisation",
    "Person",
    "PlanRevision",
    "Receipt",
    "SecondFactor",
    "User",
    "Wall",
    "WallVersion",
    "Word",
    "WordNote",
    "WorkUnit",
    "WorkUnitMeasure",
]
