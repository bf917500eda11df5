"""The page's addresses and what each answers."""

from __future__ import annotations

from collections.abc import Sequence
from importlib.resources import files
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any
from urllib.parse import quote, urlencode

from jinja2 import Environment, PackageLoader, StrictUndefined
from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from ..amounts import amount
from ..faults import Fault, Faults
from ..order import Order, ordered
from ..pack import stamp_of
from ..proof import prove_dxf, prove_pdf, prove_svg
from ..settings import Settings
from ..sheets.dxf import write_dxf
from ..sheets.pdf import write_templates_pdf
from ..sheets.svg import write_svg
from ..templates.catalogue import Choice, Template, chosen, not_made
from .address import SHOW
from .answer import Answer, answered
from .cuts import cuts, takes_a_study
from .folder import Changed, Folder
from .guard import Guard
from .numbers import figure_lists, fired_figures, state_tables, wheel_figures
from .sets import SHEETS, set_sheet, set_table
from .wishes import WISHES, granted, may_be_free

_LOOKS = {"studio.css": "text/css", "studio.js": "text/javascript", "pot.svg": "image/svg+xml"}
_KINDS = {"svg": "image/svg+xml", "dxf": "image/vnd.dxf", "pdf": "application/pdf"}
_READ = f"{SHOW}read"

Query = Sequence[tuple[str, str]]


class Studio:
    """Answers for one folder.

    Attributes:
        folder: of designs.
        settings: of her workshop.
    """

    def __init__(self, folder: Folder, settings: Settings) -> None:
        self.folder, self.settings = folder, settings
        self._pages = Environment(
            loader=PackageLoader("profiler.studio", "pages"),
            autoescape=True,
            undefined=StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
        )

    def routes(self) -> list[Route]:
        """Every address there is."""
        return [
            Route("/", self.shelf),
            Route("/set/{name}", self.pot_set),
            Route("/set/{name}/{sheet}", self.set_sheet),
            Route("/looks/{name}", self.looks),
            Route("/design/{name}", self.shape),
            Route("/design/{name}/live", self.live),
            Route("/design/{name}/wheel", self.wheel),
            Route("/design/{name}/cut", self.cut),
            Route("/design/{name}/size", self.size),
            Route("/design/{name}/templates", self.templates),
            Route("/design/{name}/templates/{file}", self.template),
            Route("/design/{name}/save", self.save, methods=["POST"]),
            Route("/design/{name}/save_as", self.save_as, methods=["POST"]),
        ]

    def shelf(self, request: Request) -> Response:  # noqa: ARG002 - the shape of an endpoint
        """The designs of the folder."""
        designs, sets = self.folder.listed()
        return self._page("shelf.html", designs=designs, sets=sets)

    def pot_set(self, request: Request) -> Response:
        """A set: what to weigh out, stacks, whether it matches."""
        table = set_table(self.folder, request.path_params["name"], self.settings)
        units = "in" if dict(request.query_params).get(f"{SHOW}units", self.settings.units) == "in" else "mm"
        return self._page("set.html", table=table, units=units, amount=amount)

    def set_sheet(self, request: Request) -> Response:
        """A sheet of a set, to print."""
        name, sheet = request.path_params["name"], request.path_params["sheet"]
        if sheet not in SHEETS:
            raise HTTPException(404)
        table = set_table(self.folder, name, self.settings)
        if sheet == "kiln_plan.pdf" and table.measured.pots.kiln is None:
            raise HTTPException(404)
        return Response(set_sheet(table, sheet, self.settings), media_type=_KINDS["pdf"])

    def looks(self, request: Request) -> Response:
        """The style sheet and the script."""
        name = request.path_params["name"]
        if name not in _LOOKS:
            raise HTTPException(404)
        text = files("profiler.studio").joinpath("looks", name).read_text(encoding="utf-8")
        return Response(text, media_type=_LOOKS[name])

    def shape(self, request: Request) -> Response:
        """A design: its fields, its drawing, its numbers."""
        return self._page("shape.html", **self._shown(request))

    def live(self, request: Request) -> Response:
        """What of that page follows the hand."""
        return self._page("live.html", **self._shown(request))

    def wheel(self, request: Request) -> Response:
        """One piece and four numbers to be read from afar."""
        return self._page("wheel.html", **self._shown(request))

    def cut(self, request: Request) -> Response:
        """Where a lid may be cut."""
        shown = self._shown(request)
        answer = shown["answer"]
        if not takes_a_study(answer):
            raise Fault("only a lid that is cut has a place to be cut", wanted='kind "cut" under lid, on its shape')
        self.folder.keeps_inside(answer.text)
        capacity = dict(request.query_params).get(f"{SHOW}capacity", "")
        found = cuts(answer, capacity, self.settings)
        kept = [(key, value) for key, value in shown["changed"] if key not in dict(found.changes)]
        take = _address(answer.opened.name, [*kept, (f"{SHOW}units", answer.units), *found.changes])
        return self._page("cut.html", cuts=found, capacity=capacity, take=take, **shown)

    def size(self, request: Request) -> Response:
        """From a wish back to the sizes that give it."""
        shown = self._shown(request)
        answer, asked = shown["answer"], dict(request.query_params)
        wish, amount, free = (asked.get(f"{SHOW}{key}", "") for key in ("wish", "amount", "free"))
        found = granted(answer, wish, amount, free, self.settings) if wish else None
        changes = [(f"{SHOW}units", answer.units), *(found.changes if found is not None else ())]
        take = _address(answer.opened.name, changes)
        choices: dict[str, Any] = {
            "wishes": WISHES,
            "frees": may_be_free(answer),
            "wish": wish,
            "amount": amount,
            "free": free,
        }
        return self._page("size.html", granted=found, take=take, **choices, **shown)

    def templates(self, request: Request) -> Response:
        """Which templates there are of it, and how they are printed."""
        shown = self._shown(request)
        job = shown["answer"].job
        made = () if job is None else chosen(job.piece, Order().choice, self.settings)
        why = () if job is None else not_made(job.piece, Order().choice, self.settings)
        return self._page("templates.html", made=made, why=why, printers=list(self.settings.printers), **shown)

    def template(self, request: Request) -> Response:
        """A file of one template, or the sheets of all; read back before it is handed out."""
        stem, _, kind = request.path_params["file"].rpartition(".")
        answer = self._answer(request)
        if answer.job is None or kind not in _KINDS:
            raise HTTPException(404)
        if answer.job.stands:
            raise Fault("a check says error, so no template is made", wanted="the remark on the page mended first")
        asked = dict(request.query_params)
        printer, paper = asked.get(f"{SHOW}printer") or None, asked.get(f"{SHOW}paper") or None
        order = ordered(self.settings, [answer.job.piece], paper=paper, printer=printer)
        whole = stem == "templates" and kind == "pdf"
        choice = order.choice if whole else Choice(names=(stem,))
        made = chosen(answer.job.piece, choice, self.settings)
        wanted = [one for one in made if (choice.prints(one) if whole else one.drawing.name == stem)]
        if not wanted:
            raise HTTPException(404)
        body = _file(wanted, kind, order, stamp_of(answer.job.piece.design, self.settings, order))
        name = f"{answer.opened.name}_{stem}.{kind}".encode("ascii", "replace").decode().replace("?", "_")
        how = "inline" if kind == "pdf" else "attachment"
        return Response(body, media_type=_KINDS[kind], headers={"content-disposition": f'{how}; filename="{name}"'})

    async def save(self, request: Request) -> Response:
        """Put what was typed into the file."""
        name, query = request.path_params["name"], await _typed(request)
        answer = answered(self.folder, name, query, self.settings)
        if answer.job is None:
            return self._page("shape.html", 409, **self._context(answer, query, "Not saved: this is no pot yet."))
        try:
            self.folder.save(answer.opened, dict(query).get(_READ, ""), answer.changes)
        except Changed:
            said = "Not saved: the file was changed meanwhile. Save it under another name, or open it anew."
            return self._page("shape.html", 409, **self._context(answer, query, said))
        return RedirectResponse(_address(name, _kept(query)), 303)

    async def save_as(self, request: Request) -> Response:
        """Write it into a new file."""
        name, query = request.path_params["name"], await _typed(request)
        answer = answered(self.folder, name, query, self.settings)
        new = dict(query).get(f"{SHOW}name", "").strip()
        if answer.job is None:
            return self._page("shape.html", 409, **self._context(answer, query, "Not saved: this is no pot yet."))
        try:
            self.folder.save_as(answer.opened, new, answer.changes)
        except Fault as fault:
            said = f"Not saved: {self.folder.told(fault)}"
            return self._page("shape.html", 409, **self._context(answer, query, said))
        return RedirectResponse(_address(new, _kept(query)), 303)

    def _answer(self, request: Request) -> Answer:
        query = request.query_params.multi_items()
        return answered(self.folder, request.path_params["name"], query, self.settings)

    def _shown(self, request: Request) -> dict[str, Any]:
        return self._context(self._answer(request), request.query_params.multi_items(), "")

    def _context(self, answer: Answer, query: Query, said: str) -> dict[str, Any]:
        """What the pages of a design show."""
        name, units = answer.opened.name, answer.units
        changed = [(key, value) for key, value in query if not key.startswith(SHOW)]
        other = "in" if units == "mm" else "mm"
        whole = [*changed, (f"{SHOW}units", units)]
        return {
            "answer": answer,
            "is_cut": takes_a_study(answer),
            "said": said,
            "changed": changed,
            "query": "?" + urlencode(whole),
            "other_units": _address(name, [*changed, (f"{SHOW}units", other)]),
            "read": dict(query).get(_READ) or answer.opened.digest,
            "wheel": wheel_figures(answer.numbers, units),
            "fired": fired_figures(answer.numbers, units, answer.was),
            "tables": state_tables(answer.numbers, units, answer.was) if answer.numbers else (),
            "lists": figure_lists(answer.numbers, units),
        }

    def _page(self, template: str, status: int = 200, **shown: Any) -> HTMLResponse:
        return HTMLResponse(self._pages.get_template(template).render(**shown), status)

    def not_found(self, request: Request, error: Exception) -> Response:  # noqa: ARG002 - the shape of a handler
        """An address there is nothing at."""
        return self._page("trouble.html", 404, said=["There is nothing at this address."])

    def fault(self, request: Request, error: Exception) -> Response:  # noqa: ARG002
        """Input that cannot be used."""
        several = error.faults if isinstance(error, Faults) else [error]
        said = [str(self.folder.told(one)) if isinstance(one, Fault) else str(one) for one in several]
        return self._page("trouble.html", 422, said=said)

    def broken(self, request: Request, error: Exception) -> Response:  # noqa: ARG002
        """A mistake of ours: told without its insides."""
        return self._page("trouble.html", 500, said=["Something went wrong here. Nothing was written."])


def studio_app(root: Path, settings: Settings, hosts: Sequence[str]) -> Guard:
    """The page for a folder, behind its guard.

    Args:
        root: the folder.
        settings: of her workshop.
        hosts: names with port under which it is served.
    """
    studio = Studio(Folder(root.resolve()), settings)
    handlers: Any = {404: studio.not_found, Fault: studio.fault, Faults: studio.fault, Exception: studio.broken}
    return Guard(Starlette(routes=studio.routes(), exception_handlers=handlers), hosts)


async def _typed(request: Request) -> list[tuple[str, str]]:
    """The fields of a form, files left out."""
    form = await request.form(max_files=0, max_fields=600)
    return [(key, value) for key, value in form.multi_items() if isinstance(value, str)]


def _kept(query: Query) -> list[tuple[str, str]]:
    """What stays in the address when everything else has gone into the file."""
    return [(key, value) for key, value in query if key == f"{SHOW}units"]


def _address(name: str, query: Query) -> str:
    return f"/design/{quote(name)}?{urlencode(query)}"


def _file(wanted: Sequence[Template], kind: str, order: Order, stamp: str) -> bytes:
    """The bytes of a finished and proved file.

    Raises:
        ProofError: it does not hold what it should.
    """
    drawings = [template.drawing for template in wanted]
    with TemporaryDirectory() as folder:
        path = Path(folder) / f"sheet.{kind}"
        if kind == "pdf":
            write_templates_pdf(drawings, path, paper=order.paper, stamp=stamp, correction=order.correction)
            prove_pdf(drawings, path, order.correction)
        elif kind == "svg":
            write_svg(drawings[0], path, stamp=stamp)
            prove_svg(drawings[0], path)
        else:
            write_dxf(drawings[0], path, stamp=stamp)
            prove_dxf(drawings[0], path)
        return path.read_bytes()
