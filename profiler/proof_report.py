"""What a proof found, in words for the person who is about to cut or print."""

from __future__ import annotations

from .proof import Finding


def told(finding: Finding) -> str:
    """One line for a sheet that is true; for one that is not, a line for each thing that is wrong."""
    name, facts = finding.path.name, "; ".join(part for part in (_profiles(finding), _facts(finding)) if part)
    if finding.wrong:
        return "\n".join([f"{name}: NOT true to size", *(f"  {words}" for words in finding.wrong), f"  ({facts})"])
    if finding.compared:
        return f"{name}: {facts}: true to size"
    return f"{name}: {facts}: sound, but compared with no design"


def small(off_mm: float) -> str:
    """A distance far under a millimetre, to one digit.

    >>> small(3.2e-8), small(0.02), small(0.0)
    ('3e-8', '0.02', '0')
    """
    if off_mm == 0 or off_mm >= 0.001:
        return f"{off_mm:.2g}"
    digit, _, power = f"{off_mm:.0e}".partition("e-")
    return f"{digit}e-{int(power)}"


def _profiles(finding: Finding) -> str:
    count = len(finding.profiles)
    if not finding.compared or not all(found.name for found in finding.profiles):
        return f"{count} profile{'' if count == 1 else 's'}"
    if finding.off_mm == float("inf"):
        return "a profile of no template of the design"
    names = list(dict.fromkeys(found.name for found in finding.profiles))
    absent = f"; not in it: {', '.join(finding.absent)}" if finding.absent else ""
    one = f"profile of {names[0]} lies" if len(names) == 1 else f"profiles of {', '.join(names)} lie"
    return f"{one} {'at most ' if count > 1 else ''}{small(finding.off_mm)} mm off{absent}"


def _facts(finding: Finding) -> str:
    unit = "" if finding.kind == "PDF" else finding.unit
    parts = (finding.size, unit, finding.bars, finding.print_scaling, finding.correction)
    return ", ".join(part for part in parts if part)
