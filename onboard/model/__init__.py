"""The nouns, frozen, and those with a life the states that they go through.

A sign-up changes type at each step, so that the type says how far it has come: `RawRow` as written,
`Applicant` as understood, `Decision` as judged, `Member` as recorded, `Outgoing` as told.
"""

from onboard.model.applicant import Applicant
from onboard.model.decision import (
    Answer,
    Decision,
    Drop,
    Enrol,
    Handle,
    Hold,
    Question,
    Ruling,
    SameAs,
    Step,
)
from onboard.model.doubt import (
    AddressQuestion,
    EmailDoubt,
    EmailQuestion,
    PacketQuestion,
    SharedMailbox,
)
from onboard.model.finding import Cleaned, Finding, Kind, Weight
from onboard.model.form import RawRow
from onboard.model.handled import Handled
from onboard.model.match import Evidence, Match, Part, Verdict
from onboard.model.member import Asked, Change, FirstPassword, Member, News, Proposal, Signature
from onboard.model.outgoing import (
    Event,
    Outgoing,
    ReminderKind,
    SiteNews,
    State,
    ToldSite,
    ToldWindow,
    Way,
    What,
)
from onboard.model.owner import Owner
from onboard.model.person import Address, Email, Person, PersonName, Phone, Place
from onboard.model.role import Act, Role
from onboard.model.standing import Deed, NoSuchStep, Standing
from onboard.model.waiting import Need, Waiting

__all__ = [
    "Act",
    "Address",
    "AddressQuestion",
    "Answer",
    "Applicant",
    "Asked",
    "Change",
    "Cleaned",
    "Decision",
    "Deed",
    "Drop",
    "Email",
    "EmailDoubt",
    "EmailQuestion",
    "Enrol",
    "Event",
    "Evidence",
    "Finding",
    "FirstPassword",
    "Handle",
    "Handled",
    "Hold",
    "Kind",
    "Match",
    "Member",
    "Need",
    "News",
    "NoSuchStep",
    "Outgoing",
    "Owner",
    "PacketQuestion",
    "Part",
    "Person",
    "PersonName",
    "Phone",
    "Place",
    "Proposal",
    "Question",
    "RawRow",
    "ReminderKind",
    "Role",
    "Ruling",
    "SameAs",
    "SharedMailbox",
    "Signature",
    "SiteNews",
    "Standing",
    "State",
    "Step",
    "ToldSite",
    "ToldWindow",
    "Verdict",
    "Waiting",
    "Way",
    "Weight",
    "What",
]
