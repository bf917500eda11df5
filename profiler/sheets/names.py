"""What a sheet is called: each design once, with the tools of it that are on the sheet."""

from __future__ import annotations

from collections.abc import Sequence

from ..templates.drawing import Drawing


def sheet_name(drawings: Sequence[Drawing]) -> str:
    """Titles of the form `design: tool, how it is held` drawn together; a title of another form gets its tool's name.

    >>> rib, gauge = (Drawing(n, f"Hut bowl: {t}", ()) for n, t in (("rib", "rib"), ("gauge", "gauge, foot up")))
    >>> sheet_name([rib, gauge])
    'Hut bowl: rib, gauge'
    >>> sheet_name([Drawing("a", "Hut jar, lid: tombo", ()), Drawing("b", "Hut jar, body: tombo", ())])
    'Hut jar, lid: tombo; body: tombo'
    """
    tools: dict[str, list[str]] = {}
    for drawing in drawings:
        design, tool = _parted(drawing)
        tools.setdefault(design, []).append(tool)
    names, before = [], ""
    for design, found in tools.items():
        # "jar, lid" after "jar, body" is "lid" alone.
        shared = design.rpartition(", ")[0]
        short = design.removeprefix(f"{shared}, ") if shared and shared == before else design
        names.append(f"{short}: {', '.join(_short(found))}")
        before = shared
    return "; ".join(names)


def _parted(drawing: Drawing) -> tuple[str, str]:
    design, colon, tool = drawing.title.rpartition(": ")
    return (design, tool) if colon else (drawing.title, drawing.name.replace("_", " "))


def _short(tools: Sequence[str]) -> list[str]:
    """Tools without what follows their first comma, unless that is what tells two apart."""
    firsts = [tool.partition(",")[0] for tool in tools]
    return [first if firsts.count(first) == 1 else tool for first, tool in zip(firsts, tools, strict=True)]
