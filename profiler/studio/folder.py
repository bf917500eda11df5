"""The folder the page works in: which designs stand there, their texts, and saving without losing anything."""

from __future__ import annotations

import hashlib
import re
import threading
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from ..design.edited import Place, edited
from ..design.toml_text import TomlText, read_toml, text_of
from ..faults import Fault, Faults
from ..saving import new_file, replace_file

_NAME = re.compile(r"[\w][\w .+-]{0,80}")
"""A file's name on the page, without its ending: letters and figures of any script, never a dot first."""

_ONE_AT_A_TIME = threading.Lock()


class Changed(Exception):
    """The file is not what was loaded; nothing was written."""


@dataclass(frozen=True, eq=False)
class Opened:
    """A design file as it stands.

    Attributes:
        name: of the file, without its ending.
        text: as read.
        digest: of its bytes; saving compares it.
    """

    name: str
    text: TomlText
    digest: str


@dataclass(frozen=True)
class Folder:
    """A folder of designs; nothing outside it is read or written.

    Attributes:
        root: the folder, resolved.
    """

    root: Path

    def listed(self) -> tuple[dict[str, str], dict[str, str]]:
        """Title of each design and of each set by its name; a file that cannot be read has none."""
        designs: dict[str, str] = {}
        sets: dict[str, str] = {}
        for path in sorted(self.root.glob("*.toml")):
            if not self._ours(path):
                continue
            try:
                data = read_toml(path).data
            except (Fault, Faults):
                designs[path.stem] = ""
                continue
            held = designs if "form" in data else sets if "piece" in data else None
            if held is not None:
                title = data.get("title")
                held[path.stem] = title if isinstance(title, str) and title else path.stem
        return designs, sets

    def set_path(self, name: str) -> Path:
        """Where a set's file stands, all of whose designs and clays stand in this folder.

        Raises:
            Fault: no such set there, or one that leads elsewhere.
        """
        path = self._place(name)
        if not self._ours(path):
            raise Fault("no such set in this folder", wanted="one of those listed")
        text = read_toml(path)
        pieces = text.data.get("piece")
        if "form" in text.data or not isinstance(pieces, list):
            raise Fault("no such set in this folder", wanted="one of those listed")
        for number, piece in enumerate(pieces):
            design = piece.get("design") if isinstance(piece, dict) else None
            if not isinstance(design, str):
                continue  # validation says so
            if "\0" in design or not self._ours(self.root / design):
                wanted = "a design file in this folder"
                raise text.fault(
                    Fault("not a design the page may read", wanted=wanted, field=f"piece.{number}.design")
                )
            self.keeps_inside(read_toml(self.root / design))
        return path

    def opened(self, name: str) -> Opened:
        """A design file of the folder.

        Raises:
            Fault: no such file there, or one that cannot be read.
        """
        path = self._place(name)
        if not self._ours(path):
            raise Fault("no such design in this folder", wanted="one of those listed")
        text = read_toml(path)
        return Opened(name, text, _digest(text_of(path)))

    def save(self, opened: Opened, digest: str, values: Mapping[Place, Any]) -> None:
        """Put values into a design file; its remarks and order stay.

        Args:
            opened: the file.
            digest: of what was loaded.
            values: as `edited` takes them.

        Raises:
            Changed: the file was changed meanwhile.
            Fault: it cannot be written.
        """
        path = opened.text.path
        with _ONE_AT_A_TIME:
            before = text_of(path)
            if _digest(before) != digest:
                raise Changed
            replace_file(path, edited(before, values, path))

    def save_as(self, opened: Opened, name: str, values: Mapping[Place, Any]) -> None:
        """Write the design with its values into a new file of the folder.

        Raises:
            Fault: the name cannot be used or is taken, or the file cannot be written.
        """
        path = self._place(name)
        before = text_of(opened.text.path)
        new_file(path, edited(before, values, opened.text.path))

    def keeps_inside(self, text: TomlText) -> None:
        """See whether every file a design names stands in this folder.

        Raises:
            Fault: it leads elsewhere; names the field, not the place.
        """
        lid = text.data.get("lid")
        clays = {"clay": text.data.get("clay"), "lid.clay": lid.get("clay") if isinstance(lid, dict) else None}
        for field, clay in clays.items():
            if isinstance(clay, str) and (clay.endswith(".toml") or "/" in clay or "\\" in clay):
                inside = "\0" not in clay and self._ours(self.root / clay)
                if not inside:
                    raise text.fault(
                        Fault("not a clay the page may read", wanted="a body file in this folder", field=field)
                    )

    def told(self, fault: Fault) -> Fault:
        """A fault with its file's name only: where the folder stands is nobody's business."""
        return fault if fault.file is None else replace(fault, file=Path(fault.file.name))

    def _place(self, name: str) -> Path:
        if not _NAME.fullmatch(name) or name != name.strip():
            raise Fault("not a name for a design", wanted="letters and figures, up to 80")
        return self.root / f"{name}.toml"

    def _ours(self, path: Path) -> bool:
        """Whether a path leads to an ordinary file within the folder, links followed."""
        try:
            real = path.resolve(strict=True)
        except (OSError, RuntimeError, ValueError):
            return False
        return real.is_file() and real.is_relative_to(self.root)


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:16]
