"""What a printer makes of 100 mm, written down once in the settings; every sheet makes up for it from then on."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import tomlkit
from tomlkit.exceptions import TOMLKitError

from .faults import Fault
from .order import NO_PRINTER
from .saving import replace_file
from .settings import load_settings, settings_place
from .sheets.paper import LEAST_BAR_MM, MOST_BAR_MM

LONGEST_NAME = 60


def remember(name: str, across: float, up: float, path: Path | None) -> Path:
    """Store what the two 100 mm bars of an upright page measured, and make this the printer that is used.

    Comments and everything else in the settings stay as they are.

    Args:
        name: what she calls the printer.
        across: length of the bar across, mm.
        up: length of the bar up, mm.
        path: her settings; None for the usual place, where they are made if they are not there.

    Returns:
        The settings file.

    Raises:
        Fault: a figure that cannot be, a name that cannot be one, or settings that cannot be read or written.
    """
    name = name.strip()
    if not name or len(name) > LONGEST_NAME or not name.isprintable() or name.casefold() == NO_PRINTER:
        wanted = f"1 to {LONGEST_NAME} letters, and not {NO_PRINTER!r}, which means no correction"
        raise Fault("no name for a printer", repr(name[:LONGEST_NAME]), wanted, "NAME")
    for measured, which in ((across, "ACROSS"), (up, "UP")):
        if not LEAST_BAR_MM <= measured <= MOST_BAR_MM:
            wanted = f"{LEAST_BAR_MM:g} to {MOST_BAR_MM:g} mm; further off is a wrong setting in the print dialog"
            raise Fault("no length of a printed 100 mm bar", f"{measured:g} mm", wanted, which)
    place = path or settings_place(os.environ, sys.platform)
    if place is None:
        raise Fault("there is no place for settings", "no home folder", "a file named with --settings", "--settings")
    if place.exists():
        load_settings(place)  # a file that cannot be read is told of, not written over
        try:
            document = tomlkit.parse(place.read_text(encoding="utf-8"))
        except TOMLKitError as error:  # the standard's parser took it, this one did not
            raise Fault("the settings cannot be changed", str(error), "plain TOML", file=place) from None
    else:
        document = tomlkit.document()
    printers = document.setdefault("printers", tomlkit.table(is_super_table=True))
    figures = tomlkit.table()
    figures.update({"across": across, "up": up})
    printers[name] = figures
    if "printer" in document:
        document["printer"] = name
    else:  # before the first table, or it would belong to the last
        document = tomlkit.parse(tomlkit.dumps({"printer": name}) + tomlkit.dumps(document))
    replace_file(place, tomlkit.dumps(document))
    load_settings(place)
    return place
