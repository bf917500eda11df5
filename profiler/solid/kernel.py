"""The solid modeller in a process of its own: one JSON request on stdin, one JSON answer on stdout.

Run as `python -m profiler.solid.kernel`; nothing but the files it loads when a job comes imports the modeller.
They work straight on the modeller's own classes, whose import takes a third of the time of the layer above.

Request: `{"jobs": [job, ...]}`, a job being one of

- `{"kind": "turned", "name", "outlines": [[[[r, z] x 4], ...], ...], "notches": [{"width", "level", "above"} or
  null, ...]}`, a notch or none for each outline,
- `{"kind": "cut", "name", "outline": [[[r, z] x 4], ...], "faces": [[[[r, z] x 4]], ...]}`,
- `{"kind": "plate", "name", "body": [[[x, y] x 4], ...], "holes": [...], "working", "thickness_mm", "edge_mm",
  "angle_deg": number or null}`,

each with `"step"` and `"stl"`: a path or null.
Answer: `{"solids": {name: {"volume_mm3", "surface_mm2", "centre_height_mm", "faces"}}}`, with notches also
`"turned_mm3"`, for a cut `"pieces_mm3"`, for an STL file `"triangles"` and `"mesh_volume_mm3"`, for a bevel
`"bevel_mm"` and `"bevel_deg"`; a job that failed has `{"error": "..."}` instead. Or `{"missing": "..."}` when the
modeller does not load.
"""

from __future__ import annotations

import json
import os
import signal
import sys
from pathlib import Path
from typing import Any

from profiler.solid import AT_JOB
from profiler.solid.trouble import UnusableError

LAST_SECONDS = 900
"""A kernel whose parent was killed ends itself after this long, whatever it is doing."""


def solid_of(job: dict[str, Any]) -> dict[str, Any]:
    """Build one job's shape, measure it and write the files that are asked for.

    Raises:
        UnusableError: it cannot be built, or a file cannot be written or is not what it should be.
    """
    if job["kind"] == "turned":
        from profiler.solid.turned import made, meshes

        what = "solid of revolution"
    elif job["kind"] == "cut":
        from profiler.solid.cut import made, meshes

        what = "closed form cut in two"
    else:
        from profiler.solid.plate import made, meshes

        what = "flat plate"
    from profiler.solid.measure import measured

    shape, told = made(job)
    answer = {**measured(shape), **told}
    if job["step"] is not None:
        from profiler.solid.step import write_step

        write_step(shape, Path(job["step"]), job["name"], what)
    if job["stl"] is not None:
        from profiler.solid.stl import MESH_SHARE, write_stl

        answer |= write_stl(meshes(job, shape), Path(job["stl"]))
        mesh, exact = answer["mesh_volume_mm3"], answer["volume_mm3"]
        if not abs(mesh - exact) <= MESH_SHARE * exact:
            raise UnusableError(f"the mesh has {mesh:.6g} mm³, the solid {exact:.6g} mm³")
    return answer


def answered(request: dict[str, Any]) -> dict[str, Any]:
    """The answer to a request; never raises for what a job or the modeller does."""
    try:
        import OCP.BRepPrimAPI  # noqa: F401 - loads the modeller once, here, where its absence can be told
    except ImportError as error:
        return {"missing": str(error)}
    solids: dict[str, Any] = {}
    for job in request["jobs"]:
        sys.stderr.write(f"{AT_JOB}{json.dumps(job['name'])}\n")
        sys.stderr.flush()
        try:
            solids[job["name"]] = solid_of(job)
        except UnusableError as trouble:
            solids[job["name"]] = {"error": str(trouble)}
        except Exception as trouble:  # the kernel's own errors have no common base but this
            solids[job["name"]] = {"error": f"the kernel gave up: {type(trouble).__name__} {trouble}".strip()}
    return {"solids": solids}


def main() -> None:
    """Read the request, keep the kernel's own chatter off stdout, write the answer."""
    answer_to = os.dup(1)
    os.dup2(2, 1)
    if hasattr(signal, "alarm"):
        signal.alarm(LAST_SECONDS)
    answer = answered(json.load(sys.stdin))
    with os.fdopen(answer_to, "w", encoding="ascii") as stream:
        json.dump(answer, stream)


if __name__ == "__main__":
    main()
