"""As run: what a cable measures once it lies. One answer is one line of fitted.toml, which says what was done otherwise."""
from __future__ import annotations

from collections.abc import Mapping

from spareway.doc import looked_at, spell
from spareway.survey.ask import Question, Unknown
from spareway.survey.words import about_field, kept, value_at

__all__ = ["answered", "questions"]

WORK, FILE = "work.toml", "fitted.toml"
HEAD = "# What was done otherwise than proposed. A length here was measured as the cable lies.\n"


def questions(files: Mapping[str, str]) -> list[Question]:
    """One for each circuit that the work makes or alters; none where there is no work."""
    if WORK not in files:
        return []
    fitted = looked_at(FILE, files.get(FILE, ""))
    out = []
    for name, circuit in looked_at(WORK, files[WORK]).data.get("circuits", {}).items():
        if isinstance(circuit, dict) and "cable" in circuit and "stretches" not in circuit["cable"]:
            address = f"circuits.{spell((name,))}.cable.length_m"
            asked = about_field(fitted, "as-run", address, name.replace("-", " ").capitalize())
            now = value_at(fitted, address)
            out.append(Question(**{**{field: getattr(asked, field) for field in asked.__slots__}, "open": now is None}))
    return out


def answered(files: Mapping[str, str], id: str, value: str | Unknown) -> dict[str, str]:  # noqa: A002   as a Question calls it
    """The changed file. Errors: InputError."""
    own = {FILE: files.get(FILE) or HEAD}
    return kept({**files, **own}, FILE, "as-run", id, value)


