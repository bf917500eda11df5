"""STEP files that are the same, byte for byte, each time; runs in the kernel's process only."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.Interface import Interface_Static
from OCP.STEPControl import STEPControl_StepModelType, STEPControl_Writer

from .trouble import UnusableError

_PRODUCT = re.compile(r"PRODUCT\('PIECE[^']*',\s*'PIECE[^']*'")


def step_text(text: str) -> str:
    r"""A string as ISO 10303-21 (6.4.3) writes it: printable ASCII as it is, the rest by its code point.

    >>> step_text("Hütte's")
    "H\\X2\\00FC\\X0\\tte''s"
    """
    parts = []
    for sign in text:
        code = ord(sign)
        if sign in "'\\":
            parts.append(sign * 2)
        elif 32 <= code < 127:
            parts.append(sign)
        elif code < 0x10000:
            parts.append(f"\\X2\\{code:04X}\\X0\\")
        else:
            parts.append(f"\\X4\\{code:08X}\\X0\\")
    return "".join(parts)


def write_step(shape: Any, path: Path, name: str, what: str) -> None:
    """Write a shape in mm under a name, described as what it is.

    The kernel counts its products, dates its header and writes names in raw UTF-8, so the header and the
    product's name are set afterwards.

    Raises:
        UnusableError: the file cannot be written.
    """
    writer = STEPControl_Writer()
    Interface_Static.SetCVal_s("write.step.unit", "MM")
    Interface_Static.SetCVal_s("write.step.product.name", "PIECE")
    Interface_Static.SetIVal_s("write.step.assembly", 0)  # several solids are one product, not an assembly
    writer.Transfer(shape, STEPControl_StepModelType.STEPControl_AsIs)
    if writer.Write(str(path)) != IFSelect_ReturnStatus.IFSelect_RetDone:
        raise UnusableError(f"the STEP file {path} cannot be written")
    text = path.read_text(encoding="utf-8")
    label = step_text(name)
    body, count = _PRODUCT.subn(lambda _: f"PRODUCT('{label}','{label}'", text[text.index("\nDATA;") :])
    schema = re.search(r"FILE_SCHEMA\(.*?\);", text, re.DOTALL)
    if count != 1 or not schema:
        raise UnusableError(f"the STEP file {path} does not look as the kernel writes it")
    header = (
        "ISO-10303-21;\nHEADER;\n"
        f"FILE_DESCRIPTION(('{what}'),'2;1');\n"
        f"FILE_NAME('{label}','1970-01-01T00:00:00',(''),(''),'','profiler','');\n"
        f"{schema[0]}\nENDSEC;"
    )
    path.write_text(header + body, encoding="ascii", newline="\n")
