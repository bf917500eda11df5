"""The kinds of vessel, one file each; a new one is a new file and a line here."""

from . import bowl, closed, cylinder, jar, plate, points, stand
from .shape import Form

FORMS: dict[str, Form] = {
    form.kind: form for form in (bowl.FORM, plate.FORM, cylinder.FORM, jar.FORM, closed.FORM, stand.FORM, points.FORM)
}
