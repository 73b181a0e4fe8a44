"""What the party as a whole can and can't do, by matching and without a solver."""

from kitplan.check.muster import SPARE_CREW, STEERS, Lack, Muster
from kitplan.check.party import (
    CaseCheck,
    CertificateCheck,
    PartyCheck,
    RoleCheck,
    SteererCheck,
    TechniqueCheck,
    ThingCheck,
    check_party,
)

__all__ = [
    "SPARE_CREW",
    "STEERS",
    "CaseCheck",
    "CertificateCheck",
    "Lack",
    "Muster",
    "PartyCheck",
    "RoleCheck",
    "SteererCheck",
    "TechniqueCheck",
    "ThingCheck",
    "check_party",
]
